// @ts-check
/**
 * Keeps the hosted handbook for a tablet without signal: the pages at once, the calculator once it was used.
 *
 * Every file is kept under its hash, so a new build fetches only what changed and never mixes with an old one.
 * A build holds until its pages are closed or the only open one moves on; then the waiting build takes over.
 */

const home = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const scope = home.registration.scope;
const store = `handbook ${scope}`;
const pages = new Map(Object.entries(HANDBOOK_KEPT.pages));
const runtime = new Map(Object.entries(HANDBOOK_KEPT.runtime));
// A handbook served on the reader's own machine may be in the middle of being written: there the server is asked first.
const near = /^(localhost|127\.\d+\.\d+\.\d+|\[::1\])$/.test(new URL(scope).hostname);

home.addEventListener("install", (event) => {
  event.waitUntil(keep(pages).then(() => (home.registration.active ? undefined : home.skipWaiting())));
});

home.addEventListener("activate", (event) => {
  event.waitUntil(tidy().then(() => home.clients.claim()));
});

home.addEventListener("message", (event) => {
  if (event.data === "take over") home.skipWaiting();
  if (event.data !== "keep") return;
  const port = event.ports[0];
  const done = keep(runtime, (loaded, total) => port?.postMessage({ loaded, total })).then(
    () => port?.postMessage({ done: true }),
    () => port?.postMessage({ done: false }),
  );
  event.waitUntil(done);
});

home.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(scope)) return;
  event.respondWith(request.mode === "navigate" ? move(request) : answer(request));
});

// How often this build has sent a reader on to the next one; it may still be asked while the next one takes over.
let left = 0;
const MOST_TIMES_LEFT = 20;

/** A reader moves to another page. @param {Request} request */
async function move(request) {
  const waiting = home.registration.waiting;
  const alone = waiting && (await home.clients.matchAll({ type: "window" })).length <= 1;
  if (alone || (left > 0 && left < MOST_TIMES_LEFT)) {
    left += 1;
    waiting?.postMessage("take over");
    // The same address again, a moment later, from the build that has taken over.
    return new Response("", { headers: { Refresh: "0" } });
  }
  return answer(request);
}

/** @param {Request} request */
async function answer(request) {
  if (near) return fetch(request).catch(async () => (await kept(request)) ?? Response.error());
  return (await kept(request)) ?? fetch(request).catch(async () => (await missing(request)) ?? Response.error());
}

/** @param {Request} request */
async function kept(request) {
  const path = named(request.url);
  const hash = pages.get(path) ?? runtime.get(path);
  // A reload that goes past every cache wants the file itself.
  if (!hash || (!near && request.cache === "reload" && request.mode !== "navigate")) return undefined;
  return (await caches.open(store)).match(key(path, hash));
}

/** @param {Request} request */
async function missing(request) {
  const hash = pages.get("404.html");
  return hash && request.mode === "navigate" ? (await caches.open(store)).match(key("404.html", hash)) : undefined;
}

/**
 * Fetch what is not kept yet, each file proved by its hash: a site in the middle of an upload is not kept.
 *
 * @param {Map<string, string>} files
 * @param {(loaded: number, total: number) => void} [tell] files done, files in all
 */
async function keep(files, tell = () => {}) {
  const cache = await caches.open(store);
  let done = 0;
  for (const [path, hash] of files) {
    if (!(await cache.match(key(path, hash)))) {
      const found = await fetch(new URL(path, scope), { cache: "no-cache" });
      if (!found.ok) throw new Error(`${path} is not there`);
      const bytes = await found.arrayBuffer();
      const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
      const hex = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
      if (!hex.startsWith(hash)) throw new Error(`${path} belongs to another build`);
      const type = found.headers.get("content-type") ?? "application/octet-stream";
      await cache.put(key(path, hash), new Response(bytes, { headers: { "content-type": type } }));
    }
    done += 1;
    tell(done, files.size);
  }
}

/** Drop what this build has no use for. */
async function tidy() {
  const cache = await caches.open(store);
  const used = new Set([...pages, ...runtime].map(([path, hash]) => key(path, hash)));
  for (const request of await cache.keys()) if (!used.has(request.url)) await cache.delete(request);
}

/** @param {string} path @param {string} hash */
function key(path, hash) {
  return new URL(`${path}?kept=${hash}`, scope).href;
}

/** @param {string} address */
function named(address) {
  const { origin, pathname } = new URL(address);
  const path = decodeURIComponent((origin + pathname).slice(scope.length));
  return path === "" || path.endsWith("/") ? `${path}index.html` : path;
}
