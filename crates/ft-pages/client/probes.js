// Probes on the page of readings: the newest values as they come, the age of each, and what was a value once.
//
// The server's part of the page is asked for anew whenever more than a value has changed. The age is counted here, by
// the server's clock: when the network is gone, a value grows old before everybody's eyes, and then it is a gap.

import { dialog, h } from "./dom.js";
import { language, say } from "./words.js";

/** @typedef {import("./api.js").Probes} Probes */

const PATIENCE_MS = 8000;

/** The server's clock less this device's, milliseconds. */
let ahead = 0;
/** The version of the part that stands on the page. */
let version = "";
let isAsking = false;

/** @param {number} seconds */
function length(seconds) {
  if (seconds < 120) return `${seconds} s`;
  if (seconds < 7200) return `${Math.floor(seconds / 60)} min`;
  return seconds < 172_800 ? `${Math.floor(seconds / 3600)} h` : `${Math.floor(seconds / 86_400)} d`;
}

/** Ages and gaps by the clock. */
function tick() {
  const now = Date.now() + ahead;
  for (const card of document.querySelectorAll("#probes .probe")) {
    const { at, silent } = /** @type {HTMLElement} */ (card).dataset;
    const age = card.querySelector(".age");
    if (!at || !age) continue;
    const old = Math.max(0, now - Number(at));
    age.textContent = `(${say("probes.old", { time: length(Math.floor(old / 1000)) })})`;
    if (old > Number(silent)) mark(card, "gap", `? ${say("probes.gap")}`);
  }
}

/** @param {Element} card @param {string} state @param {string} words */
function mark(card, state, words) {
  const of = /** @type {HTMLElement} */ (card);
  if (of.dataset.state === state) return;
  of.dataset.state = state;
  const badge = card.querySelector(".badge");
  if (badge) badge.className = "badge bad";
  if (badge) badge.textContent = words;
}

/** Takes what the stream says. @param {Probes} told */
function take(told) {
  ahead = told.now_ms - Date.now();
  for (const { probe, value, unit, at_ms, state } of told.probes) {
    const card = [...document.querySelectorAll("#probes .probe")].find((one) => /** @type {HTMLElement} */ (one).dataset.probe === probe);
    if (!card || value === null || at_ms === null) continue;
    const of = /** @type {HTMLElement} */ (card);
    const shown = card.querySelector(".value");
    if (shown) shown.textContent = `${value.toLocaleString(language, { maximumFractionDigits: 2 })} ${unit}`;
    const seen = card.querySelector(".seen");
    if (seen) seen.textContent = new Date(at_ms).toLocaleTimeString(language, { hour: "2-digit", minute: "2-digit", second: "2-digit" });
    of.dataset.at = String(at_ms);
    if (of.dataset.state !== state || !seen) version = "";
  }
  tick();
  if (String(told.version) !== version) void ask();
}

/** Asks for the server's part of the page anew. */
async function ask() {
  if (isAsking) return;
  isAsking = true;
  try {
    const answer = await fetch(`/api/probes/cards?language=${language}`, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (!answer.ok) return;
    const text = await answer.text();
    const part = new DOMParser().parseFromString(text, "text/html").getElementById("probes");
    const old = document.getElementById("probes");
    if (!part || !old) return;
    // Nobody's reading is taken away: what is open stays open, and what has the focus keeps it.
    const focused = /** @type {HTMLElement|null} */ (old.querySelector("button:focus"))?.dataset.alarm;
    const open = new Set([...old.querySelectorAll(".probe:has(details[open])")].map((one) => /** @type {HTMLElement} */ (one).dataset.probe));
    old.replaceWith(document.importNode(part, true));
    for (const card of document.querySelectorAll("#probes .probe")) {
      if (open.has(/** @type {HTMLElement} */ (card).dataset.probe)) card.querySelector("details")?.setAttribute("open", "");
    }
    if (focused) /** @type {HTMLElement|null} */ (document.querySelector(`#probes [data-alarm="${focused}"]`))?.focus({ preventScroll: true });
    settle();
  } catch {
    // The next message asks again.
  } finally {
    isAsking = false;
  }
}

/** What the part that stands on the page says of itself. */
function settle() {
  const part = document.getElementById("probes");
  if (!part) return;
  version = part.dataset.version ?? "";
  ahead = Number(part.dataset.now) - Date.now();
  tick();
}

/** Somebody has seen an alarm, and says what it was. @param {import("./run.js").Run} run @param {DOMStringMap} of */
function acknowledge(run, of) {
  const words = /** @type {HTMLTextAreaElement} */ (h("textarea", { id: "found", rows: 3, maxlength: 500 }));
  const save = h("button.act", { type: "button", id: "seen-save", click: () => {
    box.close();
    void run.tell({ what: "alarm-acknowledged", of: of.alarm, text: words.value.trim() || "–" });
  } }, say("readings.save"));
  const box = dialog(of.label ?? "", h("p", {}, h("label", { for: "found" }, say("probes.found"))), words, save,
    h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
}

/** Follows the probes for as long as the page lives. @param {import("./run.js").Run} run */
export function follow(run) {
  if (!document.getElementById("probes")) return;
  settle();
  run.onProbes = take;
  window.setInterval(tick, 1000);
  document.addEventListener("click", (event) => {
    const button = /** @type {HTMLElement|null} */ (/** @type {Element} */ (event.target).closest?.("#probes .acknowledge"));
    if (button) acknowledge(run, button.dataset);
  });
}
