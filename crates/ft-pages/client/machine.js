// A machine's state as it changes, with and without network.

import { fill, h } from "./dom.js";
import { may } from "./form.js";
import { title } from "./mine.js";
import { Run } from "./run.js";
import { status } from "./shell.js";
import { causes, listed, valueOf } from "./why.js";
import { clock, pick, say } from "./words.js";

const run = await Run.open();
status(run);
run.subscribe(show);

function show() {
  const machine = run.night.machines.get(document.body.dataset.machine ?? "");
  const events = document.querySelector("ol.events");
  if (!machine || !events) return;
  const { form, state, done } = machine;
  const shown = form.events.flatMap((of, event) => (of.nature && !state.done[event] ? [] : [event]));
  const open = new Set([...events.querySelectorAll("details[open]")].map((one) => one.getAttribute("data-event")));
  fill(events, shown.map((event) => {
    const text = title(machine, event, pick) + (form.events[event].kind === "end" ? ` — ${say("step.finish")}` : "");
    const was = done.get(event);
    if (was) return h("li.done", {}, h("span.done-mark", {}, `✓ ${text} `), h("span.small", {}, `${[was.by, ...was.also].join(", ")} ${clock(was.at_ms)}`));
    if (may(form, state, event).kind === "yes") return h("li.may", {}, h("strong", {}, `${text} `), h("span.badge", {}, say("machine.may")));
    const name = form.events[event].name;
    return h("li", {}, h("details", { "data-event": name, open: open.has(name) }, h("summary", {}, `${text} `, h("span.small", {}, say("machine.waits"))),
      listed(causes(run.night, run.answer?.plan, machine, event))));
  }));
  const count = document.querySelector(".meter strong");
  if (count) count.textContent = `${done.size} / ${form.events.length}`;
  document.querySelector(".meter progress")?.setAttribute("value", String(done.size));
  const values = new Map(form.vars.map((of, index) => [pick(of.words, of.name), valueOf(of, state.vals[index])]));
  for (const line of document.querySelectorAll("dl > div")) {
    const value = values.get(line.querySelector("dt")?.textContent ?? "");
    const place = line.querySelector("dd");
    if (value !== undefined && place) place.textContent = value;
  }
}
