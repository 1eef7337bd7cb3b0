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
async function inStore(name, mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(name, mode, mode === "readwrite" ? { durability: "strict" } : {});
    let result;
    Promise.resolve(work(transaction.objectStore(name), (value) => (result = value)));
    transaction.oncomplete = () => resolve(result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

const reading = (name, ask) => inStore(name, "readonly", (store, give) => (ask(store).onsuccess = (event) => give(event.target.result)));

export const kept = (key) => reading("kept", (store) => store.get(key));
export const keep = (key, value) => inStore("kept", "readwrite", (store) => store.put(value, key));
export const forget = (key) => inStore("kept", "readwrite", (store) => store.delete(key));
export const acts = () => reading("queue", (store) => store.getAll());
export const addAct = (act) => inStore("queue", "readwrite", (store, give) => (store.add(act).onsuccess = (event) => give(event.target.result)));
export const dropAct = (seq) => inStore("queue", "readwrite", (store) => store.delete(seq));

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

/** Take the act `name` out, if `may(act)`; resolves to whether it was. */
export function removeAct(name, may) {
  return inStore("queue", "readwrite", (store, give) => {
    give(false);
    store.index("name").get(name).onsuccess = (event) => {
      const act = event.target.result;
      if (!act || !may(act)) return;
      store.delete(act.seq);
      give(true);
    };
  });
}
