/** The set-up sheet: readings in mm or in thousandths of an inch, before and after side by side. */

import { ask } from "./api.js";
import { nameOf, reading } from "./acts.js";
import { button, choice, field, h, redraw, say } from "./dom.js";
import { keep, kept } from "./db.js";
import { buildOf, freshActs, put, state } from "./state.js";
import { dayKey } from "./time.js";
import { gauged, millimetres } from "./units.js";

const MEASURES = [
  ["action_treble", "Action at the 12th fret, treble"], ["action_bass", "Action at the 12th fret, bass"], ["relief", "Relief"],
  ["fretted_gap", "Gap over the 1st fret, fretted at the 3rd"], ["open_gap", "Open gap at the 1st fret"],
  ["intonation_treble", "Intonation at the 12th, treble, cents"], ["intonation_bass", "Intonation at the 12th, bass, cents"],
  ["nut_width", "Nut width"], ["scale", "Scale"],
];
/** Say a typed percentage as the share that the API takes: 45 is 0.45. */
const share = (typed) => (Number(typed) ? (Number(typed) / 100).toFixed(2) : null);
const isCents = (measure) => measure.startsWith("intonation");

export function setUpScreen(id) {
  const build = buildOf(Number(id));
  if (!build) return [h("h1", {}, "This build is not open")];
  const sheet = { ...state.setUp };
  const thousandths = sheet.thousandths ?? state.hello?.workshop?.units === "imperial";
  const problem = h("p", { class: "problem", role: "alert" });
  const inputs = MEASURES.map(([measure, words]) => [measure, words, h("input", { inputmode: "decimal", autocomplete: "off" })]);
  const gauge = h("input", { autocomplete: "off", value: sheet.gauge || "", placeholder: "feelers, dial gauge" });
  const strings = h("input", { autocomplete: "off", value: sheet.strings || "", placeholder: "11 15 26w 40w" });
  const humidity = h("input", { inputmode: "numeric", autocomplete: "off", value: sheet.humidity || "" });
  const save = async () => {
    const read = inputs.filter(([, , input]) => input.value.trim()).map(([measure, words, input]) => [measure, words, millimetres(input.value, thousandths && !isCents(measure)), input]);
    const wrong = read.find(([measure, , value]) => value === null || (!isCents(measure) && Number(value) < 0));
    if (!read.length || wrong) return (problem.textContent = wrong ? `${wrong[1]}: enter a number.` : "Enter at least one reading.");
    await put("setUp", { thousandths, gauge: gauge.value.trim(), strings: strings.value.trim(), humidity: humidity.value.trim() });
    const common = { gauge: gauge.value.trim(), strings: strings.value.trim(), humidity: share(humidity.value) };
    for (const [measure, words, value] of read) await reading(build.id, { measure, value, ...common }, `${words}: ${isCents(measure) ? `${Number(value)} cents` : gauged(value, thousandths)}, ${build.serial}`);
    say(`${read.length} reading${read.length === 1 ? "" : "s"} saved.`);
    return redraw();
  };
  const before = h("div");
  showReadings(build, before, thousandths);
  return h("div", {},
    h("h1", {}, `Set-up of ${nameOf(build.id)}`),
    choice("Unit", [[false, "mm"], [true, "thousandths of an inch"]], thousandths, (chosen) => put("setUp", { ...state.setUp, thousandths: chosen }).then(redraw)),
    inputs.map(([measure, words, input]) => field(isCents(measure) ? words : `${words}, ${thousandths ? "thou" : "mm"}`, input)),
    field("Measured with", gauge), field("Strings", strings), field("Humidity, %", humidity),
    problem,
    button("Save", save, { class: "main wide" }),
    before);
}

/** Show what was measured before: as the shop's computer knows it, or as this phone last heard. */
async function showReadings(build, place, thousandths) {
  const key = `readings-${build.id}`;
  let rows = (await kept(key)) || [];
  try {
    rows = (await ask("GET", `readings/?build=${build.id}&page_size=200`)).data.results;
    await keep(key, rows);
  } catch {
    // Without signal the last known readings stand.
  }
  const own = freshActs().filter((act) => act.kind === "reading" && act.body.build === build.id && act.state !== "done").map((act) => ({ ...act.body, waits: true }));
  const all = [...rows, ...own];
  const measured = MEASURES.filter(([measure]) => all.some((row) => row.measure === measure));
  place.replaceChildren(...(measured.length ? [h("h2", {}, "Earlier readings"), h("dl", {}, measured.map(([measure, words]) =>
    h("div", {}, h("dt", {}, words), h("dd", {}, all.filter((row) => row.measure === measure).map((row) => h("p", {}, `${isCents(measure) ? `${Number(row.value)} cents` : gauged(row.value, thousandths)}, ${dayKey(new Date(row.taken_at))}${row.waits ? ", waiting" : ""}`))))))] : []));
}
