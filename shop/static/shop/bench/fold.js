/** What the phone shows: the last state from the shop's computer with its own acts laid over it. */

import { doneAt } from "./steps.js";

/** Acts of this phone that the last state, read at `mark`, may not know yet. */
export const fresh = (acts, mark) => acts.filter((act) => ["waiting", "declined"].includes(act.state) || (act.state === "done" && act.mark > mark));

/**
 * My running clocks after my acts since `mark`: {entry, startedAt, work, reason, isRemake}, where `entry` is
 * an id or stands for one in an answer to come. Times are by this phone's clock.
 */
export function runningNow(clock, acts, mark, me, skew = 0) {
  const mine = (clock?.running || []).filter((entry) => entry.person === me);
  const before = {};
  const after = (running, act) => {
    before[act.name] = running;
    return afterTap(running, act, acts, before[act.undoes]);
  };
  return fresh(acts, mark).filter((act) => act.by === me).reduce(after, mine.map((entry) => ofServer(entry, skew)));
}

function ofServer(entry, skew) {
  return {
    entry: entry.id,
    startedAt: new Date(new Date(entry.started_at).getTime() - skew).toISOString(),
    work: entry.shares.map(({ build, stage }) => ({ build, stage })),
    reason: entry.reason,
    isRemake: entry.is_remake,
  };
}

function afterTap(running, act, acts, beforeUndone) {
  if (act.state === "declined") return running;
  switch (act.kind) {
    case "switch":
      return [{ entry: startedBy(act), startedAt: doneAt(act), work: act.body.work || [], reason: act.body.reason || "", isRemake: false }];
    case "stop":
    case "settle":
      return running.filter((one) => known(one.entry, acts) !== known(act.body.entry, acts));
    case "edit":
      return running.map((one) => (isMarked(one, act, acts) ? { ...one, isRemake: act.body.is_remake } : one));
    case "undo":
      return beforeUndone ?? act.before;
    default:
      return running;
  }
}

const isMarked = (one, act, acts) => "is_remake" in act.body && known(one.entry, acts) === known(act.entry, acts);

/** The id of an entry once the answer to the act that began it is there. */
function known(entry, acts) {
  const name = typeof entry === "string" && entry.match(/^@([0-9a-f]{32}):/)?.[1];
  return name ? acts.find((act) => act.name === name)?.answer?.started?.id ?? entry : entry;
}

/** The entry that a switch began: its id if that is known, or what stands for it. */
export const startedBy = (act) => act.answer?.started?.id ?? `@${act.name}:started.id`;

/** A build's lines with what this phone drew since: `used` and `promised` in base units. */
export function linesNow(build, acts) {
  return build.lines.map((line) => {
    const own = acts.filter((act) => act.kind === "draw" && act.body.line === line.id && !isUndone(act, acts));
    const drawn = own.reduce((total, act) => total + Number(act.body.quantity), 0);
    return { ...line, used: Number(line.used) + drawn, promised: Math.max(Number(line.promised) - drawn, 0) };
  });
}

/** Whether a later act takes `act` back. */
export const isUndone = (act, acts) => acts.some((other) => other.undoes === act.name && other.state !== "left");

/** Where a piece stands after this phone's acts: {state, for} with words for both. */
export function pieceNow(piece, promise, acts) {
  let now = { state: piece.state, holder: promise?.holder ?? null, holderName: promise?.holder_name ?? "" };
  for (const act of acts) {
    if (act.lot !== piece.number || act.state === "declined" || isUndone(act, acts)) continue;
    if (act.kind === "draw") now = { state: "drawn", holder: null, holderName: act.holderName || "" };
    if (act.kind === "scrap") now = { ...now, state: "scrapped" };
    if (act.kind === "return") now = { ...now, state: "ready", holderName: "" };
    if (act.kind === "promise") now = { ...now, holder: act.body.holder, holderName: act.body.holder_name };
    if (act.kind === "release") now = { ...now, holder: null, holderName: "" };
    if (act.kind === "weigh") now = { ...now, mass: act.body.grams };
  }
  return now;
}

const EXCLUDED = { draw: ["draw", "scrap", "promise"], scrap: ["draw", "scrap", "promise", "return"], return: ["return"], promise: ["promise"], release: ["release"] };
const TWIN = 1000;

/** Whether `act` can't be done beside what this phone did before: a second tap of the same, or a piece that is drawn twice. */
export function clashes(act, acts) {
  const open = acts.filter((other) => other.state !== "left" && other.state !== "declined" && !isUndone(other, acts) && !other.undoes);
  const isTwin = (other) => other.kind === act.kind && other.path === act.path && other.words === act.words && Math.abs(new Date(act.at) - new Date(other.at)) < TWIN;
  if (open.length && isTwin(open.at(-1))) return true;
  const last = act.isPiece && open.filter((other) => other.lot === act.lot && other.kind in EXCLUDED).at(-1);
  return Boolean(last) && EXCLUDED[last.kind].includes(act.kind);
}

/** Whether the books took `act` and marked it: it took more than they had, or what was reserved or drawn for another. */
export const isToReconcile = (act, acts) => act.state === "done" && !act.isKnown && !isUndone(act, acts) && act.kind === "draw" && [act.answer].flat().some((row) => (row?.entry ?? row)?.to_reconcile);

/** Whether a stage is finished after this phone's ticks. */
export function isFinished(stage, acts) {
  const last = acts.filter((act) => act.stage === stage.id && act.state !== "declined" && ["finish", "reopen"].includes(act.kind)).at(-1);
  return last ? last.kind === "finish" : Boolean(stage.finished_at);
}
