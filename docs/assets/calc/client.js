// @ts-check
/**
 * The page's side of the calculator: opens the worker on first use, asks it, watches over it, tells how it stands.
 *
 * On a host the worker is shared, so what it does may be another page's; only what it said to have begun is blamed.
 * The caller decides which of several asks still matters; every ask given here gets its answer or its Failure.
 */
import { folder, fromFolder, fromSite, outdated, pass, unpacked } from "./channel.js";
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
const MUTE = 20000; // ms without a first word from a shared worker, whose script says it before it loads anything
const STALL = 60000; // ms without a word from one that loads
const REST = 5000; // ms after a failed start in which asks get its sentence at once

/** @type {Map<number, Open>} */
const open = new Map();
/** @type {Set<(status: Status) => void>} */
const listeners = new Set();
/** @type {Status} */
let status = { state: "asleep", sentence: "", loaded: 0, total: 0, note: "" };
/** @type {import("./channel.js").Channel | undefined} */
let worker;
let opening = false;
let share = true;
let greeted = false; // the worker has answered at all
let working = 0; // the ask that the worker is at
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
  if (worker && open.size === 0 && outdated()) leave();
  open.set(count, asked);
  if (worker) post({ id: count, kind: asked.kind, text: asked.text });
  else boot();
  if (!watch) keepWatch();
  return count;
}

/** @param {ToWorker} message */
function post(message) {
  worker?.post(message);
}

/** Open a worker under the next counter and give it all that is open. */
async function renew() {
  opening = true;
  failed = undefined;
  greeted = false;
  working = 0;
  heard = performance.now();
  const said = "Loading the calculator.";
  tell({ state: "loading", sentence: folder ? said : "", loaded: 0, total: 0 });
  try {
    const files = folder ? await unpacked("offline.js") : undefined;
    worker = files ? fromFolder(files, hear, broken) : fromSite(hear, broken, share);
    // One that is there already answers before a sentence could be read.
    if (!worker.known) tell({ sentence: said });
    heard = performance.now();
    post({ id: 0, kind: "hello", files });
    for (const [id, { kind, text }] of open) post({ id, kind, text });
  } catch (error) {
    give(error instanceof say.Failure ? error : say.workerRefused(String(error)));
  } finally {
    opening = false;
  }
}

/** @param {string} detail */
function broken(detail) {
  if (status.state === "ready") restart(say.crashed(detail), [...open.values()]);
  else if (worker?.shared && !greeted) {
    // A browser may refuse a worker that is shared where it allows one that is not.
    share = false;
    leave();
    renew();
  } else give(say.workerRefused(detail));
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
    case "begun":
      working = message.id;
      break;
    case "answer":
      if (message.id === 0) greet(JSON.parse(message.text));
      else {
        const asked = take(message.id);
        if (status.note) tell({ note: "" });
        asked?.resolve(JSON.parse(message.text));
      }
      break;
    case "progress":
      working = 0;
      open.get(message.id)?.progress(JSON.parse(message.text));
      break;
    case "want":
      provide(message.name);
      break;
    case "failed": {
      const { id, code, sentence, detail, fatal } = message;
      const failure = new say.Failure(code, sentence, { detail, fatal });
      if (id === null && status.state === "ready") restart(failure, [], "");
      else if (id === null) give(failure);
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
  greeted = true;
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
  if (working === id) working = 0;
  return asked;
}

function leave() {
  worker?.end();
  worker = undefined;
}

/**
 * Replace the worker. What may have caused it is told so, everything else is asked again.
 *
 * @param {say.Failure} failure
 * @param {Open[]} suspects
 * @param {string} note
 */
function restart(failure, suspects, note = failure.sentence) {
  for (const [id, asked] of open) if (suspects.includes(asked)) open.delete(id);
  leave();
  tell({ note });
  for (const asked of suspects) asked.reject(failure);
  renew();
}

/** Give up: nothing more is tried until somebody asks again. @param {say.Failure} failure */
function give(failure) {
  if (worker?.shared) pass();
  leave();
  failed = { failure, at: performance.now() };
  const asked = [...open.values()];
  open.clear();
  tell({ state: "failed", sentence: failure.sentence });
  for (const each of asked) each.reject(failure);
}

/** Watch over the worker while something is open: no word for too long, and it is replaced. */
function keepWatch() {
  const due = performance.now() + PING / 2;
  watch = setTimeout(async () => {
    const now = performance.now();
    if (open.size === 0 && status.state !== "loading") {
      watch = undefined;
      return;
    }
    // A page that itself slept or was busy has not listened, so the silence is its own.
    if (now - due > PING / 2) heard = now;
    const silent = now - heard;
    if (status.state === "loading") {
      if (silent > STALL) give(say.stalled());
      // Some shared workers never start and never say so.
      else if (silent > MUTE && worker?.shared && !greeted) broken("");
      else if (silent > SILENCE && !greeted && (await met(worker))) restart(say.hung(), []);
    } else if (silent > SILENCE) {
      const suspect = open.get(working);
      restart(say.hung(), suspect ? [suspect] : []);
    } else if (now - pinged >= PING && worker) {
      pinged = now;
      post({ id: 0, kind: "ping" });
    }
    keepWatch();
  }, PING / 2);
}

/**
 * Tell whether this is still our worker, and one that was up before we came and now hangs.
 *
 * @param {import("./channel.js").Channel | undefined} mine
 */
async function met(mine) {
  const settled = await mine?.settled();
  return settled && mine === worker && !greeted;
}

/** @param {Partial<Status>} change */
function tell(change) {
  status = { ...status, ...change };
  for (const listener of listeners) listener(status);
}
