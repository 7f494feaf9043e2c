// Replays walks that the Rust prover made: for each place of each walk its answers, compared word for word.
import { readFileSync } from "node:fs";
import { isDeepStrictEqual } from "node:util";
import { may, parse, read, start, whatIf, whyNotYet } from "../client/form.js";

const mask = (part) => String(part.allows.reduce((sum, bit, index) => sum + (bit ? 1n << BigInt(index) : 0n), 0n));
const pair = (part) => [part.v, mask(part)];

function answers(form, state, event) {
  const asked = may(form, state, event);
  const would = whatIf(form, state, event);
  return {
    event,
    may:
      asked.kind === "not" && asked.why.kind === "blocked"
        ? { kind: "not", why: { kind: "blocked", parts: asked.why.parts.map(pair) } }
        : asked,
    whatIf: {
      vals: would.after.vals,
      hazards: would.hazards,
      opens: would.opens,
      closes: would.closes,
      isDeadEnd: would.isDeadEnd,
      missed: would.missed.map(pair),
    },
    why: whyNotYet(form, state, event).map((cause) => (cause.kind === "blocked" ? { ...cause, part: pair(cause.part) } : cause)),
  };
}

let asked = 0;
for (const line of readFileSync(process.argv[2], "utf8").split("\n")) {
  if (!line) continue;
  const { form: wire, walk } = parse(line);
  const form = read(wire);
  let state = start(form);
  for (const place of walk) {
    for (const expected of place.asked) {
      const got = answers(form, state, expected.event);
      asked += 1;
      if (!isDeepStrictEqual(got, expected)) {
        console.error(`${form.name}: event ${expected.event}\n  Rust: ${JSON.stringify(expected)}\n  here: ${JSON.stringify(got)}`);
        process.exit(1);
      }
    }
    if (place.then !== null) state = whatIf(form, state, place.then).after;
  }
}
console.log(asked);
