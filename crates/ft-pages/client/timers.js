// Timers that ring and speak though the page is behind.
//
// A page that is not seen is given few ticks; a worker keeps them coming. A sound needs one touch before it may be
// made: whoever says *done* has touched.

import { language } from "./words.js";

/** @type {AudioContext|null} */
let audio = null;

/** After a touch: sounds may be made from now on. */
export function allowSound() {
  audio ??= new AudioContext();
  void audio.resume();
}

export function canSound() {
  return audio?.state === "running";
}

/** Three rising tones, as loud as the device is set. */
export function ring() {
  const sound = audio;
  if (!sound) return;
  [660, 880, 1100].forEach((pitch, index) => {
    const [tone, volume] = [sound.createOscillator(), sound.createGain()];
    const at = sound.currentTime + index * 0.28;
    tone.frequency.value = pitch;
    volume.gain.setValueAtTime(0.0001, at);
    volume.gain.exponentialRampToValueAtTime(0.9, at + 0.03);
    volume.gain.exponentialRampToValueAtTime(0.0001, at + 0.26);
    tone.connect(volume).connect(sound.destination);
    tone.start(at);
    tone.stop(at + 0.27);
  });
}

/** Says something in the page's language, where the device can. @param {string} text */
export function speak(text) {
  if (!("speechSynthesis" in window)) return;
  const words = new SpeechSynthesisUtterance(text);
  words.lang = language;
  const voice = speechSynthesis.getVoices().find((one) => one.lang.startsWith(language));
  if (voice) words.voice = voice;
  speechSynthesis.cancel();
  speechSynthesis.speak(words);
}

/** Calls once a second, also behind another page. @param {() => void} does */
export function everySecond(does) {
  const worker = new Worker("/assets/tick.js");
  worker.onmessage = does;
}

/** Keeps the screen on while the page is seen, where the browser lets it. */
export async function stayAwake() {
  if (!("wakeLock" in navigator)) return;
  const hold = async () => {
    if (document.visibilityState !== "visible") return;
    try {
      await navigator.wakeLock.request("screen");
    } catch {
      // The battery is low, or the browser does not want to; the night goes on without.
    }
  };
  document.addEventListener("visibilitychange", () => void hold());
  await hold();
}
