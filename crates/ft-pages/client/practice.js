// Practice on the tablet: the state of the machine, what hands could do, and what would have come of it.

import { fill, h, the } from "./dom.js";
import { parse, read } from "./form.js";
import { sentence, title } from "./mine.js";
import { Session, chance } from "./practise.js";
import * as queue from "./queue.js";
import { sendWaiting } from "./send.js";
import { failed, notice } from "./shell.js";
import { dangersText, listed, valueOf } from "./why.js";
import { list, pick, say } from "./words.js";

/** @typedef {import("./fold.js").Machine} Machine */
/** @typedef {import("./practise.js").Verdict} Verdict */
/** @typedef {{ machine: string, procedure: string, label: string }} Course */

const PATIENCE_MS = 15_000;

for (const button of document.querySelectorAll("#courses button")) {
  const { machine = "", procedure = "" } = /** @type {HTMLElement} */ (button).dataset;
  const label = button.closest("li")?.querySelector("h3")?.firstChild?.textContent ?? "";
  button.addEventListener("click", () => void begin({ machine, procedure, label }));
}

/** The course's form: the server's, else what was kept of it. @param {Course} course @returns {Promise<string|undefined>} */
async function formOf({ machine, procedure }) {
  // What was kept before the measure was sent with it lies under another name, and is not taken for this.
  const key = `practice 2 ${machine} ${procedure}`;
  const asked = new URLSearchParams({ machine, procedure });
  try {
    const response = await fetch(`/api/practice?${asked}`, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (!response.ok) throw new Error(String(response.status));
    const text = await response.text();
    await queue.keep(key, text);
    return text;
  } catch {
    return queue.kept(key);
  }
}

/** @param {Course} course */
async function begin(course) {
  const text = await formOf(course);
  if (!text) return notice(say("practice.need-network"));
  const { form, free, measure } = parse(text);
  const seed = Number(new URLSearchParams(location.search).get("seed") ?? crypto.getRandomValues(new Uint32Array(1))[0]);
  the("courses").hidden = true;
  ask(course, new Session(read(form), read(free), measure, chance(seed)), null);
}

/** A session as the machine of a night, for the words about it. @param {Course} course @param {Session} session @returns {Machine} */
function machineOf({ machine: name, label }, { form, state }) {
  return { name, form, label, state, done: new Map(), conflicts: [] };
}

/** What an event is called as something to do. @param {Machine} machine @param {number} event */
function name(machine, event) {
  const what = title(machine, event, pick);
  return machine.form.events[event].kind === "end" ? say("practice.finish", { what }) : what;
}

/** @param {Course} course @param {Session} session @param {{ event: number, verdict: Verdict }|null} told */
function ask(course, session, told) {
  if (session.isFinished || session.isStuck) return void end(course, session);
  const machine = machineOf(course, session);
  const { done, all } = session.progress;
  const slips = session.slipCount;
  fill(
    the("practice"),
    h("p.small", {}, course.label),
    h("p.meter", {}, h("span", {}, say("practice.done", { done, all })), h("progress", { value: done, max: all, "aria-label": say("practice.done", { done, all }) })),
    h("p.small", { id: "score" }, say("practice.score", { moves: session.moves, slips, dangers: session.dangers })),
    told ? verdictBox(machine, told) : null,
    session.found.length > 0 ? h("p.found", {}, say("practice.found", { what: list(session.found.map((one) => title(machine, one, pick))) })) : null,
    h("h2", { id: "question", tabindex: "-1" }, say("practice.what-now")),
    h("ul.choices", {}, session.choices.map((event) => choice(course, session, machine, event))),
    stateBox(machine),
    h("button.quiet", { type: "button", id: "stop", click: () => location.reload() }, say("practice.stop")),
  );
  the("question").focus({ preventScroll: true });
}

/** @param {Course} course @param {Session} session @param {Machine} machine @param {number} event */
function choice(course, session, machine, event) {
  const does = () => ask(course, session, { event, verdict: session.choose(event) });
  return h("li", {}, h("button", { type: "button", "data-event": machine.form.events[event].name, click: does }, name(machine, event)));
}

/** @param {Machine} machine @param {{ event: number, verdict: Verdict }} told */
function verdictBox(machine, { event, verdict }) {
  const isRight = verdict.kind === "right";
  const mark = isRight ? "✓" : "✗";
  const says = isRight ? sentence(machine, event, pick) : "";
  return h(`div.told.${isRight ? "right" : "wrong"}`, { role: "status", id: "told", "data-kind": verdict.kind },
    h("p", {}, h("strong", {}, `${mark} ${name(machine, event)}`)),
    h("p.big", {}, words(machine, event, verdict)),
    says ? h("p", {}, says) : null);
}

/** @param {Machine} machine @param {number} event @param {Verdict} verdict @returns {string} */
function words(machine, event, verdict) {
  switch (verdict.kind) {
    case "right":
      return say("practice.right");
    case "danger":
      return say("practice.danger", { what: dangersText(machine, verdict.hazards) });
    case "later":
      return say("practice.danger-later", { then: name(machine, verdict.then), what: dangersText(machine, verdict.hazards) });
    case "closed":
      return say("practice.blocked-after", { then: name(machine, verdict.then), why: list(verdict.causes.map((one) => cause(machine, verdict.then, one))) });
    case "not-yet":
      return say("practice.not-yet", { why: list(verdict.causes.map((one) => cause(machine, event, one))) });
    case "waits": {
      return say("practice.waits", { what: list(verdict.events.slice(0, 3).map((before) => waits(machine, event, before))) });
    }
  }
}

/** What has to come first, with the reason that the card gives. @param {Machine} machine @param {number} event @param {number} before */
function waits(machine, event, before) {
  const asked = machine.form.events[event].asked.find((one) => one.before === before);
  return name(machine, before) + (asked ? ` — ${pick(asked.because, "")}` : "");
}

/** @param {Machine} machine @param {number} event @param {import("./form.js").Cause} of @returns {string} */
function cause(machine, event, of) {
  switch (of.kind) {
    case "waits":
      return waits(machine, event, of.event);
    case "hazard":
      return dangersText(machine, [of.hazard]);
    case "blocked": {
      const about = machine.form.vars[of.part.v];
      const is = valueOf(about, machine.state.vals[of.part.v]);
      const makers = [...new Set(of.makers.map((one) => title(machine, one, pick)))].slice(0, 3);
      const text = say("step.blocked", { what: pick(about.words, about.name), is });
      return makers.length > 0 ? `${text}; ${say("step.made-by", { what: list(makers) })}` : text;
    }
  }
}

/** The state of the machine, as somebody in front of it would see it. @param {Machine} machine */
function stateBox({ form, state }) {
  const lines = form.vars.map((of, v) => h("div", {}, h("dt", {}, pick(of.words, of.name)), h("dd", {}, valueOf(of, state.vals[v]))));
  return h("details", { id: "state", open: true }, h("summary", {}, say("practice.state")), h("dl", {}, lines));
}

/** @param {Course} course @param {Session} session */
async function end(course, session) {
  const machine = machineOf(course, session);
  const { slipCount: slips, moves, dangers: count, isPassed } = session;
  const why = isPassed ? say("practice.passed-why", { slips, moves })
    : count > session.measure.dangers ? say("practice.failed-danger", { count })
    : say("practice.failed-slips", { slips, moves });
  const names = [...session.slips].sort((a, b) => b[1] - a[1]);
  const called = (/** @type {string} */ step) => {
    const event = machine.form.events.findIndex((of) => of.step === step);
    return event < 0 ? step : title(machine, event, pick);
  };
  fill(
    the("practice"),
    h("h2.verdict-large", { id: "result", tabindex: "-1", "data-passed": isPassed ? "yes" : "no" }, isPassed ? `✓ ${say("practice.passed")}` : `✗ ${say("practice.failed")}`),
    h("p.big", {}, why),
    names.length === 0 ? h("p", {}, say("practice.no-slips")) : h("div", {}, h("h3", {}, say("practice.slips")), listed(names.map(([step, times]) => `${called(step)}: ${times}`))),
    names.length > 0 ? h("p", {}, `${say("practice.repeat")} ${list(names.slice(0, 5).map(([step]) => called(step)))}`) : null,
    h("p.small", {}, say("practice.kept")),
    h("button.act", { type: "button", id: "again", click: () => location.reload() }, say("practice.again")),
  );
  the("result").focus();
  await told(course, session);
}

/** The result goes into the record; without network it waits on the tablet. @param {Course} course @param {Session} session */
async function told({ machine, procedure }, session) {
  const who = document.body.dataset.person;
  if (!who) return;
  const practised = { who, procedure, moves: session.moves, slips: Object.fromEntries(session.slips), passed: session.isPassed };
  try {
    await queue.add({ what: "practised", session: practised }, { person: who, machine });
    await sendWaiting({ onTaken: async () => {}, onRefused: (event, why) => notice(say("shell.refused", { what: event.fact.what, why })) });
  } catch (error) {
    if (navigator.onLine) failed(error);
  }
}
