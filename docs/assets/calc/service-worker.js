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
  const kept = keep(pages, () => toPages({})).then(() => (home.registration.active ? undefined : home.skipWaiting()));
  event.waitUntil(kept.catch(tellUnkept));
});

home.addEventListener("activate", (event) => {
  event.waitUntil(tidy().then(() => home.clients.claim()));
});

home.addEventListener("message", (event) => {
  if (event.data === "take over") home.skipWaiting();
  if (event.data !== "keep") return;
  const port = event.ports[0];
  const done = keep(runtime, (loaded, total) => port?.postMessage({ loaded, total })).then(
    () => port?.postMessage({ unkept: null }),
    (error) => port?.postMessage({ unkept: reason(error) }),
  );
  event.waitUntil(done);
});

home.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(scope)) return;
  event.respondWith(request.mode === "navigate" ? move(request) : answer(request));
});

// ms without a byte of a file, after which it is given up.
const STALL = 20000;

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

/** A file that could not be kept, and why. */
class Unkept extends Error {
  /** @param {string} path @param {"missing" | "altered" | "unreachable" | "full"} why */
  constructor(path, why) {
    super(`${path}: ${why}`);
    this.path = path;
    this.why = why;
  }
}

/** @param {unknown} error what a page is told of it */
function reason(error) {
  return error instanceof Unkept ? { path: error.path, why: error.why } : { path: "", why: "refused" };
}

/** Tell the pages why this build cannot be kept; what an earlier one keeps stays. @param {unknown} error */
async function tellUnkept(error) {
  await toPages({ unkept: reason(error) });
  throw error;
}

/** Say to the pages that it goes on, or how it ended. @param {object} word */
async function toPages(word) {
  const all = await home.clients.matchAll({ includeUncontrolled: true, type: "window" });
  for (const page of all) page.postMessage(word);
}

/**
 * Fetch what is not kept yet, each file proved by its hash: a site in the middle of an upload is not kept.
 *
 * A file that is missing or altered does not stop the others, so that a later try has it alone to fetch.
 *
 * @param {Map<string, string>} files
 * @param {(loaded: number, total: number) => void} [tell] hears every movement: files done, files in all
 */
async function keep(files, tell = () => {}) {
  const cache = await caches.open(store);
  /** @type {Unkept | undefined} */
  let first;
  let done = 0;
  for (const [path, hash] of files) {
    try {
      if (!(await cache.match(key(path, hash)))) {
        const { bytes, type } = await proved(path, hash, () => tell(done, files.size));
        const found = new Response(bytes, { headers: { "content-type": type } });
        await cache.put(key(path, hash), found).catch(() => {
          throw new Unkept(path, "full");
        });
      }
      done += 1;
      tell(done, files.size);
    } catch (error) {
      if (!(error instanceof Unkept) || error.why === "unreachable" || error.why === "full") throw error;
      first ??= error;
    }
  }
  if (first) throw first;
}

/**
 * Fetch one file and prove it by its hash.
 *
 * @param {string} path
 * @param {string} hash
 * @param {() => void} moved hears each part that comes
 */
async function proved(path, hash, moved) {
  const stop = new AbortController();
  let watch = setTimeout(() => stop.abort(), STALL);
  try {
    const found = await fetch(new URL(path, scope), { cache: "no-cache", signal: stop.signal }).catch(() => {
      throw new Unkept(path, "unreachable");
    });
    if (!found.ok) throw new Unkept(path, "missing");
    const parts = new TransformStream({
      transform(part, to) {
        clearTimeout(watch);
        watch = setTimeout(() => stop.abort(), STALL);
        moved();
        to.enqueue(part);
      },
    });
    const bytes = await new Response(found.body?.pipeThrough(parts)).arrayBuffer().catch(() => {
      throw new Unkept(path, "unreachable");
    });
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    const hex = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
    if (!hex.startsWith(hash)) throw new Unkept(path, "altered");
    return { bytes, type: found.headers.get("content-type") ?? "application/octet-stream" };
  } finally {
    clearTimeout(watch);
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
