// Asking the server to change something, and sending what waits on the device.

import * as queue from "./queue.js";

/** Events in one request. Source: none, our choice: a night of one machine goes in two. */
const BATCH = 100;
const PATIENCE_MS = 8000;

/** The server understood and says no. */
export class Refusal extends Error {
  /** @param {string} message @param {string} remedy */
  constructor(message, remedy) {
    super(remedy ? `${message.replace(/\.$/, "")}. ${remedy}` : message);
  }
}

/** The server does not know who this is. */
export class SignedOut extends Error {}

/** Asks the server to change something. @param {string} path @param {any} body @param {number} [patience] ms @returns {Promise<any>} */
export async function ask(path, body, patience = PATIENCE_MS) {
  const headers = { "content-type": "application/json", "x-fulltray": "1" };
  const signal = AbortSignal.timeout(patience);
  const response = await fetch(path, { method: "POST", headers, body: JSON.stringify(body), signal });
  const answer = response.headers.get("content-type")?.includes("json") ? await response.json() : {};
  if (response.status === 401 && path !== "/api/sign-in") throw new SignedOut();
  if (!response.ok) throw new Refusal(answer.message ?? String(response.status), answer.remedy ?? "");
  return answer;
}

/** Sends what waits, oldest first, until nothing waits. What the server will never take leaves the queue.
 * @param {{ onTaken: (taken: import("./api.js").Stored[], epoch: string) => Promise<void>, onRefused: (event: import("./api.js").Event, sentence: string) => void }} listener */
export async function sendWaiting(listener) {
  for (;;) {
    const events = (await queue.waiting()).slice(0, BATCH);
    if (events.length === 0) return;
    const answer = await ask("/api/events", { events });
    const byId = new Map(events.map((event) => [event.id, event]));
    /** @type {import("./api.js").Stored[]} */
    const taken = [];
    for (const { id, seq } of answer.accepted) {
      const event = byId.get(id);
      if (event) taken.push({ seq, event });
    }
    await queue.taken(taken);
    await listener.onTaken(taken, answer.epoch);
    for (const { id, sentence } of answer.refused) {
      const event = byId.get(id);
      if (!event) continue;
      await queue.refused(event);
      listener.onRefused(event, sentence);
    }
    if (answer.accepted.length + answer.refused.length === 0) throw new Error("the server took nothing");
  }
}
