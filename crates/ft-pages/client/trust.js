// What works on this device as it is connected now, said honestly.

import { h, the } from "./dom.js";
import { say } from "./words.js";

/** @type {[string, boolean][]} */
const abilities = [
  [say("trust.queue"), "indexedDB" in globalThis],
  [say("trust.worker"), isSecureContext && "serviceWorker" in navigator],
  [say("trust.wake"), isSecureContext && "wakeLock" in navigator],
  [say("trust.speech"), "speechSynthesis" in globalThis],
];

the("abilities").replaceChildren(
  ...abilities.map(([what, can]) => h("li", {}, `${can ? "✓" : "✗"} ${can ? say("trust.can", { what }) : say("trust.cannot", { what })}`)),
);
