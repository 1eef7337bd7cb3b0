/**
 * What was done by a clock that was wrong and put right before there was signal: its times are still right.
 *
 * The wall clock is watched beside the page's own, which nobody can set. A step back is a clock that was set; a
 * step forward may as well be a phone that slept, so that only the next contact tells: sleep leaves the phone as far
 * from the workshop's computer as it was, setting the clock does not.
 */

import { ask, NoSignal } from "./api.js";
import { changeKeptAndQueue, kept } from "./db.js";

const TOLERATED = 60000;
const wallAhead = () => Date.now() - performance.now();
let ahead = null;

/** Keep every step of the wall clock, with the last act before it; resolves to the step back by which acts were shifted, or 0. */
export async function watchClock() {
  const [before, stands] = [ahead, wallAhead()];
  ahead = stands;
  const by = before === null ? null : stands - before;
  if (by !== null && Math.abs(by) <= TOLERATED) return 0;
  await changeKeptAndQueue(["steps"], ({ steps = [] }, all) => {
    const step = { by, after: all.at(-1)?.seq || 0 };
    return { values: { steps: [...steps, step] }, changed: by < 0 ? shifted(all, step) : [] };
  });
  return by < 0 ? by : 0;
}

/** Acts up to the step were told by a clock that differs from today's by `step.by`: those acts, put right. */
const shifted = (all, step) =>
  all.filter((act) => act.seq <= step.after).map((act) => ({ ...act, shift: (act.shift || 0) + step.by }));

/** Whether the clock may have been set since something was done that waits: it goes once a greeting has told. */
export async function isUnsure(all) {
  const steps = (await kept("steps")) || [];
  return all.some((act) => act.state === "waiting" && steps.some((step) => act.seq <= step.after));
}

/** Greet the workshop's computer, which tells the time; what it says of steps in the clock is settled. Returns {data, skew}. */
export async function greet(token) {
  const before = wallAhead();
  const { data } = await ask("POST", "devices/hello/", { body: { version: document.documentElement.dataset.version }, token });
  if (Math.abs(wallAhead() - before) > TOLERATED) throw new NoSignal(); // set in this very moment: the answer tells nothing
  const skew = new Date(data.now).getTime() - Date.now();
  await settle(skew);
  return { data, skew };
}

/** Keep how far the clock is ahead, put acts right by the steps that led there, and forget those: all, once, or nothing. */
const settle = (skew) =>
  changeKeptAndQueue(["clockSkew", "steps"], ({ clockSkew = skew, steps = [] }, all) => {
    const set = steps.length ? setForward(steps, clockSkew - skew) : null;
    return { values: { clockSkew: skew, steps: [] }, changed: set ? shifted(all, set) : [] };
  });

/**
 * Of steps forward, the one in which the clock was set, when it was set by `total` in all since the last contact: the
 * smallest that holds what the steps back leave, else the time in which the page was closed; nothing when all were sleep.
 */
export function setForward(steps, total) {
  const by = total - steps.reduce((sum, step) => sum + Math.min(step.by, 0), 0);
  const holds = steps.filter((step) => step.by > 0 && step.by >= by - TOLERATED);
  const found = by > TOLERATED ? holds.sort((one, other) => one.by - other.by)[0] : null;
  const closed = steps.find((step) => step.by === null);
  if (found) return { ...found, by };
  return Math.abs(by) > TOLERATED && closed ? { ...closed, by } : null;
}

/** When an act was done, by the clock as it stands now. */
export const doneAt = (act) => new Date(new Date(act.at).getTime() + (act.shift || 0)).toISOString();

/** What the clock that an act was told by would show now. */
export const clockOf = (act) => new Date(Date.now() - (act.shift || 0)).toISOString();
