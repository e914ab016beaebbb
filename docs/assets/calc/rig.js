// @ts-check
/**
 * What the rig page has beyond a form: load cases more or less, the reader's own spring list, the print.
 *
 * A button with `data-rig-do` says what it does. Python reads the list; here its text is only held and sent once.
 */
import { About } from "./about.js";
import { CalcForm } from "./element.js";
import { today } from "./prove.js";
import { save } from "./rigs.js";
import { readKept, writeKept } from "./storage.js";
import { alike, rigStore } from "./store.js";

/** @typedef {{id: string, use: boolean, columns: Record<string, unknown>}} Listed what Python made of a list */
/** @typedef {{text: string, listed?: Listed}} Own */

/** The lists that a reader may bring, as requests and answers name them, and as the browser keeps them. */
const KEPT = { list: "spring-list", dampers: "damper-list" };
/** @typedef {keyof typeof KEPT} Kind */
const KINDS = /** @type {Kind[]} */ (Object.keys(KEPT));
const LARGEST = 5_000_000; // characters of a list
const MOST_KEPT = 1_000_000; // characters that the browser's storage takes
const TOO_LARGE = "This list is too large (5 MB is the limit). Nothing was changed.";
const NOT_KEPT = "This list is too large to be kept in the browser: open it again on your next visit.";

/** Connect the rig form of this page, if it has one. */
export function connectRigPage() {
  const form = document.querySelector('calc-form[data-do="rig"]');
  if (form instanceof CalcForm) new RigPage(form);
}

class RigPage {
  #form;
  /** @type {Record<Kind, Own>} */
  #own = { list: { text: "" }, dampers: { text: "" } };
  /** @type {object | undefined} which reading is under way */
  #reading;
  /** What a reading is about: the list that was brought last, whichever rig is open. */
  #about = { list: new About(), dampers: new About() };

  /** @param {CalcForm} form */
  constructor(form) {
    this.#form = form;
    const { extras, answered } = form;
    form.extras = () => ({ ...extras(), today: today(), ...this.#listed() });
    form.answered = (answer, edited, loaded) => {
      answered(answer, edited, loaded);
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
        if (rigDo === "beside") this.#beside("");
        else if (rigDo) this.#form.look({ action: `${rigDo} ${rigOf}`.trim() });
      },
      true,
    );
    form.addEventListener("change", ({ target }) => {
      if (target instanceof HTMLInputElement && target.dataset.rigList) this.#opened(target);
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
        if (field instanceof HTMLTextAreaElement) this.#take("list", field.value);
        break;
      }
      case "list-use": {
        const { listed } = this.#own[/** @type {Kind} */ (of)];
        if (listed) listed.use = true;
        this.#form.change();
        break;
      }
      case "list-stop":
        this.#form.stop();
        break;
      case "list-drop":
        this.#form.stop();
        this.#bring(/** @type {Kind} */ (of), "");
        writeKept(KEPT[/** @type {Kind} */ (of)], null);
        this.#say("");
        this.#form.change();
        break;
      default:
        this.#form.renew({ action: `${wanted} ${of}`.trim() });
    }
  }

  /** @param {string} wanted what to set beside the rig that is open: a set of an axle, or "rig" and its id */
  #beside(wanted) {
    const store = rigStore();
    const [kind, id] = wanted.split(" ");
    const other = kind === "rig" ? { other: store.rig(id) } : {};
    this.#form.look({ action: `beside ${wanted}`.trim(), rigs: store.names(), ...other });
  }

  /** @param {HTMLInputElement} input */
  async #opened(input) {
    const [file] = input.files ?? [];
    if (!file) return;
    if (file.size > LARGEST) this.#say(TOO_LARGE);
    else this.#take(/** @type {Kind} */ (input.dataset.rigList), decoded(await file.arrayBuffer()));
    // So that the same file can be chosen again.
    input.value = "";
  }

  /** @param {Kind} kind @param {string} text */
  #take(kind, text) {
    this.#say(text.length > LARGEST ? TOO_LARGE : "");
    if (text.length > LARGEST) return;
    this.#bring(kind, text);
    this.#read([kind]);
  }

  /** @param {Kind} kind @param {string} text nothing where there is to be no list */
  #bring(kind, text) {
    this.#own[kind] = { text };
    this.#about[kind].reopen();
  }

  /** What Python made of the lists, which goes with every request. */
  #listed() {
    return Object.fromEntries(KINDS.flatMap((kind) => (this.#own[kind].listed ? [[kind, this.#own[kind].listed]] : [])));
  }

  /**
   * Have lists read, a part at a time: a long one takes its time, and a value may be changed meanwhile.
   *
   * @param {Kind[]} kinds
   */
  async #read(kinds) {
    const stop = this.#form.querySelector('[data-rig-do="list-stop"]');
    stop?.toggleAttribute("hidden", false);
    const mine = (this.#reading = {});
    let read = false;
    for (const kind of kinds) {
      const { text, listed = null } = this.#own[kind];
      const request = { [`${kind}_text`]: text, [kind]: listed };
      read = (await this.#form.work("list", request, this.#about[kind])) || read;
      if (this.#reading !== mine) return;
    }
    this.#reading = undefined;
    stop?.toggleAttribute("hidden", true);
    if (read) this.#form.change();
  }

  /** @param {Record<string, unknown>} answer */
  #heard(answer) {
    if (answer.save) {
      const { name, kind, text } = /** @type {{name: string, kind: string, text: string}} */ (answer.save);
      save(text, name, kind);
    }
    /** @type {Kind[]} */
    const again = [];
    for (const kind of KINDS) {
      const listed = /** @type {Listed | null | undefined} */ (answer[kind]);
      const own = this.#own[kind];
      // Another worker than the one that read the list, or other columns of a long one: it is read again.
      if (answer[`want_${kind}`] && own.text) {
        if (this.#reading && alike(listed, own.listed)) continue;
        again.push(kind);
      }
      if (listed === undefined) continue;
      own.listed = listed ?? undefined;
      if (!again.includes(kind)) this.#keep(kind);
    }
    if (again.length) this.#read(again);
  }

  /** @param {Kind} kind */
  #keep(kind) {
    const own = this.#own[kind];
    if (!own.listed?.use) return;
    const text = JSON.stringify(own);
    if (text.length <= MOST_KEPT && writeKept(KEPT[kind], text) === "kept") return;
    writeKept(KEPT[kind], null);
    this.#say(NOT_KEPT);
  }

  /** The lists that were in use on an earlier visit are in use again. */
  #recall() {
    const kinds = KINDS.filter((kind) => {
      try {
        const { text, listed } = JSON.parse(readKept(KEPT[kind]) ?? "{}");
        if (typeof text !== "string" || !text || typeof listed?.id !== "string") return false;
        this.#own[kind] = { text, listed };
        return true;
      } catch {
        writeKept(KEPT[kind], null);
        return false;
      }
    });
    if (kinds.length) this.#read(kinds);
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
