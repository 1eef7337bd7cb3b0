/** What the phone keeps: the queue of acts, and named values such as the token and the last state. */

const NAME = "gramil-bench";
const VERSION = 1;
let opened;

function open() {
  opened ||= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const db = asked.result;
      if (!db.objectStoreNames.contains("kept")) db.createObjectStore("kept");
      if (!db.objectStoreNames.contains("queue")) {
        db.createObjectStore("queue", { keyPath: "seq", autoIncrement: true }).createIndex("name", "name", { unique: true });
      }
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => {
        asked.result.close();
        opened = null;
      };
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
  });
  return opened;
}

/** Run `work(store)` in one transaction; resolves once it is safely on disk. */
const inStore = (name, mode, work) => inStores([name], mode, ([store], give) => work(store, give));

/** As `inStore`, over several stores: `work(stores)` is kept whole or not at all. */
async function inStores(names, mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(names, mode, mode === "readwrite" ? { durability: "strict" } : {});
    let result;
    work(names.map((name) => transaction.objectStore(name)), (value) => (result = value));
    transaction.oncomplete = () => resolve(result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

const reading = (name, ask) => inStore(name, "readonly", (store, give) => (ask(store).onsuccess = (event) => give(event.target.result)));

export const kept = (key) => reading("kept", (store) => store.get(key));
export const keep = (key, value) => inStore("kept", "readwrite", (store) => store.put(value, key));
export const keepAll = (values) => inStore("kept", "readwrite", (store) => Object.entries(values).forEach(([key, value]) => store.put(value, key)));
export const forget = (key) => inStore("kept", "readwrite", (store) => store.delete(key));
export const acts = () => reading("queue", (store) => store.getAll());
export const dropAct = (seq) => inStore("queue", "readwrite", (store) => store.delete(seq));

/** Empty the phone of everything that it keeps. */
export async function clear() {
  for (const name of ["kept", "queue"]) await inStore(name, "readwrite", (store) => store.clear());
}

/** Add an act, if `may(all)` says so of what is there already; resolves to its place in the queue, or nothing. */
export function addAct(act, may) {
  return inStore("queue", "readwrite", (store, give) => {
    store.getAll().onsuccess = (event) => {
      if (may(event.target.result)) store.add(act).onsuccess = (added) => give(added.target.result);
    };
  });
}

/** Change the act `name` by `change(act)`, which may return false to leave it; resolves to the act changed, or nothing. */
export function changeAct(name, change) {
  return inStore("queue", "readwrite", (store, give) => {
    store.index("name").get(name).onsuccess = (event) => {
      const act = event.target.result;
      if (!act || change(act) === false) return;
      store.put(act);
      give(act);
    };
  });
}

/** Change several acts at once: `change(all)` returns {gone, changed}, or nothing to leave all as it is; resolves to that. */
export function changeQueue(change) {
  return inStore("queue", "readwrite", (store, give) => {
    store.getAll().onsuccess = (event) => {
      const changes = change(event.target.result);
      if (!changes) return;
      for (const act of changes.gone) store.delete(act.seq);
      for (const act of changes.changed) store.put(act);
      give(changes);
    };
  });
}

/**
 * Change acts together with the values kept as `keys`, so that neither is ever found without the other:
 * `change(values, all)` returns {values, changed}, or nothing to leave all as it is; resolves to that.
 */
export function changeKeptAndQueue(keys, change) {
  return inStores(["kept", "queue"], "readwrite", ([values, queue], give) => {
    const asked = keys.map((key) => values.get(key));
    queue.getAll().onsuccess = (event) => {
      const found = Object.fromEntries(keys.map((key, index) => [key, asked[index].result]));
      const changes = change(found, event.target.result);
      if (!changes) return;
      for (const [key, value] of Object.entries(changes.values)) values.put(value, key);
      for (const act of changes.changed) queue.put(act);
      give(changes);
    };
  });
}

/** The next of a row of numbers that tells what came before what, whatever the phone's clock does. */
export function nextMark() {
  return inStore("kept", "readwrite", (store, give) => {
    store.get("mark").onsuccess = (event) => {
      const mark = (event.target.result || 0) + 1;
      store.put(mark, "mark");
      give(mark);
    };
  });
}
