// A practice session: the core form without its proved order, so that hands can do what is wrong; and what that would
// have done. Nothing here touches the page.

import { after, may, notYet, open, start, whyNotYet } from "./form.js";
import { siblings } from "./mine.js";

/** @typedef {import("./form.js").Form} Form */
/** @typedef {import("./form.js").State} State */
/** @typedef {import("./form.js").Cause} Cause */

/** What a choice came to.
 * `danger`: these hazards, at once. `later`: they show when the step that was skipped is done after all. `closed`: that
 * step could no longer be done. `not-yet`: hands cannot do it. `waits`: the proved order has these first.
 * @typedef {{ kind: "right" } | { kind: "danger", hazards: number[] } | { kind: "later", then: number, hazards: number[] }
 *   | { kind: "closed", then: number, causes: Cause[] } | { kind: "not-yet", causes: Cause[] } | { kind: "waits", events: number[] }} Verdict */

/** What a session came to. @typedef {{ moves: number, slips: number, dangers: number, finished: boolean }} Tally */
/** What it has to keep to: the server sends it with what is practised. @typedef {{ moves_per_slip: number, dangers: number }} Measure */

const CHOICES = 6;

/** Whether a session is passed. The server judges what is told by the same comparison: `ft_practice::measure`, whose test
 * holds the two against each other. @param {Tally} tally @param {Measure} measure */
export function isPassed({ moves, slips, dangers, finished }, measure) {
  return finished && dangers <= measure.dangers && slips * measure.moves_per_slip <= moves;
}

/** Numbers from 0 to below 1 out of a seed: the same session for the same seed. Source: Numerical Recipes' linear
 * congruential generator of 32 bits. @param {number} seed @returns {() => number} */
export function chance(seed) {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

export class Session {
  /** The events that a wrong choice was made of, by step. @type {Map<string, number>} */ slips = new Map();
  moves = 0;
  dangers = 0;
  /** What the world answered since the last choice. @type {number[]} */ found = [];
  /** @type {number[]} */ choices = [];

  /** @param {Form} form with its proved order @param {Form} free without it: what hands and the machine itself allow
   * @param {Measure} measure @param {() => number} random */
  constructor(form, free, measure, random) {
    this.form = form;
    this.free = free;
    this.measure = measure;
    this.random = random;
    /** @type {State} */
    this.state = start(form);
    this.#settle();
    this.choices = this.#offer();
  }

  /** Events that somebody does, and how many of them have happened. */
  get progress() {
    const hands = this.form.events.flatMap((of, index) => (of.nature ? [] : [index]));
    return { done: hands.filter((event) => this.state.done[event]).length, all: hands.length };
  }

  get isFinished() {
    return this.state.done.every(Boolean);
  }

  /** Nothing that is right can be done: the form would be at fault, not the trainee. */
  get isStuck() {
    return !this.isFinished && this.#right().length === 0;
  }

  get slipCount() {
    return [...this.slips.values()].reduce((sum, count) => sum + count, 0);
  }

  get isPassed() {
    return isPassed({ moves: this.moves, slips: this.slipCount, dangers: this.dangers, finished: this.isFinished }, this.measure);
  }

  /** Makes a choice: the right one happens, a wrong one is told. @param {number} event @returns {Verdict} */
  choose(event) {
    const verdict = this.judge(event);
    this.moves += 1;
    if (verdict.kind === "right") {
      this.state = after(this.form, this.state, event);
      this.#settle();
      this.choices = this.#offer();
    } else {
      const { step } = this.form.events[event];
      this.slips.set(step, (this.slips.get(step) ?? 0) + 1);
      if (verdict.kind === "danger") this.dangers += 1;
      this.choices = this.choices.filter((one) => one !== event);
    }
    return verdict;
  }

  /** What a choice would come to. @param {number} event @returns {Verdict} */
  judge(event) {
    const ordered = may(this.form, this.state, event);
    if (ordered.kind === "yes") return { kind: "right" };
    if (ordered.kind === "hazardous") return { kind: "danger", hazards: ordered.hazards };
    const free = may(this.free, this.state, event);
    if (free.kind === "hazardous") return { kind: "danger", hazards: free.hazards };
    if (free.kind === "not") return { kind: "not-yet", causes: whyNotYet(this.free, this.state, event) };
    const events = ordered.why.kind === "waits" ? ordered.why.events : [];
    return this.#skipped(event, events) ?? { kind: "waits", events };
  }

  /** What would come of the steps that were skipped. @param {number} event @param {number[]} events @returns {Verdict|null} */
  #skipped(event, events) {
    const then = after(this.free, this.state, event);
    for (const before of events) {
      const now = may(this.free, this.state, before);
      const afterwards = may(this.free, then, before);
      if (now.kind === "yes" && afterwards.kind === "hazardous") return { kind: "later", then: before, hazards: afterwards.hazards };
    }
    for (const before of events) {
      const isClosed = !notYet(this.free, this.state, before) && notYet(this.free, then, before);
      if (isClosed) return { kind: "closed", then: before, causes: whyNotYet(this.free, then, before) };
    }
    return null;
  }

  /** @returns {number[]} */
  #right() {
    return open(this.form, this.state).filter((event) => !this.form.events[event].nature && may(this.form, this.state, event).kind === "yes");
  }

  /** The world answers what was looked at: one of its answers, by chance. */
  #settle() {
    this.found = [];
    for (;;) {
      const answers = open(this.form, this.state).filter((event) => this.form.events[event].nature);
      if (answers.length === 0) return;
      const first = siblings(this.form, answers[0]).filter((event) => answers.includes(event));
      const answer = first[Math.floor(this.random() * first.length)];
      this.state = after(this.form, this.state, answer);
      for (const other of siblings(this.form, answer)) this.state.done[other] = true;
      this.found.push(answer);
    }
  }

  /** What hands could do now: one or two that are right, and wrong ones, the dangerous first. */
  #offer() {
    const right = this.#right();
    if (right.length === 0) return [];
    const wrong = this.form.events.flatMap((of, event) => {
      const isSense = this.free.events[event].pre.every((before) => this.form.events[before].step !== of.step || this.state.done[before]);
      return of.nature || this.state.done[event] || right.includes(event) || !isSense ? [] : [event];
    });
    /** @type {Record<string, number[]>} */
    const by = { hazardous: [], yes: [], not: [] };
    for (const event of this.#shuffled(wrong)) by[may(this.free, this.state, event).kind].push(event);
    const offered = this.#shuffled(right).slice(0, 2);
    for (const event of [...by.hazardous.slice(0, 2), ...by.yes.slice(0, 1), ...by.not, ...by.yes.slice(1), ...by.hazardous.slice(2)]) {
      if (offered.length < CHOICES) offered.push(event);
    }
    return this.#shuffled(offered);
  }

  /** @template T @param {T[]} list @returns {T[]} */
  #shuffled(list) {
    const out = [...list];
    for (let last = out.length - 1; last > 0; last -= 1) {
      const at = Math.floor(this.random() * (last + 1));
      [out[last], out[at]] = [out[at], out[last]];
    }
    return out;
  }
}
