/** The queue: acts wait in order until the shop's computer has answered each of them, once. */

import { ask, Declined, newName, NoSignal } from "./api.js";
import { acts, addAct, changeAct, changeQueue, dropAct, keep, kept, nextMark } from "./db.js";
import { clockOf, greet, isUnsure } from "./steps.js";

export const UNDO_SECONDS = 10;
const KEPT_FOR = 2 * 86400000;
const PAUSES = [2, 5, 15, 30, 60];
const onchange = [];
const others = "BroadcastChannel" in self ? new BroadcastChannel("gramil-bench") : null;
let failures = 0;
let timer = null;
let sending = false;
let delivered = 0;

/** Call `hear(isAsked)` after every change of the queue, in this tab or another; `isAsked` when somebody here just did it. */
export function listen(hear) {
  onchange.push(hear);
}

if (others) others.onmessage = () => onchange.forEach((hear) => hear());

function changed(isAsked = false) {
  others?.postMessage("changed");
  return Promise.all(onchange.map((hear) => hear(isAsked)));
}

/**
 * Put an act in the queue and start sending. An act is {kind, words, method, path, body} with
 * `photo` (a Blob), `seen` (what the change rests on), `each` (ids to repeat it for), `hold`
 * (seconds in which it can still be taken back) and whatever else its screen wants to know.
 * "@name:started.id" in path or body stands for that part of the answer to an earlier act.
 * Returns the act's name, or null when `may(all)` forbids it beside what is in the queue.
 */
export async function add(act, may = () => true) {
  const full = { method: "POST", name: newName(), round: 0, at: new Date().toISOString(), state: "waiting", ...act };
  const place = await addAct(full, may);
  await changed(true);
  send();
  return place ? full.name : null;
}

/** Take an act back that has not left yet, with what `along(act, all)` says: {gone, changed}. False when it has left. */
export async function takeBack(name, along) {
  const changes = await changeQueue((all) => {
    const act = all.find((one) => one.name === name);
    const more = act?.state === "waiting" && !act.tried && along(act, all);
    return more && { gone: [act, ...more.gone], changed: more.changed };
  });
  if (changes) await changed(true);
  return Boolean(changes);
}

/** Leave a declined act aside unsent, with what hangs on it. */
export async function leaveOut(name, along) {
  await changeQueue((all) => {
    const act = all.find((one) => one.name === name);
    const more = along(act, all) || { gone: [], changed: [] };
    return { gone: more.gone, changed: [{ ...act, state: "left", problem: null, tried: false }, ...more.changed] };
  });
  await changed(true);
  send();
}

/** Decide about an act that was declined: `again` sends it anew, `left` keeps it aside unsent. */
export async function decide(name, decision, change = () => {}) {
  await changeAct(name, (act) => {
    if (decision === "again") act.round += 1;
    act.state = decision === "again" ? "waiting" : "left";
    act.problem = null;
    act.tried = false;
    change(act);
  });
  await changed(true);
  send();
}

/** Of an act that is to be reconciled: whoever is at the phone knows. */
export async function know(name) {
  await changeAct(name, (act) => Object.assign(act, { isKnown: true }));
  await changed(true);
}

/** Whether acts are on their way from this tab: the state is read once they are through. */
export const isSending = () => sending;

/** Send what waits, in order. Only one tab sends at a time. */
export async function send() {
  if (sending) return;
  sending = true;
  const before = delivered;
  clearTimeout(timer);
  try {
    const locked = navigator.locks ? (work) => navigator.locks.request("gramil-bench-queue", work) : (work) => work();
    await locked(sendAll);
  } finally {
    sending = false;
  }
  if (delivered > before) changed();
}

async function sendAll() {
  for (;;) {
    if (navigator.onLine === false) return again(PAUSES.at(-1));
    const all = await acts();
    if (await isUnsure(all)) {
      if (await askTime()) continue;
      return again(PAUSES[Math.min(failures++, PAUSES.length - 1)]);
    }
    const right = await rights();
    const act = all.find((one) => one.state === "waiting" && right(one) && !waitsFor(one, all).length);
    if (!act) return tidy(all);
    const ready = act.hold ? new Date(act.at).getTime() + act.hold * 1000 - Date.now() : 0;
    if (ready > 0 && ready <= act.hold * 1000) return again(ready / 1000);
    const outcome = await deliver(act, all, right(act));
    changed();
    if (outcome === "later") return again(PAUSES[Math.min(failures++, PAUSES.length - 1)]);
    failures = 0;
  }
}

/** What gives each act the token of its own person; nothing for somebody whose token the desk took away. */
async function rights() {
  const [token, isCutOff, people] = [await kept("token"), await kept("cutOff"), (await kept("people")) || []];
  return (act) => {
    const own = act.by === undefined ? token : people.find((one) => one.user === act.by)?.token;
    return own === token && isCutOff ? null : own;
  };
}

/** Whether the time was told; whoever has lost their right learns that from what they send. */
async function askTime() {
  try {
    await greet();
  } catch (error) {
    if (!(error instanceof Declined)) return false;
    await keep("steps", []);
  }
  return true;
}

function again(seconds) {
  timer = setTimeout(send, seconds * 1000);
}

/** The earlier acts that `act` rests on and that are not done. */
export function waitsFor(act, all) {
  const names = [...JSON.stringify([act.path, act.body, act.each]).matchAll(/@([0-9a-f]{32}):/g)].map((found) => found[1]);
  return all.filter((other) => names.includes(other.name) && other.state !== "done");
}

async function deliver(act, all, token) {
  // Marked before it leaves: from here on it may have arrived, whatever the answer's fate.
  if (!(await changeAct(act.name, (own) => own.state === "waiting" && ((own.tried = true), true)))) return "gone";
  try {
    const answer = act.each ? await sendEach(act, all, token) : await sendOne(act, all, token);
    const mark = await nextMark();
    await changeAct(act.name, (own) => Object.assign(own, { state: "done", answer, mark, doneAt: Date.now(), photo: null }));
    delivered += 1;
    return "done";
  } catch (error) {
    if (error instanceof NoSignal) return "later";
    if (!(error instanceof Declined)) throw error;
    if (error.status === 401) {
      await loseRight(token);
      return "cut off";
    }
    const problem = { status: error.status, detail: error.message, theirs: error.theirs };
    await changeAct(act.name, (own) => Object.assign(own, { state: "declined", problem }));
    return "declined";
  }
}

/** The desk took `token` away: what its person did waits until the phone is paired as them again. */
async function loseRight(token) {
  if (token === (await kept("token"))) await keep("cutOff", true);
  const people = (await kept("people")) || [];
  await keep("people", people.map((one) => (one.token === token ? { ...one, token: null } : one)));
}

async function sendOne(act, all, token) {
  const [path, body] = [filledIn(act.path, all), filledIn(act.body, all)];
  const headers = { "Idempotency-Key": `${act.name}.${act.round}`, "Device-Time": clockOf(act) };
  if (act.seen) {
    const { data, etag } = await ask("GET", path, { token });
    const stands = plain(data, act.seen);
    if (same(stands, plain(body, act.seen))) return data; // it had arrived, only its answer was lost
    if (!same(stands, act.seen)) throw changedMeanwhile(stands);
    headers["If-Match"] = etag;
  }
  return (await ask(act.method, path, { body, photo: act.photo, headers, token })).data;
}

/** Repeat an act for every id that the answer to an earlier one gave, such as the parts of a draw. */
async function sendEach(act, all, token) {
  const answers = [];
  for (const id of filledIn(act.each, all)) {
    const headers = { "Idempotency-Key": `${act.name}.${act.round}.${id}`, "Device-Time": clockOf(act) };
    answers.push((await ask(act.method, act.path.replace("*", id), { body: act.body, headers, token })).data);
  }
  return answers;
}

function changedMeanwhile(theirs) {
  const declined = new Declined(412, { detail: "Someone else edited this in the meantime." });
  declined.theirs = theirs;
  return declined;
}

/** The fields of `data` that `seen` has; the work of an entry is read from its shares. */
function plain(data, seen) {
  const work = data.shares?.map(({ build, stage }) => ({ build, stage }));
  return Object.fromEntries(Object.keys(seen).map((name) => [name, name === "work" ? data.work ?? work : data[name]]));
}

/** Whether two sets of fields say the same; `90` and `"90.000"` do. */
function same(one, other) {
  return Object.keys(one).every((name) => {
    const [left, right] = [one[name], other[name]];
    if (left === right || JSON.stringify(left) === JSON.stringify(right)) return true;
    return left !== null && left !== "" && right !== null && right !== "" && Number(left) === Number(right);
  });
}

/** Replace "@name:path" by that part of the answer to the act of that name. `*` goes through a list. */
export function filledIn(value, all) {
  if (Array.isArray(value)) return value.map((each) => filledIn(each, all));
  if (value && typeof value === "object") return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, filledIn(each, all)]));
  if (typeof value !== "string" || !value.includes("@")) return value;
  const whole = value.match(/^@([0-9a-f]{32}):([\w.*]+)$/);
  if (whole) return part(all, whole[1], whole[2]);
  return value.replace(/@([0-9a-f]{32}):([\w.]+)/g, (_, name, path) => part(all, name, path));
}

function part(all, name, path) {
  const answer = all.find((act) => act.name === name)?.answer;
  return path.split(".").reduce((values, step) => {
    if (step === "*") return values;
    return Array.isArray(values) ? values.map((each) => each[step]) : values?.[step];
  }, answer);
}

/** Let go of what was done days ago. Nothing else is ever dropped. */
async function tidy(all) {
  const open = JSON.stringify(all.filter((act) => act.state !== "done"));
  const isOld = (act) => act.state === "done" && Math.abs(Date.now() - act.doneAt) > KEPT_FOR && !open.includes(act.name);
  for (const act of all.filter(isOld)) await dropAct(act.seq);
}
