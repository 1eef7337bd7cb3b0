/** Pairing: a code from the desk becomes a token that only this phone has. */

import { ask, Declined } from "./api.js";
import { field, h, redraw } from "./dom.js";
import { send } from "./queue.js";
import { become, state, sync } from "./state.js";

/** Take a code out of the address at once, so that it is neither kept in the history nor sent. */
export async function codeInAddress() {
  const found = location.hash.match(/^#pair=([\w-]+)$/);
  if (!found) return;
  history.replaceState(null, "", "/bench/");
  pairScreen.problem = (await pair(found[1])) || "";
  redraw();
}

/** Trade the code for a token; returns a sentence when that fails. */
async function pair(code) {
  try {
    const { data } = await ask("POST", "devices/pair/", { body: { code }, anonymous: true });
    await become(data.token);
    navigator.storage?.persist?.();
    await sync({ stock: true });
    send();
    return null;
  } catch (error) {
    return error instanceof Declined ? error.message : "The workshop computer does not answer. Move closer and try again.";
  }
}

/** Where the desk shows the piece whose label was read with a phone that is not paired. */
function deskAddress() {
  const number = location.hash.match(/^#\/piece\/(.+)$/)?.[1];
  return number && `/stock/p/${number}/`;
}

export function pairScreen() {
  const code = h("input", { autocomplete: "off", autocapitalize: "characters", spellcheck: "false", class: "code", maxlength: 12 });
  const problem = h("p", { class: "problem", role: "alert" }, pairScreen.problem || "");
  const act = async (event) => {
    event.preventDefault();
    const failed = await pair(code.value);
    pairScreen.problem = "";
    if (failed) problem.textContent = failed;
    else location.hash = "#/";
  };
  return h("form", { onsubmit: act },
    h("h1", {}, "Pair this phone"),
    h("p", {}, "On the computer, open Workshop, then Devices, and pair a phone. Point the camera at the QR code, or type the code here."),
    field("Code", code), problem,
    h("button", { class: "main wide" }, "Pair"),
    deskAddress() && h("p", {}, h("a", { href: deskAddress(), class: "plain wide" }, "Open this piece on the desk page instead")),
    !isSecureContext && h("p", { class: "caution" }, "This address is not secure, so the page won't work without a signal. Use the address shown on the computer."));
}
