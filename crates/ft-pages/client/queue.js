// What happened on this device and what it knows, kept through reload and empty battery.
//
// Three shelves in IndexedDB: `queue` holds events that the server has not taken yet, `stored` those that it has and
// that the kept answer of `/api/run` does not hold, `kept` the rest: that answer, and the device's name and count. A
// touch is on the disk (strict durability) before the page shows it.

import { uuid7 } from "./ids.js";

/** @typedef {import("./api.js").Event} Event */
/** @typedef {import("./api.js").Stored} Stored */
/** @typedef {import("./api.js").Fact} Fact */

/** @type {Promise<IDBDatabase>|null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("fulltray", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("queue", { keyPath: "order" });
      asked.result.createObjectStore("stored", { keyPath: "event.id" });
      asked.result.createObjectStore("kept");
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  return opened;
}

/** Runs a piece of work in one transaction; what it returns is there when everything is on the disk.
 * @template T @param {string[]} shelves @param {IDBTransactionMode} mode @param {(tx: IDBTransaction) => { result: T }|null} work @returns {Promise<T|undefined>} */
async function within(shelves, mode, work) {
  const tx = (await open()).transaction(shelves, mode, { durability: "strict" });
  return new Promise((resolve, reject) => {
    const out = work(tx);
    tx.oncomplete = () => resolve(out?.result);
    tx.onerror = () => reject(tx.error);
    tx.onabort = () => reject(tx.error);
  });
}

/** Something kept by name. @param {string} key @returns {Promise<any>} */
export function kept(key) {
  return within(["kept"], "readonly", (tx) => tx.objectStore("kept").get(key));
}

/** Keeps something by name. @param {string} key @param {any} value */
export function keep(key, value) {
  return within(["kept"], "readwrite", (tx) => tx.objectStore("kept").put(value, key));
}

/** Takes down that something happened, in the device's order. It is on the disk when this is done.
 * @param {Fact} fact @param {{ person?: string, run?: string, machine?: string }} of @returns {Promise<Event>} */
export async function add(fact, of) {
  const now = Date.now();
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  /** @type {{ result: Event }} */
  const out = { result: { v: 1, id: uuid7(now), device: "", order: 0, at_ms: now, zone, ...defined(of), fact } };
  await within(["kept", "queue"], "readwrite", (tx) => {
    const names = tx.objectStore("kept");
    const asked = names.get("device");
    asked.onsuccess = () => {
      const device = asked.result ?? { name: `tablet-${uuid7(now)}`, order: 0 };
      device.order += 1;
      names.put(device, "device");
      out.result = { ...out.result, device: device.name, order: device.order };
      tx.objectStore("queue").put(out.result);
    };
    return null;
  });
  return out.result;
}

/** @param {Record<string, any>} of */
function defined(of) {
  return Object.fromEntries(Object.entries(of).filter(([, value]) => value !== undefined && value !== null));
}

/** Events that the server has not taken yet, in order. @returns {Promise<Event[]>} */
export async function waiting() {
  return (await within(["queue"], "readonly", (tx) => tx.objectStore("queue").getAll())) ?? [];
}

/** Events that the server has taken since its kept answer. @returns {Promise<Stored[]>} */
export async function stored() {
  return (await within(["stored"], "readonly", (tx) => tx.objectStore("stored").getAll())) ?? [];
}

/** The server has these now: out of the queue, if they were in it. @param {Stored[]} taken */
export async function taken(taken) {
  const mine = new Map((await waiting()).map((event) => [event.id, event.order]));
  await within(["queue", "stored"], "readwrite", (tx) => {
    for (const one of taken) {
      tx.objectStore("stored").put(one);
      const order = mine.get(one.event.id);
      if (order !== undefined) tx.objectStore("queue").delete(order);
    }
    return null;
  });
}

/** The server will never take this one. @param {Event} event */
export function refused(event) {
  return within(["queue"], "readwrite", (tx) => tx.objectStore("queue").delete(event.order));
}

/** A new answer of the server, which holds all up to its number; later ones stay.
 * When the record is another one than before, this device's own events are sent once more: it may have lost them.
 * The forms that are in use stay as well; older ones go.
 * @param {string} text @param {{ epoch: string, seq: number, ids: Set<string>, forms: string[] }} of */
export async function answered(text, { epoch, seq, ids, forms }) {
  const before = await kept("epoch");
  const names = (await within(["kept"], "readonly", (tx) => tx.objectStore("kept").getAllKeys())) ?? [];
  const unused = names.filter((name) => String(name).startsWith("form ") && !forms.includes(String(name).slice(5)));
  const [old, device] = [await stored(), await kept("device")];
  await within(["kept", "stored", "queue"], "readwrite", (tx) => {
    tx.objectStore("kept").put(text, "answer");
    tx.objectStore("kept").put(epoch, "epoch");
    for (const name of unused) tx.objectStore("kept").delete(name);
    for (const one of old) {
      const isOther = before !== undefined && before !== epoch;
      if (isOther && one.event.device === device?.name && !ids.has(one.event.id)) tx.objectStore("queue").put(one.event);
      if (isOther || one.seq <= seq) tx.objectStore("stored").delete(one.event.id);
    }
    return null;
  });
}

/** Forgets what the server can tell again; what it does not have yet stays. */
export function forget() {
  return within(["kept", "stored"], "readwrite", (tx) => {
    tx.objectStore("kept").delete("answer");
    tx.objectStore("stored").clear();
    return null;
  });
}
