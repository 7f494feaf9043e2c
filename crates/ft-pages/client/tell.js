// Forms that tell something: what is filled in becomes a fact of the record, or a question to the server.
//
// A fact goes through the queue, as every touch does, so that it is not lost without network. A form says what it
// tells in `data-what`, of which machine in `data-machine`; what only the server can do is sent to `data-post`. Until this
// program is there a form does nothing (`method="dialog"` outside of a dialog), so that a fast hand loses no words.

import { dialog, fill, h } from "./dom.js";
import * as queue from "./queue.js";
import { SignedOut, ask, sendWaiting } from "./send.js";
import { failed, notice } from "./shell.js";
import { say } from "./words.js";

/** @typedef {import("./api.js").Fact} Fact */

for (const form of document.querySelectorAll("form.tell")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void sure(/** @type {HTMLFormElement} */ (form));
  });
}

/** @param {HTMLFormElement} form */
async function sure(form) {
  const question = form.dataset.confirm;
  if (!question) return send(form);
  const act = h("button.act", { type: "button", click: () => { box.close(); void send(form); } }, form.querySelector("button")?.textContent ?? "");
  const box = dialog(question, act, h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
}

/** @param {HTMLFormElement} form */
async function send(form) {
  const buttons = form.querySelectorAll("button");
  for (const button of buttons) button.disabled = true;
  try {
    const { post, what, then, machine } = form.dataset;
    if (post) {
      const answer = await ask(post, values(form));
      if (then === "show") return show(form, answer);
    } else {
      const person = document.body.dataset.person;
      for (const fact of facts(what ?? "", values(form))) await queue.add(fact, { person, machine });
      /** @type {string[]} */
      const refused = [];
      await sendWaiting({ onTaken: async () => {}, onRefused: (event, why) => refused.push(say("shell.refused", { what: event.fact.what, why })) });
      if (refused.length > 0) return refused.forEach(notice);
    }
    location.reload();
  } catch (error) {
    if (error instanceof SignedOut) location.assign(`/sign-in?next=${encodeURIComponent(location.pathname)}`);
    else failed(error);
  } finally {
    for (const button of buttons) button.disabled = false;
  }
}

/** What a form holds, as JSON has it. @param {HTMLFormElement} form @returns {Record<string, any>} */
function values(form) {
  /** @type {Record<string, any>} */
  const out = {};
  for (const field of /** @type {NodeListOf<HTMLInputElement>} */ (form.querySelectorAll("[name]"))) {
    const { name, value, dataset } = field;
    if (dataset.many) {
      out[name] ??= [];
      if (field.checked) out[name].push(value);
      continue;
    }
    // What may be left out is left out.
    if (value.trim() === "") continue;
    const typed = dataset.number ? Number(value) : dataset.flag ? value === "yes" : value.trim();
    if (!dataset.part) out[name] = typed;
    else out.part = { ...(typeof out.part === "object" ? out.part : {}), [dataset.part]: dataset.part === "number" ? Number(value) : typed };
  }
  return out;
}

/** The facts that a form tells: mostly one. @param {string} what @param {Record<string, any>} values @returns {Fact[]} */
function facts(what, values) {
  if (what !== "rerun-out") return [{ what, ...values }];
  const { lot, product, from, litres } = values;
  return [
    { what: "lot-received", lot, product, litres, origin: "rerun" },
    { what: "blended", from, into: lot, litres },
  ];
}

/** A secret that is shown once. @param {HTMLFormElement} form @param {{ path: string }} answer */
function show(form, answer) {
  const place = form.querySelector(".answer");
  const address = new URL(answer.path, location.origin).href;
  if (place) fill(place, h("span", {}, say("people.link-made")), " ", h("a", { href: address }, address));
}
