// It happened differently: recorded, judged at once, and the night goes on.

import { dialog, h } from "./dom.js";
import { after } from "./form.js";
import { ask } from "./send.js";
import { dangers, open, title, whatIf } from "./mine.js";
import { dangersText, valueOf } from "./why.js";
import { pick, say } from "./words.js";

/** @typedef {import("./run.js").Run} Run */
/** @typedef {import("./fold.js").Machine} Machine */

/** Asks what happened. @param {Run} run @param {string} [machine] the machine that is looked at @param {number} [event] what was to be done */
export function differently(run, machine, event) {
  const name = machine ?? run.night.machines.keys().next().value;
  const on = name === undefined ? undefined : run.night.machines.get(name);
  if (name === undefined || !on) return;
  const { form, state } = on;
  const events = form.events.flatMap((of, index) => (state.done[index] || of.nature ? [] : [index]));
  const what = /** @type {HTMLSelectElement} */ (h("select", { id: "differ-event" },
    events.map((one) => h("option", { value: one, selected: one === event }, eventText(on, one)))));
  const thing = /** @type {HTMLSelectElement} */ (h("select", { id: "differ-var", change: () => values() },
    form.vars.flatMap((of, index) => (of.kind === "res" ? [] : [h("option", { value: index }, pick(of.words, of.name))]))));
  const is = /** @type {HTMLSelectElement} */ (h("select", { id: "differ-value" }));
  function values() {
    const of = form.vars[Number(thing.value)];
    const now = state.vals[Number(thing.value)];
    is.replaceChildren(...Array.from({ length: of.hi - of.lo + 1 }, (_, step) =>
      h("option", { value: of.lo + step, selected: of.lo + step === now }, valueOf(of, of.lo + step))));
  }
  values();
  /** @param {"event"|"state"} kind */
  const choice = (kind, /** @type {string} */ text, /** @type {Node[]} */ ...fields) =>
    h("fieldset", {}, h("label.choice", {}, h("input", { type: "radio", name: "kind", value: kind, checked: kind === "event", id: `differ-${kind}` }), h("span", {}, text)), ...fields);
  const reasons = [say("step.differ-forgotten"), say("step.differ-other-order"), say("step.differ-found-so"), say("step.differ-broken")];
  const form_ = h("form", { method: "dialog", submit: (/** @type {Event} */ sent) => void record(sent) },
    machines(run, name, (other) => { box.close(); differently(run, other); }),
    choice("event", say("step.differ-done"), h("label", {}, h("span.only-read", {}, say("step.differ-done")), what)),
    choice("state", say("step.differ-state"), h("label", {}, h("span", {}, say("step.differ-what")), thing), h("label", {}, h("span", {}, say("step.differ-is")), is)),
    h("fieldset", {}, h("legend", {}, say("step.differ-because")), reasons.map((reason, index) =>
      h("label.choice", {}, h("input", { type: "radio", name: "because", value: reason, checked: index === 0 }), h("span", {}, reason))),
      h("input", { name: "words", maxlength: 200, "aria-label": say("step.differ-because") })),
    h("button.act", { id: "differ-record" }, say("step.differ-record")),
    h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
  const box = dialog(say("step.differ-title"), form_);

  /** @param {Event} sent */
  async function record(sent) {
    const data = new FormData(/** @type {HTMLFormElement} */ (sent.target));
    const words = String(data.get("words") || data.get("because") || "");
    if (!on || name === undefined) return;
    const isEvent = data.get("kind") === "event";
    const then = isEvent ? after(form, state, Number(what.value)) : found(on, Number(thing.value), Number(is.value));
    const before = new Set(dangers(form, state));
    const shown = isEvent ? whatIf(form, state, Number(what.value)).hazards : dangers(form, then);
    const fresh = shown.filter((one) => !before.has(one));
    const question = isEvent
      ? { machine: name, event: form.events[Number(what.value)].name, anyway: true }
      : { machine: name, found: { [form.vars[Number(thing.value)].name]: Number(is.value) } };
    await run.tell(
      isEvent
        ? { what: "differed", event: form.events[Number(what.value)].name, because: words }
        : { what: "differed", found: { [form.vars[Number(thing.value)].name]: Number(is.value) }, because: words },
      name,
    );
    const isStuck = open(form, then).length === 0 && !then.done.every(Boolean);
    const text = fresh.length > 0 ? say("step.differ-danger", { what: dangersText(on, fresh) }) : isStuck ? say("step.differ-danger", { what: say("step.nothing") }) : say("step.differ-fine");
    const told = dialog(fresh.length > 0 || isStuck ? say("step.stopped") : say("step.differently"), h("p.big", {}, text),
      h("button.act", { type: "button", click: () => told.close() }, say("step.cancel")));
    if (fresh.length > 0) told.classList.add("stop");
    await proved(told, question);
  }
}

/** What the proof says of all that is left, where the server can be asked: the tablet has looked one step ahead only.
 * @param {HTMLDialogElement} told @param {any} question */
async function proved(told, question) {
  try {
    const { rest } = await ask("/api/answer", question);
    if (!rest) return;
    const lines = rest.safe ? rest.new_order : rest.story;
    if (!rest.safe) told.classList.add("stop");
    const text = rest.safe ? (lines.length > 0 ? say("step.differ-new-order") : say("step.differ-proved")) : say("step.differ-unsafe");
    told.querySelector("button")?.before(h("p", { id: "differ-proof" }, text), h("ul", {}, lines.map((/** @type {string} */ line) => h("li", {}, line))));
  } catch {
    // Without network the tablet's own answer stands; the lead sees the conflict when it is back.
  }
}

/** @param {Machine} machine @param {number} event */
function eventText(machine, event) {
  const of = machine.form.events[event];
  return title(machine, event, pick) + (of.kind === "end" ? ` — ${say("step.finish")}` : "");
}

/** @param {Machine} machine @param {number} v @param {number} value */
function found({ state }, v, value) {
  const vals = [...state.vals];
  vals[v] = value;
  return { done: state.done, vals };
}

/** The other machines, as ways to the same question. @param {Run} run @param {string} current @param {(name: string) => void} choose */
function machines(run, current, choose) {
  if (run.night.machines.size < 2) return null;
  return h("p.tabs", {}, [...run.night.machines].map(([name, { label }]) =>
    h("button", { type: "button", "aria-pressed": name === current, click: () => choose(name) }, label)));
}
