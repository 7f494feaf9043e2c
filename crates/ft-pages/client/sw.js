// The service worker: pages and what they are made of, kept so that a tablet can load them without network.
//
// The server is asked first, and what it says is kept; only when it does not answer is what was kept shown. So an
// update of the server needs no other care. Questions (`/api/…`) are not touched: the night is kept by the pages.

/** How long the server may take before what was kept is shown. Source: none, our choice. */
const PATIENCE_MS = 3000;
/** How long after that nobody is asked again. Source: none, our choice. */
const SILENCE_MS = 10_000;
const PAGES = "pages-1";
const ASSETS = "assets-1";

const worker = /** @type {any} */ (globalThis);

/** What every page needs, before it was ever opened. */
const FIRST = [
  "/assets/fulltray.css", "/assets/icon.svg", "/assets/app.webmanifest", "/assets/words-en.json", "/assets/words-es.json",
  "/assets/api.js", "/assets/differ.js", "/assets/dom.js", "/assets/file.js", "/assets/fold.js", "/assets/form.js", "/assets/ids.js",
  "/assets/live.js", "/assets/machine.js", "/assets/mine.js", "/assets/practice.js", "/assets/practise.js",
  "/assets/probes.js", "/assets/product.js", "/assets/queue.js", "/assets/readings.js",
  "/assets/run.js", "/assets/send.js", "/assets/shell.js", "/assets/sign-in.js", "/assets/step.js", "/assets/tell.js", "/assets/tick.js",
  "/assets/timers.js", "/assets/tonight.js", "/assets/tray.js", "/assets/trust.js", "/assets/why.js", "/assets/words.js",
];

worker.addEventListener("install", (/** @type {any} */ event) => {
  event.waitUntil(
    caches.open(ASSETS).then((cache) => cache.addAll(FIRST)).then(() => worker.skipWaiting()),
  );
});

worker.addEventListener("activate", (/** @type {any} */ event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name !== PAGES && name !== ASSETS).map((name) => caches.delete(name))))
      .then(() => worker.clients.claim()),
  );
});

worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const url = new URL(event.request.url);
  const isOurs = url.origin === location.origin && event.request.method === "GET";
  if (!isOurs || url.pathname.startsWith("/api/") || url.pathname === "/health" || url.pathname === "/metrics") return;
  const isPage = event.request.mode === "navigate";
  event.respondWith(firstAsked(event.request, isPage ? PAGES : ASSETS));
});

/** Until when nobody is asked again: a page is made of many files, and one of them has waited already. */
let silentUntil = 0;

/** What the server says, else what it said before. @param {Request} request @param {string} shelf @returns {Promise<Response>} */
async function firstAsked(request, shelf) {
  const cache = await caches.open(shelf);
  const kept = await cache.match(request, { ignoreSearch: shelf === PAGES });
  if (kept && Date.now() < silentUntil) return kept;
  try {
    const answer = await fetch(request, kept ? { signal: AbortSignal.timeout(PATIENCE_MS) } : {});
    // A page that led elsewhere, such as to sign-in, is not this page.
    if (answer.ok && !answer.redirected) await cache.put(withoutSearch(request.url), answer.clone());
    return answer.status >= 502 && kept ? kept : answer;
  } catch (error) {
    silentUntil = Date.now() + SILENCE_MS;
    if (kept) return kept;
    throw error;
  }
}

/** @param {string} url */
function withoutSearch(url) {
  const of = new URL(url);
  of.search = "";
  return of.href;
}
