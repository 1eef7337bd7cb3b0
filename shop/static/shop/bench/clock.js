/** The clock: what runs, what can be started, and a stop that was forgotten. */

import { interrupt, markRemake, settle, startWork, stopWork, workWords } from "./acts.js";
import { button, choice, field, h, link, redraw, say } from "./dom.js";
import { isFinished } from "./fold.js";
import { repairs } from "./repair.js";
import { buildOf, freshActs, me, running, state, usePerson } from "./state.js";
import { clockTime, length, minutesBetween, minutesOf, lastAt, sensibleEnds } from "./time.js";

const NUDGES = [2, 4];
const FORGOTTEN_AFTER = 4 * 60;

/** How long since the instant `since`. */
export const barred = (since) => length(minutesBetween(new Date(since), new Date()));

export function clockScreen() {
  const now = running();
  return [
    h("h1", { class: now.length ? "unseen" : "" }, now.length ? "Clock" : "No clock running"),
    people(),
    ...unsure().map(unsurePanel),
    ...repairs(),
    ...now.map((one) => (isForgotten(one) ? forgottenPanel(one) : runningPanel(one))),
    tiles(now),
    h("div", { class: "row" }, link("Not for a build", "/reasons", { class: "plain" }), link("Type in hours", "/catchup", { class: "plain" })),
    others(),
  ];
}

/** Who is at the bench, where a phone is used by several. */
function people() {
  const here = state.people.filter((one) => one.token || one.user === me());
  return here.length > 1 && choice("Signed in as", here.map((one) => [one.user, one.name]), me(), usePerson);
}

function runningPanel(one) {
  const panel = h("section", { class: "running", "aria-label": "Running" },
    h("p", { class: "state" }, one.isRemake ? "Running, rework" : "Running"),
    h("p", { class: "time", "data-since": one.startedAt }, barred(one.startedAt)),
    h("p", { class: "what" }, workWords(one.work, one.reason)),
    nudge(one),
    button("Stop", () => stopWork(one), { class: "stop" }),
    h("div", { class: "row" },
      button("Stopped earlier", ()  => panel.replaceWith(forgottenPanel(one, true)), { class: "plain", "aria-label": "Stopped earlier" }),
      button("Interruption", () => panel.replaceWith(interruptionPanel(one)), { class: "plain" }),
      one.work.length > 0 && button(one.isRemake ? "Not rework" : "Rework", () => markRemake(one), { class: "plain" })));
  return panel;
}

function nudge(one) {
  const hours = minutesBetween(new Date(one.startedAt), new Date()) / 60;
  const passed = NUDGES.filter((each) => hours >= each).at(-1);
  return passed && h("p", { class: "hint" }, `More than ${passed} hours without a break. Still working?`);
}

/** A stop is likely forgotten after hours on end, or past the end of the working day. */
function isForgotten(one) {
  const [started, now] = [new Date(one.startedAt), new Date()];
  const ran = minutesBetween(started, now);
  const [hour, minute] = dayEnds().split(":").map(Number);
  const end = new Date(started);
  end.setHours(hour, minute + 30, 0, 0);
  const isDismissed = forgottenPanel.dismissed === one.entry;
  return !isDismissed && (ran >= FORGOTTEN_AFTER || (started < end && now > end && ran > 60));
}

const dayEnds = () => state.clock?.day_ends_at || "17:00:00";

/** `isAsked` is when somebody says that it stopped earlier: then the panel stays until they are done. */
function forgottenPanel(one, isAsked = false) {
  const [started, now] = [new Date(one.startedAt), new Date()];
  const ends = sensibleEnds(started, now, dayEnds(), lastRecorded(started));
  const panel = endPanel(`Still running ${barred(one.startedAt)}`, one, ends, [
    button("Still running", (event) => {
      forgottenPanel.dismissed = one.entry;
      event.currentTarget.closest("section").replaceWith(runningPanel(one));
    }, { class: "plain" }),
  ]);
  panel.toggleAttribute("data-busy", isAsked);
  return panel;
}

/** When this phone or the shop's computer last recorded something since `started`. */
function lastRecorded(started) {
  const own = state.acts.filter((act) => !["switch", "undo", "edit", "release"].includes(act.kind)).map((act) => new Date(act.at));
  const offered = (state.clock?.offers || []).filter((offer) => offer.key === "last").map((offer) => new Date(new Date(offer.at).getTime() - state.skew));
  const later = [...own, ...offered].filter((at) => at > started);
  return later.length ? new Date(Math.max(...later)) : null;
}

function endPanel(heading, one, ends, more) {
  const typed = h("input", { inputmode: "numeric", placeholder: "14:40", autocomplete: "off", size: 5 });
  const problem = h("p", { class: "problem", role: "alert" });
  const end = async (at) => {
    await settle(one, at);
    say("End time saved.");
    redraw();
  };
  return h("section", { class: "forgotten", "aria-label": heading },
    h("p", { class: "state" }, heading),
    h("p", { class: "what" }, workWords(one.work, one.reason)),
    h("p", {}, "When did it stop?"),
    h("div", { class: "stack" }, ends.map(([words, at]) =>
      button(h("span", {}, h("strong", {}, clockTime(at)), `, ${words}: ${length(minutesBetween(new Date(one.startedAt), at))}`), () => end(at), { class: "end" }))),
    h("div", { class: "row ends" }, field("Another time", typed), button("Save", ()  => {
      const at = lastAt(typed.value, new Date());
      if (!at || at <= new Date(one.startedAt)) problem.textContent = `Enter a time after ${clockTime(new Date(one.startedAt))}, such as 14:40.`;
      else end(at);
    }, { class: "plain" })),
    problem,
    more);
}

/** Clocks of mine that midnight paused and that this phone has not settled. */
function unsure() {
  const settled = state.acts.filter((act) => act.kind === "settle" && act.state !== "left").map((act) => act.body.entry);
  return (state.clock?.unsure || []).filter((entry) => entry.person === me() && !settled.includes(entry.id));
}

function unsurePanel(entry) {
  const one = { entry: entry.id, startedAt: entry.started_at, work: entry.shares.map(({ build, stage }) => ({ build, stage })), reason: entry.reason };
  const offers = (state.clock.offers || []).filter((offer) => offer.entry === entry.id);
  const words = { last: "last thing recorded", day_end: "end of the working day", midnight: "midnight", now: "when it was noticed" };
  return endPanel("Paused at midnight: when did it end?", one, offers.map((offer) => [words[offer.key], new Date(offer.at)]), []);
}

function interruptionPanel(one) {
  const started = new Date(one.startedAt);
  const minutes = h("input", { inputmode: "numeric", value: "15", autocomplete: "off" });
  const from = h("input", { inputmode: "numeric", placeholder: "11:05", autocomplete: "off" });
  const problem = h("p", { class: "problem", role: "alert" });
  let reason = reasons()[0];
  const panel = h("section", { class: "running panel", "data-busy": true, "aria-label": "Interruption" },
    h("p", { class: "what" }, `Interruption of ${workWords(one.work, one.reason)}`),
    field("Minutes", minutes),
    field("From", from, "Leave empty if it has just ended."),
    choice("Reason", reasons().slice(0, 6).map((each) => [each, each]), reason, (chosen) => (reason = chosen)),
    problem,
    h("div", { class: "row" },
      button("Save", async () => {
        const lasted = minutesOf(`${minutes.value} min`);
        const at = from.value.trim() ? lastAt(from.value, new Date()) : new Date(Date.now() - lasted * 60000);
        if (!lasted || !at || at < started) problem.textContent = `Enter the minutes, and a start after ${clockTime(started)}.`;
        else {
          await interrupt(one, at, lasted, reason);
          redraw();
        }
      }, { class: "main" }),
      button("Cancel", ()  => panel.replaceWith(runningPanel(one)), { class: "plain" })));
  return panel;
}

export const reasons = () => state.clock?.reasons || ["clean-up", "enquiry"];

/** The stage that a tap on a build starts: the one last worked on here, else the first that is open. */
export function nextStage(build) {
  const open = build.stages.filter((stage) => !isFinished(stage, freshActs()));
  return open.find((stage) => stage.id === state.lastStage?.[build.id]) || open.filter((stage) => stage.started_at).at(-1) || open[0] || null;
}

const workOf = (builds, stage) => builds.map((build) => ({ build: build.id, stage: build.stages.find((each) => each.name === stage?.name)?.id ?? null }));

/** Builds of one batch that are open together. */
function batches() {
  const found = new Map();
  for (const build of state.builds) if (build.batch) found.set(build.batch, [...(found.get(build.batch) || []), build]);
  return [...found.values()].filter((builds) => builds.length > 1);
}

function tiles(now) {
  const groups = [...batches(), ...state.builds.map((build) => [build])];
  const isOn = (work) => now.some((one) => JSON.stringify(one.work) === JSON.stringify(work));
  return h("ul", { class: "tiles" }, groups.map((builds) => {
    const stage = nextStage(builds[0]);
    const work = workOf(builds, stage);
    if (isOn(work)) return null;
    const words = builds.map((build) => build.serial).join(" and ");
    const title = builds.length > 1 ? `${builds.length === 2 ? "Both" : `All ${builds.length}`} of ${builds[0].batch_name}` : builds[0].title;
    return h("li", {},
      button([h("span", { class: "title" }, title), h("span", { class: "stage" }, `${stage?.name || "No stage"}, `, h("span", { class: "serial" }, words))],
        () => startWork(work), { class: "tile" }),
      link("▾", `/stages/${builds.map((build) => build.id).join("+")}`, { class: "side", "aria-label": `Another stage of ${words}` }));
  }));
}

function others() {
  const theirs = (state.clock?.running || []).filter((entry) => entry.person !== me());
  return theirs.map((entry) => h("p", { class: "hint" }, `${entry.person_name}: ${workWords(entry.shares, entry.reason)}, ${barred(entry.started_at)}`));
}

/** Whether a stage came with a change that is paid before it is made, and is not paid yet. */
function isUnpaid(build, stage) {
  return Boolean(build.changes?.some((change) => change.waits && change.stages.includes(stage.id)));
}

/** Choose the stage of a build, or of a batch, and start it. */
export function stagesScreen(ids) {
  const builds = ids.split("+").map((id) => buildOf(Number(id))).filter(Boolean);
  if (!builds.length) return [h("h1", {}, "This build is not open")];
  return [
    h("h1", {}, `Which stage of ${builds.map((build) => build.serial).join(" and ")}?`),
    h("ul", { class: "list" }, builds[0].stages.map((stage) => h("li", {}, button(
      [stage.name, isFinished(stage, freshActs()) && h("span", { class: "hint" }, "done"), isUnpaid(builds[0], stage) && h("span", { class: "caution" }, " not paid yet: don’t start")],
      () => startWork(workOf(builds, stage)).then(() => (location.hash = "#/")), { class: "item" })))),
    button("No stage", () => startWork(workOf(builds, null)).then(() => (location.hash = "#/")), { class: "plain" }),
  ];
}

/** Choose why time can't be billed, and start it. */
export function reasonsScreen() {
  const other = h("input", { autocomplete: "off", maxlength: 80 });
  const start = (reason) => reason && startWork([], reason).then(() => (location.hash = "#/"));
  return [
    h("h1", {}, "Not for a build"),
    h("ul", { class: "list" }, reasons().map((reason) => h("li", {}, button(reason, () => start(reason), { class: "item" })))),
    h("div", { class: "row ends" }, field("Another reason", other), button("Start", () => start(other.value.trim()), { class: "main" })),
  ];
}
