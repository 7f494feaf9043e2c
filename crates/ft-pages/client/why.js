// Why not yet, and why this now, in words.

import { may, whatIf, whyNotYet } from "./form.js";
import { h } from "./dom.js";
import { tasks, title } from "./mine.js";
import { list, pick, say } from "./words.js";

/** @typedef {import("./fold.js").Night} Night */
/** @typedef {import("./fold.js").Machine} Machine */

/** The core form's count of people who are at nothing. */
const PEOPLE = "#people";

/** A value of a variable in words. @param {import("./form.js").Var} of @param {number} value */
export function valueOf(of, value) {
  const name = of.vals[value - of.lo] ?? String(value);
  return pick(of.says[value - of.lo] ?? {}, name);
}

/** Hazards in words, without their code. @param {Machine} machine @param {number[]} hazards */
export function dangersText({ form }, hazards) {
  return list(hazards.map((one) => pick(form.hazards[one].words, form.hazards[one].id).replace(/^H\d+: /, "")));
}

/** Who is to do an event, by the plan; empty if nobody. @param {Night} night @param {import("./api.js").Plan|null|undefined} plan @param {Machine} machine @param {number} event */
function whose(night, plan, machine, event) {
  const name = machine.form.events[event].name;
  const task = tasks(night, plan).find((one) => one.machine === machine && one.row.events.includes(name));
  return list(task?.row.people ?? []);
}

/** Everything that an event waits for, a sentence each. @param {Night} night @param {import("./api.js").Plan|null|undefined} plan @param {Machine} machine @param {number} event @returns {string[]} */
export function causes(night, plan, machine, event) {
  return whyNotYet(machine.form, machine.state, event).map((cause) => {
    switch (cause.kind) {
      case "waits": {
        const what = title(machine, cause.event, pick);
        const who = whose(night, plan, machine, cause.event);
        const asked = machine.form.events[event].asked.find((one) => one.before === cause.event);
        return (who ? say("step.waits-who", { who, what }) : what) + (asked ? ` — ${pick(asked.because, "")}` : "");
      }
      case "blocked": {
        const of = machine.form.vars[cause.part.v];
        const is = valueOf(of, machine.state.vals[cause.part.v]);
        const makers = [...new Set(cause.makers.map((one) => title(machine, one, pick)))].slice(0, 3);
        const text = of.name === PEOPLE ? say("step.no-hands") : say("step.blocked", { what: pick(of.words, of.name), is });
        return makers.length > 0 ? `${text}; ${say("step.made-by", { what: list(makers) })}` : text;
      }
      case "hazard":
        return say("step.hazard", { what: dangersText(machine, [cause.hazard]) });
    }
  });
}

/** What an event lets go on. @param {Machine} machine @param {number} event @returns {string[]} */
export function opens(machine, event) {
  if (may(machine.form, machine.state, event).kind !== "yes") return [];
  return [...new Set(whatIf(machine.form, machine.state, event).opens.map((one) => title(machine, one, pick)))];
}

/** The causes as a list. @param {string[]} sentences */
export function listed(sentences) {
  return h("ul.sentences", {}, sentences.map((one) => h("li", {}, one)));
}
