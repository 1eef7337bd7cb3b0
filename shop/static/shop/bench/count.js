/** Count a shelf: its lots one by one, pieces as there or not there. */

import { count } from "./acts.js";
import { button, h, link } from "./dom.js";
import { countForm } from "./material.js";
import { freshInStock, state } from "./state.js";
import { materialOf } from "./stock.js";

export function countScreen(place = "") {
  if (!state.stock) return [h("h1", {}, "Count a shelf"), h("p", {}, "This phone has not loaded the stock yet.")];
  return place ? shelf(Number(place)) : places();
}

function places() {
  const rows = [...state.stock.places, { id: 0, name: "No place" }].map((place) => [place, lotsAt(place.id)]).filter(([, lots]) => lots.length);
  return [h("h1", {}, "Count a shelf"), h("ul", { class: "list" }, rows.map(([place, lots]) =>
    h("li", {}, link([h("span", {}, place.name), h("span", { class: "hint" }, `${lots.length} to count, ${lots.filter(isCounted).length} counted`)], `/count/${place.id}`, { class: "item" }))))];
}

const lotsAt = (place) => state.stock.lots.filter((lot) => (lot.place || 0) === place);
const countOf = (lot) => freshInStock().filter((act) => act.kind === "count" && act.lot === lot.number && !freshInStock().some((other) => other.undoes === act.name)).at(-1);
const isCounted = (lot) => Boolean(countOf(lot));

function shelf(place) {
  const name = state.stock.places.find((each) => each.id === place)?.name || "No place";
  const lots = lotsAt(place);
  return [
    h("h1", {}, name),
    h("p", {}, `${lots.filter(isCounted).length} of ${lots.length} counted`),
    h("ul", { class: "list" }, lots.map((lot) => h("li", { class: "counted" }, h("p", {}, h("strong", { class: "number" }, lot.number), ` ${materialOf(lot.material)?.name || ""}`), lotForm(lot)))),
    link("Other shelves", "/count", { class: "plain wide" }),
  ];
}

/** The expected quantity is not shown: a count that is copied is no count. */
function lotForm(lot) {
  const material = materialOf(lot.material);
  const done = countOf(lot);
  if (done) return h("p", { class: "hint" }, done.words);
  if (material?.kept_as !== "piece") return material && countForm(material, lot.number);
  return h("div", { class: "row" },
    button("Found", () => count(material, "1.000", lot.number), { class: "plain" }),
    button("Not found", () => count(material, "0.000", lot.number), { class: "plain" }));
}
