// Sign-in, and the first start.

import { the } from "./dom.js";
import { ask } from "./send.js";
import { say } from "./words.js";

/** A path of this site, whatever the address says. @param {string|undefined} path */
function ours(path) {
  const to = new URL(path || "/", location.origin);
  return to.origin === location.origin ? to.pathname + to.search : "/";
}

/** @param {string} id @param {string} path @param {(form: HTMLFormElement) => string} next */
function wire(id, path, next) {
  const form = /** @type {HTMLFormElement|null} */ (document.getElementById(id));
  form?.addEventListener("submit", async (event) => {
    event.preventDefault();
    const problem = the("problem");
    problem.textContent = "";
    try {
      await ask(path, Object.fromEntries(new FormData(form)));
      location.assign(next(form));
    } catch (error) {
      problem.textContent = error instanceof Error && error.name === "Error" ? error.message : say("shell.no-answer");
      /** @type {HTMLInputElement|null} */ (form.querySelector('input[name="pin"]'))?.select();
    }
  });
}

wire("sign-in", "/api/sign-in", (form) => ours(form.dataset.next));
wire("set-up", "/api/set-up", () => "/");
