// @ts-check
/**
 * What the Prove page has beyond a form: the rig that is open, its kept measurements, the print.
 *
 * Every request carries the open rig, which of its measurements is open, and the date. The answer's rig is kept.
 * A button with `data-prove-do` prints, or asks Python for another measurement.
 */
import { About } from "./about.js";
import { CalcForm } from "./element.js";
import { readKept } from "./storage.js";
import { save } from "./rigs.js";
import { fileName, fileText, rigStore } from "./store.js";

/** @typedef {import("./store.js").Rig} Rig */

/** Connect the measuring form of this page, if it has one. */
export function connectProve() {
  const form = document.querySelector('calc-form[data-do="prove"]');
  if (form instanceof CalcForm) new ProvePage(form);
}

class ProvePage {
  #store = rigStore();
  #form;
  /** @type {number | null} which measurement of the rig is open; null is a new one */
  #proof = null;
  /** @type {unknown} the reader's own spring list, as the rig page keeps it */
  #listed;
  #text = "";
  #reading = false;

  /** @param {CalcForm} form */
  constructor(form) {
    this.#form = form;
    this.#recall();
    form.subject = () => this.#store.open;
    form.extras = () => ({
      rig: this.#store.current(),
      proof: this.#proof,
      today: today(),
      ...(this.#listed ? { list: this.#listed } : {}),
    });
    form.answered = (answer, edited) => this.#heard(answer, edited);
    form.addEventListener("click", ({ target }) => {
      const wanted = target instanceof Element ? target.closest("button")?.dataset.proveDo : undefined;
      if (wanted === "print") window.print();
      else if (wanted === "save") this.#save();
      else if (wanted) this.#turnTo(wanted);
    });
    this.#store.onChange((other) => {
      if (other) form.load({ open: true });
      this.#show();
    });
    if (this.#store.current()) form.load({ open: true });
  }

  /** @param {string} wanted another measurement, or this one no more */
  async #turnTo(wanted) {
    // What was read last is kept with this measurement first.
    await this.#form.settled();
    this.#form.load({ action: wanted });
  }

  /** @param {Record<string, unknown>} answer @param {string} edited */
  #heard({ rig, proof, want_list: wanted }, edited) {
    // Another worker than the one that read the list: it reads it again.
    if (wanted && this.#text && !this.#reading) this.#read();
    if (proof !== undefined) this.#proof = typeof proof === "number" ? proof : null;
    if (rig) this.#store.keep(/** @type {Rig} */ (rig), `prove ${edited}`);
    this.#show();
  }

  async #save() {
    await this.#form.settled();
    const rig = this.#store.current();
    if (rig) save(fileText(rig), fileName(rig));
  }

  /** Readings that are not kept are said to be so, with the way to keep them. */
  #show() {
    const place = /** @type {HTMLElement | null} */ (this.#form.querySelector("[data-prove-kept]"));
    if (!place) return;
    const { sentence, well } = this.#store;
    const said = /** @type {HTMLElement} */ (place.querySelector("p"));
    if (said.textContent !== (well ? "" : sentence)) said.textContent = well ? "" : sentence;
    place.hidden = well;
  }

  /** Have the list read, a part at a time, as on the rig page. */
  async #read() {
    this.#reading = true;
    const read = await this.#form.work("list", { list_text: this.#text }, new About());
    this.#reading = false;
    if (read) this.#form.renew();
  }

  #recall() {
    try {
      const { text, listed } = JSON.parse(readKept("spring-list") ?? "{}");
      if (typeof text !== "string" || !text || typeof listed?.id !== "string") return;
      this.#text = text;
      this.#listed = listed;
    } catch {
      this.#listed = undefined;
    }
  }
}

/** @returns {string} the reader's own date, as year-month-day */
export function today() {
  const now = new Date();
  const two = (/** @type {number} */ part) => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
