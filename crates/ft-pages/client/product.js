// Product checks: weights of a cup or one reading; the server says the verdict and the usual mistake by its name.

import { dialog, h } from "./dom.js";
import { language, say } from "./words.js";

const PATIENCE_MS = 8000;

/** A number as somebody types it, with a dot or a comma; NaN where it is none. @param {string} text */
function number(text) {
  return text.trim() === "" ? NaN : Number(text.trim().replace("−", "-").replace(",", "."));
}

/** @param {string} id @param {string} label @param {string} [value] */
function field(id, label, value = "") {
  const input = /** @type {HTMLInputElement} */ (h("input", { id, name: id, inputmode: "decimal", autocomplete: "off", value }));
  return { input, shown: h("p", {}, h("label", { for: id }, label), " ", input), value: () => number(input.value) };
}

/** @param {import("./run.js").Run} run @param {DOMStringMap} of */
function check(run, of) {
  const unit = of.unit ?? "";
  const isCup = of.cup !== undefined;
  const low = field("band-low", say("product.band", { unit }), of.low);
  const high = field("band-high", "–", of.high);
  const gross = field("gross", say("product.gross"));
  const mix = field("mix", say("product.mix"));
  const tare = field("tare", say("product.tare"));
  const reported = field("reported", say("product.reported"));
  const value = field("value", say("product.value", { unit }));
  high.input.setAttribute("aria-label", say("product.band", { unit }));
  const verdict = h("p.verdict", { id: "product-verdict", role: "status" });
  const save = /** @type {HTMLButtonElement} */ (h("button.act", { type: "button", id: "product-save", click: () => void send() }, say("product.check")));
  const fields = [...(of.band === undefined ? [] : [low, high]), ...(isCup ? [gross, mix, tare, reported] : [value])];
  const box = dialog(of.label ?? "", ...(of.within ? [h("p", {}, `${say("readings.limit")} `, h("strong", {}, of.within))] : []),
    ...fields.map((one) => one.shown), verdict, save, h("button.quiet", { type: "button", click: () => box.close() }, say("step.cancel")));

  /** @param {boolean|null} good @param {...string} words */
  function show(good, ...words) {
    verdict.dataset.good = String(good);
    verdict.textContent = words.filter(Boolean).join(" ");
  }

  async function send() {
    const [least, most] = of.band === undefined ? [number(of.low ?? ""), number(of.high ?? "")] : [low.value(), high.value()];
    if (of.band !== undefined && !(least <= most)) return show(null, say("product.band-missing"));
    /** @param {number} x */
    const known = (x) => (Number.isNaN(x) ? null : x);
    const asked = { unit, least: known(least), most: known(most), strict: of.strict !== undefined, value: known(value.value()),
      cup: isCup ? { gross: gross.value(), mix: mix.value(), tare: tare.value(), reported: known(reported.value()) } : null };
    save.disabled = true;
    try {
      const answer = await fetch(`/api/product?language=${language}`, {
        method: "POST", headers: { "content-type": "application/json", "x-fulltray": "1" }, body: JSON.stringify(asked), signal: AbortSignal.timeout(PATIENCE_MS),
      });
      const told = await answer.json();
      if (!answer.ok) return show(null, told.message, told.remedy);
      const within = of.band === undefined ? of.within : `${least}..${most} ${unit}`;
      await run.tell({ what: "reading", of: of.of, value: told.value, unit, source: "hand",
        ...(within === undefined ? {} : { within }), ...(told.good === null ? {} : { good: told.good }) }, of.machine);
      show(told.good, told.good === false ? "✗" : "✓", told.sentence, told.mistake ?? "", say("product.recorded"));
    } catch {
      show(null, say("product.offline"));
    } finally {
      save.disabled = false;
    }
  }
}

/** @param {import("./run.js").Run} run */
export function checks(run) {
  for (const button of document.querySelectorAll(".product .check")) {
    button.addEventListener("click", () => check(run, /** @type {HTMLElement} */ (button).dataset));
  }
}
