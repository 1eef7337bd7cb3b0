/** Reading a label's code within the page, where the browser can. */

import { button, h } from "./dom.js";

export const canScan = () => "BarcodeDetector" in self && Boolean(navigator.mediaDevices?.getUserMedia);

/** The number in what a label says: the address of a piece, or the bare number. */
export const numberIn = (text) => decodeURIComponent(text.match(/\/p\/([^/?#]+)/)?.[1] || (/^[A-Z]{1,3}-\d+[A-H]?$/.test(text.trim()) ? text.trim() : "")) || null;

/** Show the camera in `place` until a label is read, then open its piece. */
export async function scan(place) {
  const video = h("video", { class: "camera", playsinline: true, muted: true, "aria-label": "Camera" });
  let stream;
  const end = () => stream?.getTracks().forEach((track) => track.stop());
  place.replaceChildren(video, button("Close the camera", () => (end(), place.replaceChildren()), { class: "plain wide" }));
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    video.srcObject = stream;
    await video.play();
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    while (video.isConnected) {
      const number = (await detector.detect(video)).map((code) => numberIn(code.rawValue)).find(Boolean);
      if (number) {
        location.hash = `#/piece/${number}`;
        break;
      }
      await new Promise((resolve) => setTimeout(resolve, 200));
    }
  } catch {
    place.replaceChildren(h("p", { class: "problem", role: "alert" }, "The camera is not available. Type the last digits instead."));
  }
  end();
}
