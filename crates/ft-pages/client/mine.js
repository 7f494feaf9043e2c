// What is next for somebody, out of the plan and what has really happened. Nothing here touches the page.

import { may, notYet, open, whatIf, whyNotYet } from "./form.js";

/** @typedef {import("./api.js").Row} Row */
/** @typedef {import("./api.js").Plan} Plan */
/** @typedef {import("./fold.js").Night} Night */
/** @typedef {import("./fold.js").Machine} Machine */

/** A row of the plan with the machine that it is about, and the events of it that have not happened.
 * @typedef {{ row: Row, machine: Machine, todo: number[] }} Task */

/** The tasks of the plan that are not done, by their begin. @param {Night} night @param {Plan|null|undefined} plan @returns {Task[]} */
export function tasks(night, plan) {
  const rows = [...(plan?.rows ?? [])].sort((a, b) => a.start_ms - b.start_ms);
  return rows.flatMap((row) => {
    const machine = night.machines.get(row.machine);
    if (!machine) return [];
    const events = row.events.map((name) => machine.form.events.findIndex((of) => of.name === name));
    const todo = events.filter((event) => event >= 0 && !machine.state.done[event]);
    return todo.length > 0 ? [{ row, machine, todo }] : [];
  });
}

/** What somebody is asked for next in a task: an event; or, where the world answers first, its answers.
 * @param {Task} task @returns {{ event: number, answers: number[] }} */
export function asked({ machine: { form, state }, todo }) {
  const event = todo[0];
  const why = notYet(form, state, event);
  const nature = form.events[event].nature ? [event] : why?.kind === "waits" ? why.events : [];
  const answers = nature.filter((one) => form.events[one].nature && !notYet(form, state, one));
  if (answers.length === 0 || (!form.events[event].nature && answers.length < nature.length)) return { event, answers: [] };
  return { event: answers[0], answers: siblings(form, answers[0]).filter((one) => !state.done[one]) };
}

/** The answers of one look. @param {import("./form.js").Form} form @param {number} answer */
export function siblings(form, answer) {
  const pre = form.events[answer].pre.join();
  return form.events.flatMap((of, index) => (of.nature && of.pre.join() === pre ? [index] : []));
}

/** What somebody has to do now: the first of their tasks that they can go on with, else the first of all; and what comes after.
 * @param {Night} night @param {Plan|null|undefined} plan @param {string} me @returns {{ now: Task|null, later: Task[], others: Task[] }} */
export function mine(night, plan, me) {
  const all = tasks(night, plan);
  const own = all.filter(({ row }) => row.people.includes(me));
  const begun = own.find(isBegun);
  const now = begun ?? own.find((task) => may(task.machine.form, task.machine.state, asked(task).event).kind === "yes") ?? own[0] ?? null;
  return { now, later: own.filter((task) => task !== now), others: all.filter(({ row }) => !row.people.includes(me)) };
}

/** @param {Task} task */
function isBegun({ row, todo, machine }) {
  return todo.length < row.events.length && may(machine.form, machine.state, todo[0]).kind !== "not";
}

/** When an event has its time by the plan, counted from the one before it in its step, and before when it may not be;
 * null where nothing was begun. @param {Machine} machine @param {Row[]} rows @param {number} event
 * @returns {{ ends_ms: number, least_ms: number }|null} */
export function wait(machine, rows, event) {
  const of = machine.form.events[event];
  const { seconds, least_s } = waitOf(machine, rows, event);
  const before = of.pre.filter((one) => machine.form.events[one].step === of.step);
  const times = before.flatMap((one) => machine.done.get(one)?.at_ms ?? []);
  if (seconds === 0 || times.length === 0) return null;
  const since = Math.max(...times);
  return { ends_ms: since + 1000 * seconds, least_ms: since + 1000 * least_s };
}

/** @param {Machine} machine @param {Row[]} rows @param {number} event */
function waitOf(machine, rows, event) {
  const { name } = machine.form.events[event];
  const row = rows.find((one) => one.events.includes(name) && one.machine === machine.name);
  const { seconds = 0, least_s = seconds } = row?.waits?.find((one) => one.event === name) ?? {};
  return { seconds, least_s };
}

/** The events that an event starts a wait for. @param {Machine} machine @param {Row[]} rows @param {number} event @returns {{ event: number, seconds: number }[]} */
export function starts(machine, rows, event) {
  const { step } = machine.form.events[event];
  return machine.form.events.flatMap((of, index) => {
    const { seconds } = of.step === step && of.pre.includes(event) ? waitOf(machine, rows, index) : { seconds: 0 };
    return seconds > 0 ? [{ event: index, seconds }] : [];
  });
}

/** The event that says what its step is: the first of it. @param {Machine} machine @param {number} event */
function firstOf({ form }, event) {
  return form.events.find((one) => one.step === form.events[event].step) ?? form.events[event];
}

/** What an event is called: an answer by its own words, all else by its step. @param {Machine} machine @param {number} event @param {(words: Record<string, string>, otherwise: string) => string} pick */
export function title(machine, event, pick) {
  const of = machine.form.events[event];
  if (of.nature) return pick(of.words, of.name.split(" → ").at(-1) ?? of.name);
  return pick(firstOf(machine, event).words, of.step).split(": ")[0];
}

/** What the step of an event says to do. @param {Machine} machine @param {number} event @param {(words: Record<string, string>, otherwise: string) => string} pick */
export function sentence(machine, event, pick) {
  const [, ...rest] = pick(firstOf(machine, event).words, "").split(": ");
  return rest.join(": ");
}

/** The last touch of somebody that can be taken back without anything else having to be: the ids of its events.
 * @param {Night} night @param {string} me @returns {{ ids: string[], machine: string, event: number }|null} */
export function undoable(night, me) {
  let last = null;
  for (const [name, machine] of night.machines) {
    for (const [event, done] of machine.done) {
      if (done.by === me && (!last || last.at < done.at_ms || (last.at === done.at_ms && last.machine === machine))) {
        last = { at: done.at_ms, machine, name, event, id: done.id };
      }
    }
  }
  if (!last) return null;
  const { form, state, done } = last.machine;
  const touched = form.events[last.event].nature ? siblings(form, last.event).filter((one) => state.done[one]) : [last.event];
  const needed = form.events.some((of, index) => state.done[index] && !touched.includes(index) && of.pre.some((before) => touched.includes(before)));
  if (needed) return null;
  return { ids: touched.flatMap((one) => done.get(one)?.id ?? []), machine: last.name, event: touched[0] };
}

/** Hazards that a state shows by itself. @param {import("./form.js").Form} form @param {import("./form.js").State} state */
export function dangers(form, state) {
  return form.hazards.flatMap(({ on, when }, index) =>
    on === null && when.every((part) => part.allows[state.vals[part.v] - form.vars[part.v].lo]) ? [index] : [],
  );
}

export { may, open, whatIf, whyNotYet };
