/** What can't be right in the hours of these days: time of one person booked twice, and days longer than a day's work. */

import { changeEntry, workWords } from "./acts.js";
import { button, h, link } from "./dom.js";
import { freshActs, me, put, state } from "./state.js";
import { clockTime, dayWords, length } from "./time.js";

const MOST_HOURS = 16;
const LEAST = 60; // seconds: what two taps may differ by

const secondsOf = (entry) => Math.round(Number(entry.minutes || 0) * 60);
const span = (entry) => [new Date(entry.started_at), new Date(entry.stopped_at)].map((at) => at.getTime() / 1000);

/** Pairs of `entries` that book more seconds than passed while they ran, as {first, second, excess}, the longer one as `longer`. */
export function bookedTwice(entries) {
  const timed = entries.filter((entry) => entry.started_at && entry.stopped_at && !entry.within && secondsOf(entry));
  timed.sort((one, other) => span(one)[0] - span(other)[0]);
  const pairs = timed.flatMap((first, index) => timed.slice(index + 1).map((second) => ({ first, second, excess: excess(first, second) })));
  return pairs.filter((pair) => pair.excess >= LEAST);
}

function excess(first, second) {
  const [[from, to], [start, end]] = [span(first), span(second)];
  const shared = Math.min(to, end) - start;
  if (shared <= 0 || first.person !== second.person) return 0;
  return Math.min(shared, secondsOf(first) + secondsOf(second) - (Math.max(to, end) - from));
}

/** What is to be looked at, each with what would put it right. */
export function repairs() {
  const mine = state.entries.filter((entry) => entry.person === me());
  return [...bookedTwice(mine).filter((pair) => !isSettled(keyOf(pair))).map(twicePanel), ...longDays(mine).map(longPanel)];
}

const keyOf = ({ first, second }) => `${first.id}+${second.id}`;
const isSettled = (key) => (state.bothRight || []).includes(key) || freshActs().some((act) => act.repairs === key && act.state !== "declined");

function twicePanel(pair) {
  const longer = secondsOf(pair.second) > secondsOf(pair.first) ? pair.second : pair.first;
  const [from, to] = [span(pair.second)[0], Math.min(span(pair.first)[1], span(pair.second)[1])].map((at) => clockTime(new Date(at * 1000)));
  const left = Math.round((secondsOf(longer) - pair.excess) / 60);
  const words = (entry) => workWords(entry.shares, entry.reason);
  const shorten = () => changeEntry(longer.id, { minutes: longer.minutes }, { minutes: left }, `Corrected ${words(longer)} to ${length(left)}`, { repairs: keyOf(pair) });
  return h("section", { class: "forgotten", "aria-label": "Recorded twice" },
    h("p", { class: "what" }, `${from} to ${to} is recorded twice`),
    h("p", {}, `${words(pair.first)} and ${words(pair.second)}, ${dayWords(pair.second.day)}: ${length(pair.excess / 60)} more than passed.`),
    h("div", { class: "stack" },
      left > 0 && button(`Shorten ${words(longer)} to ${length(left)}`, shorten, { class: "end" }),
      button("Leave both", () => put("bothRight", [...(state.bothRight || []), keyOf(pair)].slice(-50)).then(() => dispatchEvent(new Event("redraw"))), { class: "plain wide" })));
}

/** Days on which more was recorded than anybody works, as [day, minutes]. */
export function longDays(entries) {
  const sums = new Map();
  for (const entry of entries) sums.set(entry.day, (sums.get(entry.day) || 0) + Number(entry.minutes || 0));
  return [...sums].filter(([, minutes]) => minutes > MOST_HOURS * 60);
}

const longPanel = ([day, minutes]) => h("section", { class: "forgotten", "aria-label": "Long day" },
  h("p", { class: "what" }, `${length(minutes)} recorded ${dayWords(day)}`),
  h("p", {}, `More than ${MOST_HOURS} hours in a day. Correct what ran on.`),
  link("Look at the hours", "/day", { class: "plain wide" }));
