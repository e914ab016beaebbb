// @ts-check
/**
 * What an answer is about: which rig, in which state, and how often the reader has changed or asked since.
 *
 * Every ask takes a mark along. What comes back is handed on by `receive`, and only where its mark still holds:
 * this is the one place where an answer is dropped. Knows nothing of the page.
 */

/** @typedef {{id: string, revision: number}} Subject a rig and its state; a form without a rig has no other than itself */
/** @typedef {Subject & {sheet: number, changes: number, asks: number | null}} Mark */
/**
 * @typedef {"holds" | "older" | "reopened" | "left"} Fate
 *   older: the same sheet, but something was changed or asked since; reopened: the same rig, whose numbers were shown
 *   anew; left: another rig is open.
 */

/** @type {Subject} */
const ITSELF = { id: "", revision: 0 };

export class About {
  #subject;
  #sheet = 0;
  #changes = 0;
  #asks = 0;

  /** @param {() => Subject} [subject] what is open now */
  constructor(subject = () => ITSELF) {
    this.#subject = subject;
  }

  /** Other numbers than those that stand here are to be shown. */
  reopen() {
    this.#sheet += 1;
  }

  /** The reader changed a value. */
  change() {
    this.#changes += 1;
  }

  /** Something is to be asked, in the place of what may be under way. */
  again() {
    this.#asks += 1;
  }

  /** @returns {Mark} for an ask, which the next one replaces */
  mark() {
    return { ...this.lasting(), asks: this.#asks };
  }

  /** @returns {Mark} for long work, beside which the reader may ask for more of the same rig */
  lasting() {
    return { ...this.#subject(), sheet: this.#sheet, changes: this.#changes, asks: null };
  }

  /** @param {Mark} mark @returns {Fate} */
  fate(mark) {
    const { id, revision } = this.#subject();
    if (mark.id !== id) return "left";
    if (mark.sheet !== this.#sheet) return "reopened";
    const newest = mark.asks === null || mark.asks === this.#asks;
    return mark.revision === revision && mark.changes === this.#changes && newest ? "holds" : "older";
  }

  /**
   * Hand on what came back, if it is about what is open now.
   *
   * @param {Mark} mark
   * @param {() => void} use
   * @returns {Fate}
   */
  receive(mark, use) {
    const fate = this.fate(mark);
    if (fate === "holds") use();
    return fate;
  }
}
