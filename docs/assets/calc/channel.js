// @ts-check
/**
 * How a page reaches a worker: one shared by the pages of a visit, one of its own, or one made of a folder's script.
 *
 * A shared worker goes by the build and a counter. One that hangs can be ended by no page, only left behind:
 * the counter is kept, so that the next page of the visit does not meet it again.
 */
import { missingFile } from "./contract.js";
import { readKept, writeKept } from "./storage.js";

/** @typedef {import("./contract.js").ToPage} ToPage */
/** @typedef {import("./contract.js").ToWorker} ToWorker */
/**
 * @typedef {object} Channel
 * @property {(message: ToWorker) => void} post
 * @property {() => void} end
 * @property {boolean} shared
 * @property {boolean} known a page of this visit has opened this worker before
 * @property {() => Promise<boolean>} settled whether only a hang can keep this worker from answering
 */

const script = /** @type {HTMLScriptElement} */ (document.currentScript).src;
const KEY = "worker";
// A counter that a page could not keep is a counter of that page alone, which still gets it past a worker that hangs.
let counter = 0;

export const folder = location.protocol === "file:";

/** @returns {number} the counter that the pages of this build have come to */
function reached() {
  const [build, count] = (readKept(KEY) ?? "").split(" ");
  return build === HANDBOOK_BUILD && /^\d{1,9}$/.test(count) ? Number(count) : 0;
}

/** Let the pages that come pass by the worker of this one, which cannot go on. */
export function pass() {
  if (counter >= reached()) writeKept(KEY, `${HANDBOOK_BUILD} ${counter + 1}`);
}

/** @param {number} count */
const nameOf = (count) => `handbook-${HANDBOOK_BUILD}-${count}`;

/** @param {string} name @returns {Promise<boolean>} whether a shared worker of this name is up, as its lock tells */
async function held(name) {
  const { held = [] } = (await navigator.locks?.query()) ?? {};
  return held.some((lock) => lock.name === name);
}

/** Tell whether the pages of this visit have a worker that is up. */
export const running = () => held(nameOf(reached()));

/** Tell whether another page has left the worker behind that this one still has. */
export function outdated() {
  return counter > 0 && reached() > counter;
}

/**
 * Open the worker of the visit, or the next one where this page has been with it already.
 *
 * @param {(message: ToPage) => void} hear
 * @param {(detail: string) => void} broken
 * @param {boolean} share
 * @returns {Channel}
 */
export function fromSite(hear, broken, share) {
  const known = reached() > counter;
  counter = known ? reached() : counter + 1;
  writeKept(KEY, `${HANDBOOK_BUILD} ${counter}`);
  const address = new URL(`worker.js?v=${HANDBOOK_BUILD}`, script);
  const name = nameOf(counter);
  if (share && typeof SharedWorker === "function") {
    try {
      return joined(address, name, known, hear, broken);
    } catch {
      // A browser may have shared workers and refuse them here; one of this page's own does the same work.
    }
  }
  return alone(new Worker(address, { type: "module", name }), hear, broken);
}

/**
 * @param {URL} address
 * @param {string} name
 * @param {boolean} known
 * @param {(message: ToPage) => void} hear
 * @param {(detail: string) => void} broken
 * @returns {Channel}
 */
function joined(address, name, known, hear, broken) {
  const options = { type: "module", name, extendedLifetime: true };
  const worker = new SharedWorker(address, /** @type {WorkerOptions} */ (options));
  const { port } = worker;
  let open = true;
  /** @param {ToWorker} message */
  const post = (message) => port.postMessage(message);
  port.onmessage = ({ data }) => {
    if (open) hear(data);
  };
  worker.onerror = (event) => {
    event.preventDefault();
    if (open) broken(/** @type {ErrorEvent} */ (event).message ?? "");
  };
  // What the worker says to everybody while it is at work, and so cannot take up a page that has just come.
  const tune = () => {
    const air = new BroadcastChannel(name);
    air.onmessage = ({ data }) => {
      if (open) hear(data);
    };
    return air;
  };
  let air = tune();
  const bye = () => {
    air.close();
    post({ kind: "bye" });
  };
  // A page that the browser keeps, to bring it back whole, joins again.
  const again = (/** @type {PageTransitionEvent} */ { persisted }) => {
    if (!persisted) return;
    air = tune();
    post({ id: 0, kind: "hello" });
  };
  window.addEventListener("pagehide", bye);
  window.addEventListener("pageshow", again);
  return {
    post,
    end: () => {
      open = false;
      window.removeEventListener("pagehide", bye);
      window.removeEventListener("pageshow", again);
      bye();
      port.close();
    },
    shared: true,
    known,
    settled: () => held(name),
  };
}

/**
 * @param {Worker} worker
 * @param {(message: ToPage) => void} hear
 * @param {(detail: string) => void} broken
 * @returns {Channel}
 */
function alone(worker, hear, broken) {
  let open = true;
  worker.onmessage = ({ data }) => {
    if (open) hear(data);
  };
  worker.onerror = (event) => {
    event.preventDefault();
    if (open) broken(event.message ?? "");
  };
  return {
    post: (message) => worker.postMessage(message),
    end: () => {
      open = false;
      worker.terminate();
    },
    shared: false,
    known: false,
    settled: async () => false,
  };
}

/**
 * Make a worker of what the folder's script holds.
 *
 * @param {Record<string, string>} files the worker's own script is taken out of them
 * @param {(message: ToPage) => void} hear
 * @param {(detail: string) => void} broken
 * @returns {Channel}
 */
export function fromFolder(files, hear, broken) {
  const code = new Blob([files["worker.js"]], { type: "text/javascript" });
  delete files["worker.js"];
  // The search of the theme puts a stand-in in the place of Worker on pages opened from a folder.
  const Native = /** @type {any} */ (window).NativeWorker ?? Worker;
  return alone(new Native(URL.createObjectURL(code)), hear, broken);
}

/** @param {string} name @returns {Promise<Record<string, string>>} the files that a script of the folder holds */
export async function unpacked(name) {
  const element = document.createElement("script");
  element.src = new URL(name, script).href;
  await new Promise((resolve, reject) => {
    element.onload = resolve;
    element.onerror = () => reject(missingFile(name, "unpack the whole folder first"));
    document.head.append(element);
  });
  element.remove();
  const holder = /** @type {{HANDBOOK_OFFLINE?: Record<string, string>}} */ (globalThis);
  const files = holder.HANDBOOK_OFFLINE ?? {};
  delete holder.HANDBOOK_OFFLINE;
  return files;
}
