// The device's own store: what waits to be sent, and the few things a page without signal must know.
// A browser may lose its hold on the store while a page sleeps: it is then opened anew, once. If
// that fails too, this page goes on in memory and says so.
import { database } from "./opened.js";

const { opened, close } = database("bay", (db) => {
  db.createObjectStore("intents", { keyPath: "n", autoIncrement: true });
  db.createObjectStore("things");
});
let memory = null;

/** False when this page keeps its entries in memory only, and they would go with it. */
export const keeps = () => memory === null;

async function use(work) {
  for (let tries = 0; memory === null && tries < 2; tries++) {
    try {
      return await work(await opened());
    } catch (error) {
      close();
      console.warn("The device's store failed.", error);
    }
  }
  if (memory === null) {
    memory = inMemory();
    document.dispatchEvent(new Event("store:lost"));
  }
  return work(memory);
}

/** An intent is written through to the disk before this resolves; the rest can be asked for again. */
async function write(store, work) {
  const durability = store === "intents" ? "strict" : "relaxed";
  return use(async (db) => {
    const change = db.transaction(store, "readwrite", { durability });
    const [result] = await Promise.all([work(change.store), change.done]);
    return result;
  });
}

export const addIntent = (intent) => write("intents", (store) => store.add(intent));
export const allIntents = () => use((db) => db.getAll("intents"));
export const putIntent = (intent) => write("intents", (store) => store.put(intent));
export const removeIntent = (n) => write("intents", (store) => store.delete(n));
export const thing = (key) => use((db) => db.get("things", key));
export const setThing = (key, value) => write("things", (store) => store.put(value, key));

/** Changes one thing in one transaction, so that two tabs do not lose each other's word. */
export function changeThing(key, change) {
  return write("things", async (store) => {
    const value = change(await store.get(key));
    await store.put(value, key);
    return value;
  });
}

// As much of the store's manner as is used above.
function inMemory() {
  const rows = { intents: new Map(), things: new Map() };
  let last = 0;
  const store = (name) => ({
    add: async (value) => rows[name].set(++last, { ...value, n: last }) && last,
    put: async (value, key) => rows[name].set(key ?? value.n, value) && key,
    get: async (key) => rows[name].get(key),
    delete: async (key) => rows[name].delete(key),
  });
  return {
    transaction: (name) => ({ store: store(name), done: Promise.resolve() }),
    getAll: async (name) => [...rows[name].values()],
    get: (name, key) => store(name).get(key),
  };
}
