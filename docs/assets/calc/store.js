// @ts-check
/**
 * The rigs that are kept in this browser: several, with names, with undo, and never at the cost of what is kept.
 *
 * What a rig file says is Python's business; here it is data that is handed on. Knows nothing of the page.
 */
import { OURS, allowed, readKept, writeKept } from "./storage.js";

/** @typedef {{version?: number, name?: string, [key: string]: unknown}} Rig a rig file's data */
/** @typedef {{version: number, current: string, rigs: Record<string, Rig>}} Book what is kept */
/** @typedef {{rig: Rig | null, edit: string}} Earlier */

// Raise it whenever an older copy of the handbook could not keep what this one writes, the rig file's version included.
export const VERSION = 1;
const KEY = "rigs";
const ASIDE = "rigs-not-read";
const MOST_RIGS = 50;
const MOST_UNDO = 100;
const LARGEST_FILE = 1_000_000;

/** What a file or the storage could not do, in a sentence for the reader. */
export class StoreError extends Error {}

export const SENTENCES = {
  kept: "Kept in this browser.",
  folder: "Kept in this browser, not on the stick: save it to a file to take it along.",
  refused:
    "This browser keeps nothing for this page, so the rig is gone when the page is closed. Save it to a file.",
  full: "The browser's storage is full, so the last change is not kept. Save the rig to a file, or remove one.",
  damaged:
    "What this browser had kept could not be read. It was set aside and not deleted; " +
    "open your rig from a file, or begin anew.",
  newer:
    "A newer copy of the handbook keeps rigs in this browser, and this one leaves them alone. " +
    "Open the newer copy, or work here and save the rig to a file.",
  many: `${MOST_RIGS} rigs are kept, which is the most. Save one to a file and remove it.`,
};

export class Store {
  /** @type {Book} */
  #book = empty();
  /** @type {Earlier[]} */
  #earlier = [];
  #trouble = "";
  #locked = false;
  /** @type {Set<() => void>} */
  #listeners = new Set();

  constructor() {
    this.#read();
    // Another tab has kept something: this one goes on from there instead of writing over it.
    window.addEventListener("storage", ({ key }) => {
      if (key !== OURS + KEY && key !== null) return;
      const before = this.#book.current;
      const rig = this.current();
      this.#read();
      if (before in this.#book.rigs) this.#book.current = before;
      if (!alike(rig, this.current())) this.#earlier = [];
      for (const listener of this.#listeners) listener();
    });
  }

  /** Hear when another tab has changed what is kept. @param {() => void} listener */
  onChange(listener) {
    this.#listeners.add(listener);
  }

  /** How it stands with keeping, in a sentence. */
  get sentence() {
    if (this.#trouble) return this.#trouble;
    return location.protocol === "file:" ? SENTENCES.folder : SENTENCES.kept;
  }

  /** @returns {Rig | null} null while a new rig is blank */
  current() {
    return this.#book.rigs[this.#book.current] ?? null;
  }

  /** @returns {{id: string, name: string, chosen: boolean}[]} the second rig of a name says so */
  names() {
    /** @type {Record<string, number>} */
    const counts = Object.create(null);
    return Object.entries(this.#book.rigs).map(([id, rig]) => {
      const name = nameOf(rig);
      counts[name] = (counts[name] ?? 0) + 1;
      return { id, name: counts[name] > 1 ? `${name} (${counts[name]})` : name, chosen: id === this.#book.current };
    });
  }

  /** @param {string} id @returns {Rig | null} a kept rig; null where there is none any more */
  rig(id) {
    return Object.hasOwn(this.#book.rigs, id) ? this.#book.rigs[id] : null;
  }

  /** @param {Rig} rig @returns {string | undefined} the id of a kept rig that is the same */
  same(rig) {
    return Object.keys(this.#book.rigs).find((id) => alike(this.#book.rigs[id], rig));
  }

  /** @param {string} name @returns {string | undefined} the id of the kept rig with this name */
  named(name) {
    return Object.keys(this.#book.rigs).find((id) => nameOf(this.#book.rigs[id]) === name);
  }

  /**
   * Keep a new state of the rig that is open.
   *
   * @param {Rig} rig
   * @param {string} [edit] what was changed: one change after another of the same thing is undone at once
   */
  keep(rig, edit = "") {
    const before = this.current();
    if (alike(before, rig)) return;
    const last = this.#earlier.at(-1);
    if (!edit || last?.edit !== edit) this.#earlier = [...this.#earlier, { rig: before, edit }].slice(-MOST_UNDO);
    this.#put(rig);
  }

  /** Take over how Python writes the rig that is open, which is no change of the reader's. @param {Rig} rig */
  settle(rig) {
    if (!alike(this.current(), rig)) this.#put(rig);
  }

  get canUndo() {
    return this.#earlier.length > 0;
  }

  /** Go back by one change. */
  undo() {
    const last = this.#earlier.pop();
    if (!last) return;
    if (last.rig) this.#put(last.rig);
    else this.remove();
  }

  /** Begin with a blank rig; it is kept with its first value. */
  blank() {
    this.#open("");
  }

  /** @param {string} id */
  choose(id) {
    if (id in this.#book.rigs) this.#open(id);
  }

  /**
   * Add a rig beside the others and open it. Raises StoreError when there are too many.
   *
   * @param {Rig} rig
   */
  add(rig) {
    if (Object.keys(this.#book.rigs).length >= MOST_RIGS) throw new StoreError(SENTENCES.many);
    this.#open("");
    this.#put(rig);
  }

  /** Put a rig in the place of a kept one, which can be undone. @param {string} id @param {Rig} rig */
  replace(id, rig) {
    this.choose(id);
    this.keep(rig);
  }

  /** Remove the rig that is open. */
  remove() {
    delete this.#book.rigs[this.#book.current];
    this.#open(Object.keys(this.#book.rigs)[0] ?? "");
  }

  /** @param {string} id */
  #open(id) {
    this.#book.current = id;
    this.#earlier = [];
    this.#write();
  }

  /** @param {Rig} rig */
  #put(rig) {
    this.#book.current ||= freshId(this.#book);
    this.#book.rigs[this.#book.current] = rig;
    this.#write();
  }

  #read() {
    this.#book = empty();
    this.#locked = false;
    this.#trouble = allowed() ? "" : SENTENCES.refused;
    const text = readKept(KEY);
    if (text === null) return;
    const found = parsed(text);
    if (found && found.version > VERSION) {
      this.#locked = true;
      this.#trouble = SENTENCES.newer;
    } else if (found && isBook(found)) this.#book = found;
    else {
      // Where even the copy cannot be written, what is there stays, and this page keeps nothing.
      this.#locked = writeKept(ASIDE, text) !== "kept";
      this.#trouble = SENTENCES.damaged;
      if (!this.#locked) writeKept(KEY, null);
    }
  }

  #write() {
    const there = parsed(readKept(KEY) ?? "");
    if (there && there.version > VERSION) {
      this.#locked = true;
      this.#trouble = SENTENCES.newer;
    }
    if (this.#locked) return;
    const written = writeKept(KEY, JSON.stringify(this.#book));
    this.#trouble = written === "kept" ? "" : SENTENCES[written];
  }
}

/**
 * Read a file that the reader chose. Raises StoreError.
 *
 * @param {File} file
 * @returns {Promise<string>}
 */
export async function readFile(file) {
  if (file.size > LARGEST_FILE) {
    throw new StoreError("This file is too large for a rig file (1 MB is the limit). Nothing was changed.");
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new StoreError("This file could not be read as text, so it is no rig file. Nothing was changed.");
  }
}

/** @param {Rig} rig @returns {string} the text of the rig's file */
export function fileText(rig) {
  return `${JSON.stringify(rig, null, 2)}\n`;
}

/** @param {Rig} rig */
export function fileName(rig) {
  const letters = nameOf(rig).normalize("NFKD").replace(/\p{M}/gu, "");
  const plain = letters.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60);
  return `${plain.toLowerCase() || "rig"}.rig.json`;
}

/** @param {Rig} rig */
export function nameOf(rig) {
  return typeof rig.name === "string" && rig.name.trim() ? rig.name.trim() : "Unnamed rig";
}

/** @returns {Book} */
function empty() {
  return { version: VERSION, current: "", rigs: {} };
}

/** @param {string} text @returns {any} with a version, or null */
function parsed(text) {
  try {
    const found = JSON.parse(text);
    return Number.isInteger(found?.version) ? found : null;
  } catch {
    return null;
  }
}

/** @param {any} found @returns {found is Book} */
function isBook(found) {
  const { current, rigs } = found;
  const isRig = (/** @type {any} */ rig) => typeof rig === "object" && rig !== null && !Array.isArray(rig);
  return typeof current === "string" && isRig(rigs) && Object.values(rigs).every(isRig);
}

/** @param {Book} book */
function freshId({ rigs }) {
  const stem = Date.now().toString(36);
  let id = stem;
  for (let count = 2; id in rigs; count++) id = `${stem}-${count}`;
  return id;
}

/** @param {unknown} one @param {unknown} other whatever the order of their keys */
export function alike(one, other) {
  return JSON.stringify(one, sorted) === JSON.stringify(other, sorted);
}

/** @param {string} _ @param {unknown} value */
function sorted(_, value) {
  if (typeof value !== "object" || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([left], [right]) => (left < right ? -1 : 1)));
}
