/** What waits, what was declined and needs somebody, and what was done with this phone. */

import { nameOf, promise } from "./acts.js";
import { button, h, link, redraw, say } from "./dom.js";
import { isUndone } from "./fold.js";
import { decide, know, send, waitsFor } from "./queue.js";
import { buildOf, declined, me, state, sync, toReconcile, waiting } from "./state.js";
import { materialOf } from "./stock.js";
import { clockTime } from "./time.js";
import { besides, canUndo, leave as leaveOut, undo } from "./undo.js";

export function waitingScreen() {
  const [open, refused] = [waiting(), declined()];
  const clashing = toReconcile();
  const left = state.acts.filter((act) => act.state === "left");
  const done = state.acts.filter((act) => act.state === "done").reverse().slice(0, 30);
  return [
    h("h1", {}, open.length ? `${open.length} waiting` : "Nothing waiting"),
    refused.length > 0 && h("section", {}, h("h2", {}, "Needs attention"), refused.map(declinedPanel)),
    clashing.length > 0 && h("section", {}, h("h2", {}, "To reconcile"), clashing.map(clashPanel)),
    open.length > 0 && h("section", {}, h("h2", {}, "Waiting to be sent"), h("ul", { class: "list" }, open.map(waitingItem)),
      button("Send now", () => (sync(), send()), { class: "plain wide" })),
    left.length > 0 && h("section", {}, h("h2", {}, "Not sent"), h("ul", { class: "list" }, left.map((act) =>
      h("li", { class: "split" }, h("span", {}, act.words), button("Send", ()  => decide(act.name, "again"), { class: "plain", "aria-label": `Send: ${act.words}` }))))),
    done.length > 0 && h("section", {}, h("h2", {}, "Sent"), h("ul", { class: "list" }, done.map(doneItem))),
  ];
}

/** When and what, and whose act it is where that is not who is at the phone. */
const wordsOf = (act) => [clockTime(new Date(act.at)), act.by !== me() && `${act.byName},`, act.words].filter(Boolean).join(" ");
const mayGo = (act) => act.by === me() || state.people.some((one) => one.user === act.by && one.token);

function waitingItem(act) {
  const held = waitsFor(act, state.acts).some((other) => ["declined", "left"].includes(other.state));
  return h("li", { class: "split" }, h("span", {}, wordsOf(act), !mayGo(act) && h("span", { class: "hint" }, `waits until the phone is paired as ${act.byName}`), held && h("span", { class: "hint" }, "waits for an entry that was refused")), canUndo(act) && undoButton(act));
}

function doneItem(act) {
  const undone = isUndone(act, state.acts);
  return h("li", { class: "split" }, h("span", {}, wordsOf(act)), undone ? h("span", { class: "hint" }, "undone") : canUndo(act) && undoButton(act));
}

/** Undo at a tap; what it does besides is said first, and asks for a second. */
function undoButton(act) {
  return button("Undo", async (event) => {
    const more = besides(act);
    if (more.length) event.target.closest("li").replaceWith(asking(act, more));
    else await takeBack(act);
  }, { class: "plain", "aria-label": `Undo: ${act.words}` });
}

const asking = (act, more) => h("li", { class: "forgotten", "data-busy": true },
  h("p", { class: "what" }, `Undo: ${act.words}`),
  more.map((words) => h("p", {}, words)),
  h("div", { class: "row" }, button("Undo all of it", () => takeBack(act), { class: "main" }), button("Cancel", redraw, { class: "plain" })));

async function takeBack(act) {
  if (!(await undo(act))) say("It is too late to undo this here.");
}

/** The draw is in the books and one of two records of it is wrong: with whom that is to be settled, and the way out. */
function clashPanel(act) {
  const others = othersOf(act);
  return h("section", { class: "forgotten", "aria-label": `To reconcile: ${act.words}` },
    h("p", { class: "what" }, act.words),
    h("p", {}, others.length ? `Also recorded for ${others.join(" and ")}. Settle with them what it is used for.` : "Less than this was recorded. Count it, and the difference is settled."),
    h("div", { class: "stack" },
      canUndo(act) && button("Undo this draw", () => takeBack(act), { class: "plain wide" }),
      !act.isPiece && link("Count it", `/material/${act.material}`, { class: "plain wide" }),
      button("Leave as recorded", () => know(act.name), { class: "plain wide" })));
}

/** For whom else the same stock is reserved or drawn. */
function othersOf(act) {
  const isSame = (lot, material) => (act.lot ? lot === act.lot : material === act.material);
  const reserved = (state.stock?.promises || []).filter((one) => isSame(one.lot, one.material) && one.holder !== buildOf(act.build)?.holder).map((one) => one.holder_name);
  const drawn = state.draws.filter((one) => act.lot && one.entry.lot === act.lot && one.build !== act.build).map((one) => nameOf(one.build));
  return [...new Set([...drawn, ...reserved])].filter(Boolean);
}

/** One plain sentence and what can be done about it. */
function declinedPanel(act) {
  return h("section", { class: "forgotten", "aria-label": `Refused: ${act.words}` },
    h("p", { class: "what" }, act.words),
    h("p", {}, act.problem.detail),
    act.problem.theirs && h("p", { class: "hint" }, `It is now: ${theirsInWords(act.problem.theirs)}.`),
    h("div", { class: "stack" }, choices(act)));
}

function choices(act) {
  const leave = (words) => button(words, () => leaveOut(act), { class: "plain wide" });
  const again = (words, change) => button(words, () => decide(act.name, "again", change), { class: "plain wide" });
  if (act.problem.status === 412) return [again("Replace it with mine", (own) => act.problem.theirs && (own.seen = act.problem.theirs)), leave("Discard mine")];
  if (act.kind === "promise") return [...otherPieces(act), again("Try again"), leave("Don't send")];
  if (act.kind === "line") return [button("Edit", () => decide(act.name, "left").then(() => (location.hash = `#/catchup/${encodeURIComponent(act.body.line)}`)), { class: "main wide" }), leave("Don't send")];
  return [again("Try again"), leave("Don't send")];
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
  return [...free.map((lot) => button(`Reserve ${lot.number} instead`, () => take(lot), { class: "main wide" })), link("All pieces", `/stock/${act.material}`, { class: "plain wide" })];
}

function theirsInWords(theirs) {
  const words = { is_remake: (value) => (value ? "rework" : "not rework"), minutes: (value) => `${value} min`, mass_g: (value) => (value ? `${Number(value)} g` : "no mass"), work: (value) => value.map((one) => buildOf(one.build)?.serial || one.build).join(" and ") };
  return Object.entries(theirs).map(([name, value]) => (words[name] ? words[name](value) : value)).join(", ");
}
