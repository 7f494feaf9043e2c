// A night out of its events: the same rule as the server's, so that a tablet without network shows what will be.
//
// Events are replayed in the order of their devices' clocks, each device's own order kept, ties by the device's name.
// A move that may not happen at its place is set aside, and tried again after each later one. The same move twice is
// one. What `differed` tells happened anyway; what `corrected` names did not.

import { after, notYet, start } from "./form.js";

/** @typedef {import("./api.js").Event} Event */
/** @typedef {import("./form.js").Form} Form */
/** @typedef {import("./form.js").State} State */
/** @typedef {{ by: string, at_ms: number, id: string, device: string, also: string[] }} Done */
/** A move that is set aside, and the events that it waits for. @typedef {{ event: number, of: Event, waits: number[] }} Conflict */
/** @typedef {{ name: string, form: Form, label: string, state: State, done: Map<number, Done>, conflicts: Conflict[] }} Machine */
/** @typedef {{ ends_ms: number, machine: string|undefined, by: string }} Timer */
/** @typedef {{ state: string, by: string, at_ms: number, where?: string }} PartNow */
/** @typedef {{ machines: Map<string, Machine>, timers: Map<string, Timer>, parts: Map<string, PartNow>, people: Set<string>, signed: Event[], readings: Event[] }} Night */

/** In the order in which they count. @param {Event[]} events @returns {Event[]} */
export function inOrder(events) {
  /** @type {Map<string, Event[]>} */
  const devices = new Map();
  for (const event of events) devices.set(event.device, [...(devices.get(event.device) ?? []), event]);
  /** @type {{ at: number, event: Event }[]} */
  const keyed = [];
  for (const own of devices.values()) {
    own.sort((a, b) => a.order - b.order);
    let at = -Infinity;
    // A clock that was set back does not turn the device's own order round.
    for (const event of own) keyed.push({ at: (at = Math.max(at, event.at_ms)), event });
  }
  keyed.sort((a, b) => a.at - b.at || compare(a.event.device, b.event.device) || a.event.order - b.event.order);
  return keyed.map(({ event }) => event);
}

/** @param {string} a @param {string} b */
function compare(a, b) {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Ids of events that count no more. Two people's ticks of one step are one step: who takes back the one takes back what
 * was ticked until then; what is ticked later counts. @param {Event[]} ordered @returns {Set<string>} */
export function takenBack(ordered) {
  const out = corrected(ordered);
  /** Ticks of each step since it was taken back last. @type {Map<string, string[]>} */
  const ticks = new Map();
  for (const { id, machine, fact } of ordered) {
    if (fact.what === "happened") {
      const key = JSON.stringify([machine ?? null, fact.event]);
      ticks.set(key, [...(ticks.get(key) ?? []), id]);
    } else if (fact.what === "corrected" && !out.has(id)) {
      const same = [...ticks].find(([, ids]) => ids.includes(String(fact.of)));
      if (!same) continue;
      for (const tick of same[1]) out.add(tick);
      ticks.delete(same[0]);
    }
  }
  return out;
}

/** Ids of events that are taken back by name. A taking back that is itself taken back does not count; of those that name each
 * other in a circle the last one counts. @param {Event[]} ordered @returns {Set<string>} */
function corrected(ordered) {
  const corrections = ordered.filter(({ fact }) => fact.what === "corrected");
  const target = new Map(corrections.map(({ id, fact }) => [id, String(fact.of)]));
  /** How many that are not settled yet would take each one back. @type {Map<string, number>} */
  const against = new Map(corrections.map(({ id }) => [id, 0]));
  for (const of of target.values()) if (against.has(of)) against.set(of, (against.get(of) ?? 0) + 1);
  const ready = corrections.map(({ id }) => id).filter((id) => against.get(id) === 0);
  const circles = corrections.map(({ id }) => id);
  const [settled, out] = [new Set(), new Set()];
  for (;;) {
    let id = ready.pop();
    while (id === undefined && circles.length > 0) {
      const next = circles.pop();
      if (!settled.has(next)) id = next;
    }
    if (id === undefined) return out;
    if (settled.has(id)) continue;
    settled.add(id);
    const of = target.get(id) ?? "";
    if (!out.has(id)) out.add(of);
    const left = against.get(of);
    if (left === undefined) continue;
    against.set(of, Math.max(0, left - 1));
    if (left <= 1 || out.has(of)) ready.push(of);
  }
}

/** The key of a part among a machine's. @param {string|undefined} machine @param {import("./api.js").PartRef} part */
export function partKey(machine, { part, side, number }) {
  return JSON.stringify([machine ?? "", part, side ?? null, number ?? null]);
}

/** The night as it is after these events.
 * @param {{ machine: string, label: string, form: Form }[]} machines @param {Event[]} events @returns {Night} */
export function fold(machines, events) {
  /** @type {Night} */
  const night = { machines: new Map(), timers: new Map(), parts: new Map(), people: new Set(), signed: [], readings: [] };
  for (const { machine, label, form } of machines) {
    night.machines.set(machine, { name: machine, form, label, state: start(form), done: new Map(), conflicts: [] });
  }
  const ordered = inOrder(events);
  const out = takenBack(ordered);
  for (const event of ordered) if (!out.has(event.id)) one(night, event);
  return night;
}

/** @param {Night} night @param {Event} event */
function one(night, event) {
  const { fact, machine, at_ms } = event;
  const by = event.person ?? "";
  const on = machine === undefined ? undefined : night.machines.get(machine);
  /** @param {string} state @param {string} [where] */
  const part = (state, where) => night.parts.set(partKey(machine, fact.part), { state, by, at_ms, where });
  const wasFull = () => night.parts.get(partKey(machine, fact.part))?.state === "laid-out";
  switch (fact.what) {
    case "run-opened":
      for (const who of fact.people) night.people.add(who);
      break;
    case "person-joined":
      night.people.add(fact.who);
      break;
    case "person-left":
      night.people.delete(fact.who);
      break;
    case "happened":
      if (on) move(on, event, fact.event, false);
      break;
    case "differed":
      if (on) differ(on, event);
      break;
    case "timer-started":
      startTimer(night, fact.timer, { ends_ms: at_ms + 1000 * fact.seconds, machine, by });
      break;
    case "timer-stopped":
      night.timers.delete(fact.timer);
      break;
    case "part-seen":
      part("laid-out");
      break;
    case "part-moved":
      // Only who saw it in its slot says that the slot is full.
      part(fact.to === "laid-out" && !wasFull() ? "on-its-way" : fact.to);
      break;
    case "part-missing":
      part("missing", fact.last_seen);
      break;
    case "part-found":
      part(wasFull() ? "laid-out" : "found", fact.place);
      break;
    case "part-replaced":
      part(wasFull() ? "laid-out" : "replaced");
      break;
    case "reading":
      night.readings.push(event);
      break;
    case "signed":
      night.signed.push(event);
      break;
  }
}

/** Of two that time the same, the one that rings later runs: nobody is told too early. @param {Night} night @param {string} name @param {Timer} timer */
function startTimer(night, name, timer) {
  const known = night.timers.get(name);
  if (!known || known.ends_ms < timer.ends_ms) night.timers.set(name, timer);
}

/** A move that happens, or is set aside. @param {Machine} machine @param {Event} by @param {string} name @param {boolean} anyway */
function move(machine, by, name, anyway) {
  const event = machine.form.events.findIndex((of) => of.name === name);
  if (event < 0) return;
  const first = machine.done.get(event);
  if (first) {
    if (by.person && by.person !== first.by && !first.also.includes(by.person)) first.also.push(by.person);
    return;
  }
  const why = anyway ? null : notYet(machine.form, machine.state, event);
  if (why) {
    machine.conflicts.push({ event, of: by, waits: why.kind === "waits" ? why.events : [] });
    return;
  }
  happen(machine, event, by);
  if (!anyway) again(machine);
}

/** @param {Machine} machine @param {number} event @param {Event} by */
function happen(machine, event, by) {
  machine.state = after(machine.form, machine.state, event);
  machine.done.set(event, { by: by.person ?? "", at_ms: by.at_ms, id: by.id, device: by.device, also: [] });
}

/** Tries again what was set aside, the first that may be, until nothing changes. @param {Machine} machine */
function again(machine) {
  const { form, conflicts } = machine;
  for (;;) {
    const at = conflicts.findIndex(({ event }) => machine.state.done[event] || !notYet(form, machine.state, event));
    if (at < 0) break;
    const [{ event, of }] = conflicts.splice(at, 1);
    if (!machine.state.done[event]) happen(machine, event, of);
  }
  for (const conflict of conflicts) {
    const why = notYet(form, machine.state, conflict.event);
    conflict.waits = why?.kind === "waits" ? why.events : [];
  }
}

/** It happened anyway, or things were found so; what cannot be so is left as it was. @param {Machine} machine @param {Event} by */
function differ(machine, by) {
  if (by.fact.event) move(machine, by, by.fact.event, true);
  for (const [name, value] of Object.entries(by.fact.found ?? {})) {
    const v = machine.form.vars.findIndex((of) => of.name === name);
    if (v < 0 || value < machine.form.vars[v].lo || machine.form.vars[v].hi < value) continue;
    const vals = [...machine.state.vals];
    vals[v] = value;
    machine.state = { done: machine.state.done, vals };
  }
  again(machine);
}
