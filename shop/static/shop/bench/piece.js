/** One piece or set: whose it is, and what is done with it. */

import { bringBack, draw, nameOf, promise, release, scrap, weigh } from "./acts.js";
import { button, choice, field, h, link, redraw, say } from "./dom.js";
import { fresh, isToReconcile, linesNow, pieceNow } from "./fold.js";
import { freshActs, running, state, toldOf } from "./state.js";
import { materialOf, promiseOf } from "./stock.js";
import { clockTime, dayKey, dayWords } from "./time.js";
import { undo } from "./undo.js";
import { fromBase, shown, toBase, woodUnits } from "./units.js";

export const WHY = ["cracked", "drilled or cut wrong", "bad set or bend", "run-out or knot", "dried up"];
const ONE = "1.000";
const STATES = { seasoning: "drying", ready: "available", half: "half set", missing: "not found", returned: "sent back", undone: "reversed" };

export function pieceScreen(number) {
  const lot = state.stock?.lots.find((each) => each.number === number);
  const drawn = state.draws.find((each) => each.entry.lot === number && each.entry.reason === "drawn");
  if (!lot && !drawn) return [h("h1", {}, number), h("p", {}, "This number is not on this phone. Try again when you have a signal."), link("Search", "/stock", { class: "plain" })];
  const material = materialOf(lot?.material ?? drawn.entry.material);
  const piece = { number, ...(state.stock.pieces.find((each) => each.number === number) || { state: lot ? "" : "drawn" }) };
  const now = pieceNow(piece, promiseOf(number), fresh(state.acts, toldOf(number).mark));
  return [
    h("h1", {}, number),
    h("p", { class: "lead" }, material?.name),
    h("dl", {}, facts(lot, piece, now)),
    material?.caution && h("p", { class: "caution" }, material.caution),
    now.state === "drawn" ? drawnActions(number, material, drawn) : now.state === "scrapped" ? null : shelfActions(lot, piece, material, now),
    recent(number),
  ];
}

/** The state as the desk words it; what lies on the shelf for somebody is reserved. */
const statusOf = ({ state: own, holder }) => (holder && ["seasoning", "ready"].includes(own) ? "reserved" : STATES[own] || own);

function facts(lot, piece, now) {
  const place = state.stock.places.find((each) => each.id === lot?.place)?.name;
  const sizes = [piece.length_mm, piece.width_mm, piece.thickness_mm].filter(Boolean);
  const units = woodUnits(state.hello?.workshop);
  const mass = now.mass ?? piece.mass_g;
  const rows = [
    ["Status", statusOf(now)],
    ["For", now.holderName || (now.state === "drawn" ? "" : "not reserved")],
    ["Place", place],
    ["Size", sizes.length && `${sizes.map((size) => fromBase(size, units.size)).join(" × ")} ${units.size}`],
    ["Mass", mass && shown(mass, units.mass)],
    ["Parts", piece.parts > 1 && piece.parts],
    ["As of", asOf(piece.number)],
  ];
  return rows.filter(([, words]) => words).map(([name, words]) => h("div", {}, h("dt", {}, name), h("dd", {}, words)));
}

/** When the workshop computer last told of it: today by the time, else with the day. */
function asOf(number) {
  const told = toldOf(number).at;
  const at = told && new Date(new Date(told).getTime() - state.skew);
  return at && [clockTime(at), dayWords(dayKey(at))].filter((words) => words !== "today").join(", ");
}

/** Open builds that want this material, those whose clock runs first. */
function wanting(material) {
  const here = running().flatMap((one) => one.work.map((each) => each.build));
  const rank = (build) => (here.includes(build.id) ? 0 : 1) + (build.lines.some((line) => line.material === material.id) ? 0 : 2);
  return [...state.builds].sort((one, other) => rank(one) - rank(other));
}

/** The line of `build` that a piece is put aside for, else one for this material that needs some. */
export function lineFor(build, material, number = null) {
  const own = build?.lines.find((line) => line.pieces.includes(number));
  if (own) return own.id;
  const lines = linesNow(build, freshActs()).filter((line) => line.material === material.id);
  return (lines.find((line) => line.used < Number(line.to_draw)) || lines[0])?.id ?? null;
}

function shelfActions(lot, piece, material, now) {
  const owner = state.builds.find((build) => build.holder === now.holder);
  const builds = wanting(material).filter((build) => build !== owner);
  const take = (build) => draw({ material, quantity: ONE, lot: piece.number, build: build.id, line: lineFor(build, material, piece.number) });
  const keepFor = (build) => promise({ material, quantity: ONE, lot: piece.number, build: build.id, line: lineFor(build, material) });
  const open = promiseOf(piece.number);
  return h("div", { class: "stack" },
    owner && button(`Draw for ${nameOf(owner.id)}`, () => take(owner), { class: "main wide" }),
    h("details", {}, h("summary", {}, owner ? "Draw for another build" : "Draw for a build"), builds.map((build) => button(nameOf(build.id), () => take(build), { class: "item" }))),
    !now.holder && h("details", {}, h("summary", {}, "Reserve for a build"), builds.map((build) => button(nameOf(build.id), () => keepFor(build), { class: "item" }))),
    open && now.holder && h("details", {}, h("summary", {}, "Release"), button(`Release from ${now.holderName}`, () => release(open), { class: "item" })),
    weighForm(piece, now),
    link("New photo", `/photo/piece/${piece.number}`, { class: "plain wide" }),
    scrapForm((why) => scrap({ material, quantity: ONE, lot: piece.number, build: owner?.id ?? null, why })));
}

function drawnActions(number, material, drawn) {
  if (!drawn) return h("p", { class: "hint" }, "Drawn on this phone, not sent yet.");
  return h("div", { class: "stack" },
    button("Return", () => bringBack(drawn.id, material, ONE, number), { class: "main wide" }),
    link("New photo", `/photo/piece/${number}`, { class: "plain wide" }),
    scrapForm((why) => scrap({ material, quantity: ONE, lot: number, build: drawn.build, drawn: drawn.id, why })));
}

function weighForm(piece, now) {
  const unit = woodUnits(state.hello?.workshop).mass;
  const mass = now.mass ?? piece.mass_g;
  const input = h("input", { inputmode: "decimal", autocomplete: "off", placeholder: mass ? fromBase(mass, unit) : "" });
  const problem = h("p", { class: "problem", role: "alert" });
  return h("details", {}, h("summary", {}, "Weigh"),
    h("div", { class: "row ends" }, field(`Mass in ${unit}`, input), button("Save", async () => {
      const grams = toBase(input.value, unit);
      if (!grams || Number(grams) <= 0) problem.textContent = `Enter the mass in ${unit}, such as 868.`;
      else await weigh(piece.number, grams).then(redraw);
    }, { class: "main" })), problem);
}

/** Scrapping asks why; the reason is the second tap. */
export function scrapForm(act) {
  let why = null;
  const problem = h("p", { class: "problem", role: "alert" });
  const own = h("input", { autocomplete: "off", maxlength: 200 });
  return h("details", {}, h("summary", {}, "Scrap"),
    choice("Reason", WHY.map((each) => [each, each]), null, (chosen) => (why = chosen)),
    field("Other reason", own),
    problem,
    button("Scrap", ()  => {
      const words = own.value.trim() || why;
      if (words) Promise.resolve(act(words)).then(redraw);
      else problem.textContent = "Choose or type a reason.";
    }, { class: "main wide" }));
}

/** What this phone did with it, each to be undone: the second of two taps. */
export function recent(number, material = null) {
  const own = state.acts.filter((act) => (number ? act.lot === number : act.material === material) && !act.undoes && !["left", "declined"].includes(act.state)).slice(-4).reverse();
  const isUndone = (act) => state.acts.some((other) => other.undoes === act.name);
  return own.length > 0 && h("section", {}, h("h2", {}, "Done on this phone"), h("ul", { class: "list" }, own.map((act) =>
    h("li", { class: "split" }, h("span", {}, act.words, isToReconcile(act, state.acts) && h("span", { class: "hint" }, "to reconcile")), isUndone(act) ? h("span", { class: "hint" }, "undone") : button("Undo", async () => {
      if (await undo(act)) redraw();
      else say("This can't be undone here. Reverse it on the desk page.");
    }, { class: "plain", "aria-label": `Undo: ${act.words}` })))));
}
