// The core form on the tablet: what may be done, what it would do, and why not yet.
//
// The same questions, with the same answers, as `ft_prove::live` gives on the server; a test replays random walks on
// both. So a tablet alone still refuses what is unsafe, and says why.

/** A part of a condition: which values of a variable it allows, by value less the variable's lowest.
 * @typedef {{ v: number, allows: boolean[] }} Part */
/** @typedef {{ v: number, op: "set"|"add", c: number, when: Part[] }} Effect */
/** @typedef {{ name: string, lo: number, hi: number, init: number, kind: string, vals: string[], words: Words, says: Words[] }} Var */
/** @typedef {{ name: string, step: string, kind: "start"|"end"|"do", pre: number[], guard: Part[], eff: Effect[], dur: number, nature: boolean, asked: { before: number, because: Words }[], words: Words, side: string|null }} Event */
/** @typedef {{ id: string, on: number|null, when: Part[], words: Words }} Hazard */
/** @typedef {{ name: string, vars: Var[], events: Event[], hazards: Hazard[], goal: Part[] }} Form */
/** Words by language. @typedef {Record<string, string>} Words */
/** @typedef {{ done: boolean[], vals: number[] }} State */
/** Why an event may not happen: it has; it waits for events; parts of its guard do not hold.
 * @typedef {{ kind: "done" } | { kind: "waits", events: number[] } | { kind: "blocked", parts: Part[] }} NotYet */
/** @typedef {{ kind: "yes" } | { kind: "hazardous", hazards: number[] } | { kind: "not", why: NotYet }} May */
/** @typedef {{ kind: "waits", event: number } | { kind: "blocked", part: Part, makers: number[] } | { kind: "hazard", hazard: number }} Cause */
/** @typedef {{ after: State, hazards: number[], opens: number[], closes: number[], isDeadEnd: boolean, missed: Part[] }} WhatIf */

/** JSON in which whole numbers that a double cannot hold stand as strings: masks have up to 64 bits.
 * @param {string} text @returns {any} */
export function parse(text) {
  const token = /"(?:[^"\\]|\\.)*"|(?<![\d.eE+-])\d{16,}(?![\d.eE])/g;
  return JSON.parse(text.replace(token, (found) => (found.startsWith('"') ? found : `"${found}"`)));
}

/** What each value of a variable is called: by its own key where another variable means something else by the same name.
 * @param {Record<string, Words>} words @param {{ name: string, vals?: string[] }} of @returns {Words[]} */
function says(words, of) {
  return (of.vals ?? []).map((name) => words[`${of.name}: ${name}`] ?? words[name] ?? {});
}

/** A form out of the exchange format, version 1, as `parse` gives it. @param {any} wire @returns {Form} */
export function read(wire) {
  /** @param {[number, number|string][]} pairs @returns {Part[]} */
  const cond = (pairs) =>
    pairs.map(([v, mask]) => {
      const values = wire.vars[v].hi - wire.vars[v].lo + 1;
      return { v, allows: Array.from({ length: values }, (_, bit) => ((BigInt(mask) >> BigInt(bit)) & 1n) === 1n) };
    });
  return {
    name: wire.name,
    vars: wire.vars.map((/** @type {any} */ of) => ({ ...of, vals: of.vals ?? [], words: of["x-words"] ?? {}, says: says(wire["x-values"] ?? {}, of) })),
    events: wire.events.map((/** @type {any} */ of) => ({
      ...of,
      guard: cond(of.guard),
      eff: of.eff.map((/** @type {any} */ effect) => ({ ...effect, when: cond(effect.when) })),
      nature: of["x-nature"] ?? false,
      asked: of["x-asked"] ?? [],
      words: of["x-words"] ?? {},
      side: of["x-side"] ?? null,
    })),
    hazards: wire.hazards.map((/** @type {any} */ of) => ({ ...of, when: cond(of.when), words: of["x-words"] ?? {} })),
    goal: cond(wire.goal),
  };
}

/** @param {Form} form @returns {State} */
export function start(form) {
  return { done: form.events.map(() => false), vals: form.vars.map((of) => of.init) };
}

/** @param {Form} form @param {State} state @param {Part[]} cond */
export function holds(form, state, cond) {
  return cond.every((part) => part.allows[state.vals[part.v] - form.vars[part.v].lo]);
}

/** The state after an event, whether or not it may happen. @param {Form} form @param {State} state @param {number} event @returns {State} */
export function after(form, state, event) {
  const next = { done: [...state.done], vals: [...state.vals] };
  next.done[event] = true;
  for (const { v, op, c, when } of form.events[event].eff) {
    if (!holds(form, state, when)) continue;
    const { lo, hi } = form.vars[v];
    next.vals[v] = op === "set" ? c : Math.min(hi, Math.max(lo, next.vals[v] + c));
  }
  return next;
}

/** Why an event may not happen, whatever it would show; `null` if it may. @param {Form} form @param {State} state @param {number} event @returns {NotYet|null} */
export function notYet(form, state, event) {
  const asked = form.events[event];
  if (state.done[event]) return { kind: "done" };
  const events = asked.pre.filter((before) => !state.done[before]);
  if (events.length > 0) return { kind: "waits", events };
  const parts = asked.guard.filter((part) => !holds(form, state, [part]));
  return parts.length > 0 ? { kind: "blocked", parts } : null;
}

/** The hazards that an event would show. @param {Form} form @param {State} before @param {State} then @param {number} event */
function shownBy(form, before, then, event) {
  return form.hazards.flatMap(({ on, when }, index) => {
    const shows = on === null ? holds(form, then, when) : on === event && holds(form, before, when);
    return shows ? [index] : [];
  });
}

/** Whether an event may happen now. @param {Form} form @param {State} state @param {number} event @returns {May} */
export function may(form, state, event) {
  const why = notYet(form, state, event);
  if (why) return { kind: "not", why };
  const hazards = shownBy(form, state, after(form, state, event), event);
  return hazards.length > 0 ? { kind: "hazardous", hazards } : { kind: "yes" };
}

/** Every event that may happen, in the card's order. @param {Form} form @param {State} state */
export function open(form, state) {
  return form.events.flatMap((_, event) => (notYet(form, state, event) ? [] : [event]));
}

/** What an event would do, whether or not it may happen. @param {Form} form @param {State} state @param {number} event @returns {WhatIf} */
export function whatIf(form, state, event) {
  const then = after(form, state, event);
  const [was, is] = [open(form, state), open(form, then)];
  const isFinished = then.done.every(Boolean);
  return {
    after: then,
    hazards: shownBy(form, state, then, event),
    opens: is.filter((one) => one !== event && !was.includes(one)),
    closes: was.filter((one) => one !== event && !is.includes(one)),
    isDeadEnd: !isFinished && is.length === 0,
    missed: isFinished ? form.goal.filter((part) => !holds(form, then, [part])) : [],
  };
}

/** Everything that keeps an event from being done safely now. @param {Form} form @param {State} state @param {number} event @returns {Cause[]} */
export function whyNotYet(form, state, event) {
  const asked = may(form, state, event);
  if (asked.kind === "yes") return [];
  if (asked.kind === "hazardous") return asked.hazards.map((hazard) => ({ kind: "hazard", hazard }));
  switch (asked.why.kind) {
    case "done":
      return [];
    case "waits":
      return asked.why.events.map((before) => ({ kind: "waits", event: before }));
    case "blocked":
      return asked.why.parts.map((part) => ({ kind: "blocked", part, makers: makers(form, state, part) }));
  }
}

/** Events that have not happened and may make a part true. @param {Form} form @param {State} state @param {Part} part */
function makers(form, state, part) {
  return form.events.flatMap((_, event) => {
    if (state.done[event]) return [];
    const then = after(form, state, event);
    return holds(form, then, [part]) || then.vals[part.v] !== state.vals[part.v] ? [event] : [];
  });
}
