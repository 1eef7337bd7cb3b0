/** The state of the bench in memory, as kept on the phone, and how it is brought up to date. */

import { ask, Declined, NoSignal, rows } from "./api.js";
import { acts, forget, keep, kept } from "./db.js";
import { fresh, runningNow } from "./fold.js";
import { listen, send } from "./queue.js";
import { daysAgo } from "./time.js";

const STOCK_EVERY = 10 * 60000;
const TOLERATED = 60000;

export const state = {
  token: null, cutOff: false, hello: null, skew: 0, clock: null, builds: [], entries: [], draws: [], stock: null,
  acts: [], hasSignal: null, newVersion: false, upTo: 0, stockUpTo: 0, lastStage: {}, setUp: {},
};
const KEPT = ["token", "cutOff", "hello", "skew", "clock", "builds", "entries", "draws", "stock", "upTo", "stockUpTo", "lastStage", "setUp"];
const watchers = [];
let syncing = null;

export const watch = (hear) => watchers.push(hear);
export const tell = () => watchers.forEach((hear) => hear());

/** Read what the phone kept. */
export async function load() {
  const values = await Promise.all(KEPT.map(kept));
  KEPT.forEach((name, index) => values[index] !== undefined && (state[name] = values[index]));
  state.acts = await acts();
}

listen(async () => {
  const before = state.acts.filter((act) => act.state === "waiting").length;
  state.acts = await acts();
  state.cutOff = Boolean(await kept("cutOff"));
  tell();
  if (before && !waiting().length) sync();
});

export async function put(name, value) {
  state[name] = value;
  await keep(name, value);
}

/** Forget whose phone this is. The queue stays. */
export async function unpair() {
  await Promise.all(["token", "cutOff"].map(forget));
  Object.assign(state, { token: null, cutOff: false });
}

export const waiting = () => state.acts.filter((act) => act.state === "waiting");
export const declined = () => state.acts.filter((act) => act.state === "declined");
export const me = () => state.hello?.user;
export const running = () => runningNow(state.clock, state.acts, state.upTo, me(), state.skew);
export const freshActs = () => fresh(state.acts, Math.min(state.upTo, state.stockUpTo));
export const buildOf = (id) => state.builds.find((build) => build.id === id);

/** Bring the state up to date, unless that is going on or there is nobody to ask for. */
export function sync({ stock = false } = {}) {
  if (!state.token || state.cutOff) return Promise.resolve();
  syncing ||= read(stock).finally(() => (syncing = null));
  return syncing;
}

async function read(stock) {
  try {
    const { data } = await ask("POST", "devices/hello/", { body: { version: document.documentElement.dataset.version } });
    const skew = new Date(data.now).getTime() - Date.now();
    await put("skew", Math.abs(skew) > TOLERATED ? skew : 0);
    await put("hello", data);
    state.hasSignal = true;
    send();
    await readClock();
    if (stock || !state.stock || Date.now() - state.stockUpTo > STOCK_EVERY || stockMoved()) await readStock();
  } catch (error) {
    if (error instanceof NoSignal) state.hasSignal = false;
    else if (error instanceof Declined && error.status === 401) await put("cutOff", true);
    else if (!(error instanceof Declined)) throw error;
  }
  tell();
}

async function readClock() {
  const upTo = Date.now();
  const [clock, builds, entries] = await Promise.all([
    ask("GET", "clock/"),
    rows("builds/?open=true", 200),
    rows(`time-entries/?day_after=${daysAgo(1)}&day_before=${daysAgo(0)}`, 200),
  ]);
  await put("clock", clock.data);
  await put("builds", builds.rows);
  await put("entries", entries.rows);
  await put("upTo", upTo);
}

/** Pieces come first: each is one of its kind, and looked for by its number at the rack. */
const MOST_PIECES = 5000;
const ON_SHELF = ["seasoning", "ready", "downgraded"];
const stockMoved = () => state.acts.some((act) => act.state === "done" && act.doneAt > state.stockUpTo && act.isStock);

async function readStock() {
  const upTo = Date.now();
  const [materials, own, shared, promises, places, draws, ...pieces] = await Promise.all([
    rows("materials/?is_archived=false"),
    rows("lots/?on_shelf=true&is_piece=true", MOST_PIECES),
    rows("lots/?on_shelf=true&is_piece=false"),
    rows("promises/?open=true"),
    rows("places/"),
    ask("GET", "draws/?page_size=200"),
    ...ON_SHELF.map((own) => rows(`pieces/?state=${own}`, MOST_PIECES)),
  ]);
  const lots = [...own.rows, ...shared.rows];
  const isWhole = [materials, own, shared, ...pieces].every((list) => list.rows.length >= list.count);
  await put("draws", draws.data.results);
  await put("stock", { materials: materials.rows, lots, pieces: pieces.flatMap((list) => list.rows), promises: promises.rows, places: places.rows, isWhole });
  await put("stockUpTo", upTo);
}
