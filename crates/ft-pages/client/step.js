// My step: the one thing to do now, in large words, with its caution before its action.

import { dialog, fill, h, the } from "./dom.js";
import { differently } from "./differ.js";
import { asked, may, mine, open, sentence, starts, tasks, title, undoable, wait } from "./mine.js";
import { Run } from "./run.js";
import { status } from "./shell.js";
import { allowSound, canSound, everySecond, ring, speak, stayAwake } from "./timers.js";
import { causes, listed, opens } from "./why.js";
import { clock, list, pick, say, span } from "./words.js";

/** @typedef {import("./mine.js").Task} Task */
/** @typedef {import("./fold.js").Machine} Machine */

const run = await Run.open();
const place = the("step");
const me = () => run.answer?.me.name ?? "";
const plan = () => run.answer?.plan;
const rows = () => plan()?.rows ?? [];
/** Timers that have rung here. @type {Set<string>} */
const rung = new Set();

/** A machine's name before a step's, where there is more than one. @param {Machine} machine */
function where(machine) {
  return run.night.machines.size > 1 ? h("span.small", {}, machine.label) : null;
}

/** A finger is on the glass: what it is on is not taken away under it. */
let isTouched = false;
let isStale = false;
document.addEventListener("pointerdown", () => (isTouched = true));
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, () => setTimeout(() => {
    isTouched = false;
    if (isStale) show();
  }));
}

/** So long after a touch the next one on the wide target does not count: wet fingers touch twice, and the second touch
 * would be on the next step. Source: none, our choice. */
const TWICE_MS = 400;
let touched = -TWICE_MS;

/** Whether a touch on the wide target counts. */
function counts() {
  const now = performance.now();
  if (now - touched < TWICE_MS) return false;
  touched = now;
  setTimeout(() => {
    for (const soon of document.querySelectorAll("[data-soon]")) soon.removeAttribute("data-soon");
  }, TWICE_MS);
  return true;
}

/** Whether the last touch was just now. */
function isSoon() {
  return performance.now() - touched < TWICE_MS;
}

function show() {
  isStale = isTouched;
  if (isStale) return;
  if (!run.answer) return fill(place, h("p.big", {}, say("step.loading")));
  if (!run.id) return fill(place, nothing(say("step.nothing-run")));
  const { now, later, others } = mine(run.night, plan(), me());
  const rest = [conflicts(), timers(), next(later, others), foot(now)];
  if (now) {
    fill(place, task(now), rest);
    return announce(now);
  }
  const isAllDone = [...run.night.machines.values()].every(({ state }) => state.done.every(Boolean));
  fill(place, nothing(say(isAllDone ? "step.all-done" : "step.all-done-of-mine")), rest);
}

/** Says to a screen reader what is new, once: the rest changes too often. @param {Task} now */
function announce({ machine, row }) {
  const heading = place.querySelector("h1")?.textContent ?? "";
  const text = [heading, ...row.cautions.map((one) => one.text), place.querySelector(".waits") ? say("step.waits-for") : ""].join(". ");
  const said = the("said");
  if (said.textContent !== text) said.textContent = text;
  document.title = `${heading} · ${machine.label}`;
}

/** @param {string} text */
function nothing(text) {
  return h("section.now", {}, h("h1", {}, text), h("p", {}, h("a.act", { href: "/" }, say("step.to-tonight"))));
}

/** @param {Task} task */
function task(task) {
  const { row, machine } = task;
  const { event, answers } = asked(task);
  const others = row.people.filter((name) => name !== me());
  return h(
    "section.now",
    { "data-event": machine.form.events[event].name },
    rings(row),
    where(machine),
    h("h1", {}, title(machine, event, pick)),
    h(
      "p.where",
      {},
      [row.place, others.length > 0 ? say("step.with", { people: list(others) }) : null].filter(Boolean).join(" · "),
    ),
    row.cautions.map(({ kind, text }) =>
      h("p.caution", { "data-kind": kind }, h("strong", {}, `⚠ ${say("step.caution")}: `), text),
    ),
    h("p.say", {}, sentence(machine, event, pick)),
    row.parts.length > 0 ? h("details.parts", {}, h("summary", {}, `${say("step.parts")} (${row.parts.length})`), h("p", {}, list(row.parts))) : null,
    answers.length > 0 ? look(machine, answers) : act(task, event),
  );
}

/** As many rings as fit a line or two of a tablet; more are told by a bar. */
const MOST_RINGS = 42;

/** My tasks of the night, each a ring. @param {import("./api.js").Row} current */
function rings(current) {
  const own = (plan()?.rows ?? []).filter(({ people }) => people.includes(me())).sort((a, b) => a.start_ms - b.start_ms);
  const left = new Set(tasks(run.night, plan()).map(({ row }) => row));
  const full = own.filter((row) => !left.has(row)).length;
  if (own.length > MOST_RINGS) {
    const bar = h("progress", { max: own.length, value: full, "aria-hidden": "true" });
    return h("p.rings", {}, bar, h("span.count", {}, say("step.of", { done: full, all: own.length })));
  }
  return h("p.rings", {},
    own.map((row) => h("span", { class: row === current ? "ring at" : left.has(row) ? "ring" : "ring full", "aria-hidden": "true" })),
    h("span.count", {}, say("step.of", { done: full, all: own.length })));
}

/** What was found, as one wide target for each answer. @param {Machine} machine @param {number[]} answers */
function look(machine, answers) {
  return h(
    "div.look",
    { role: "group", "aria-label": say("step.look") },
    h("p.big", {}, say("step.look")),
    answers.map((answer) =>
      h("button.act", { type: "button", "data-soon": isSoon(), id: `answer-${answer}`, click: () => found(machine, answers, answer) },
        // “It is found: in the reservoir.” as “in the reservoir”.
        title(machine, answer, pick).replace(/^[^:]*: /, "").replace(/\.$/, "")),
    ),
  );
}

/** The world answered once: the other answers have nothing left to say. @param {Machine} machine @param {number[]} answers @param {number} chosen */
async function found(machine, answers, chosen) {
  if (!counts()) return;
  allowSound();
  for (const one of [chosen, ...answers.filter((other) => other !== chosen)]) {
    await run.tell({ what: "happened", event: machine.form.events[one].name }, machine.name);
  }
}

/** The wide target. @param {Task} task @param {number} event */
function act(task, event) {
  const { machine, todo, row } = task;
  const of = machine.form.events[event];
  const asked = may(machine.form, machine.state, event);
  const left = wait(machine, rows(), event);
  const isEarly = left !== null && left.least_ms > Date.now();
  if (asked.kind !== "yes") {
    return h(
      "div.waits",
      {},
      h("p.big", {}, say("step.waits-for")),
      listed(causes(run.night, plan(), machine, event)),
      h("button.act.second", { type: "button", id: "done", click: () => stopped(machine, event) }, say("step.why-not")),
    );
  }
  const isFirst = todo.length === row.events.length;
  const word =
    todo.length > 1 ? (isFirst ? say("step.begin") : say("step.go-on"))
    : of.kind === "end" ? say("step.finish")
    : say("step.done");
  return h(
    "div",
    {},
    left ? h("p.timer", { id: "left", role: "timer", "data-ends": left.ends_ms, "data-least": left.least_ms }, remaining(left.ends_ms, left.least_ms)) : null,
    h("button.act", { type: "button", id: "done", "data-soon": isSoon(), class: isEarly ? "act early" : "act", click: () => does(task, event) }, word),
  );
}

/** A touch on the wide target. @param {Task} task @param {number} event */
async function does(task, event) {
  if (!counts()) return;
  allowSound();
  const { machine } = task;
  if (may(machine.form, machine.state, event).kind !== "yes") return stopped(machine, event);
  const left = wait(machine, rows(), event);
  if (left && left.least_ms > Date.now()) return early(task, event, left.least_ms);
  await happened(machine, event);
}

/** It happened: told, with the timer that it ends and those that it starts. @param {Machine} machine @param {number} event */
async function happened(machine, event) {
  const { name } = machine.form.events[event];
  await run.tell({ what: "happened", event: name }, machine.name);
  const timer = timerName(machine.name, name);
  if (run.night.timers.has(timer)) await run.tell({ what: "timer-stopped", timer }, machine.name);
  for (const one of starts(machine, rows(), event)) {
    const what = timerName(machine.name, machine.form.events[one.event].name);
    await run.tell({ what: "timer-started", timer: what, seconds: one.seconds }, machine.name);
  }
}

/** @param {string} machine @param {string} event */
function timerName(machine, event) {
  return `${machine}: ${event}`;
}

/** Its time is not over: what comes then is not refused, but told as what it is. @param {Task} task @param {number} event @param {number} ends */
function early(task, event, ends) {
  const box = dialog(
    say("step.stopped"),
    h("p.big", {}, say("step.at-least", { time: span(ends - Date.now()) })),
    h("button.act", { type: "button", click: () => box.close() }, say("step.cancel")),
    h("button.quiet", { type: "button", click: () => {
      box.close();
      differently(run, task.machine.name, event);
    } }, say("step.differently")),
  );
}

/** A move that may not be: stopped, and explained. @param {Machine} machine @param {number} event */
function stopped(machine, event) {
  const box = dialog(
    say("step.stopped"),
    h("p.big", {}, title(machine, event, pick)),
    h("p", {}, say("step.waits-for")),
    listed(causes(run.night, plan(), machine, event)),
    h("button.act", { type: "button", click: () => box.close() }, say("step.cancel")),
    h("button.quiet", { type: "button", click: () => {
      box.close();
      differently(run, machine.name, event);
    } }, say("step.differently")),
  );
  box.classList.add("stop");
}

/** What comes after, and what others wait for. @param {Task[]} later @param {Task[]} others */
function next(later, others) {
  const soon = later.slice(0, 3).map(({ row, machine }) => h("li", {}, `${clock(row.start_ms)} ${row.title} `, where(machine)));
  const now = others.filter((task, index) => others.findIndex((one) => one.row.people.join() === task.row.people.join()) === index);
  return h(
    "section.next",
    {},
    h("h2", {}, say("step.next")),
    soon.length > 0 ? h("ol", {}, soon) : null,
    h("ul.others", {}, now.slice(0, 4).map(({ row, machine }) => h("li.small", {}, `${list(row.people)}: ${row.title} `, where(machine)))),
    plan() ? h("p", {}, say("step.out", { time: clock(plan()?.out_ms ?? 0) })) : null,
  );
}

/** The smaller ways out. @param {Task|null} now */
function foot(now) {
  const back = undoable(run.night, me());
  const machine = now?.machine;
  const event = now ? asked(now).event : null;
  return h(
    "section.foot-ways",
    {},
    back
      ? h("button", { type: "button", id: "undo", click: () => undo(back.ids) },
          say("step.undo", { what: titleOf(back.machine, back.event) }))
      : null,
    machine && event !== null ? h("button", { type: "button", id: "why", click: () => why(machine, event) }, say("step.why-now")) : null,
    now ? h("button", { type: "button", id: "read", click: () => readAloud(now) }, say("step.read")) : null,
    h("button", { type: "button", id: "other", click: other }, say("step.other")),
    h("button", { type: "button", id: "differently", click: () => differently(run, machine ? machine.name : undefined, event ?? undefined) }, say("step.differently")),
    canSound() ? null : h("button.quiet", { type: "button", id: "sound", click: () => { allowSound(); ring(); setTimeout(show, 300); } }, say("step.sound-on")),
  );
}

/** @param {string} name @param {number} event */
function titleOf(name, event) {
  const machine = run.night.machines.get(name);
  return machine ? title(machine, event, pick) : "";
}

/** @param {string[]} ids */
async function undo(ids) {
  for (const id of [...ids].reverse()) await run.tell({ what: "corrected", of: id, because: say("step.undone") });
}

/** Why this now. @param {Machine} machine @param {number} event */
function why(machine, event) {
  const lets = opens(machine, event);
  const against = causes(run.night, plan(), machine, event);
  const box = dialog(
    against.length > 0 ? say("step.why-not") : say("step.why-now"),
    against.length > 0 ? listed(against) : h("p", {}, say("step.mine")),
    lets.length > 0 ? h("p", {}, say("step.opens", { what: list(lets.slice(0, 5)) })) : null,
    h("button.act", { type: "button", click: () => box.close() }, say("step.cancel")),
  );
}

/** Everything that is left: what may be done now, and what has to wait. */
function other() {
  const lists = [...run.night.machines].map(([name, machine]) => {
    const { form, state } = machine;
    const free = open(form, state).filter((event) => !form.events[event].nature);
    const rest = form.events.flatMap((of, event) => (state.done[event] || of.nature || of.kind === "end" || free.includes(event) ? [] : [event]));
    /** @param {number} event @param {boolean} isFree */
    const row = (event, isFree) =>
      h("li", {}, h("button", { type: "button", "data-event": form.events[event].name, class: isFree ? "free" : "held", click: () => chosen(name, event) },
        `${isFree ? "" : "⏸ "}${title(machine, event, pick)}`));
    return h("section", {}, h("h3", {}, machine.label), h("ul.choices", {}, free.map((event) => row(event, true)), rest.map((event) => row(event, false))));
  });
  const box = dialog(say("step.other"), h("p", {}, say("step.other-how")), lists, h("button.act.second", { type: "button", click: () => box.close() }, say("step.cancel")));
  /** @param {string} name @param {number} event */
  async function chosen(name, event) {
    const machine = run.night.machines.get(name);
    if (!machine) return;
    box.close();
    if (may(machine.form, machine.state, event).kind !== "yes") return stopped(machine, event);
    allowSound();
    const isSure = dialog(
      title(machine, event, pick),
      h("p.say", {}, sentence(machine, event, pick)),
      h("button.act", { type: "button", id: "done-other", click: async () => {
        isSure.close();
        await happened(machine, event);
      } }, say("step.done")),
      h("button.quiet", { type: "button", click: () => isSure.close() }, say("step.cancel")),
    );
  }
}

/** @param {Task} task */
function readAloud({ row, machine, todo }) {
  const cautions = row.cautions.map(({ text }) => `${say("step.caution")}: ${text}`);
  speak([title(machine, todo[0], pick), ...cautions, sentence(machine, todo[0], pick)].join(". "));
}

/** Moves that are set aside, in words, with the rule. */
function conflicts() {
  const told = [...run.night.machines.values()].flatMap((machine) =>
    machine.conflicts.map(({ event, of, waits }) =>
      h("p.caution", {}, say("step.conflict", {
        what: title(machine, event, pick),
        who: of.person ?? "–",
        wait: list(waits.map((one) => title(machine, one, pick))) || say("step.waits-for"),
      }))),
  );
  return told.length > 0 ? h("section.conflicts", {}, told) : null;
}

/** How long until a time; with the time before which it may not be, whether that is the least or about what it takes.
 * @param {number} ends @param {number} [least] */
function remaining(ends, least) {
  const now = Date.now();
  if (least !== undefined && now < least) return say("step.at-least", { time: span(least - now) });
  if (least !== undefined && now < ends) return say("step.about", { time: span(ends - now) });
  return ends > now ? say("step.timer-left", { time: span(ends - Date.now()) }) : say("step.timer-over", { what: "" }).replace(/:\s*$/, "");
}

/** What a timer times, as the page calls it. @param {string} timer @param {string|undefined} machine */
function timerTitle(timer, machine) {
  const of = machine === undefined ? undefined : run.night.machines.get(machine);
  const event = of?.form.events.findIndex((one) => `${machine}: ${one.name}` === timer) ?? -1;
  return of && event >= 0 ? title(of, event, pick) : timer;
}

/** Every timer that runs, for all to see. */
function timers() {
  const rows = [...run.night.timers].map(([timer, { ends_ms, machine, by }]) =>
    h("li", {},
      h("span", {}, `${timerTitle(timer, machine)} `), h("strong", { "data-ends": ends_ms }, remaining(ends_ms)), h("span.small", {}, ` ${by}`),
      ends_ms <= Date.now() ? h("button", { type: "button", click: () => run.tell({ what: "timer-stopped", timer }, machine) }, say("step.timer-heard")) : null));
  return rows.length > 0 ? h("section.timers", {}, h("h2", {}, say("step.timer")), h("ul", {}, rows)) : null;
}

function tick() {
  let isOver = false;
  for (const element of document.querySelectorAll("[data-ends]")) {
    const least = element.getAttribute("data-least");
    element.textContent = remaining(Number(element.getAttribute("data-ends")), least === null ? undefined : Number(least));
  }
  for (const [timer, { ends_ms, machine, by }] of run.night.timers) {
    const key = `${timer} ${ends_ms}`;
    if (ends_ms > Date.now() || rung.has(key)) continue;
    rung.add(key);
    isOver = true;
    // Whoever started it is called; after a minute without an answer, everybody's tablet has shown it all the same.
    if (by === me()) {
      ring();
      speak(say("step.timer-over", { what: timerTitle(timer, machine) }));
    }
  }
  if (isOver) show();
}

status(run);
run.subscribe(show);
everySecond(tick);
void stayAwake();
