// Tonight: what if, start, and the signature.

import { fill, h, the } from "./dom.js";
import { SignedOut, ask } from "./send.js";
import { failed } from "./shell.js";
import { clock, list, say } from "./words.js";

/** @typedef {{ people: string[], out_s: number|null, plan: import("./api.js").Plan }} Compared */

/** A plan may take its time. Source: none, our choice. */
const PATIENCE_MS = 90_000;

/** Asks, and says what went wrong. @param {string} path @param {any} body @returns {Promise<any>} */
async function asked(path, body) {
  try {
    return await ask(path, body, PATIENCE_MS);
  } catch (error) {
    if (error instanceof SignedOut) location.assign("/sign-in?next=/");
    else failed(error);
    return null;
  }
}

document.getElementById("what-if")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const people = new FormData(/** @type {HTMLFormElement} */ (event.target)).getAll("people").map(String);
  const place = the("what-if-answer");
  if (people.length === 0) return fill(place, h("p", {}, say("tonight.nobody")));
  const answer = await asked("/api/plan/what-if", { people });
  if (answer) fill(place, h("div.two", {}, side(say("tonight.now"), answer.now), side(say("tonight.then"), answer.then)));
});

/** @param {string} title @param {Compared} plan */
function side(title, plan) {
  if (plan.out_s === null) return h("section", {}, h("h3", {}, title), h("p", {}, say("tonight.no-plan")));
  return h(
    "section",
    {},
    h("h3", {}, title),
    h("p", {}, list(plan.people)),
    h("p.big", {}, `${say("tonight.out")} `, h("time.clock", {}, clock(plan.plan.out_ms))),
  );
}

document.getElementById("start")?.addEventListener("click", async (event) => {
  const button = /** @type {HTMLButtonElement} */ (event.currentTarget);
  button.disabled = true;
  const people = [...document.querySelectorAll('#what-if input[name="people"]:checked')].map((box) => /** @type {HTMLInputElement} */ (box).value);
  if (await asked("/api/run/open", { procedure: button.dataset.procedure, people })) location.assign("/step");
  button.disabled = false;
});

document.getElementById("sign")?.addEventListener("click", async () => {
  if (await asked("/api/run/close", {})) location.reload();
});

