// @ts-check
/**
 * The rig page's keeping: which rig is open, undo, file and link. `calc.sheet.keeping` makes the markup.
 *
 * Every request of the rig form carries the open rig's data as `rig`; an answer that carries `rig` is kept.
 * With `open` (a rig's data, or "blank") the answer's `values` are that rig's numbers, for every field of the form.
 * Two requests bring a rig from outside, and answer with `rig` (and `told`, what was left out of it) or with `problem`:
 * `file`, the text of a rig file, and `open: "wren"`, the example.
 */
import { ask } from "./client.js";
import { Failure } from "./contract.js";
import { CalcForm } from "./element.js";
import { LinkError, carriesRig, fromFragment, toFragment } from "./link.js";
import { Question } from "./question.js";
import { StoreError, fileName, fileText, nameOf, readFile, rigStore } from "./store.js";

/** @typedef {import("./store.js").Rig} Rig */

/** Connect the rig form of this page, if it has one. */
export function connectRigs() {
  const form = document.querySelector('calc-form[data-do="rig"]');
  const bar = document.querySelector("[data-kept]");
  if (form instanceof CalcForm && bar instanceof HTMLElement) new Keeping(form, bar);
}

class Keeping {
  #store = rigStore();
  #form;
  #bar;
  #question;

  /** @param {CalcForm} form @param {HTMLElement} bar */
  constructor(form, bar) {
    this.#form = form;
    this.#bar = bar;
    this.#question = new Question(bar.querySelector("[data-kept-question]"));
    bar.hidden = false;
    form.subject = () => this.#store.open;
    form.extras = () => ({ rig: this.#store.current() });
    form.answered = ({ rig }, edited, loaded) => {
      if (rig && loaded) this.#store.settle(/** @type {Rig} */ (rig));
      else if (rig) this.#store.keep(/** @type {Rig} */ (rig), edited);
      this.#show();
    };
    bar.addEventListener("click", ({ target }) => {
      const wanted = /** @type {HTMLElement} */ (target).closest("button")?.dataset.keptDo;
      if (wanted) this.#try(() => this.#do(wanted));
    });
    bar.addEventListener("change", ({ target }) => this.#try(() => this.#changed(target)));
    this.#store.onChange((other) => {
      if (other) form.load({ open: this.#store.current() ?? "blank" });
      this.#show();
    });
    this.#show();
    this.#try(() => this.#start());
  }

  async #start() {
    const fragment = location.hash;
    if (carriesRig(fragment)) {
      // Out of the address at once: a reload must not open it again over what was changed since.
      history.replaceState(null, "", location.pathname + location.search);
      if (this.#store.current()) this.#reopen();
      await this.#take({ file: await fromFragment(fragment) }, "the link");
    } else if (this.#store.current()) this.#reopen();
  }

  /** @param {string} wanted */
  async #do(wanted) {
    switch (wanted) {
      case "yes":
      case "no":
        this.#question.answer(wanted === "yes");
        break;
      case "new":
        await this.#turnTo(() => this.#store.blank());
        break;
      case "wren":
        await this.#take({ open: "wren" }, "the handbook");
        break;
      case "undo":
        await this.#turnTo(() => this.#store.undo());
        break;
      case "open":
        /** @type {HTMLInputElement | null} */ (this.#bar.querySelector("input[type=file]"))?.click();
        break;
      case "save":
      case "link": {
        await this.#kept();
        const rig = this.#store.current();
        if (rig && wanted === "link") await this.#link(rig);
        else if (rig) save(fileText(rig), fileName(rig));
        break;
      }
      case "remove":
        await this.#remove();
    }
  }

  async #remove() {
    await this.#kept();
    const held = this.#store.hold(this.#store.open.id);
    if (!held) return;
    const name = nameOf(held.rig);
    if (!(await this.#question.ask(`Remove “${name}” from this browser for good?`, "Remove", "Leave it"))) return;
    await this.#kept();
    if (!this.#store.holds(held)) {
      throw new StoreError(`“${name}” has changed since you were asked, or is gone. Nothing was removed.`);
    }
    if (held.id !== this.#store.open.id) {
      this.#store.remove(held.id);
      this.#say(`Removed “${name}”. Another rig was open meanwhile and stays so.`);
    } else {
      this.#store.remove(held.id);
      this.#reopen();
    }
  }

  /** Wait until what was typed last is kept with the rig that it was typed for. */
  async #kept() {
    if (!this.#form.owes) return;
    this.#say("Keeping the last change first.");
    await this.#form.settled();
    this.#say("");
  }

  /** @param {() => void} act opens another rig, or this one in another state */
  async #turnTo(act) {
    await this.#kept();
    act();
    this.#reopen();
  }

  /** @param {EventTarget | null} target */
  async #changed(target) {
    if (target instanceof HTMLSelectElement && target.matches("[data-kept-rigs]")) {
      const id = target.value;
      await this.#turnTo(() => {
        if (!this.#store.choose(id)) throw new StoreError("That rig was removed in another tab.");
      });
    }
    if (target instanceof HTMLInputElement && target.type === "file" && target.files?.[0]) {
      const [file] = target.files;
      // So that the same file can be chosen again.
      const text = await readFile(file, "rig").finally(() => (target.value = ""));
      await this.#take({ file: text }, "the file");
    }
  }

  /**
   * Let Python read a rig from outside and open it, never over a kept rig unasked.
   *
   * @param {{file: string} | {open: string}} source
   * @param {string} from
   */
  async #take(source, from) {
    const answer = await ask({ do: "rig", fields: {}, typed: [], ...source });
    const { rig, told, problem } = /** @type {{rig?: Rig, told?: string, problem?: string}} */ (answer);
    if (problem || !rig) throw new StoreError(problem ?? "This is not a rig file of the handbook. Nothing was changed.");
    const name = nameOf(rig);
    await this.#kept();
    const same = this.#store.same(rig);
    const there = this.#store.named(name);
    const held = there === undefined ? null : this.#store.hold(there);
    if (same !== undefined) this.#store.choose(same);
    else if (!held) this.#store.add(rig);
    else {
      const question = `A rig called “${name}” is kept already. Shall the one from ${from} take its place?`;
      const replaces = await this.#question.ask(question, "Replace it", "Keep both");
      if (replaces === undefined) return;
      await this.#kept();
      if (replaces && !this.#store.holds(held)) {
        throw new StoreError(`“${name}” has changed since you were asked, or is gone. Nothing was replaced.`);
      }
      if (replaces) this.#store.replace(held.id, rig);
      else this.#store.add(rig);
    }
    this.#reopen();
    this.#say(`Opened “${name}” from ${from}.${told ? ` ${told}` : ""}`);
  }

  /** @param {Rig} rig */
  async #link(rig) {
    const address = new URL(location.href);
    address.hash = await toFragment(fileText(rig));
    const place = /** @type {HTMLInputElement | null} */ (this.#bar.querySelector("[data-kept-link]"));
    if (!place) return;
    place.value = address.href;
    place.hidden = false;
    place.select();
    try {
      await navigator.clipboard.writeText(address.href);
      this.#say("The link is copied. It holds the whole rig: whoever has it can read it.");
    } catch {
      this.#say("Copy the link from the field. It holds the whole rig: whoever has it can read it.");
    }
  }

  /** Show the open rig's numbers in the form. What was asked about another, or about this one as it was, is let fall. */
  #reopen() {
    this.#question.drop();
    this.#form.load({ open: this.#store.current() ?? "blank" });
    this.#show();
  }

  #show() {
    const rig = this.#store.current();
    const choice = this.#bar.querySelector("[data-kept-rigs]");
    if (choice instanceof HTMLSelectElement) {
      const options = this.#store.names().map(({ id, name, chosen }) => new Option(name, id, chosen, chosen));
      if (!rig) options.push(new Option("New rig", "", true, true));
      choice.replaceChildren(...options);
    }
    for (const button of this.#bar.querySelectorAll("button")) {
      const needs = button.dataset.keptDo ?? "";
      if (needs === "undo") button.disabled = !this.#store.canUndo;
      else if (["save", "link", "remove"].includes(needs)) button.disabled = !rig;
    }
    this.#write("kept", this.#store.sentence);
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

  /** @param {() => Promise<void>} action */
  async #try(action) {
    this.#say("");
    try {
      await action();
    } catch (error) {
      if (error instanceof Failure) this.#say(error.sentence);
      else if (error instanceof StoreError || error instanceof LinkError) this.#say(error.message);
      else throw error;
    }
    this.#show();
  }
}

/**
 * Hand a file to the reader.
 *
 * @param {string} text
 * @param {string} name
 * @param {string} [type]
 */
export function save(text, name, type = "application/json") {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
