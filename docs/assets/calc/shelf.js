// @ts-check
/**
 * One thing that the browser keeps: versioned, set aside where it is damaged, left alone where it is newer, and shared by
 * the tabs of this browser. Knows nothing of the page.
 */
import { OURS, allowed, readKept, writeKept } from "./storage.js";

/** @typedef {Record<"kept" | "folder" | "refused" | "full" | "damaged" | "newer", string>} Sentences */
/**
 * @template Data
 * @typedef {{state: "same" | "none" | "unusable"} | {state: "there", data: Data}} News
 */

/**
 * How it stands with keeping, for the reader.
 *
 * @param {"rig" | "quote"} thing
 * @param {string} room what makes room in a full storage
 * @returns {Sentences}
 */
export function sentencesFor(thing, room) {
  return {
    kept: "Kept in this browser.",
    folder: "Kept in this browser, not on the USB drive: save it to a file to take it along.",
    refused:
      `This browser keeps nothing for this page, so the ${thing} is gone when the page is closed. Save it to a file.`,
    full: `The browser's storage is full, so the last change is not kept. ${room}`,
    damaged:
      "What this browser had kept could not be read. It was set aside and not deleted; " +
      `open your ${thing} from a file, or begin anew.`,
    newer:
      `A newer copy of the handbook keeps ${thing}s in this browser, and this one leaves them alone. ` +
      `Open the newer copy, or work here and save the ${thing} to a file.`,
  };
}

/** @template {{version: number}} Data */
export class Shelf {
  #key;
  #version;
  #fits;
  #sentences;
  #trouble = "";
  #locked = false;
  /** @type {string | null | undefined} what was kept when it was last looked at */
  #text;

  /**
   * @param {string} key
   * @param {number} version what this copy writes
   * @param {(found: any) => found is Data} fits
   * @param {Sentences} sentences
   */
  constructor(key, version, fits, sentences) {
    this.#key = key;
    this.#version = version;
    this.#fits = fits;
    this.#sentences = sentences;
  }

  /** Hear when there may be news: another tab has kept something, or a page of the past came back. @param {() => void} then */
  onNews(then) {
    window.addEventListener("storage", ({ key }) => (key === OURS + this.#key || key === null) && then());
    window.addEventListener("pageshow", ({ persisted }) => persisted && then());
  }

  /** How it stands with keeping, in a sentence. */
  get sentence() {
    if (this.#trouble) return this.#trouble;
    return location.protocol === "file:" ? this.#sentences.folder : this.#sentences.kept;
  }

  /** @returns {boolean} whether everything is kept */
  get well() {
    return this.#trouble === "";
  }

  /**
   * Look at what is kept. To be called before every `write`, so that nothing is written over that this tab has not seen.
   *
   * @returns {News<Data>}
   */
  look() {
    const text = readKept(this.#key);
    if (text === this.#text) return { state: "same" };
    this.#text = text;
    this.#locked = false;
    this.#trouble = allowed() ? "" : this.#sentences.refused;
    if (text === null) return { state: "none" };
    const found = parsed(text);
    if (found && found.version > this.#version) {
      this.#locked = true;
      this.#trouble = this.#sentences.newer;
    } else if (found && this.#fits(found)) return { state: "there", data: found };
    else {
      // Where even the copy cannot be written, what is there stays, and this page keeps nothing.
      this.#locked = writeKept(`${this.#key}-not-read`, text) !== "kept";
      this.#trouble = this.#sentences.damaged;
      if (!this.#locked && writeKept(this.#key, null) === "kept") this.#text = null;
    }
    return { state: "unusable" };
  }

  /** @param {Data} data @returns {boolean} whether it is kept */
  write(data) {
    if (this.#locked) return false;
    const text = JSON.stringify(data);
    const written = writeKept(this.#key, text);
    if (written === "kept") this.#text = text;
    this.#trouble = written === "kept" ? "" : this.#sentences[written];
    return written === "kept";
  }
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
