// @ts-check
/**
 * What page and worker say to each other, and the sentence for everything that can go wrong between them.
 *
 * @typedef {{id: number, kind: "hello" | "ask" | "long" | "stop" | "ping", text?: string,
 *   files?: Record<string, string>} | {kind: "bye"} | {kind: "bytes", name: string, text: string | null}} ToWorker
 *   `text` of ask and long is the request as JSON; a page opened from a folder hands over the files as base64;
 *   a page that shares its worker says "bye" when it goes.
 *
 * @typedef {{id: number, kind: "answer" | "progress", text: string}
 *   | {id: number, kind: "begun" | "pong"}
 *   | {kind: "alive"}
 *   | {kind: "boot", state: "loading" | "ready", sentence: string, loaded: number, total: number}
 *   | {kind: "want", name: string}
 *   | {id: number | null, kind: "failed", code: string, sentence: string, detail: string, fatal: boolean}} ToPage
 *   "begun" comes before each stretch of work, "alive" from within one; a failure without an id is the end of the worker
 *   itself.
 */

const STILL_RIGHT = "The worked examples on this page are still right.";

/** Something that ends an ask, with the sentence to show beside what was asked. */
export class Failure extends Error {
  /**
   * @param {string} code one short word for programs
   * @param {string} sentence what happened and what to do, for the reader
   * @param {{detail?: string, fatal?: boolean}} [more] `fatal`: this worker cannot go on
   */
  constructor(code, sentence, { detail = "", fatal = false } = {}) {
    super(sentence);
    this.name = "Failure";
    this.code = code;
    this.sentence = sentence;
    this.detail = detail;
    this.fatal = fatal;
  }
}

/** @param {string} name @param {string} reason */
export function missingFile(name, reason) {
  return new Failure(
    "missing",
    `The file ${name} is missing from this copy of the handbook (${reason}), so nothing can be computed live. ` +
      `${STILL_RIGHT} Publish or unpack the whole folder again.`,
    { fatal: true },
  );
}

/** @param {string} name */
export function unreachableFile(name) {
  return new Failure(
    "unreachable",
    `The file ${name} could not be loaded: there is no connection. ` +
      `${STILL_RIGHT} Change a value again when the connection is back.`,
    { fatal: true },
  );
}

/** @param {string} name @param {string} expected @param {string} found */
export function wrongFile(name, expected, found) {
  return new Failure(
    "hash",
    `The file ${name} is not the one this handbook was built with, so nothing of it was used: ` +
      `expected ${expected}, found ${found}. ${STILL_RIGHT} ` +
      "Reload the page; if that does not help, publish or unpack the whole folder again.",
    { fatal: true },
  );
}

export function noWebAssembly() {
  return new Failure(
    "webassembly",
    "This browser has WebAssembly switched off, and the calculator runs on it. " +
      `${STILL_RIGHT} Switch it on (a lockdown mode may hold it off), or use another browser.`,
    { fatal: true },
  );
}

/** @param {string} detail */
export function workerRefused(detail) {
  return new Failure(
    "refused",
    "The browser did not start the calculator's worker: its file worker.js is missing, or workers are blocked. " +
      `${STILL_RIGHT} Reload the page; if that does not help, use another browser.`,
    { detail, fatal: true },
  );
}

/** @param {string} detail */
export function outOfMemory(detail) {
  return new Failure(
    "memory",
    "There is not enough memory for this calculation. What you typed is kept. " +
      "Close other tabs or programs and change a value to try again.",
    { detail, fatal: true },
  );
}

export function hung() {
  return new Failure(
    "hung",
    "The calculator gave no answer for 5 seconds and was started again. What you typed is kept. " +
      "Change a value to try again.",
  );
}

/** @param {string} detail */
export function crashed(detail) {
  return new Failure(
    "crashed",
    "The calculator stopped by a fault of its own and was started again. What you typed is kept. " +
      "Change a value to try again.",
    { detail, fatal: true },
  );
}

/** @param {string} detail */
export function faulty(detail) {
  return new Failure(
    "fault",
    `The calculator could not answer this, by a fault of its own (${detail}). What you typed is kept. ` +
      "Change a value to try again.",
    { detail },
  );
}

/** @param {string} detail */
export function bootFault(detail) {
  return new Failure(
    "boot",
    `The calculator could not start (${detail}). ${STILL_RIGHT} Reload the page, or use another browser.`,
    { detail, fatal: true },
  );
}

export function stalled() {
  return new Failure(
    "stalled",
    "Loading the calculator has not moved for a minute, so it was given up. " +
      `${STILL_RIGHT} Change a value to try again.`,
    { fatal: true },
  );
}

export function otherBuild() {
  return new Failure(
    "build",
    "The handbook was renewed while this page was open. Reload the page; what you typed in the rig is kept.",
    { fatal: true },
  );
}

export function stopped() {
  return new Failure("stopped", "Stopped.");
}
