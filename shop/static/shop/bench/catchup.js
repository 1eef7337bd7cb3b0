/** Hours typed in afterwards: picked in a few taps, or in one line. */

import { logHours, logLine } from "./acts.js";
import { nextStage, reasons } from "./clock.js";
import { button, choice, field, h, say, several, toggle } from "./dom.js";
import { state } from "./state.js";
import { dayKey, dayWords, daysAgo, lastAt, length, minutesOf } from "./time.js";

const QUICK = ["0:30", "1:00", "1:30", "2:00", "2:30", "3:00", "4:00", "5:00"];

export function catchUpScreen(again = "") {
  const now = new Date();
  const asked = { day: dayKey(now), stage: null, reason: "", isRemake: false };
  const builds = new Set();
  const typed = h("input", { autocomplete: "off", inputmode: "text", placeholder: "2.5 or 2:30 or 150 min" });
  const from = h("input", { inputmode: "numeric", autocomplete: "off", placeholder: "15:00" });
  const problem = h("p", { class: "problem", role: "alert" });
  const stages = h("div");
  const showStages = () => stages.replaceChildren(choice("Stage", stageNames(builds), asked.stage, (stage) => (asked.stage = stage)));
  const chosen = () => {
    const last = state.builds.find((build) => builds.has(build.id));
    asked.stage = last ? nextStage(last)?.name : null;
    showStages();
  };
  showStages();
  const other = h("input", { type: "date", max: dayKey(now), "aria-label": "Another day", onchange: () => (asked.day = other.value) });
  const log = async () => {
    const minutes = minutesOf(typed.value);
    if (!minutes) return (problem.textContent = "Enter the time worked: 2.5, 2:30 or 150 min.");
    if (!builds.size && !asked.reason) return (problem.textContent = "Choose a build, or the reason it is not billable.");
    const work = [...builds].map((id) => ({ build: id, stage: stageOf(id, asked.stage) }));
    await logHours({ ...asked, minutes, work, reason: work.length ? "" : asked.reason, isRemake: work.length > 0 && asked.isRemake, startedAt: startOf(asked.day, from.value) });
    say(`Saved: ${length(minutes)}.`);
    location.hash = "#/day";
    return null;
  };
  return h("div", {},
    h("h1", {}, "Type in hours"),
    h("details", { open: Boolean(again) }, h("summary", {}, "In one line instead"), lineForm(again, problem)),
    h("p", { class: "label" }, "Day"),
    choice("Day", [0, 1, 2].map((ago) => [daysAgo(ago), dayWords(daysAgo(ago))]), asked.day, (day) => (asked.day = day)),
    h("details", {}, h("summary", {}, "Another day"), other),
    h("p", { class: "label" }, "Time worked"),
    h("div", { class: "choice quick" }, QUICK.map((each) => button(each, () => (typed.value = each)))),
    field("Or type it", typed),
    h("p", { class: "label" }, "Builds"),
    several("Builds", state.builds.map((build) => [build.id, `${build.serial} ${build.title}`]), builds, chosen),
    h("p", { class: "label" }, "Stage"),
    stages,
    toggle("Rework after a failure", asked.isRemake, (isRemake) => (asked.isRemake = isRemake)),
    h("details", {}, h("summary", {}, "Not for a build, or with a start time"),
      choice("Reason not billable", reasons().slice(0, 9).map((each) => [each, each]), "", (reason) => ((asked.reason = reason), builds.clear())),
      field("Started at", from, "If you know it.")),
    problem,
    button("Save", log, { class: "main wide" }));
}

function lineForm(again, problem) {
  const line = h("input", { autocomplete: "off", enterkeyhint: "done", placeholder: "yesterday, 2.5 h, binding, both", value: again });
  const log = async () => {
    if (!line.value.trim()) return (problem.textContent = "Type a line first, such as: yesterday, 2.5 h, binding, both.");
    await logLine(line.value.trim(), dayKey(new Date()));
    location.hash = "#/waiting";
    return null;
  };
  return h("form", { onsubmit: (event) => (event.preventDefault(), log()) }, field("In one line", line, "Day, hours, stage and builds, in any order. Add “again” for rework."), h("button", { class: "main wide" }, "Save"));
}

/** Stages that the chosen builds have, or all of them. */
function stageNames(builds) {
  const chosen = state.builds.filter((build) => !builds.size || builds.has(build.id));
  return [...new Set(chosen.flatMap((build) => build.stages.map((stage) => stage.name)))].map((name) => [name, name]);
}

const stageOf = (id, name) => state.builds.find((build) => build.id === id).stages.find((stage) => stage.name === name)?.id ?? null;

function startOf(day, text) {
  if (!text.trim()) return null;
  const at = lastAt(text, new Date(`${day}T23:59:59`));
  return at && dayKey(at) === day ? at : null;
}
