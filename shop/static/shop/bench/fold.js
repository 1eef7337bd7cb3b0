/** What the phone shows: the last state from the shop's computer with its own acts laid over it. */

/** Acts of this phone that the last state may not know yet. */
export const fresh = (acts, upTo) => acts.filter((act) => ["waiting", "declined"].includes(act.state) || (act.state === "done" && act.doneAt > upTo));

/**
 * My running clocks after the acts since `upTo`: {entry, startedAt, work, reason, isRemake}, where `entry` is
 * an id or stands for one in an answer to come. Times are by this phone's clock.
 */
export function runningNow(clock, acts, upTo, me, skew = 0) {
  const mine = (clock?.running || []).filter((entry) => entry.person === me);
  return fresh(acts, upTo).reduce((running, act) => afterTap(running, act, acts), mine.map((entry) => ofServer(entry, skew)));
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

function afterTap(running, act, acts) {
  if (act.state === "declined") return running;
  switch (act.kind) {
    case "switch":
      return [{ entry: startedBy(act), startedAt: act.at, work: act.body.work || [], reason: act.body.reason || "", isRemake: false }];
    case "stop":
    case "settle":
      return running.filter((one) => known(one.entry, acts) !== known(act.body.entry, acts));
    case "edit":
      return running.map((one) => (isMarked(one, act, acts) ? { ...one, isRemake: act.body.is_remake } : one));
    case "undo":
      return act.before;
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

/** Whether a stage is finished after this phone's ticks. */
export function isFinished(stage, acts) {
  const last = acts.filter((act) => act.stage === stage.id && act.state !== "declined" && ["finish", "reopen"].includes(act.kind)).at(-1);
  return last ? last.kind === "finish" : Boolean(stage.finished_at);
}
