// @ts-check
/**
 * What the rig page has beyond a form: load cases more or less, the reader's own spring list, the print.
 *
 * A button with `data-rig-do` says what it does. Python reads the list; here its text is only held and sent once.
 */
import { CalcForm } from "./element.js";
import { today } from "./prove.js";
import { save } from "./rigs.js";
import { readKept, writeKept } from "./storage.js";
import { Store } from "./store.js";

/** @typedef {{id: string, use: boolean, columns: Record<string, unknown>}} Listed what Python made of the list */

const KEPT = "spring-list";
const LARGEST = 5_000_000; // characters of a list
const MOST_KEPT = 1_000_000; // characters that the browser's storage takes
const NOT_KEPT = "This list is too large to be kept in the browser: open it again on your next visit.";

/** Connect the rig form of this page, if it has one. */
export function connectRigPage() {
  const form = document.querySelector('calc-form[data-do="rig"]');
  if (form instanceof CalcForm) new RigPage(form);
}

class RigPage {
  #form;
  #text = "";
  /** @type {Listed | undefined} */
  #listed;

  /** @param {CalcForm} form */
  constructor(form) {
    this.#form = form;
    const { extras, answered } = form;
    form.extras = () => ({ ...extras(), today: today(), ...(this.#listed ? { list: this.#listed } : {}) });
    form.answered = (answer, edited) => {
      answered(answer, edited);
      this.#heard(answer);
    };
    form.addEventListener("click", ({ target }) => {
      const button = target instanceof Element ? target.closest("button") : null;
      const { rigDo, rigOf = "" } = button?.dataset ?? {};
      if (rigDo) this.#do(rigDo, rigOf);
    });
    // What stands behind a line is painted when the line is opened; a toggle does not bubble.
    form.addEventListener(
      "toggle",
      ({ target }) => {
        const { rigDo, rigOf = "" } = target instanceof HTMLDetailsElement && target.open ? target.dataset : {};
        if (rigDo) this.#do(rigDo, rigOf);
      },
      true,
    );
    form.addEventListener("change", ({ target }) => {
      if (target instanceof HTMLInputElement && target.matches("[data-rig-list]")) this.#opened(target);
      if (target instanceof HTMLInputElement && target.matches("[data-rig-dampers]")) this.#tried(target);
      if (target instanceof HTMLSelectElement && target.matches("[data-rig-beside]")) this.#beside(target.value);
    });
    this.#recall();
  }

  /** @param {string} wanted @param {string} of */
  #do(wanted, of) {
    switch (wanted) {
      case "print":
        window.print();
        break;
      case "beside":
        this.#beside("");
        break;
      case "list-paste": {
        const field = this.#form.querySelector("[data-rig-paste]");
        if (field instanceof HTMLTextAreaElement) this.#take(field.value);
        break;
      }
      case "list-use":
        if (this.#listed) this.#listed = { ...this.#listed, use: true };
        this.#form.renew();
        break;
      case "list-stop":
        this.#form.stop();
        break;
      case "list-drop":
        this.#listed = undefined;
        this.#text = "";
        writeKept(KEPT, null);
        this.#say("");
        this.#form.renew();
        break;
      default:
        this.#form.renew({ action: `${wanted} ${of}`.trim() });
    }
  }

  /** @param {string} wanted what to set beside the rig that is open: a set of an axle, or "rig" and its id */
  #beside(wanted) {
    const store = new Store();
    const [kind, id] = wanted.split(" ");
    const other = kind === "rig" ? { other: store.rig(id) } : {};
    this.#form.renew({ action: `beside ${wanted}`.trim(), rigs: store.names(), ...other });
  }

  /** @param {HTMLInputElement} input */
  async #opened(input) {
    const [file] = input.files ?? [];
    if (!file) return;
    if (file.size > LARGEST) this.#say("This list is too large (5 MB is the limit). Nothing was changed.");
    else this.#take(decoded(await file.arrayBuffer()));
    // So that the same file can be chosen again.
    input.value = "";
  }

  /** Try the dampers of a file; nothing of it is kept. @param {HTMLInputElement} input */
  async #tried(input) {
    const [file] = input.files ?? [];
    if (!file) return;
    if (file.size > LARGEST) this.#say("This list is too large (5 MB is the limit). Nothing was changed.");
    else await this.#form.work("dampers", { dampers_text: decoded(await file.arrayBuffer()) });
    input.value = "";
  }

  /** @param {string} text */
  #take(text) {
    if (text.length > LARGEST) {
      this.#say("This list is too large (5 MB is the limit). Nothing was changed.");
      return;
    }
    this.#text = text;
    this.#listed = undefined;
    this.#say("");
    this.#read();
  }

  /** Have the list read, a part at a time: a long one takes its time, and a value may be changed meanwhile. */
  async #read() {
    const stop = this.#form.querySelector('[data-rig-do="list-stop"]');
    stop?.toggleAttribute("hidden", false);
    const read = await this.#form.work("list", { list_text: this.#text, list: this.#listed ?? null }, true);
    stop?.toggleAttribute("hidden", true);
    if (read) this.#form.renew();
  }

  /** @param {Record<string, unknown>} answer */
  #heard({ list, want_list: wanted, save: file }) {
    if (file) {
      const { name, kind, text } = /** @type {{name: string, kind: string, text: string}} */ (file);
      save(text, name, kind);
    }
    if (wanted) {
      // Another worker than the one that read the list, or other columns of a long one: it is read again.
      this.#listed = this.#text && list ? /** @type {Listed} */ (list) : undefined;
      if (this.#listed) this.#read();
      return;
    }
    if (list === undefined) return;
    this.#listed = list ? /** @type {Listed} */ (list) : undefined;
    this.#keep();
  }

  #keep() {
    if (!this.#listed?.use) return;
    const text = JSON.stringify({ text: this.#text, listed: this.#listed });
    const kept = text.length <= MOST_KEPT && writeKept(KEPT, text) === "kept";
    if (!kept) {
      writeKept(KEPT, null);
      this.#say(NOT_KEPT);
    }
  }

  /** The list that was in use on an earlier visit is in use again. */
  #recall() {
    try {
      const { text, listed } = JSON.parse(readKept(KEPT) ?? "{}");
      if (typeof text !== "string" || !text || typeof listed?.id !== "string") return;
      this.#text = text;
      this.#listed = listed;
      this.#read();
    } catch {
      writeKept(KEPT, null);
    }
  }

  /** @param {string} sentence */
  #say(sentence) {
    const place = this.#form.querySelector("[data-rig-said]");
    if (place && place.textContent !== sentence) place.textContent = sentence;
  }
}

/** @param {ArrayBuffer} bytes @returns {string} spreadsheets save in three encodings */
function decoded(bytes) {
  const [first, second] = new Uint8Array(bytes.slice(0, 2));
  if (first === 0xff && second === 0xfe) return new TextDecoder("utf-16le").decode(bytes);
  if (first === 0xfe && second === 0xff) return new TextDecoder("utf-16be").decode(bytes);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder("windows-1252").decode(bytes);
  }
}
