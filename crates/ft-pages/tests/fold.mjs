// Folds nights as the tablet does and compares with what the server made of them.
import { readFileSync } from "node:fs";
import { isDeepStrictEqual } from "node:util";
import { fold } from "../client/fold.js";
import { parse, read } from "../client/form.js";

function told(night) {
  const machine = night.machines.get("m");
  const done = [...machine.done].sort(([a], [b]) => a - b).map(([event, is]) => [event, is.by, is.at_ms, is.id]);
  const parts = [...night.parts].map(([key, is]) => {
    const [, part, side] = JSON.parse(key);
    return [`${part} ${side ?? ""}`, is.state === "missing", is.state === "laid-out"];
  });
  parts.sort((a, b) => (JSON.stringify(a) < JSON.stringify(b) ? -1 : 1));
  const timers = [...night.timers].map(([timer, is]) => [timer, is.ends_ms]).sort();
  return { vals: machine.state.vals, done, conflicts: machine.conflicts.map(({ event, of }) => [machine.form.events[event].name, of.id]), parts, timers };
}

let count = 0;
for (const line of readFileSync(process.argv[2], "utf8").split("\n")) {
  if (!line) continue;
  const { form, events, night } = parse(line);
  const got = told(fold([{ machine: "m", label: "m", form: read(form) }], events));
  if (!isDeepStrictEqual(got, night)) {
    for (const key of Object.keys(night).filter((key) => !isDeepStrictEqual(got[key], night[key]))) {
      console.error(`${form.name}, ${key}\n  Rust: ${JSON.stringify(night[key])}\n  here: ${JSON.stringify(got[key])}`);
    }
    process.exit(1);
  }
  count += 1;
}
console.log(count);
