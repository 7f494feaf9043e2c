// A machine file, proved while somebody types.

import { fill, h, the } from "./dom.js";
import { SignedOut, ask } from "./send.js";
import { failed } from "./shell.js";
import { say } from "./words.js";

/** How long nobody types before the text is checked. Source: none, our choice. */
const PAUSE_MS = 400;

const text = /** @type {HTMLTextAreaElement} */ (the("text"));
let timer = 0;
/** Which of several answers is for the text as it is now. */
let asked = 0;
/** @type {string|null} */
let picture = null;

text.addEventListener("input", () => {
  clearTimeout(timer);
  the("verdict").textContent = say("file.checking");
  timer = window.setTimeout(() => void check(), PAUSE_MS);
});
document.addEventListener("selectionchange", caret);
void check();

function caret() {
  if (document.activeElement !== text) return;
  const before = text.value.slice(0, text.selectionStart).split("\n");
  the("caret").textContent = say("file.caret", { line: before.length, column: [...(before.at(-1) ?? "")].length + 1 });
}

async function check() {
  const mine = (asked += 1);
  try {
    const answer = await ask("/api/check", { text: text.value, name: text.dataset.name });
    if (mine === asked) show(answer);
  } catch (error) {
    if (error instanceof SignedOut) location.assign(`/sign-in?next=${encodeURIComponent(location.pathname)}`);
    else failed(error);
  }
}

/** @param {any} answer */
function show(answer) {
  const errors = answer.problems.filter((/** @type {any} */ one) => one.severity === "error");
  const flaws = answer.forms.flatMap((/** @type {any} */ form) => form.flaws.map((/** @type {any} */ flaw) => ({ title: form["x-title"], ...flaw })));
  const isLarge = answer.forms.some((/** @type {any} */ form) => form.verdict === "too-large");
  const verdict = the("verdict");
  verdict.dataset.good = String(errors.length + flaws.length === 0 && !isLarge);
  verdict.textContent =
    errors.length > 0 ? `✗ ${say("file.problems", { count: errors.length })}`
    : flaws.length > 0 ? `✗ ${say("file.flaw")}`
    : isLarge ? say("file.too-large")
    : `✓ ${say("file.proved")}`;
  fill(the("problems"), answer.problems.map(problem));
  fill(the("stories"), flaws.slice(0, 5).map((/** @type {any} */ flaw) =>
    h("section.flaw", {}, h("h3", {}, [flaw.title, flaw.kind].filter(Boolean).join(" · ")), h("ol", {}, flaw["x-told"].map((/** @type {string} */ line) => h("li", {}, line))))));
  draw(answer.order_svg ?? null);
  const changes = answer.plan ?? [];
  fill(the("plan-change"), changes.length > 0 ? [h("h3", {}, say("file.plan")), h("ul", {}, changes.map((/** @type {string} */ line) => h("li", {}, line)))] : null);
}

/** A problem with the line that it is about and a caret under the place. @param {any} one */
function problem(one) {
  const line = text.value.split("\n")[one.line - 1] ?? "";
  const width = one.end_line === one.line ? Math.max(1, one.end_column - one.column) : 1;
  const go = h("button.quiet", { type: "button", click: () => jump(one.line, one.column) }, say("file.caret", { line: one.line, column: one.column }));
  return h("li", { "data-severity": one.severity },
    h("p", {}, h("code", {}, one.code), " ", one.message, " ", go),
    h("pre", { tabindex: 0, role: "group", "aria-label": one.message }, `${line}\n${" ".repeat(Math.max(0, one.column - 1))}${"^".repeat(width)}`),
    one.remedy ? h("p.small", {}, `${say("file.remedy")} ${one.remedy}`) : null);
}

/** @param {number} line @param {number} column */
function jump(line, column) {
  const lines = text.value.split("\n");
  const at = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0) + column - 1;
  text.focus();
  text.setSelectionRange(at, at);
  text.scrollTop = Math.max(0, ((line - 5) / lines.length) * text.scrollHeight);
}

/** @param {string|null} svg */
function draw(svg) {
  if (picture) URL.revokeObjectURL(picture);
  picture = svg ? URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })) : null;
  fill(the("order-picture"), picture ? h("img", { src: picture, alt: say("file.order") }) : null);
}
