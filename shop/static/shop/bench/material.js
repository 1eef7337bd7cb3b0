/** One material that is counted or measured: draw, count, scrap, put aside. */

import { bringBack, count, draw, nameOf, promise, scrap } from "./acts.js";
import { button, choice, field, h, link, redraw, say } from "./dom.js";
import { lineFor, recent, scrapForm } from "./piece.js";
import { buildOf, running, state } from "./state.js";
import { materialOf } from "./stock.js";
import { fromBase, shown, toBase, UNITS } from "./units.js";

/** The reasons of a count at the desk. */
const DIFFERS = ["broken", "used without a record", "given away", "counted wrongly before", "found again"];

export function materialScreen(id, lot = null) {
  const material = materialOf(Number(id));
  if (!material) return [h("h1", {}, "This material is not on this phone"), h("p", {}, "Try again when you have a signal.")];
  const { unit } = material;
  return h("div", {},
    h("h1", {}, material.name),
    h("dl", {}, [["Available", material.free], ["Reserved", material.promised], ["On hand", material.on_hand]].map(([name, base]) => h("div", {}, h("dt", {}, name), h("dd", {}, shown(base, unit))))),
    material.caution && h("p", { class: "caution" }, material.caution),
    whose(material),
    material.kept_as === "piece" ? link("Pieces", `/stock/${material.id}`, { class: "main wide" }) : drawForm(material, lot),
    material.kept_as !== "piece" && [countForm(material), h("details", {}, h("summary", {}, "Scrap"), scrapSome(material, lot)), backForm(material)],
    recent(null, material.id));
}

function whose(material) {
  const own = state.stock.promises.filter((promised) => promised.material === material.id);
  return own.length > 0 && h("details", {}, h("summary", {}, "Reserved for"), h("ul", { class: "list" }, own.map((promised) =>
    h("li", { class: "split" }, h("span", {}, promised.holder_name), h("span", { class: "figure" }, promised.lot || shown(promised.outstanding, material.unit))))));
}

/** A number with large buttons for less and more beside it. */
function stepper(label, unit, value = "") {
  const input = h("input", { inputmode: "decimal", autocomplete: "off", value });
  const step = (by) => (input.value = String(Math.max(Number((Number(input.value.replace(",", ".")) + by).toFixed(3)) || 0, 0)));
  const by = ["m", "kg", "l", "ft"].includes(unit) ? 0.1 : 1;
  const node = h("div", { class: "stepper" }, button("−", () => step(-by), { "aria-label": `Less, by ${by}` }), field(`${label}${UNITS[unit][1] ? `, ${UNITS[unit][1]}` : ""}`, input), button("+", () => step(by), { "aria-label": `More, by ${by}` }));
  return { node, base: () => toBase(input.value, unit), input };
}

function drawForm(material, lot) {
  const here = running().flatMap((one) => one.work.map((each) => each.build)).find((id) => buildOf(id));
  let build = here ?? state.builds.find((each) => each.lines.some((line) => line.material === material.id))?.id ?? null;
  const quantity = stepper("Quantity", material.unit, suggested(build, material));
  const problem = h("p", { class: "problem", role: "alert" });
  const act = async (make, done) => {
    const base = quantity.base();
    if (!base || Number(base) <= 0) return (problem.textContent = `Enter the quantity, in ${UNITS[material.unit][1] || "pieces"}.`);
    problem.textContent = "";
    await make(base);
    say(done);
    return redraw();
  };
  const line = () => (build ? lineFor(buildOf(build), material) : null);
  return h("section", {},
    h("h2", {}, "Draw"),
    choice("For", [...state.builds.map((each) => [each.id, nameOf(each.id)]), [null, "no build"]], build, (chosen) => {
      build = chosen;
      quantity.input.value = suggested(build, material);
    }),
    quantity.node,
    problem,
    button("Draw", () => act((base) => draw({ material, quantity: base, build, line: line(), lot }), "Drawn."), { class: "main wide" }),
    button("Reserve instead", () => build ? act((base) => promise({ material, quantity: base, build, line: line() }), "Reserved.") : (problem.textContent = "Choose the build to reserve it for."), { class: "plain wide" }));
}

/** What the build's line still needs of it. */
function suggested(build, material) {
  const line = buildOf(build)?.lines.find((each) => each.material === material.id);
  return line ? fromBase(Math.max(Number(line.to_draw) - Number(line.used), 0), material.unit) : "";
}

/** What the books have of a lot, or of a material on the whole; not shown, so that nobody counts towards it. */
const booked = (material, lot) => Number(lot ? state.stock.lots.find((each) => each.number === lot)?.remaining ?? 0 : material.on_hand);

/** Three times as much, or a third: rather a slip of the finger or the unit than a difference. */
const isFarFrom = (counted, expected) => expected > 0 && (Number(counted) > 3 * expected || Number(counted) < expected / 3);

export function countForm(material, lot = null) {
  const counted = stepper("Quantity counted", material.unit);
  const problem = h("p", { class: "problem", role: "alert" });
  let why = "";
  let doubted = null;
  return h("details", {}, h("summary", {}, "Count"), counted.node,
    h("details", {}, h("summary", {}, "Reason for a difference"), choice("Reason", DIFFERS.map((each) => [each, each]), null, (chosen) => (why = chosen))),
    problem, button("Save", async () => {
    if (counted.base() === null || Number(counted.base()) < 0) return (problem.textContent = "Enter the quantity, 0 if there is none.");
    if (doubted !== counted.base() && isFarFrom(counted.base(), booked(material, lot))) {
      doubted = counted.base();
      return (problem.textContent = `${shown(counted.base(), material.unit)} is far from what is recorded. Look again, and save once more if it is right.`);
    }
    await count(material, counted.base(), lot, why);
    say("Counted.");
    return redraw();
  }, { class: "main wide" }));
}

function scrapSome(material, lot) {
  const quantity = stepper("Quantity", material.unit);
  return [quantity.node, scrapForm((why) => (Number(quantity.base()) > 0 ? scrap({ material, quantity: quantity.base(), lot, why }).then(redraw) : say("Enter the quantity first.")))];
}

/** Bring back what was drawn for an open build and not used. */
function backForm(material) {
  const drawn = state.draws.filter((each) => each.entry.material === material.id && each.entry.reason === "drawn" && buildOf(each.build)).slice(0, 5);
  if (!drawn.length) return null;
  return h("details", {}, h("summary", {}, "Return"), drawn.map((each) => {
    const quantity = stepper(`Of ${shown(-each.entry.quantity, material.unit)} for ${buildOf(each.build).serial}`, material.unit);
    return h("div", {}, quantity.node, button("Return", ()  => Number(quantity.base()) > 0 ? bringBack(each.id, material, quantity.base(), each.entry.lot).then(redraw) : say("Enter the quantity first."), { class: "plain wide" }));
  }));
}
