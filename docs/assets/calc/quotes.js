// @ts-check
/**
 * The quote page's keeping: what was typed is there after a reload and on the way back, and goes to a file and from one.
 *
 * Kept are the texts as they stand in the fields, with their units. Python writes and reads the file.
 */
import { ask } from "./client.js";
import { Failure } from "./contract.js";
import { CalcForm } from "./element.js";
import { Question } from "./question.js";
import { save } from "./rigs.js";
import { Shelf, sentencesFor } from "./shelf.js";
import { StoreError, readFile } from "./store.js";

/** @typedef {import("./units.js").Display} Display */
/** @typedef {{fields: Record<string, string>, units: Display}} Entries */
/** @typedef {Entries & {version: number}} Kept */

// Raise it whenever an older copy of the handbook could not keep what this one writes.
const VERSION = 1;

/** Connect the quote form of this page, if it has one. */
export function connectQuote() {
  const form = document.querySelector('calc-form[data-do="quote"]');
  const bar = form?.querySelector("[data-quote-kept]");
  if (form instanceof CalcForm && bar instanceof HTMLElement) new QuotePage(form, bar);
}

class QuotePage {
  #form;
  #bar;
  #question;
  /** @type {Shelf<Kept>} */
  #shelf = new Shelf("quote", VERSION, isKept, sentencesFor("quote", "Save the quote to a file, or remove a rig."));
  #own = false; // what stands in the fields is the reader's and not the example

  /** @param {CalcForm} form @param {HTMLElement} bar */
  constructor(form, bar) {
    this.#form = form;
    this.#bar = bar;
    this.#question = new Question(bar.querySelector("[data-kept-question]"));
    bar.hidden = false;
    form.answered = (answer) => {
      if (answer.save) {
        const { name, kind, text } = /** @type {{name: string, kind: string, text: string}} */ (answer.save);
        save(text, name, kind);
      }
      // Units were switched, perhaps: the texts in the fields are others then.
      if (this.#own) this.#keep();
      this.#show();
    };
    form.addEventListener("input", () => {
      this.#own = true;
      this.#keep();
      this.#show();
    });
    form.addEventListener("reset", () => {
      this.#own = false;
      this.#question.drop();
      this.#keep();
      this.#show();
    });
    bar.addEventListener("click", ({ target }) => {
      const wanted = target instanceof Element ? target.closest("button")?.dataset.quoteDo : undefined;
      if (wanted) this.#do(wanted);
    });
    bar.addEventListener("change", ({ target }) => {
      if (target instanceof HTMLInputElement && target.files?.[0]) this.#open(target, target.files[0]);
    });
    this.#shelf.onNews(() => this.#look());
    this.#look();
  }

  /** Go on from what is kept, where that is not what this page has kept itself. */
  #look() {
    const news = this.#shelf.look();
    if (news.state === "there" && Object.keys(news.data.fields).length) this.#restore(news.data);
    this.#show();
  }

  /** @param {Entries} entries */
  #restore(entries) {
    this.#own = true;
    this.#question.drop();
    this.#form.restore(entries.fields, entries.units);
  }

  #keep() {
    const { fields, units } = this.#form.entries();
    const entered = Object.fromEntries(Object.entries(fields).filter(([, text]) => text.trim()));
    const own = this.#own && Object.keys(entered).length > 0;
    this.#shelf.look();
    this.#shelf.write({ version: VERSION, fields: own ? entered : {}, units });
  }

  /** @param {string} wanted */
  #do(wanted) {
    switch (wanted) {
      case "yes":
      case "no":
        this.#question.answer(wanted === "yes");
        break;
      case "save":
        this.#form.renew({ action: "save" });
        break;
      case "open":
        /** @type {HTMLInputElement | null} */ (this.#bar.querySelector("input[type=file]"))?.click();
        break;
    }
  }

  /** @param {HTMLInputElement} input @param {File} file */
  async #open(input, file) {
    this.#say("");
    try {
      // So that the same file can be chosen again.
      const text = await readFile(file, "quote").finally(() => (input.value = ""));
      const { units } = this.#form.entries();
      const answer = await ask({ do: "quote", fields: {}, typed: [], units, file: text });
      const { values, problem, note = "" } = /** @type {{values?: Record<string, string>, problem?: string, note?: string}} */ (answer);
      if (!values) throw new StoreError(problem ?? "This is not a quote file of the handbook. Nothing was changed.");
      const question = "Shall the quote from the file take the place of what you entered?";
      if (this.#own && !(await this.#question.ask(question, "Replace it", "Leave it"))) return;
      this.#restore({ fields: values, units });
      this.#keep();
      this.#say(`Opened the quote from the file. ${note}`.trim());
    } catch (error) {
      if (error instanceof Failure) this.#say(error.sentence);
      else if (error instanceof StoreError) this.#say(error.message);
      else throw error;
    } finally {
      this.#show();
    }
  }

  #show() {
    const told = this.#own || !this.#shelf.well;
    this.#write("kept", told ? this.#shelf.sentence : "");
  }

  /** @param {string} sentence */
  #say(sentence) {
    this.#write("kept-said", sentence);
  }

  /** @param {string} region @param {string} text */
  #write(region, text) {
    const place = this.#bar.querySelector(`[data-region="${region}"]`);
    if (place && place.textContent !== text) place.textContent = text;
  }
}

/** @param {any} found @returns {found is Kept} */
function isKept(found) {
  const { fields, units } = found;
  /** @param {any} one */
  const isTexts = (one) =>
    typeof one === "object" && one !== null && Object.values(one).every((text) => typeof text === "string");
  return isTexts(fields) && ["shop", "metric"].includes(units?.system) && isTexts(units.fields);
}
