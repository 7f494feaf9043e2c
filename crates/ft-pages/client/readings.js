// Readings on a number pad: large keys, the unit and the limit in sight, and at once whether it is good.

import { dialog, h } from "./dom.js";
import { checks } from "./product.js";
import { follow } from "./probes.js";
import { Run } from "./run.js";
import { status } from "./shell.js";
import { clock, language, say } from "./words.js";

const run = await Run.open();
status(run);
follow(run);
checks(run);
for (const button of document.querySelectorAll("#wanted button")) {
  button.addEventListener("click", () => pad(/** @type {HTMLElement} */ (button).dataset));
}
run.subscribe(show);

const comma = (1.5).toLocaleString(language).includes(",") ? "," : ".";

/** @param {DOMStringMap} of */
function pad(of) {
  let typed = "";
  const shown = h("output.typed", { id: "typed", "aria-live": "polite" });
  const verdict = h("p.verdict", { id: "pad-verdict", role: "status" });
  const save = /** @type {HTMLButtonElement} */ (h("button.act", { type: "button", id: "pad-save", click: () => record() }, say("readings.save")));
  const key = (/** @type {string} */ text) => h("button.key", { type: "button", "data-key": text, click: () => type(text) }, text);
  const box = dialog(of.label ?? "", h("p", {}, `${say("readings.limit")} `, h("strong", {}, of.within ?? say("readings.no-limit"))),
    h("p.typed-line", {}, shown, h("span.unit", {}, of.unit)), verdict,
    h("div.keys", {}, ["7", "8", "9", "4", "5", "6", "1", "2", "3", "−", "0", comma].map(key),
      h("button.key", { type: "button", id: "rub", "aria-label": say("readings.rub"), click: () => type("") }, "⌫")),
    save, h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));
  // A keyboard types as well as the pad.
  box.addEventListener("keydown", (event) => {
    const text = event.key === "-" ? "−" : event.key === "." || event.key === "," ? comma : event.key;
    if (/^[0-9−.,]$/.test(text)) type(text);
    else if (event.key === "Backspace") type("");
  });
  type("x");

  function value() {
    return typed === "" || typed === "−" ? NaN : Number(typed.replace("−", "-").replace(comma, "."));
  }
  function isGood() {
    if (of.low === undefined && of.high === undefined) return null;
    const [low, high] = [of.low ?? -Infinity, of.high ?? Infinity].map(Number);
    // `< 5` does not let 5 pass.
    return of.strict === undefined ? low <= value() && value() <= high : low < value() && value() < high;
  }
  /** @param {string} text a key; nothing rubs out */
  function type(text) {
    if (text === "") typed = typed.slice(0, -1);
    else if (text === "−") typed = typed.startsWith("−") ? typed.slice(1) : `−${typed}`;
    else if (text === comma ? typed !== "" && !typed.includes(comma) : /^\d$/.test(text) && typed.length < 8) typed += text;
    shown.textContent = typed === "" ? "–" : typed;
    const good = Number.isNaN(value()) ? null : isGood();
    save.disabled = Number.isNaN(value());
    verdict.dataset.good = String(good);
    verdict.textContent = good === null ? "" : good ? `✓ ${say("readings.is-good")}` : `✗ ${say("readings.is-bad")}`;
  }
  function record() {
    box.close();
    const good = isGood();
    void run.tell({ what: "reading", of: of.of, value: value(), unit: of.unit, source: "hand",
      ...(of.within === undefined ? {} : { within: of.within }), ...(good === null ? {} : { good }) }, of.machine);
  }
}

/** What was measured on this device's night and does not stand on the page yet. */
function show() {
  const taken = document.getElementById("taken");
  if (!taken) return;
  for (const { id, fact, at_ms, person } of run.night.readings) {
    if (document.getElementById(`reading-${id}`) || at_ms < performance.timeOrigin) continue;
    taken.prepend(h("li", { id: `reading-${id}` }, h("strong", {}, `${fact.of} ${fact.value.toLocaleString(language)} ${fact.unit}`),
      fact.within ? h("span", {}, ` (${fact.within})`) : null,
      fact.good === true ? h("span.badge.good", {}, `✓ ${say("readings.good")}`) : fact.good === false ? h("span.badge.bad", {}, `✗ ${say("readings.bad")}`) : null,
      h("span.small", {}, ` ${clock(at_ms)} ${person ?? ""}`)));
  }
}
