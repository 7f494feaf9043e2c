// The night on this device: what the server told, what others did since, and what was touched here.
//
// One object of this for each page. Whoever shows something subscribes, and is called after each change.

import { fold } from "./fold.js";
import { parse, read } from "./form.js";
import { listen } from "./live.js";
import * as queue from "./queue.js";
import { SignedOut, sendWaiting } from "./send.js";
import { language } from "./words.js";

/** @typedef {import("./api.js").RunAnswer} RunAnswer */
/** @typedef {import("./api.js").Event} Event */
/** @typedef {import("./api.js").Fact} Fact */
/** @typedef {import("./api.js").Stored} Stored */

/** What is slow on a weak signal is better than nothing: so long one answer may take. Source: none, our choice. */
const PATIENCE_MS = 20_000;
const RETRY_MS = [1000, 2000, 3000, 5000];

/** To the page of sign-in, and back here afterwards. */
function signIn() {
  location.assign(`/sign-in?next=${encodeURIComponent(location.pathname)}`);
}

export class Run {
  /** @type {RunAnswer|null} */ answer = null;
  /** @type {{ machine: string, label: string, form: import("./form.js").Form }[]} */ forms = [];
  /** @type {Map<string, Stored>} */ events = new Map();
  /** @type {Event[]} */ waiting = [];
  /** @type {import("./fold.js").Night} */ night = fold([], []);
  isOnline = true;
  /** @type {Set<() => void>} */ #listeners = new Set();
  /** Forms that were read, by their marks. @type {Map<string, import("./form.js").Form>} */ #read = new Map();
  #retry = 0;
  #tries = 0;
  #isSending = false;
  #reread = false;

  /** The night as this device knows it; then as the server tells, for as long as the page lives. */
  static async open() {
    const run = new Run();
    run.onSignedOut = signIn;
    const text = await queue.kept("answer");
    const isKept = Boolean(text) && (await run.#take(text, true).then(() => true, () => false));
    if (isKept) {
      run.#changed();
      void run.#ask();
    } else {
      run.waiting = await queue.waiting();
      await run.#ask();
    }
    listen({
      epoch: () => run.answer?.epoch ?? "",
      since: () => run.since,
      plan: () => run.answer?.plan_mark ?? "",
      onStored: (stored) => void run.#stored([stored]),
      onPlan: ({ mark, plan }) => {
        if (run.answer) Object.assign(run.answer, { plan, plan_mark: mark });
        run.#changed();
      },
      onProbes: (probes) => run.onProbes(probes),
      onEpoch: () => void run.#ask(),
      onLine: (isOnline) => run.#line(isOnline),
    });
    void run.send();
    return run;
  }

  /** Called when the server does not know who this is. */
  onSignedOut = () => {};
  /** Called when probes have said something. @type {(probes: import("./api.js").Probes) => void} */
  onProbes = () => {};
  /** Called when the server refuses an event for ever. @type {(event: Event, sentence: string) => void} */
  onRefused = () => {};

  /** The number of the last event of the record that this device has. */
  get since() {
    let since = this.answer?.seq ?? 0;
    for (const { seq } of this.events.values()) since = Math.max(since, seq);
    return since;
  }

  /** The name of the run; null before the night. @returns {string|null} */
  get id() {
    const run = this.answer?.run;
    return typeof run === "string" ? run : (run?.id ?? run?.run ?? null);
  }

  /** @param {() => void} does */
  subscribe(does) {
    this.#listeners.add(does);
    does();
  }

  /** Takes down what happened, shows it, and sends it when it can. @param {Fact} fact @param {string} [machine] @returns {Promise<Event>} */
  async tell(fact, machine) {
    const event = await queue.add(fact, { person: this.answer?.me.name, run: this.id ?? undefined, machine });
    this.waiting = await queue.waiting();
    this.#changed();
    void this.send();
    return event;
  }

  /** Sends what waits, and tries again later where that fails. */
  async send() {
    if (this.#isSending) return;
    this.#isSending = true;
    clearTimeout(this.#retry);
    try {
      await sendWaiting({
        onTaken: async (taken, epoch) => {
          this.#tries = 0;
          await this.#stored(taken);
          if (epoch !== this.answer?.epoch) await this.#ask();
        },
        onRefused: (event, sentence) => this.onRefused(event, sentence),
      });
    } catch (error) {
      if (error instanceof SignedOut) this.onSignedOut();
      const wait = RETRY_MS[Math.min(this.#tries, RETRY_MS.length - 1)];
      this.#retry = window.setTimeout(() => void this.send(), wait);
      this.#tries += 1;
    } finally {
      this.#isSending = false;
      this.waiting = await queue.waiting();
      this.#changed();
    }
  }

  /** @param {Stored[]} stored */
  async #stored(stored) {
    await queue.taken(stored);
    for (const one of stored) this.events.set(one.event.id, one);
    this.waiting = await queue.waiting();
    if (stored.some(({ event }) => event.fact.what === "run-opened")) await this.#ask();
    this.#changed();
  }

  /** @param {boolean} isOnline */
  #line(isOnline) {
    if (isOnline === this.isOnline) return;
    this.isOnline = isOnline;
    this.#changed();
    if (isOnline) {
      if (this.#reread) void this.#ask();
      void this.send();
    }
  }

  /** Asks the server for the whole of it; what is kept stays where that fails. */
  async #ask() {
    try {
      const response = await fetch(`/api/run?language=${language}`, { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (response.status === 401) return this.onSignedOut();
      if (!response.ok) throw new Error(String(response.status));
      const text = await response.text();
      await this.#take(text);
      this.#reread = false;
    } catch {
      // Asked again with the next sign of life of the stream.
      this.#reread = true;
      this.isOnline = false;
    }
    this.#changed();
  }

  /** @param {string} text @param {boolean} [isKept] it was kept on the device, and is not new */
  async #take(text, isKept = false) {
    /** @type {RunAnswer} */
    const answer = parse(text);
    const told = answer.events ?? [];
    const forms = await Promise.all(answer.machines.map(async ({ machine, label, form }) => ({ machine, label, form: await this.#form(form) })));
    if (!isKept) await queue.answered(text, { epoch: answer.epoch, seq: answer.seq, ids: new Set(told.map(({ event }) => event.id)), forms: answer.machines.map(({ form }) => form) });
    this.answer = answer;
    this.forms = forms;
    this.events = new Map([...told, ...(await queue.stored())].map((one) => [one.event.id, one]));
    this.waiting = await queue.waiting();
  }

  /** A machine's form by its mark: kept on the device for as long as it is in use. @param {string} mark @returns {Promise<import("./form.js").Form>} */
  async #form(mark) {
    const known = this.#read.get(mark);
    if (known) return known;
    let text = await queue.kept(`form ${mark}`);
    if (!text) {
      const response = await fetch(`/api/form/${mark}`, { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (!response.ok) throw new Error(String(response.status));
      text = await response.text();
      await queue.keep(`form ${mark}`, text);
    }
    const form = read(parse(text));
    this.#read.set(mark, form);
    return form;
  }

  #changed() {
    const run = this.id;
    const known = [...this.events.values()].map(({ event }) => event);
    const all = [...known, ...this.waiting.filter((event) => !this.events.has(event.id))];
    this.night = fold(this.forms, all.filter((event) => event.id === run || event.run === run));
    for (const does of this.#listeners) does();
  }
}
