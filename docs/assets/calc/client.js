// @ts-check
/**
 * The page's side of the calculator: opens the worker on first use, asks it, watches over it, tells how it stands.
 *
 * The caller decides which of several asks still matters; every ask given here gets its answer or its Failure.
 */
import * as say from "./contract.js";

/** @typedef {import("./contract.js").ToPage} ToPage */
/** @typedef {import("./contract.js").ToWorker} ToWorker */
/**
 * @typedef {object} Status
 * @property {"asleep" | "loading" | "ready" | "failed"} state
 * @property {string} sentence for the reader; empty while asleep
 * @property {number} loaded bytes
 * @property {number} total bytes
 * @property {string} note what happened to an earlier worker; empty once an answer came
 */
/**
 * @typedef {object} Open an ask without its answer
 * @property {"ask" | "long"} kind
 * @property {string} text
 * @property {(answer: any) => void} resolve
 * @property {(failure: say.Failure) => void} reject
 * @property {(progress: any) => void} progress
 */

const PING = 2000; // ms between two heartbeats while something is open
const SILENCE = 5000; // ms without a word from a worker that is up
const STALL = 60000; // ms without a word from one that loads
const REST = 5000; // ms after a failed start in which asks get its sentence at once

const script = /** @type {HTMLScriptElement} */ (document.currentScript).src;
const folder = location.protocol === "file:";

/** @type {Map<number, Open>} */
const open = new Map();
/** @type {Set<(status: Status) => void>} */
const listeners = new Set();
/** @type {Status} */
let status = { state: "asleep", sentence: "", loaded: 0, total: 0, note: "" };
/** @type {Worker | undefined} */
let worker;
let opening = false;
let opened = 0; // how many workers this page has opened
let count = 0;
let heard = 0;
let pinged = 0;
/** @type {{failure: say.Failure, at: number} | undefined} */
let failed;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let watch;

/**
 * Ask for one answer.
 *
 * @param {object} request
 * @returns {Promise<any>} rejects with a Failure, whose `sentence` is for the reader
 */
export function ask(request) {
  return new Promise((resolve, reject) => {
    send({ kind: "ask", text: JSON.stringify(request), resolve, reject, progress: () => {} });
  });
}

/**
 * Start long work.
 *
 * @param {object} request
 * @param {(progress: any) => void} [onProgress]
 * @returns {{promise: Promise<any>, stop: () => void}} `stop` makes the promise reject with code "stopped"
 */
export function long(request, onProgress = () => {}) {
  let id = 0;
  const promise = new Promise((resolve, reject) => {
    id = send({ kind: "long", text: JSON.stringify(request), resolve, reject, progress: onProgress });
  });
  return { promise, stop: () => open.has(id) && post({ id, kind: "stop" }) };
}

/**
 * Hear how the calculator stands, now and at every change.
 *
 * @param {(status: Status) => void} listener
 * @returns {() => void} stops it
 */
export function onStatus(listener) {
  listeners.add(listener);
  listener(status);
  return () => listeners.delete(listener);
}

/** Start the calculator, so that it is ready when it is needed. */
export function boot() {
  if (!worker && !opening) renew();
}

/** @param {Open} asked @returns {number} */
function send(asked) {
  count += 1;
  if (failed && performance.now() - failed.at < REST) {
    asked.reject(failed.failure);
    return count;
  }
  open.set(count, asked);
  if (worker) post({ id: count, kind: asked.kind, text: asked.text });
  else boot();
  if (!watch) keepWatch();
  return count;
}

/** @param {ToWorker} message */
function post(message) {
  worker?.postMessage(message);
}

/** Open a worker under the next counter and give it all that is open. */
async function renew() {
  opening = true;
  opened += 1;
  failed = undefined;
  heard = performance.now();
  tell({ state: "loading", sentence: "Loading the calculator.", loaded: 0, total: 0 });
  try {
    const files = folder ? await unpacked("offline.js") : undefined;
    worker = files ? fromFolder(files) : fromSite();
    const mine = worker;
    worker.onmessage = ({ data }) => mine === worker && hear(data);
    worker.onerror = (event) => {
      event.preventDefault();
      if (mine !== worker) return;
      if (status.state === "ready") restart(say.crashed(event.message ?? ""), [...open.values()]);
      else give(say.workerRefused(event.message ?? ""));
    };
    heard = performance.now();
    post({ id: 0, kind: "hello", files });
    for (const [id, { kind, text }] of open) post({ id, kind, text });
  } catch (error) {
    give(error instanceof say.Failure ? error : say.workerRefused(String(error)));
  } finally {
    opening = false;
  }
}

function fromSite() {
  const address = new URL(`worker.js?v=${HANDBOOK_BUILD}`, script);
  return new Worker(address, { type: "module", name: `handbook-${HANDBOOK_BUILD}-${opened}` });
}

/** @param {Record<string, string>} files */
function fromFolder(files) {
  const code = new Blob([files["worker.js"]], { type: "text/javascript" });
  delete files["worker.js"];
  // The search of the theme puts a stand-in in the place of Worker on pages opened from a folder.
  const Native = /** @type {any} */ (window).NativeWorker ?? Worker;
  return /** @type {Worker} */ (new Native(URL.createObjectURL(code)));
}

/** @param {string} name @returns {Promise<Record<string, string>>} the files that a script of the folder holds */
async function unpacked(name) {
  const element = document.createElement("script");
  element.src = new URL(name, script).href;
  await new Promise((resolve, reject) => {
    element.onload = resolve;
    element.onerror = () => reject(say.missingFile(name, "unpack the whole folder first"));
    document.head.append(element);
  });
  element.remove();
  const holder = /** @type {{HANDBOOK_OFFLINE?: Record<string, string>}} */ (globalThis);
  const files = holder.HANDBOOK_OFFLINE ?? {};
  delete holder.HANDBOOK_OFFLINE;
  return files;
}

/** @param {ToPage} message */
function hear(message) {
  heard = performance.now();
  switch (message.kind) {
    case "boot": {
      const { state, sentence, loaded, total } = message;
      tell({ state, sentence, loaded, total });
      break;
    }
    case "answer":
      if (message.id === 0) greet(JSON.parse(message.text));
      else {
        const asked = take(message.id);
        if (status.note) tell({ note: "" });
        asked?.resolve(JSON.parse(message.text));
      }
      break;
    case "progress":
      open.get(message.id)?.progress(JSON.parse(message.text));
      break;
    case "want":
      provide(message.name);
      break;
    case "failed": {
      const { id, code, sentence, detail, fatal } = message;
      const failure = new say.Failure(code, sentence, { detail, fatal });
      if (id === null) give(failure);
      else {
        const asked = take(id);
        if (fatal) restart(failure, asked ? [asked] : []);
        else asked?.reject(failure);
      }
    }
  }
}

/** @param {{build: string}} hello */
function greet({ build }) {
  if (build !== HANDBOOK_BUILD) give(say.otherBuild());
}

/** @param {string} name */
async function provide(name) {
  const files = await unpacked(`offline-${name.replace(/\.zip$/, ".js")}`).catch(() => null);
  post({ kind: "bytes", name, text: files?.[name] ?? null });
}

/** @param {number} id */
function take(id) {
  const asked = open.get(id);
  open.delete(id);
  return asked;
}

/**
 * Replace the worker. What may have caused it is told so, everything else is asked again.
 *
 * @param {say.Failure} failure
 * @param {Open[]} suspects
 */
function restart(failure, suspects) {
  for (const [id, asked] of open) if (suspects.includes(asked)) open.delete(id);
  worker?.terminate();
  worker = undefined;
  tell({ note: failure.sentence });
  for (const asked of suspects) asked.reject(failure);
  renew();
}

/** Give up: nothing more is tried until somebody asks again. @param {say.Failure} failure */
function give(failure) {
  worker?.terminate();
  worker = undefined;
  failed = { failure, at: performance.now() };
  const asked = [...open.values()];
  open.clear();
  tell({ state: "failed", sentence: failure.sentence });
  for (const each of asked) each.reject(failure);
}

/** Watch over the worker while something is open: no word for too long, and it is replaced. */
function keepWatch() {
  const due = performance.now() + PING / 2;
  watch = setTimeout(() => {
    watch = undefined;
    const now = performance.now();
    if (open.size === 0 && status.state !== "loading") return;
    // A page that itself slept or was busy has not listened, so the silence is its own.
    if (now - due > PING / 2) heard = now;
    const silent = now - heard;
    if (status.state === "loading") {
      if (silent > STALL) give(say.stalled());
    } else if (silent > SILENCE) {
      // The oldest ask is the one at work; long work may be at work between any two.
      const asks = [...open.values()];
      const first = asks.find(({ kind }) => kind === "ask");
      restart(say.hung(), asks.filter((each) => each === first || each.kind === "long"));
    } else if (now - pinged >= PING && worker) {
      pinged = now;
      post({ id: 0, kind: "ping" });
    }
    keepWatch();
  }, PING / 2);
}

/** @param {Partial<Status>} change */
function tell(change) {
  status = { ...status, ...change };
  for (const listener of listeners) listener(status);
}
