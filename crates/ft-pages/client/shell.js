// On every page: pages that load without network, what is not sent yet, and the way out.

import { h, the } from "./dom.js";
import { sendWaiting } from "./send.js";
import * as queue from "./queue.js";
import { say } from "./words.js";

/** Whether a page shows the night itself, and so sends and counts by itself. */
let isLive = false;

/** Says how many touches are not sent yet, from now on. @param {import("./run.js").Run} run */
export function status(run) {
  isLive = true;
  run.onRefused = (event, why) => notice(say("shell.refused", { what: event.fact.event ?? event.fact.what, why }));
  run.subscribe(() => sent(run.waiting.length, run.isOnline));
}

/** @param {number} count @param {boolean} isOnline */
function sent(count, isOnline) {
  const words = [count > 0 ? say("shell.not-sent", { count }) : isOnline ? say("shell.all-sent") : null, isOnline ? null : say("shell.offline")];
  const text = words.filter(Boolean).join(" · ");
  const place = the("sent");
  place.dataset.state = isOnline ? (count > 0 ? "waiting" : "sent") : "offline";
  place.dataset.count = String(count);
  if (place.textContent !== text) place.textContent = text;
}

/** Says something that must be seen, until it is closed. @param {string} text */
export function notice(text) {
  const box = h("p.notice", {}, h("span", {}, text), h("button", { type: "button", click: () => box.remove() }, say("shell.close")));
  the("notices").append(box);
}

/** Says what went wrong with something that was asked. @param {unknown} error */
export function failed(error) {
  const why = error instanceof Error && error.name !== "TypeError" && error.name !== "TimeoutError" ? error.message : say("shell.no-answer");
  notice(say("shell.failed", { why }));
}

/** On a page without a night of its own: what an earlier page left in the queue is sent here. */
async function sendLeft() {
  if (isLive || !document.body.dataset.person) return;
  const waiting = await queue.waiting();
  if (waiting.length === 0) return sent(0, navigator.onLine);
  sent(waiting.length, navigator.onLine);
  try {
    await sendWaiting({ onTaken: async () => {}, onRefused: (event, why) => notice(say("shell.refused", { what: event.fact.what, why })) });
    sent(0, true);
  } catch {
    sent((await queue.waiting()).length, false);
  }
}

async function signOut() {
  try {
    await fetch("/api/sign-out", { method: "POST", headers: { "x-fulltray": "1" } });
  } finally {
    await queue.forget();
    for (const name of (await globalThis.caches?.keys()) ?? []) if (name.startsWith("pages")) await caches.delete(name);
    location.assign("/sign-in");
  }
}

document.getElementById("sign-out")?.addEventListener("click", () => void signOut());
// A page asks for another language, and the device has to load it anew.
navigator.serviceWorker?.register("/sw.js", { scope: "/" }).catch(() => {});
setTimeout(() => void sendLeft(), 1000);
setInterval(() => void sendLeft(), 10_000);
