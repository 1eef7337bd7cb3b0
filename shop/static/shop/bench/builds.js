/** The open builds and the job card of each. */

import { nameOf, note, tick } from "./acts.js";
import { button, field, h, link } from "./dom.js";
import { isFinished, linesNow } from "./fold.js";
import { buildOf, freshActs, state } from "./state.js";
import { materialOf } from "./stock.js";
import { shortDay } from "./time.js";
import { shown } from "./units.js";

export function buildsScreen() {
  return [h("h1", {}, "Open builds"), link("Today by the queue", "/today", { class: "plain wide" }), h("ul", { class: "list" }, state.builds.map((build) => h("li", {}, link(
    [h("strong", {}, build.serial), h("span", {}, build.title), h("span", { class: "hint" }, [build.batch_name, build.promised_on && `promised date ${shortDay(build.promised_on)}`].filter(Boolean).join(", "))],
    `/build/${build.id}`, { class: "item" })))), !state.builds.length && h("p", { class: "hint" }, "No open builds.")];
}

export function buildScreen(id) {
  const build = buildOf(Number(id));
  if (!build) return [h("h1", {}, "This build is not open")];
  const lines = linesNow(build, freshActs());
  const cautions = [...new Set(lines.map((line) => line.caution).filter(Boolean))];
  return [
    h("h1", {}, nameOf(build.id)),
    h("div", { class: "row" }, link("New photo", `/photo/${build.id}`, { class: "plain" }), link("Set-up readings", `/setup/${build.id}`, { class: "plain" })),
    (build.specification_rows.length > 0 || build.specification) && h("details", {}, h("summary", {}, "Specification"),
      h("dl", {}, build.specification_rows.map((row) => h("div", {}, h("dt", {}, row.name), h("dd", {}, [row.value, row.unit].filter(Boolean).join(" "))))),
      build.specification && h("p", { class: "text" }, build.specification)),
    build.changes?.length > 0 && h("section", {}, h("h2", {}, "Change orders"), build.changes.map(changeItem)),
    cautions.length > 0 && h("details", {}, h("summary", {}, "Cautions: read the data sheet"), cautions.map((words) => h("p", { class: "caution" }, words))),
    h("h2", {}, "Stages"),
    h("ul", { class: "list" }, build.stages.map((stage) => stageItem(build, stage))),
    h("h2", {}, "Materials"),
    h("ul", { class: "list" }, lines.map((line) => lineItem(build, line))),
    noteForm(build),
  ];
}

/** What was agreed later; one that waits for its money is not to be begun. */
function changeItem(change) {
  const days = Math.abs(change.days_added);
  const moved = days ? `, ready ${days} day${days === 1 ? "" : "s"} ${change.days_added > 0 ? "later" : "earlier"}` : "";
  return h("div", {}, h("h3", {}, `Change order ${change.number}: ${change.title}`), h("p", { class: "hint" }, `agreed ${change.agreed_on}${moved}`),
    change.words && h("p", { class: "text" }, change.words),
    change.waits && h("p", { class: "caution" }, "To be paid before work starts, and not paid yet. Don’t start."));
}

/** The number of the change that brought a stage or a line, if one did. */
function broughtBy(build, kind, id) {
  const change = build.changes?.find((each) => each[kind].includes(id));
  return change && h("span", { class: "hint" }, ` change order ${change.number}`);
}

function stageItem(build, stage) {
  const isDone = isFinished(stage, freshActs());
  return h("li", {}, button([h("span", { class: "box" }, isDone ? "☑" : "☐"), h("span", {}, stage.name, broughtBy(build, "stages", stage.id))], () => tick(build.id, stage, !isDone), { class: "item tick", role: "checkbox", "aria-checked": String(isDone) }));
}

/** What is needed, drawn and put aside; a set by its number, so that nobody takes the wrong one. */
function lineItem(build, line) {
  const unit = line.unit;
  if (!unit) return h("li", {}, line.name, h("p", { class: "hint" }, "no material yet"));
  const isPiece = line.kept_as === "piece";
  const words = line.used >= Number(line.to_draw) ? "drawn" : isPiece && line.pieces.length ? line.pieces.join(", ") : `${shown(line.to_draw - line.used, unit)} to draw, ${shown(line.promised, unit)} reserved`;
  const target = isPiece && line.pieces.length ? `/piece/${line.pieces[0]}` : isPiece ? `/stock/${line.material}` : `/material/${line.material}`;
  return h("li", {}, link([h("span", {}, line.name, broughtBy(build, "lines", line.id)), h("span", { class: "hint" }, line.material_name === line.name ? "" : materialOf(line.material)?.name || line.material_name), h("span", { class: "figure" }, words)], target, { class: "item" }));
}

function noteForm(build) {
  const text = h("textarea", { rows: 3 });
  return h("details", {}, h("summary", {}, "New note"), field("Note", text), button("Save", async () => {
    if (text.value.trim()) await note(build.id, null, text.value.trim());
    text.blur();
    text.value = "";
  }, { class: "main wide" }));
}
