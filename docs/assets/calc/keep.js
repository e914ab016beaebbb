// @ts-check
/**
 * Keeps the hosted site on the reader's device; a copy opened from a folder needs none of this.
 */
import { onStatus } from "./client.js";

const script = /** @type {HTMLScriptElement} */ (document.currentScript).src;
const root = new URL("../../", script);
const able = location.protocol !== "file:" && "serviceWorker" in navigator;
/** @type {Promise<boolean>} whether this browser keeps anything for this site */
let registered = Promise.resolve(false);

/** Register the keeper of pages and, once the calculator was used here, keep the calculator too. */
export function keepPages() {
  if (!able) return;
  // Here and not in the page: from a folder a browser refuses a manifest, and says so.
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = new URL("manifest.webmanifest", root).href;
  document.head.append(link);
  // A reader who forbids storage still has the site, with signal.
  registered = navigator.serviceWorker
    .register(new URL("service-worker.js", root), { scope: root.pathname, updateViaCache: "none" })
    .then(
      () => true,
      () => false,
    );
  for (const place of document.querySelectorAll("[data-keep]")) offer(/** @type {HTMLElement} */ (place));
  const stop = onStatus(({ state }) => {
    if (state !== "ready") return;
    stop();
    keepCalculator().catch(() => {});
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
    const kept = await keepCalculator((loaded, total) => {
      words.textContent = `Keeping the handbook on this device: ${loaded} of ${total} files of the calculator.`;
    });
    words.textContent = kept
      ? "The whole handbook is kept on this device."
      : "Not all of it could be kept: there is no connection, or this browser keeps nothing for this site.";
    button.disabled = false;
    button.hidden = kept;
  };
}

/**
 * Keep the calculator on this device.
 *
 * @param {(loaded: number, total: number) => void} [onProgress] files kept, files in all
 * @returns {Promise<boolean>} whether all of it is kept now; false where the browser cannot keep
 */
export async function keepCalculator(onProgress = () => {}) {
  if (!(await registered)) return false;
  const { active } = await navigator.serviceWorker.ready;
  const { port1, port2 } = new MessageChannel();
  const kept = new Promise((/** @type {(done: boolean) => void} */ resolve) => {
    port1.onmessage = ({ data }) => {
      if ("done" in data) resolve(data.done);
      else onProgress(data.loaded, data.total);
    };
  });
  active?.postMessage("keep", [port2]);
  return kept;
}
