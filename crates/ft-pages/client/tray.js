// The tray: a slot is filled by a touch; what cannot be found goes on the search list.

import { dialog, h, the } from "./dom.js";
import { partKey } from "./fold.js";
import { Run } from "./run.js";
import { status } from "./shell.js";
import { clock, list, say } from "./words.js";

/** @typedef {import("./api.js").PartRef} PartRef */

const run = await Run.open();
const machine = document.body.dataset.machine ?? "";
status(run);

/** The picture's word for a state, and the mark that it bears. @type {Record<string, [string, string]>} */
const MARKS = { empty: ["empty", ""], full: ["filled", "✓"], missing: ["missing", "✗"], fitted: ["fitted", "↑"] };

/** The slots as buttons, and the same slots in the picture. */
const buttons = /** @type {HTMLButtonElement[]} */ ([...document.querySelectorAll("#slots button[data-slot]")]);
for (const button of buttons) button.addEventListener("click", () => touched(button));
for (const button of buttons) {
  for (const drawn of drawnOf(button)) drawn.addEventListener("click", () => touched(button));
}
run.subscribe(show);

/** The part of a button in the picture: equal parts have a place each. @param {HTMLElement} button @returns {Element[]} */
function drawnOf({ dataset }) {
  const side = dataset.side === undefined ? ":not([data-side])" : `[data-side="${CSS.escape(dataset.side)}"]`;
  const nth = dataset.number === undefined ? "" : `[data-nth="${dataset.number}"]`;
  return [...document.querySelectorAll(`.tray-picture g[data-part="${CSS.escape(dataset.part ?? "")}"]${side}${nth}`)];
}

/** Shows a state in the picture: by line (the style sheet), by mark and by word. @param {Element} drawn @param {string} state @param {string} word */
function redraw(drawn, state, word) {
  const [name, sign] = MARKS[state] ?? ["empty", ""];
  if (drawn.getAttribute("data-state") === name) return;
  drawn.setAttribute("data-state", name);
  const said = drawn.querySelector("desc");
  if (said) said.textContent = word;
  const texts = drawn.querySelectorAll(":scope > text:not(.mark)");
  const last = texts[texts.length - 1];
  if (last) last.textContent = word;
  drawn.querySelector(":scope > g:not(:last-of-type)")?.remove();
  drawn.querySelector(".mark")?.remove();
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "text");
  mark.setAttribute("class", "mark");
  mark.setAttribute("x", String((drawn.querySelector("rect")?.width.baseVal.value ?? 100) - 6));
  mark.setAttribute("y", "20");
  mark.textContent = sign;
  drawn.append(mark);
}

/** @param {HTMLElement} button @returns {PartRef} */
function partOf({ dataset }) {
  return {
    part: dataset.part ?? "",
    ...(dataset.side === undefined ? {} : { side: dataset.side }),
    ...(dataset.number === undefined ? {} : { number: Number(dataset.number) }),
  };
}

/** How it stands with a slot: what happened here goes before what the page was made with. @param {HTMLElement} button */
function stateOf(button) {
  const now = run.night.parts.get(partKey(machine, partOf(button)));
  if (!now) return { state: button.dataset.first ?? "empty", seen: null };
  const state = now.state === "laid-out" ? "full" : now.state === "missing" ? "missing" : now.state === "fitted" ? "fitted" : "empty";
  return { state, seen: `${now.by} ${clock(now.at_ms)}` };
}

function words() {
  return { empty: say("tray.empty"), full: say("tray.is-full"), missing: say("tray.missing"), fitted: say("tray.fitted") };
}

function show() {
  let full = 0;
  for (const button of buttons) {
    button.dataset.first ??= button.dataset.state;
    const { state, seen } = stateOf(button);
    if (state === "full" || state === "fitted") full += 1;
    button.dataset.state = state;
    const word = button.querySelector(".slot-state");
    if (word) word.textContent = words()[/** @type {"empty"} */ (state)];
    let small = button.querySelector(".small");
    if (seen && !small) button.append((small = h("span.small")));
    if (seen && small) small.textContent = seen;
    for (const drawn of drawnOf(button)) redraw(drawn, state, words()[/** @type {"empty"} */ (state)]);
  }
  const count = document.querySelector("#tray-count strong");
  if (count) count.textContent = `${full} / ${buttons.length}`;
  const bar = document.querySelector("#tray-count progress");
  if (bar) bar.setAttribute("value", String(full));
  search();
}

/** @param {HTMLButtonElement} button */
function touched(button) {
  const part = partOf(button);
  const slot = button.dataset.slot ?? "";
  const { state } = stateOf(button);
  if (state === "empty") {
    const box = dialog(`${slot} · ${labelOf(button)}`,
      h("button.act", { type: "button", id: "lies-here", click: () => { box.close(); void run.tell({ what: "part-seen", part, slot }, machine); } }, say("tray.lies-here")),
      h("button.act.second", { type: "button", id: "not-there", click: () => { box.close(); missing(part, slot, button); } }, say("tray.not-there")),
      h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
  } else if (state === "missing") {
    const box = dialog(`${slot} · ${labelOf(button)}`,
      h("button.act", { type: "button", id: "found", click: () => { box.close(); void found(part, slot); } }, say("tray.found")),
      h("button.act.second", { type: "button", id: "spare", click: () => { box.close(); void spare(part, slot); } }, say("tray.spare")),
      h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
  } else {
    const box = dialog(`${slot} · ${labelOf(button)}`,
      h("button.act.second", { type: "button", id: "take-out", click: () => { box.close(); missing(part, slot, button); } }, say("tray.take-out")),
      h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
  }
}

/** @param {HTMLElement} button */
function labelOf(button) {
  return button.querySelector(".slot-part")?.textContent ?? "";
}

/** Where things turn up. Source: none, common practice. */
function places() {
  return [say("tray.place-sink"), say("tray.place-drain"), say("tray.place-machine"), say("tray.place-floor"), say("tray.place-cloth")];
}

/** Where it was seen last; then it is on the search list. @param {PartRef} part @param {string} slot @param {HTMLElement} button */
function missing(part, slot, button) {
  const tell = (/** @type {string|undefined} */ last_seen) => {
    box.close();
    void run.tell({ what: "part-missing", part, ...(last_seen === undefined ? {} : { last_seen }) }, machine);
  };
  const box = dialog(`${slot} · ${labelOf(button)}: ${say("tray.last-seen")}`,
    places().map((place) => h("button.act.second", { type: "button", class: "act second last-seen", click: () => tell(place) }, place)),
    h("button.act.second", { type: "button", id: "nobody-knows", click: () => tell(undefined) }, say("tray.nobody-knows")));
}

/** @param {PartRef} part @param {string} slot */
async function found(part, slot) {
  const box = dialog(say("tray.where"), places().map((place) =>
    h("button.act.second", { type: "button", class: "act second where", click: async () => {
      box.close();
      await run.tell({ what: "part-found", part, place }, machine);
      await run.tell({ what: "part-seen", part, slot }, machine);
    } }, place)));
}

/** @param {PartRef} part @param {string} slot */
async function spare(part, slot) {
  await run.tell({ what: "part-replaced", part, failed: false }, machine);
  await run.tell({ what: "part-seen", part, slot }, machine);
}

/** The search list: each missing part, where it was seen last, and whom to ask. */
function search() {
  const lines = buttons.filter((button) => stateOf(button).state === "missing").map((button) => {
    const now = run.night.parts.get(partKey(machine, partOf(button)));
    const load = washedWith(partOf(button));
    return h("li", {}, h("strong", {}, `${labelOf(button)} → ${button.dataset.slot}`), h("ul", {},
      now?.where ? h("li", {}, `${say("tray.last-seen")} ${now.where} (${now.by})`) : null,
      load ? h("li", {}, say("tray.washed-with", { what: load })) : null,
      places().filter((place) => place !== now?.where).map((place) => h("li", {}, place))));
  });
  the("missing").replaceChildren(h("h2", {}, say("tray.search")), lines.length > 0 ? h("ul.search", {}, lines) : h("p", {}, say("tray.nothing-missing")));
}

/** The wash load that a part was in, and who had it, by what has happened. @param {PartRef} part */
function washedWith({ part }) {
  const on = run.night.machines.get(machine);
  const row = run.answer?.plan?.rows.find((one) => one.load && one.machine === machine && one.parts.some((of) => String(of).startsWith(part)));
  if (!on || !row) return null;
  const by = row.events.flatMap((name) => on.done.get(on.form.events.findIndex((of) => of.name === name))?.by ?? []);
  return by.length > 0 ? `${row.title} (${list([...new Set(by)])})` : row.title;
}


