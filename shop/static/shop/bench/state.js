/** The state of the bench in memory, as kept on the phone, and how it is brought up to date. */

import { ask, Declined, NoSignal, rows } from "./api.js";
import { acts, changeQueue, forget, keep, keepAll, kept, nextMark } from "./db.js";
import { fresh, isToReconcile, runningNow } from "./fold.js";
import { isSending, listen, send } from "./queue.js";
import { greet, watchClock } from "./steps.js";
import { daysAgo } from "./time.js";

const STOCK_EVERY = 10 * 60000;
const TOLERATED = 60000;

export const state = {
  token: null, cutOff: false, hello: null, skew: 0, clock: null, builds: [], entries: [], draws: [], stock: null, today: null,
  acts: [], people: [], hasSignal: null, newVersion: false, clockMark: 0, stockMark: 0, toldAt: null, stockToldAt: null, lastStage: {}, setUp: {}, bothRight: [], clockSetBack: 0,
};
const KEPT = ["token", "cutOff", "hello", "skew", "clock", "builds", "entries", "draws", "stock", "today", "people", "clockMark", "stockMark", "toldAt", "stockToldAt", "lastStage", "setUp", "bothRight", "clockSetBack"];
const watchers = [];
let syncing = null;
let isStockWanted = false;
let looks = 0;

export const watch = (hear) => watchers.push(hear);
export const tell = (isAsked = false) => watchers.forEach((hear) => hear(isAsked));

/** Read what the phone kept. */
export async function load() {
  const values = await Promise.all(KEPT.map(kept));
  KEPT.forEach((name, index) => values[index] !== undefined && (state[name] = values[index]));
  await nameActs();
  await look();
}

/** Take the queue as it is kept; of two looks at once the later one counts, whichever ends first. */
async function look() {
  const own = ++looks;
  const all = await acts();
  if (own === looks) state.acts = all;
}

/** What was done before this phone kept names, or before it knew whose it is, is by who is at it. */
async function nameActs() {
  const [by, byName] = [me(), state.hello?.user_name];
  if (by === undefined) return;
  await changeQueue((all) => ({ gone: [], changed: all.filter((act) => act.by === undefined).map((act) => ({ ...act, by, byName })) }));
}

listen(async (isAsked) => {
  await look();
  state.cutOff = Boolean(await kept("cutOff"));
  state.people = (await kept("people")) || [];
  tell(isAsked);
  if (!isSending() && hasNews()) sync();
});

/** Whether something was sent after the state was read: the picture may lack it. */
const hasNews = () => state.acts.some((act) => act.state === "done" && act.mark > state.clockMark);

export async function put(name, value) {
  state[name] = value;
  await keep(name, value);
}

/** Several values that belong together, such as a list and when it was read. */
async function putAll(values) {
  Object.assign(state, values);
  await keepAll(values);
}

/** Be the phone of whom `token` speaks for from here on. The queue stays, each act with whose it is. */
export async function become(token, hello = null) {
  await forget("cutOff");
  state.cutOff = false;
  await put("hello", hello);
  await put("token", token);
  await syncing;
}

/** Who else may use this phone takes it over: their token is on it. */
export async function usePerson(user) {
  const one = state.people.find((each) => each.user === user);
  if (!one?.token || user === me()) return;
  await become(one.token, one.hello);
  tell(true);
  sync();
}

/** Keep the token of whom the phone spoke for when it was greeted. */
async function meet(token, hello) {
  const others = ((await kept("people")) || []).filter((one) => one.user !== hello.user);
  await put("people", [...others, { user: hello.user, name: hello.user_name, token, hello }]);
  await nameActs();
  await look();
}

export const waiting = () => state.acts.filter((act) => act.state === "waiting");
export const declined = () => state.acts.filter((act) => act.state === "declined");
export const toReconcile = () => state.acts.filter((act) => isToReconcile(act, state.acts));
export const me = () => state.hello?.user;
export const running = () => runningNow(state.clock, state.acts, state.clockMark, me(), state.skew);
/** My acts that the last state may lack: of clocks, builds and their lines; or of the stock, which is read less often. */
export const freshActs = (all = state.acts) => fresh(all, state.clockMark);
export const freshInStock = (all = state.acts) => fresh(all, state.stockMark);
export const buildOf = (id) => state.builds.find((build) => build.id === id);

/** Notice that the phone's clock was put back, and show times as they are by it now. */
export async function noticeClock() {
  const by = await watchClock();
  if (!by) return;
  const skew = state.skew - by;
  await put("skew", Math.abs(skew) > TOLERATED ? skew : 0);
  await put("clockSetBack", -by);
  await look();
  tell();
}

/** Bring the state up to date, if there is somebody to ask for; with the stock when that is asked for or likely out of date. */
export function sync({ stock = false } = {}) {
  if (!state.token || state.cutOff) return Promise.resolve();
  isStockWanted ||= stock;
  syncing ||= readAll();
  return syncing;
}

/** Read until nothing is left that was asked for, or sent, after a reading had begun: its answers may be older. */
async function readAll() {
  try {
    do {
      const stock = isStockWanted;
      isStockWanted = false;
      if (!(await read(stock))) break;
    } while (isStockWanted || (!isSending() && hasNews()));
  } finally {
    syncing = null; // in the same moment, so that nobody waits for a reading that is over
  }
}

/** Whether all was read. */
async function read(stock) {
  const { token } = state;
  try {
    const { data, skew } = await greet(token);
    await put("skew", Math.abs(skew) > TOLERATED ? skew : 0);
    if (state.token !== token) return true; // somebody else took the phone over meanwhile
    await put("hello", data);
    await meet(token, data);
    state.hasSignal = true;
    send();
    await readClock(data.now);
    await readToday();
    if (stock || !state.stock || new Date(data.now) - new Date(state.stockToldAt) > STOCK_EVERY || stockMoved()) await readStock(data.now);
    return true;
  } catch (error) {
    if (error instanceof NoSignal) state.hasSignal = false;
    else if (error instanceof Declined && error.status === 401 && state.token === token) await put("cutOff", true);
    else if (!(error instanceof Declined)) throw error;
    return false;
  } finally {
    tell();
  }
}

async function readClock(now) {
  const mark = await nextMark();
  const [clock, builds, entries] = await Promise.all([
    ask("GET", "clock/"),
    rows("builds/?open=true", 200),
    rows(`time-entries/?day_after=${daysAgo(1)}&day_before=${daysAgo(0)}`, 200),
  ]);
  await putAll({ clock: clock.data, builds: builds.rows, entries: entries.rows, clockMark: mark, toldAt: now });
}

/** The day by the queue; where it can't be laid out, the desk says why. */
async function readToday() {
  try {
    await put("today", (await ask("GET", "queue/today/")).data);
  } catch (error) {
    if (!(error instanceof Declined) || error.status === 401) throw error;
    await put("today", null);
  }
}

/** Pieces come first: each is one of its kind, and looked for by its number at the rack. */
const MOST_PIECES = 5000;
const ON_SHELF = ["seasoning", "ready", "downgraded"];
const stockMoved = () => state.acts.some((act) => act.state === "done" && act.mark > state.stockMark && act.isStock);

/** When the state of a piece was last told, and the mark of that: with the stock, or since then when its screen was opened. */
export const toldOf = (number) => state.stock?.told?.[number] || { at: state.stockToldAt, mark: state.stockMark };

/** Ask anew for one piece, as its screen is opened; without signal the last state stands. */
export async function readPiece(number) {
  const lot = state.stock?.lots.find((each) => each.number === number);
  if (!lot || !state.token || state.cutOff) return;
  try {
    const mark = await nextMark();
    const [piece, open] = await Promise.all([ask("GET", `pieces/${number}/`), rows(`promises/?open=true&material=${lot.material}`)]);
    const other = (list, key) => list.filter((each) => each[key] !== number);
    const promises = [...other(state.stock.promises, "lot"), ...open.rows.filter((each) => each.lot === number)];
    const told = { ...state.stock.told, [number]: { at: new Date(Date.now() + state.skew).toISOString(), mark } };
    await put("stock", { ...state.stock, pieces: [...other(state.stock.pieces, "number"), piece.data], promises, told });
    tell();
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Declined)) throw error;
  }
}

async function readStock(now) {
  const mark = await nextMark();
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
  const stock = { materials: materials.rows, lots, pieces: pieces.flatMap((list) => list.rows), promises: promises.rows, places: places.rows, isWhole };
  await putAll({ draws: draws.data.results, stock, stockMark: mark, stockToldAt: now });
}
