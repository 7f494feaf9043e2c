// Practice sessions on the demo kitchen's forms: one that always does what is right, one that does what is wrong
// whenever it is offered, one that chooses blindly. Prints one line of figures for each form.
import { readFileSync } from "node:fs";
import { may, parse, read, whatIf } from "../client/form.js";
import { Session, chance } from "../client/practise.js";

const MEASURE = { moves_per_slip: 10, dangers: 0 };

function must(is, what) {
  if (!is) throw new Error(what);
}

function play(forms, seed, pick) {
  const session = new Session(forms.form, forms.free, MEASURE, chance(seed));
  const kinds = {};
  while (!session.isFinished) {
    must(!session.isStuck, `${forms.form.name}: nothing right can be done`);
    const judged = session.choices.map((event) => ({ event, verdict: session.judge(event) }));
    must(judged.some(({ verdict }) => verdict.kind === "right"), "something right is always offered");
    for (const { event, verdict } of judged) must(isTrue(session, event, verdict), `${forms.form.name}: ${event} is not ${verdict.kind}`);
    const { event } = pick(judged);
    const verdict = session.choose(event);
    kinds[verdict.kind] = (kinds[verdict.kind] ?? 0) + 1;
  }
  return { session, kinds };
}

/** A verdict against the interpreter that is held against the server's. */
function isTrue({ form, free, state }, event, verdict) {
  const [ordered, physical] = [may(form, state, event).kind, may(free, state, event).kind];
  switch (verdict.kind) {
    case "right":
      return ordered === "yes" && whatIf(form, state, event).hazards.length === 0;
    case "danger":
      return whatIf(free, state, event).hazards.length > 0;
    case "not-yet":
      return physical === "not" && verdict.causes.length > 0;
    case "later": {
      const then = whatIf(free, state, event).after;
      return ordered === "not" && physical === "yes" && whatIf(free, then, verdict.then).hazards.length > 0;
    }
    case "closed":
      return ordered === "not" && physical === "yes" && verdict.causes.length > 0;
    case "waits":
      return ordered === "not" && physical === "yes" && verdict.events.every((before) => !state.done[before]);
  }
}

const isRight = ({ verdict }) => verdict.kind === "right";
for (const line of readFileSync(process.argv[2], "utf8").split("\n")) {
  if (!line) continue;
  const wire = parse(line);
  const forms = { form: read(wire.form), free: read(wire.free) };
  const good = play(forms, 1, (judged) => judged.find(isRight));
  must(good.session.isPassed && good.session.slipCount === 0, "who does what is right passes");
  must(good.session.moves === good.session.progress.all, "each step once");
  const bad = play(forms, 2, (judged) => judged.find((one) => !isRight(one)) ?? judged[0]);
  must(!bad.session.isPassed, "who does what is wrong does not pass");
  must(bad.session.dangers > 0, "what would hurt somebody is among what is offered");
  const random = chance(3);
  const blind = play(forms, 3, (judged) => judged[Math.floor(random() * judged.length)]);
  must(!blind.session.isPassed, "who chooses blindly does not pass");
  console.log(forms.form.name, good.session.moves, bad.session.dangers, bad.session.slipCount, JSON.stringify(bad.kinds));
}
