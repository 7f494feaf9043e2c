// The stream of what others did. An open stream does not notice that the network is gone, so its heartbeat is watched.

import { language } from "./words.js";

/** The server beats every 5 s. Source: none, our choice: two beats may be late before we say that the network is gone. */
const SILENCE_MS = 12_000;
const RETRY_MS = [500, 1000, 2000, 3000, 5000];

/** @typedef {{ epoch: () => string, since: () => number, plan: () => string, onStored: (stored: import("./api.js").Stored) => void, onPlan: (told: { mark: string, plan: import("./api.js").Plan }) => void, onProbes: (probes: import("./api.js").Probes) => void, onEpoch: () => void, onLine: (isOnline: boolean) => void }} Listener */

/** Listens for as long as the page lives. @param {Listener} listener @returns {() => void} what tries again at once */
export function listen(listener) {
  /** @type {EventSource|null} */
  let source = null;
  let tries = 0;
  let timer = 0;

  /** @param {number} ms */
  function alive(ms) {
    clearTimeout(timer);
    timer = window.setTimeout(lost, ms);
  }

  function lost() {
    source?.close();
    source = null;
    listener.onLine(false);
    clearTimeout(timer);
    timer = window.setTimeout(connect, RETRY_MS[Math.min(tries, RETRY_MS.length - 1)]);
    tries += 1;
  }

  function connect() {
    source?.close();
    const since = new URLSearchParams({ epoch: listener.epoch(), since: String(listener.since()), plan: listener.plan(), language });
    const stream = (source = new EventSource(`/api/stream?${since}`));
    /** @param {string} kind @param {(event: MessageEvent) => void} does */
    const on = (kind, does) =>
      stream.addEventListener(kind, (event) => {
        if (stream !== source) return;
        tries = 0;
        alive(SILENCE_MS);
        listener.onLine(true);
        does(/** @type {MessageEvent} */ (event));
      });
    on("open", () => {});
    on("beat", () => {});
    on("stored", (event) => listener.onStored(JSON.parse(event.data)));
    on("plan", (event) => listener.onPlan(JSON.parse(event.data)));
    on("probes", (event) => listener.onProbes(JSON.parse(event.data)));
    on("epoch", () => listener.onEpoch());
    stream.addEventListener("error", () => {
      if (stream === source) lost();
    });
    alive(SILENCE_MS);
  }

  connect();
  window.addEventListener("online", connect);
  window.addEventListener("offline", lost);
  return connect;
}
