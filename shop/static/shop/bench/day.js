/** What was recorded today and yesterday, and one entry put right. */

import { changeEntry, workWords } from "./acts.js";
import { button, field, h, link, say, several, toggle } from "./dom.js";
import { repairs } from "./repair.js";
import { freshActs, state } from "./state.js";
import { clockTime, dayWords, length, minutesOf } from "./time.js";

export function dayScreen() {
  const days = [...new Set(state.entries.map((entry) => entry.day))];
  const logged = freshActs().filter((act) => ["log", "line", "interruption"].includes(act.kind) && act.state !== "declined");
  return [
    h("h1", {}, "Recent hours"),
    link("Type in hours", "/catchup", { class: "main" }),
    repairs(),
    justLogged("Waiting to be sent", logged.filter((act) => act.state === "waiting")),
    justLogged("Sent just now", logged.filter((act) => act.state === "done")),
    days.map(dayOf),
    !days.length && h("p", { class: "hint" }, "No hours recorded on this phone yet."),
  ];
}

const justLogged = (heading, acts) => acts.length > 0 && h("section", {}, h("h2", {}, heading), h("ul", { class: "list" }, acts.map((act) => h("li", {}, act.words))));

function dayOf(day) {
  const entries = state.entries.filter((entry) => entry.day === day);
  const total = entries.reduce((sum, entry) => sum + Number(entry.minutes || 0), 0);
  return h("section", {}, h("h2", {}, `${dayWords(day)}: ${length(total)}`), h("ul", { class: "list" }, entries.map((entry) =>
    h("li", {}, link([h("span", {}, workWords(entry.shares, entry.reason) || entry.note || "undone"), h("span", { class: "figure" }, entry.is_running ? "running" : length(Number(entry.minutes))),
      h("span", { class: "hint" }, [times(entry), entry.person_name, entry.is_remake && "rework", entry.is_unsure && "end unconfirmed", entry.corrections.length && "corrected"].filter(Boolean).join(", "))],
    `/entry/${entry.id}`, { class: "item" })))));
}

const times = (entry) => entry.started_at && `${clockTime(new Date(entry.started_at))} to ${entry.stopped_at ? clockTime(new Date(entry.stopped_at)) : "now"}`;

/** Change the length or the builds of an entry, or whether something was made again. If somebody else did so meanwhile, that is said. */
export function entryScreen(id) {
  const entry = state.entries.find((each) => String(each.id) === id);
  if (!entry) return [h("h1", {}, "This entry is not on this phone"), h("p", {}, "Open it at the desk.")];
  const minutes = h("input", { autocomplete: "off", value: entry.minutes ? length(Number(entry.minutes)) : "" });
  const stage = entry.shares[0]?.stage_name;
  const work = entry.shares.map(({ build, stage: own }) => ({ build, stage: own }));
  const builds = new Set(work.map((one) => one.build));
  let isRemake = entry.is_remake;
  const problem = h("p", { class: "problem", role: "alert" });
  const save = async () => {
    const length_ = minutesOf(minutes.value);
    if (!length_) return (problem.textContent = "Enter the time worked: 2.5, 2:30 or 150 min.");
    const [seen, change] = [{}, {}];
    if (length_ !== Math.round(Number(entry.minutes))) [seen.minutes, change.minutes] = [entry.minutes, length_];
    const now = [...builds].map((build) => work.find((one) => one.build === build) || { build, stage: stageNamed(build, stage) });
    if (JSON.stringify(now) !== JSON.stringify(work)) [seen.work, change.work] = [work, now];
    if (isRemake !== entry.is_remake) [seen.is_remake, change.is_remake] = [entry.is_remake, isRemake];
    if (Object.keys(change).length) {
      await changeEntry(entry.id, seen, change, `Corrected ${workWords(entry.shares, entry.reason)} to ${length(length_)}`);
      say("Saved.");
    }
    location.hash = "#/day";
    return null;
  };
  return h("div", {},
    h("h1", {}, workWords(entry.shares, entry.reason) || "Entry"),
    h("p", {}, [dayWords(entry.day), times(entry)].filter(Boolean).join(", ")),
    entry.raw_minutes && entry.raw_minutes !== entry.minutes && h("p", { class: "hint" }, `Recorded as ${length(Number(entry.raw_minutes))}.`),
    entry.is_running ? h("p", {}, "The clock is still running. Stop it first.") : [
      field("Time worked", minutes),
      entry.is_billable && [h("p", { class: "label" }, "Builds"), several("Builds", state.builds.map((build) => [build.id, `${build.serial} ${build.title}`]), builds),
        toggle("Rework after a failure", isRemake, (isOn) => (isRemake = isOn))],
      problem,
      button("Save", save, { class: "main wide" }),
    ],
    entry.corrections.length > 0 && h("section", {}, h("h2", {}, "Corrections"), h("ul", { class: "list" }, entry.corrections.map((one) =>
      h("li", {}, [one.why || "corrected", one.before.seconds !== null && one.before.seconds !== undefined && `was ${length(one.before.seconds / 60)}`].filter(Boolean).join(": "))))));
}

const stageNamed = (build, name) => state.builds.find((each) => each.id === build)?.stages.find((each) => each.name === name)?.id ?? null;
