/** Taking acts back: out of the queue if they have not left, by a counter-act if they have; and what hangs on them. */

import { record, workWords } from "./acts.js";
import { isUndone, runningNow } from "./fold.js";
import { leaveOut, takeBack, UNDO_SECONDS } from "./queue.js";
import { me, state } from "./state.js";

const CLOCK = ["switch", "stop", "settle", "interruption"];
const GIVEN_ON = { stop: "Stopped", settle: "Ended", interruption: "Interrupted" };

/**
 * What goes with `act` when it is taken back, as {gone, changed}. The stop and the interruptions of
 * a switch are given to the clock that then runs on; what hangs on a plain start goes along.
 * Nothing when several clocks would run on: which of them was stopped is not known.
 */
export function hanging(act, all = state.acts) {
  const named = `@${act.name}:`;
  const hang = all.filter((other) => other.state !== "done" && JSON.stringify([other.path, other.body, other.each]).includes(named));
  const before = act.kind === "switch" ? runningBefore(act, all) : [];
  if (before.length > 1 && hang.length) return null;
  const isGiven = (other) => before.length === 1 && other.kind in GIVEN_ON;
  return { gone: hang.filter((other) => !isGiven(other)), changed: hang.filter(isGiven).map((other) => given(other, before[0])) };
}

const runningBefore = (act, all) => runningNow(state.clock, all.filter((other) => other.seq < act.seq), state.clockMark, act.by, state.skew);

const given = (act, one) => ({ ...act, words: `${GIVEN_ON[act.kind]} ${workWords(one.work, one.reason)}`, body: { ...act.body, entry: one.entry } });

/** What taking `act` back does besides, to be said before it is done; empty when nothing. */
export function besides(act) {
  const { gone, changed } = (act.state === "waiting" && hanging(act)) || { gone: [], changed: [] };
  return [
    ...gone.map((other) => `Also undone: ${other.words}.`),
    ...changed.map((other) => `${state.acts.find((own) => own.name === other.name).words} becomes: ${other.words}.`),
  ];
}

/** Take an act back. Says whether it could. */
export async function undo(act) {
  if (await takeBack(act.name, hanging)) return true;
  const now = state.acts.find((own) => own.name === act.name);
  const counter = now && counterOf(now);
  if (!counter) return false;
  const isFirst = (all) => !isUndone(act, all);
  await record({ words: `Undone: ${act.words}`, undoes: act.name, isStock: act.isStock, ...counter }, isFirst);
  return true;
}

/** Leave a declined act unsent; what hangs on it goes as if it were taken back. */
export const leave = (act) => leaveOut(act.name, hanging);

/** Whether `act` can still be taken back. */
export const canUndo = (act) => (act.state === "waiting" && !act.tried ? act.kind !== "undo" || isLastTap(act) : Boolean(counterOf(act)));

/** Whether nothing was done with my clocks after `act`: a counter-act takes back the last tap and no other. */
function isLastTap(act) {
  const taps = state.acts.filter((other) => other.by === me() && other.state !== "left" && [...CLOCK, "undo"].includes(other.kind));
  const standing = taps.filter((other) => other.name === act.name || (!isUndone(other, state.acts) && !other.undoes));
  return standing.at(-1)?.name === act.name;
}

function counterOf(act) {
  const at = new Date().toISOString();
  const why = { why: "tapped by mistake" };
  switch (act.kind) {
    case "switch":
    case "stop": {
      if (Math.abs(Date.now() - new Date(act.at)) > UNDO_SECONDS * 1000 || !isLastTap(act)) return null;
      const entry = act.kind === "stop" ? act.body.entry : `@${act.name}:started.id`;
      return { kind: "undo", path: "clock/undo/", at, before: act.before, body: { entry, at } };
    }
    case "draw":
    case "scrap":
      return { kind: "correct", path: "entries/*/correct/", each: `@${act.name}:${act.path.startsWith("builds/") ? "*.entry.id" : "*.id"}`, body: why };
    case "count":
      return { kind: "correct", path: "entries/*/correct/", each: `@${act.name}:*.id`, body: why };
    case "return":
      return { kind: "correct", path: `entries/@${act.name}:id/correct/`, body: why };
    case "promise":
      return { kind: "release", path: `promises/@${act.name}:id/release/`, lot: act.lot, body: {} };
    default:
      return null;
  }
}
