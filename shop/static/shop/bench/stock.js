/** Find anything: by the last digits of its number, by words of its name, or by its label's code. */

import { ask } from "./api.js";
import { button, field, h, link } from "./dom.js";
import { canScan, scan } from "./scan.js";
import { state } from "./state.js";
import { shown } from "./units.js";

const MOST = 30;
const typed = { words: "" };

export const materialOf = (id) => state.stock?.materials.find((material) => material.id === id);
export const promiseOf = (number) => state.stock?.promises.find((promise) => promise.lot === number);

/** Lots whose number ends in the digits, and materials whose name has every word. */
export function found(words) {
  const plain = words.trim().toLowerCase();
  if (!plain || !state.stock) return { lots: [], materials: [] };
  const digits = plain.replace(/[^0-9]/g, "");
  const isNumber = digits && /^[a-z]{0,2}[- ]?\d+$/.test(plain);
  const letter = plain.match(/^[a-z]+/)?.[0] || "";
  const lots = isNumber ? state.stock.lots.filter((lot) => lot.number.endsWith(digits) && lot.number.toLowerCase().startsWith(letter)) : [];
  const parts = plain.split(/\s+/);
  const materials = isNumber ? [] : state.stock.materials.filter((material) => parts.every((part) => material.name.toLowerCase().includes(part)));
  return { lots: lots.slice(0, MOST), materials: materials.slice(0, MOST) };
}

export function stockScreen(material = "") {
  const results = h("div", { class: "results", "aria-live": "polite" });
  const input = h("input", { value: typed.words, autocomplete: "off", autocapitalize: "off", enterkeyhint: "search", placeholder: "412 or fretwire", oninput: () => {
    typed.words = input.value;
    results.replaceChildren(...listOf(found(input.value), input.value, results));
  } });
  results.append(...(material ? piecesOf(Number(material)) : listOf(found(typed.words), typed.words, results)));
  return h("div", {},
    h("h1", {}, "Stock"),
    field("Search by last digits or name", input),
    canScan() && button("Scan a label", () => scan(results), { class: "plain wide" }),
    results,
    h("div", { class: "row" }, link("Count a shelf", "/count", { class: "plain" }), !canScan() && h("p", { class: "hint" }, "The phone's own camera can also open a label.")));
}

function listOf({ lots, materials }, words, results) {
  if (!words.trim()) return [];
  const rows = [...lots.map(lotItem), ...materials.map(materialItem)];
  const more = state.stock?.isWhole ? [] : [button("Search the workshop computer", () => askFor(words, results), { class: "plain wide" })];
  if (rows.length) return [h("ul", { class: "list" }, rows), ...more];
  return [h("p", { class: "hint" }, state.stock ? "No match in stock on this phone." : "This phone has not loaded the stock yet."), ...more];
}

/** For a stock larger than a phone keeps. */
async function askFor(words, results) {
  try {
    const [lots, materials] = await Promise.all(["lots", "materials"].map((kind) => ask("GET", `${kind}/?search=${encodeURIComponent(words)}`)));
    state.stock.lots.push(...lots.data.results.filter((lot) => !state.stock.lots.some((own) => own.number === lot.number)));
    state.stock.materials.push(...materials.data.results.filter((material) => !materialOf(material.id)));
    results.replaceChildren(h("ul", { class: "list" }, [...lots.data.results.map(lotItem), ...materials.data.results.map(materialItem)]));
  } catch {
    results.replaceChildren(h("p", { class: "problem", role: "alert" }, "The workshop computer does not answer. Try again later."));
  }
}

function lotItem(lot) {
  const material = materialOf(lot.material);
  const promise = promiseOf(lot.number);
  const piece = material?.kept_as === "piece";
  const where = piece ? (promise ? `reserved for ${promise.holder_name}` : "available") : material && `${shown(lot.remaining, material.unit)} left`;
  return h("li", {}, link([h("strong", { class: "number" }, lot.number), h("span", {}, material?.name || ""), h("span", { class: "hint" }, where || "")], piece ? `/piece/${lot.number}` : `/material/${lot.material}/${lot.number}`, { class: "item" }));
}

function materialItem(material) {
  const { unit } = material;
  return h("li", {}, link([h("span", {}, material.name),
    h("span", { class: "hint" }, `${shown(material.free, unit)} available, ${shown(material.promised, unit)} reserved,  ${shown(material.on_hand, unit)} on hand`)], `/material/${material.id}`, { class: "item" }));
}

/** The pieces of one material, the free ones first: to choose another when one is gone. */
function piecesOf(id) {
  const lots = (state.stock?.lots || []).filter((lot) => lot.material === id);
  lots.sort((one, other) => Boolean(promiseOf(one.number)) - Boolean(promiseOf(other.number)));
  return [h("h2", {}, materialOf(id)?.name || ""), h("ul", { class: "list" }, lots.map(lotItem))];
}
