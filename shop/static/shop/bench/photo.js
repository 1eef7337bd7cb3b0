/** Photos: shrunk on the phone, and freed of what the camera wrote beside the picture. */

import { nameOf, photograph, photographPiece } from "./acts.js";
import { nextStage } from "./clock.js";
import { button, field, h, say } from "./dom.js";
import { buildOf } from "./state.js";

export const MOST_BYTES = 400 * 1024;
const SIDES = [1600, 1280, 1024, 800, 640];
const QUALITIES = [0.8, 0.65, 0.5];

/** Return a picture as a JPEG of at most 400 kB: drawn anew, so that place, time and camera stay behind. */
export async function shrunk(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  for (const side of SIDES) {
    const scale = Math.min(1, side / Math.max(picture.width, picture.height));
    const canvas = h("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    for (const quality of QUALITIES) {
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
      if (blob && blob.size <= MOST_BYTES) return blob;
    }
  }
  throw new Error("This photo can't be made small enough.");
}

/** The screen for a photo of a build, or of a piece by its number. */
export function photoScreen(id, number = "") {
  const build = buildOf(Number(id));
  if (!build && !number) return [h("h1", {}, "This build is not open")];
  let photo = null;
  const text = h("input", { autocomplete: "off", placeholder: "crack at the end grain" });
  const problem = h("p", { class: "problem", role: "alert" });
  const preview = h("div");
  const input = h("input", { type: "file", accept: "image/*", capture: "environment", class: "file", onchange: async () => {
    if (!input.files.length) return;
    try {
      photo = await shrunk(input.files[0]);
      problem.textContent = "";
      preview.replaceChildren(h("img", { src: URL.createObjectURL(photo), alt: "The photo to save", class: "preview" }), h("p", { class: "hint" }, `${Math.ceil(photo.size / 1024)} kB, location removed`));
    } catch {
      problem.textContent = "This photo can't be read. Take another one.";
    }
  } });
  return h("div", {},
    h("h1", {}, number ? `Photo of ${number}` : `Photo for ${nameOf(build.id)}`),
    field("Take or choose a photo", input),
    preview,
    field("Note", text),
    problem,
    button("Save", async () => {
      if (!photo) return (problem.textContent = "Take a photo first.");
      if (number) await photographPiece(number, photo, text.value.trim());
      else await photograph(build.id, nextStage(build)?.id ?? null, photo, text.value.trim());
      say("Photo saved.");
      location.hash = number ? `#/piece/${number}` : `#/build/${build.id}`;
      return null;
    }, { class: "main wide" }));
}
