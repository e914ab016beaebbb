// @ts-check
/**
 * The rigs that are kept in this browser: several, with names, with undo, and never at the cost of what is kept.
 *
 * What a rig file says is Python's business; here it is data that is handed on. Knows nothing of the page.
 */
import { Shelf, sentencesFor } from "./shelf.js";

/** @typedef {{version?: number, name?: string, [key: string]: unknown}} Rig a rig file's data */
/** @typedef {{version: number, current: string, rigs: Record<string, Rig>}} Book what is kept */
/** @typedef {{rig: Rig | null, edit: string}} Earlier */
/** @typedef {{id: string, rig: Rig}} Held a kept rig as it was when a question was asked about it */

// Raise it whenever an older copy of the handbook could not keep what this one writes, the rig file's version included.
export const VERSION = 2;
const MOST_RIGS = 50;
const MOST_UNDO = 100;
const LARGEST_FILE = 1_000_000;

/** What a file or the storage could not do, in a sentence for the reader. */
export class StoreError extends Error {}

export const SENTENCES = {
  ...sentencesFor("rig", "Save the rig to a file, or remove one."),
  many: `${MOST_RIGS} rigs are kept, which is the most. Save one to a file and remove it.`,
  gone: "The rig that was open here was removed in another tab.",
};

/** @type {Store | undefined} */
let shared;

/** The rigs of this page: whoever of its scripts needs them has the same. */
export function rigStore() {
  shared ??= new Store();
  return shared;
}

export class Store {
  /** @type {Book} */
  #book = empty();
  /** @type {Shelf<Book>} */
  #shelf = new Shelf("rigs", VERSION, isBook, SENTENCES);
  /** The rig that is open, which a blank one has before it is kept. */
  #id = "";
  #revision = 0;
  /** @type {Set<string>} rigs of which the storage does not have what stands here */
  #unkept = new Set();
  #gone = false;
  /** @type {Earlier[]} */
  #earlier = [];
  /** @type {Set<(other: boolean) => void>} */
  #listeners = new Set();

  constructor() {
    this.#look();
    this.#id = this.#last();
    // Another tab has kept something: this one goes on from there instead of writing over it.
    this.#shelf.onNews(() => this.#renew());
  }

  /**
   * Hear when another tab has changed what is kept.
   *
   * @param {(other: boolean) => void} listener is told whether the rig that is open here is another or reads otherwise now
   */
  onChange(listener) {
    this.#listeners.add(listener);
  }

  /** How it stands with keeping, in a sentence. */
  get sentence() {
    return this.#gone ? `${SENTENCES.gone} ${this.#shelf.sentence}` : this.#shelf.sentence;
  }

  /** @returns {boolean} whether everything is kept */
  get well() {
    return this.#shelf.well;
  }

  /** @returns {import("./about.js").Subject} the rig that is open, by its id and the count of its states here */
  get open() {
    this.#renew();
    return { id: this.#id, revision: this.#revision };
  }

  /** @returns {Rig | null} null while a new rig is blank */
  current() {
    return this.rig(this.#id);
  }

  /** @returns {{id: string, name: string, chosen: boolean}[]} the second rig of a name says so */
  names() {
    /** @type {Record<string, number>} */
    const counts = Object.create(null);
    return Object.entries(this.#book.rigs).map(([id, rig]) => {
      const name = nameOf(rig);
      counts[name] = (counts[name] ?? 0) + 1;
      return { id, name: counts[name] > 1 ? `${name} (${counts[name]})` : name, chosen: id === this.#id };
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

  /** Take hold of a rig for a question about it. @param {string} id @returns {Held | null} */
  hold(id) {
    const rig = this.rig(id);
    return rig && { id, rig };
  }

  /** @param {Held} held @returns {boolean} whether that rig is still there and reads as it did */
  holds({ id, rig }) {
    this.#renew();
    return alike(this.rig(id), rig);
  }

  /**
   * Keep a new state of the rig that is open.
   *
   * @param {Rig} rig
   * @param {string} [edit] what was changed: one change after another of the same thing is undone at once
   */
  keep(rig, edit = "") {
    this.#renew();
    const before = this.current();
    if (alike(before, rig)) return;
    const last = this.#earlier.at(-1);
    if (!edit || last?.edit !== edit) this.#earlier = [...this.#earlier, { rig: before, edit }].slice(-MOST_UNDO);
    this.#put(rig);
  }

  /** Take over how Python writes the rig that is open, which is no change of the reader's. @param {Rig} rig */
  settle(rig) {
    this.#renew();
    if (alike(this.current(), rig)) return;
    this.#book.rigs[this.#id] = rig;
    this.#write();
  }

  get canUndo() {
    return this.#earlier.length > 0;
  }

  /** Go back by one change. */
  undo() {
    this.#renew();
    const last = this.#earlier.pop();
    if (!last) return;
    if (last.rig) this.#put(last.rig);
    else {
      // Before its first value it was blank, and blank is what is shown again: not another rig.
      delete this.#book.rigs[this.#id];
      this.#revision += 1;
      this.#write();
    }
  }

  /** Begin with a blank rig; it is kept with its first value. */
  blank() {
    this.#renew();
    this.#open(freshId(this.#book));
  }

  /** @param {string} id @returns {boolean} whether it is there */
  choose(id) {
    this.#renew();
    const there = this.rig(id) !== null;
    if (there) this.#open(id);
    return there;
  }

  /**
   * Add a rig beside the others and open it. Raises StoreError when there are too many.
   *
   * @param {Rig} rig
   */
  add(rig) {
    this.#renew();
    if (Object.keys(this.#book.rigs).length >= MOST_RIGS) throw new StoreError(SENTENCES.many);
    this.#open(freshId(this.#book));
    this.#put(rig);
  }

  /** Put a rig in the place of a kept one, which can be undone. @param {string} id @param {Rig} rig */
  replace(id, rig) {
    this.choose(id);
    this.keep(rig);
  }

  /** @param {string} [id] the rig to remove; where it was open, another is opened */
  remove(id = this.#id) {
    this.#renew();
    delete this.#book.rigs[id];
    this.#unkept.delete(id);
    if (id === this.#id) this.#open(Object.keys(this.#book.rigs)[0] ?? freshId(this.#book));
    else this.#write();
  }

  /** @param {string} id */
  #open(id) {
    this.#id = id;
    this.#revision += 1;
    this.#earlier = [];
    this.#gone = false;
    this.#write();
  }

  /** @param {Rig} rig */
  #put(rig) {
    this.#book.rigs[this.#id] = rig;
    this.#revision += 1;
    this.#write();
  }

  /** Go on from what another tab has kept meanwhile, and tell who wants to know. */
  #renew() {
    const before = this.current();
    const id = this.#id;
    if (!this.#look()) return;
    if (before && !this.current()) {
      this.#gone = true;
      this.#id = this.#last();
    }
    const other = id !== this.#id || !alike(before, this.current());
    if (other) {
      this.#revision += 1;
      this.#earlier = [];
    }
    for (const listener of this.#listeners) listener(other);
  }

  /** @returns {boolean} whether there is something that was not there */
  #look() {
    const news = this.#shelf.look();
    if (news.state === "there" || news.state === "none") {
      const before = this.#book;
      this.#book = news.state === "there" ? news.data : empty();
      for (const id of this.#unkept) if (before.rigs[id]) this.#book.rigs[id] = before.rigs[id];
    } else if (news.state === "unusable") {
      // What another copy left there is no reason to lose what stands here.
      for (const id of Object.keys(this.#book.rigs)) this.#unkept.add(id);
    }
    return news.state !== "same";
  }

  /** @returns {string} the rig that a tab had open last, or the id of a blank one */
  #last() {
    return this.rig(this.#book.current) ? this.#book.current : freshId(this.#book);
  }

  #write() {
    const kept = this.rig(this.#id) !== null;
    this.#book.current = kept ? this.#id : "";
    if (this.#shelf.write(this.#book)) this.#unkept.clear();
    else if (kept) this.#unkept.add(this.#id);
  }
}

/**
 * Read a file that the reader chose. Raises StoreError.
 *
 * @param {File} file
 * @param {"rig" | "quote"} thing
 * @returns {Promise<string>}
 */
export async function readFile(file, thing) {
  if (file.size > LARGEST_FILE) {
    throw new StoreError(`This file is too large for a ${thing} file (1 MB is the limit). Nothing was changed.`);
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new StoreError(`This file could not be read as text, so it is no ${thing} file. Nothing was changed.`);
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

/** @param {any} found @returns {found is Book} */
function isBook(found) {
  const { current, rigs } = found;
  const isRig = (/** @type {any} */ rig) => typeof rig === "object" && rig !== null && !Array.isArray(rig);
  return typeof current === "string" && isRig(rigs) && Object.values(rigs).every(isRig);
}

/** @param {Book} book */
function freshId({ rigs }) {
  // Two tabs may make one in the same moment.
  const stem = `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
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
