// @ts-check
/**
 * Keeps the hosted site on the reader's device; a copy opened from a folder needs none of this.
 */
import { onStatus } from "./client.js";

const script = /** @type {HTMLScriptElement} */ (document.currentScript).src;
const root = new URL("../../", script);
const able = location.protocol !== "file:" && "serviceWorker" in navigator;
const SILENCE = 40000; // ms without a word from the keeper, who gives a file up in half of that

/** @typedef {{path: string, why: string}} Unkept what could not be kept; no path where it is not about a file */
/** @type {Record<string, (path: string) => string>} */
const WHY = {
  missing: (path) => `${path} is missing from the site`,
  altered: (path) => `${path} is not the file that this handbook was built with`,
  unreachable: (path) => `${path} could not be loaded: there is no connection`,
  full: (path) => `there is no room for ${path}`,
  silent: () => "the browser gave no answer",
  refused: () => "this browser keeps nothing for this site",
};

/** Register the keeper of pages and, once the calculator was used here, keep the calculator too. */
export function keepPages() {
  if (!able) return;
  // Here and not in the page: from a folder a browser refuses a manifest, and says so.
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = new URL("manifest.webmanifest", root).href;
  document.head.append(link);
  // A reader who forbids storage still has the site, with signal.
  register().catch(() => {});
  for (const place of document.querySelectorAll("[data-keep]")) offer(/** @type {HTMLElement} */ (place));
  const stop = onStatus(({ state }) => {
    if (state !== "ready") return;
    stop();
    keepCalculator().catch(() => {});
  });
}

function register() {
  return navigator.serviceWorker.register(new URL("service-worker.js", root), {
    scope: root.pathname,
    updateViaCache: "none",
  });
}

/**
 * Offer to keep all of it now, on a device that may be without signal before the calculator was used.
 *
 * @param {HTMLElement} place holds a button and a place for words
 */
function offer(place) {
  const button = place.querySelector("button");
  const words = place.querySelector("[role=status]");
  if (!button || !words) return;
  place.hidden = false;
  button.onclick = async () => {
    button.disabled = true;
    words.textContent = "Keeping the handbook on this device.";
    const unkept = await keepCalculator((loaded, total) => {
      words.textContent = `Keeping the handbook on this device: ${loaded} of ${total} files of the calculator.`;
    });
    words.textContent = unkept
      ? `Not all of it could be kept: ${WHY[unkept.why](unkept.path)}. What was kept before is still there. Try again later.`
      : "The whole handbook is kept on this device.";
    button.disabled = false;
    button.hidden = !unkept;
  };
}

/**
 * Keep the pages and the calculator on this device.
 *
 * @param {(loaded: number, total: number) => void} [onProgress] files kept, files in all
 * @returns {Promise<Unkept | null>} what could not be kept; nothing once all of it is
 */
export async function keepCalculator(onProgress = () => {}) {
  if (!able) return { path: "", why: "refused" };
  const ended = new AbortController();
  try {
    return await new Promise((resolve) => keeping(resolve, onProgress, ended.signal));
  } finally {
    ended.abort();
  }
}

/**
 * @param {(end: Unkept | null) => void} resolve
 * @param {(loaded: number, total: number) => void} onProgress
 * @param {AbortSignal} signal ends the listening
 */
async function keeping(resolve, onProgress, signal) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let watch;
  const heard = () => {
    clearTimeout(watch);
    watch = setTimeout(() => resolve({ path: "", why: "silent" }), SILENCE);
  };
  signal.addEventListener("abort", () => clearTimeout(watch));
  heard();
  /** @type {Unkept} */
  let why = { path: "", why: "silent" };
  const { serviceWorker } = navigator;
  // What the keeper says while it takes in the pages, and of one that it cannot keep, before it gives up.
  const told = (/** @type {MessageEvent} */ { data }) => {
    heard();
    why = data?.unkept ?? why;
  };
  serviceWorker.addEventListener("message", told, { signal });
  serviceWorker.startMessages();
  // A keeper that has given up is not registered any more; it tries again.
  const known = await register().catch(() => null);
  if (!known) {
    resolve({ path: "", why: "refused" });
    return;
  }
  const worker = known.active ?? (await activated(known.installing ?? known.waiting, signal));
  if (!worker) {
    // Its word may come a moment after its end.
    setTimeout(() => resolve(why), 500);
    return;
  }
  const { port1, port2 } = new MessageChannel();
  let done = 0;
  port1.onmessage = ({ data }) => {
    heard();
    if ("unkept" in data) resolve(data.unkept);
    else if (data.loaded > done) {
      done = data.loaded;
      onProgress(done, data.total);
    }
  };
  worker.postMessage("keep", [port2]);
}

/**
 * Wait for a keeper to take up its work.
 *
 * @param {ServiceWorker | null} worker
 * @param {AbortSignal} signal
 * @returns {Promise<ServiceWorker | null>} nothing where it gives up
 */
function activated(worker, signal) {
  return new Promise((resolve) => {
    const look = () => {
      if (!worker || worker.state === "redundant") resolve(null);
      else if (worker.state === "activated") resolve(worker);
    };
    worker?.addEventListener("statechange", look, { signal });
    look();
  });
}
