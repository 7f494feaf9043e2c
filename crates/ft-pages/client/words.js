// The words of the pages on the device: the same table as the server's.

export const language = document.documentElement.lang || "en";

const words = await (await fetch(`/assets/words-${language}.json`)).json();

/** A text with its blanks filled in. @param {string} key @param {Record<string, string|number>} [blanks] @returns {string} */
export function say(key, blanks = {}) {
  const text = words[key] ?? "…";
  return text.replace(/\{(\w+)\}/g, (/** @type {string} */ _, /** @type {string} */ blank) => String(blanks[blank] ?? "…"));
}

/** Words of a machine file in the page's language. @param {Record<string, string>} of @param {string} otherwise @returns {string} */
export function pick(of, otherwise) {
  return of[language] ?? of.en ?? otherwise;
}

/** A time of day. @param {number} ms @returns {string} */
export function clock(ms) {
  return new Date(ms).toLocaleTimeString(language, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}

/** A span as minutes and seconds, or hours too; never less than nothing. @param {number} ms @returns {string} */
export function span(ms) {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  const [minute, second] = [Math.floor(seconds / 60), String(seconds % 60).padStart(2, "0")];
  return minute < 60 ? `${minute}:${second}` : `${Math.floor(minute / 60)}:${String(minute % 60).padStart(2, "0")}:${second}`;
}

/** Names as a list. @param {string[]} names @returns {string} */
export function list(names) {
  return new Intl.ListFormat(language, { type: "conjunction" }).format(names);
}
