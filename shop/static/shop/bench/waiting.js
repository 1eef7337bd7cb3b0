/** What waits, what was declined and needs somebody, and what was done with this phone. */

import { canUndo, promise, undo } from "./acts.js";
import { button, h, link, say } from "./dom.js";
import { isUndone } from "./fold.js";
import { decide, send, waitsFor } from "./queue.js";
import { buildOf, declined, state, sync, waiting } from "./state.js";
import { materialOf } from "./stock.js";
import { clockTime } from "./time.js";

export function waitingScreen() {
  const [open, refused] = [waiting(), declined()];
  const left = state.acts.filter((act) => act.state === "left");
  const done = state.acts.filter((act) => act.state === "done").reverse().slice(0, 30);
  return [
    h("h1", {}, open.length ? `${open.length} waiting` : "Nothing waits"),
    state.cutOff && h("section", { class: "forgotten" },
      h("p", { class: "what" }, "This phone was cut off at the desk."),
      h("p", {}, "What waits stays here. Pair the phone again and it is sent."),
      link("Pair again", "/pair", { class: "main" })),
    refused.length > 0 && h("section", {}, h("h2", {}, "Needs you"), refused.map(declinedPanel)),
    open.length > 0 && h("section", {}, h("h2", {}, "Waiting, in order"), h("ul", { class: "list" }, open.map(waitingItem)),
      button("Send now", () => (sync(), send()), { class: "plain wide" })),
    left.length > 0 && h("section", {}, h("h2", {}, "Left out"), h("ul", { class: "list" }, left.map((act) =>
      h("li", { class: "split" }, h("span", {}, act.words), button("Take up", () => decide(act.name, "again"), { class: "plain", "aria-label": `Take up: ${act.words}` }))))),
    done.length > 0 && h("section", {}, h("h2", {}, "Sent"), h("ul", { class: "list" }, done.map(doneItem))),
  ];
}

function waitingItem(act) {
  const held = waitsFor(act, state.acts).some((other) => ["declined", "left"].includes(other.state));
  return h("li", { class: "split" }, h("span", {}, `${clockTime(new Date(act.at))} ${act.words}`, held && h("span", { class: "hint" }, "waits for what was declined")), canUndo(act) && button("Undo", () => takeBack(act), { class: "plain", "aria-label": `Undo: ${act.words}` }));
}

function doneItem(act) {
  const undone = isUndone(act, state.acts);
  return h("li", { class: "split" }, h("span", {}, `${clockTime(new Date(act.at))} ${act.words}`), undone ? h("span", { class: "hint" }, "undone") : canUndo(act) && button("Undo", () => takeBack(act), { class: "plain", "aria-label": `Undo: ${act.words}` }));
}

async function takeBack(act) {
  if (!(await undo(act))) say("This can't be undone here any more.");
}

/** One plain sentence and what can be done about it. */
function declinedPanel(act) {
  return h("section", { class: "forgotten", "aria-label": `Declined: ${act.words}` },
    h("p", { class: "what" }, act.words),
    h("p", {}, act.problem.detail),
    act.problem.theirs && h("p", { class: "hint" }, `Now it says: ${theirsInWords(act.problem.theirs)}.`),
    h("div", { class: "stack" }, choices(act)));
}

function choices(act) {
  const leave = (words) => button(words, () => decide(act.name, "left"), { class: "plain wide" });
  const again = (words, change) => button(words, () => decide(act.name, "again", change), { class: "plain wide" });
  if (act.problem.status === 412) return [again("Put mine in its place", (own) => act.problem.theirs && (own.seen = act.problem.theirs)), leave("Keep what is there")];
  if (act.kind === "promise") return [...otherPieces(act), again("Ask again"), leave("Leave it out")];
  if (act.kind === "line") return [button("Change the line", () => decide(act.name, "left").then(() => (location.hash = `#/catchup/${encodeURIComponent(act.body.line)}`)), { class: "main wide" }), leave("Leave it out")];
  return [again("Try again"), leave("Leave it out")];
}

/** Free pieces of the same material, one tap each. */
function otherPieces(act) {
  const material = materialOf(act.material);
  if (!act.lot || !material) return [];
  const free = state.stock.lots.filter((lot) => lot.material === act.material && lot.number !== act.lot && !state.stock.promises.some((own) => own.lot === lot.number)).slice(0, 3);
  const take = async (lot) => {
    await promise({ material, quantity: act.body.quantity, build: act.build, lot: lot.number, line: Number(act.body.line.replace("line:", "")) || null });
    await decide(act.name, "left");
  };
  return [...free.map((lot) => button(`Take ${lot.number} instead`, () => take(lot), { class: "main wide" })), link("See all pieces", `/stock/${act.material}`, { class: "plain wide" })];
}

function theirsInWords(theirs) {
  const words = { is_remake: (value) => (value ? "making again" : "not making again"), minutes: (value) => `${value} min`, mass_g: (value) => (value ? `${Number(value)} g` : "no mass"), work: (value) => value.map((one) => buildOf(one.build)?.serial || one.build).join(" and ") };
  return Object.entries(theirs).map(([name, value]) => (words[name] ? words[name](value) : value)).join(", ");
}
