// @ts-check
/**
 * One calculator form: collects what was typed, asks Python, paints the answer.
 *
 * The page was rendered with an example by the same Python code, so nothing has to be drawn before the first edit,
 * and everything stays readable when the calculator cannot be had.
 */
import { ask, boot, long, onStatus } from "./client.js";
import { Failure } from "./contract.js";
import { addRow, fieldsOf, paintFields, paintRegions, paintUnits, paintValues } from "./paint.js";
import { keepOwnUnits, onSystem, ownUnits, switchSystem, system } from "./units.js";

/** @typedef {import("./paint.js").Answer} Answer */
/** @typedef {import("./paint.js").Field} Field */
/** @typedef {import("./units.js").Display} Display */
/** @typedef {import("./client.js").Status} Status */

/** @type {Display} the units that every page is built with */
const BUILT = { system: "shop", fields: {} };
const NOT_YOURS = "The results shown are not for what you typed.";
const CHANGED = "Stopped, because a value changed.";
const EVENTS = ["input", "change", "click", "submit", "reset", "focusin", "focusout", "pointerdown"];

export class CalcForm extends HTMLElement {
  /** @type {() => Record<string, unknown>} what a page adds to every request */
  extras = () => ({});
  /** @type {(answer: Answer & Record<string, unknown>, edited: string) => void} what a page does with every answer */
  answered = () => {};

  #awake = false;
  #touched = false;
  /** @type {(() => void)[]} */
  #stops = [];

  /** @type {Set<string>} */
  #typed = new Set();
  /** @type {Field | undefined} the field that was changed since it got the focus */
  #editing;
  #edited = "";
  #cleared = false;

  /** @type {Display} the units of what stands in the fields */
  #shown = BUILT;
  #system = system();
  /** @type {Record<string, string>} the units that the reader chose for single fields */
  #own = {};
  /** @type {Display | undefined} units that Python did not convert this form to */
  #refused;
  /** @type {Record<string, string>} the unit that each place came with */
  #built = {};
  /** @type {Map<string, string>} the unit of each field's number, by the field's place */
  #units = new Map();
  /** @type {Map<string, {text: string, unit: string}>} what was typed, before units were switched */
  #before = new Map();

  #due = false;
  #running = false;
  #waiting = false; // something changed that has no answer yet
  #edits = 0;
  #answeredEdits = 0;
  /** @type {Record<string, unknown>} said with the next ask only */
  #once = {};
  /** @type {{stop: () => void, lasting: boolean} | undefined} */
  #long;

  /** @type {Status | undefined} */
  #status;
  #failure = "";
  #problem = "";

  connectedCallback() {
    this.#stops = [
      onSystem(() => this.#systemChanged()),
      onStatus((status) => {
        this.#status = status;
        this.#tell();
        if (this.waits) this.#soon();
      }),
    ];
    if (this.#awake) return;
    this.#awake = true;
    this.#own = ownUnits(this.#key());
    this.#built = Object.fromEntries(unitPlaces(this).map((place) => [place.dataset.unitOf, builtUnit(place)]));
    for (const kind of EVENTS) this.addEventListener(kind, (event) => this.#hear(event));
    // A browser may put back what stood in the fields before a reload, and does so after this moment.
    window.addEventListener("pageshow", ({ persisted }) => persisted || this.#settle());
  }

  disconnectedCallback() {
    for (const stop of this.#stops) stop();
  }

  /** Whether the form shall be shown in other units than it is, which takes the calculator. */
  get waits() {
    const wanted = this.#wanted();
    return !same(this.#shown, wanted) && !(this.#refused && same(this.#refused, wanted));
  }

  /**
   * Ask again.
   *
   * @param {Record<string, unknown>} [once] said with this ask only
   */
  renew(once = {}) {
    Object.assign(this.#once, once);
    this.#waiting = true;
    this.#edits += 1;
    this.#tell();
    this.#soon();
  }

  /**
   * Show other numbers than those that stand here: Python says which, for what is said with this ask.
   *
   * @param {Record<string, unknown>} once
   */
  load(once) {
    this.#typed.clear();
    this.#before.clear();
    this.#editing = undefined;
    this.#edited = "";
    this.#touched = true;
    this.renew({ fields: {}, typed: [], ...once });
  }

  /** Have the first answer made before it is asked for; nothing of it is shown. */
  prepare() {
    ask(this.#request()).catch(() => {});
  }

  #key() {
    return `${this.dataset.do}/${this.dataset.name ?? ""}`;
  }

  /** @returns {Display} */
  #wanted() {
    return { system: this.#system, fields: this.#own };
  }

  #request() {
    const fields = fieldsOf(this).filter((field) => field.type !== "radio" || isOn(field));
    return {
      do: this.dataset.do,
      name: this.dataset.name ?? "",
      fields: Object.fromEntries(fields.map((field) => [field.name, textOf(field)])),
      typed: [...this.#typed],
      units: this.#shown,
      ...this.extras(),
    };
  }

  // --- what the reader does -----------------------------------------------------------------------------------------

  /** @param {Event} event */
  #hear(event) {
    const target = /** @type {HTMLElement} */ (event.target);
    switch (event.type) {
      case "pointerdown":
        // A finger may only be scrolling past; it tells by a click that it meant this form.
        if (/** @type {PointerEvent} */ (event).pointerType !== "touch") this.#touch(target);
        break;
      case "focusin":
        this.#editing = undefined;
        this.#touch(target);
        break;
      case "focusout":
        this.#editing = undefined;
        this.#soon();
        break;
      case "input":
        if (isField(target)) this.#typedIn(target);
        break;
      case "change":
        if (target instanceof HTMLSelectElement && target.dataset.unitOf) this.#unitChosen(target, target.dataset.unitOf);
        else if (isField(target) && this.#checksWhenDone()) this.renew();
        break;
      case "click":
        this.#touch(target);
        this.#clicked(target);
        break;
      case "submit":
        event.preventDefault();
        this.renew();
        break;
      case "reset":
        // The event comes before the fields have their old values back.
        setTimeout(() => this.#startOver());
        break;
    }
  }

  /** @param {HTMLElement} target */
  #touch(target) {
    if (!target.closest("input, select, textarea, button")) return;
    this.#touched = true;
    boot();
    this.#soon();
  }

  /** @param {Field} field */
  #typedIn(field) {
    if (this.hasAttribute("data-clears-example") && !this.#cleared) {
      this.#cleared = true;
      for (const other of fieldsOf(this)) if (other !== field) other.value = "";
      this.toggleAttribute("data-cleared", true);
    }
    this.#editing = field;
    this.#edited = field.name;
    this.#typed.add(field.name);
    this.#before.delete(field.name);
    if (this.#long && !this.#long.lasting) {
      this.#problem = CHANGED;
      this.#long.stop();
    }
    if (this.#checksWhenDone() && field.type === "text") {
      // Half an answer is not a wrong one.
      paintRegions(this, { verdict: "" });
      paintFields(this, {});
    } else this.renew();
  }

  /** An exercise is judged when the reader has done, everything else while it is typed. */
  #checksWhenDone() {
    return this.dataset.do === "practice";
  }

  /** @param {HTMLElement} target */
  #clicked(target) {
    if (this.hasAttribute("data-clears-example") && !this.#cleared && target instanceof HTMLInputElement) {
      // So that the first key replaces the example's number.
      if (target.selectionStart === target.selectionEnd) target.select();
      return;
    }
    const button = target.closest("button");
    if (!button) return;
    const { system: wanted, addRow: table, next, long: work } = button.dataset;
    if (wanted === "shop" || wanted === "metric") {
      this.#choose({});
      switchSystem(wanted);
    } else if (table !== undefined) {
      const place = /** @type {HTMLElement | null} */ (button.closest("[data-table]"));
      const row = place && addRow(place);
      if (row) fieldsOf(row)[0]?.focus();
    } else if (next !== undefined) {
      this.#typed.clear();
      this.renew({ next: true });
    } else if (work !== undefined) this.#work(button, work);
  }

  #startOver() {
    this.#typed.clear();
    this.#before.clear();
    this.#cleared = false;
    this.removeAttribute("data-cleared");
    this.#shown = BUILT;
    this.#paintUnits(this.#built);
    this.#settle();
    this.renew();
  }

  /** Show what came with the page: a number that a browser put back has lost its unit. */
  #settle() {
    for (const field of fieldsOf(this)) {
      if (isSwitch(field)) field.checked = field.defaultChecked;
      else if (field.type !== "hidden") field.value = originalOf(field);
    }
    for (const place of unitPlaces(this)) if (place instanceof HTMLSelectElement) place.value = builtUnit(place);
  }

  // --- units --------------------------------------------------------------------------------------------------------

  /** @param {HTMLSelectElement} select @param {string} place */
  #unitChosen(select, place) {
    this.#touch(select);
    this.#choose({ ...this.#own, [place]: select.value });
  }

  /** @param {Record<string, string>} own */
  #choose(own) {
    this.#own = own;
    this.#editing = undefined;
    keepOwnUnits(this.#key(), own);
    this.#tell();
    this.#soon();
  }

  #systemChanged() {
    if (this.#system === system()) return;
    this.#system = system();
    this.#choose({});
  }

  /** Whether it is time to show the form in other units: never under a reader's hand. */
  #turns() {
    return this.waits && !this.#editing && this.#mayConvert();
  }

  /** Units alone never load the calculator onto a page that is only read. */
  #mayConvert() {
    return this.#touched || this.#waiting || this.#status?.state === "ready" || this.#status?.state === "loading";
  }

  async #convert() {
    const to = this.#wanted();
    const edits = this.#edits;
    const request = this.#request();
    const { values = {}, units = {}, problem } = /** @type {Answer} */ (
      await ask({ ...request, do: "convert", of: request.do, to })
    );
    if (problem) {
      this.#refused = to;
      this.#problem = problem;
      return;
    }
    // Whoever typed or switched meanwhile is not overwritten: it is done again with what stands there now.
    if (edits !== this.#edits || !same(to, this.#wanted())) return;
    /** @type {Record<string, string>} */
    const texts = {};
    for (const { name, value } of fieldsOf(this)) {
      if (!(name in values)) continue;
      const place = placeOf(name);
      const before = this.#before.get(name) ?? { text: value, unit: this.#unitAt(place) };
      this.#before.set(name, before);
      // Back in the unit that it was typed in, a number is what was typed and not what became of it on the way.
      texts[name] = before.unit === units[place] ? before.text : values[name];
    }
    paintValues(this, texts);
    this.#paintUnits(units);
    this.#shown = to;
    this.#waiting = true;
  }

  /** @param {Record<string, string>} units */
  #paintUnits(units) {
    for (const [place, symbol] of Object.entries(units)) this.#units.set(place, symbol);
    paintUnits(this, units);
  }

  /** @param {string} place @returns {string} the unit of the number, which a choice may have left already */
  #unitAt(place) {
    const known = this.#units.get(place);
    if (known !== undefined) return known;
    const found = unitPlaces(this).find(({ dataset }) => dataset.unitOf === place);
    return found ? builtUnit(found) : "";
  }

  // --- asking -------------------------------------------------------------------------------------------------------

  /** Do what is to be done as soon as this event is over, not a frame later; what changes meanwhile is one ask. */
  #soon() {
    if (this.#due) return;
    this.#due = true;
    setTimeout(() => {
      this.#due = false;
      this.#run();
    });
  }

  async #run() {
    if (this.#running) return;
    this.#running = true;
    try {
      for (;;) {
        this.#failure = "";
        if (this.#turns()) await this.#convert();
        else if (this.#waiting) await this.#ask();
        else break;
      }
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.#failure = this.#edits ? `${error.sentence} ${NOT_YOURS}` : error.sentence;
      // What was typed after the ask that failed still wants its answer.
      if (this.#waiting) this.#soon();
    } finally {
      this.#running = false;
      this.#tell();
    }
  }

  async #ask() {
    const edits = this.#edits;
    const once = this.#once;
    this.#once = {};
    this.#waiting = false;
    this.#tell();
    // Of a step the working and the chart can wait until the answer stands there, of a rig the order's sheet.
    const part = ["step", "rig"].includes(this.dataset.do ?? "") ? { part: "answer" } : {};
    const answer = await ask({ ...this.#request(), ...part, ...once });
    if (edits === this.#edits) {
      this.#paint(answer);
      if (answer.more) await this.#rest();
      // Stale: a newer edit waits. What was to be said once is said with that.
    } else this.#once = { ...once, ...this.#once };
  }

  async #rest() {
    const edits = this.#edits;
    const { regions } = await ask({ ...this.#request(), part: "rest" });
    if (edits === this.#edits && regions) paintRegions(this, regions);
  }

  /** @param {Answer & Record<string, unknown>} answer */
  #paint(answer) {
    this.#answeredEdits = this.#edits;
    const { fields = {}, values, units, regions, problem } = answer;
    const homeless = answer.fields ? paintFields(this, fields) : "";
    for (const [place, { unit }] of Object.entries(fields)) if (unit !== undefined) this.#units.set(place, unit);
    if (values) paintValues(this, values, (field) => field === this.#editing && field === document.activeElement);
    if (units) this.#paintUnits(units);
    if (regions) paintRegions(this, regions);
    this.#problem = problem || homeless;
    this.answered(answer, this.#edited);
  }

  /**
   * Do long work, or stop it.
   *
   * @param {HTMLButtonElement} button
   * @param {string} kind
   */
  async #work(button, kind) {
    if (this.#long) {
      this.#long.stop();
      return;
    }
    const label = button.textContent ?? "";
    button.textContent = button.dataset.while ?? label;
    try {
      await this.work(kind);
    } finally {
      button.textContent = label;
    }
  }

  /**
   * Do long work and paint what comes of it; what is under way already is stopped.
   *
   * @param {string} kind
   * @param {Record<string, unknown>} [more] what the request holds besides
   * @param {boolean} [lasting] whether it goes on when a value changes
   * @returns {Promise<boolean>} whether it came to its end without a trouble
   */
  async work(kind, more = {}, lasting = false) {
    this.#long?.stop();
    const { promise, stop } = long({ ...this.#request(), ...more, do: kind }, ({ text, regions }) => {
      if (regions) paintRegions(this, regions);
      if (text) this.#problem = text;
      this.#tell();
    });
    const mine = { stop, lasting };
    this.#long = mine;
    this.#touched = true;
    this.#problem = "";
    this.#tell();
    try {
      this.#paint(await promise);
      return !this.#problem;
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      if (this.#problem !== CHANGED) this.#problem = error.sentence;
      return false;
    } finally {
      if (this.#long === mine) this.#long = undefined;
      this.#tell();
    }
  }

  /** Stop the long work that is under way. */
  stop() {
    this.#long?.stop();
  }

  // --- how it stands ------------------------------------------------------------------------------------------------

  /** Say it in words: a trouble first, else how far the calculator has come. */
  #tell() {
    // What is read out waits for the end of it.
    if (this.#running || this.#waiting || this.#long || this.#turns()) this.setAttribute("aria-busy", "true");
    else this.removeAttribute("aria-busy");
    const place = this.querySelector('[data-region="status"]');
    if (!place) return;
    const used = this.#touched || this.#running || this.#waiting;
    const { state = "asleep", sentence = "", note = "" } = this.#status ?? {};
    const news = used ? (state === "loading" || state === "failed" ? sentence : note) : "";
    const said = this.#failure || this.#problem || news;
    // An answer comes at once where the calculator is up; where it is not, what stands there must not pass for one.
    this.toggleAttribute("data-stale", this.#edits !== this.#answeredEdits && (state !== "ready" || this.#failure !== ""));
    if (!said) {
      place.replaceChildren();
      return;
    }
    // A count of bytes moves many times a second: it is shown, and only the words before it are read out, once.
    const at = said === news && state === "loading" ? said.indexOf(":") : -1;
    const texts = at < 0 ? [said, ""] : [said.slice(0, at), said.slice(at)];
    if (place.children.length !== 2) {
      place.replaceChildren(document.createElement("span"), document.createElement("span"));
      place.children[1].setAttribute("aria-hidden", "true");
    }
    texts.forEach((text, index) => {
      if (place.children[index].textContent !== text) place.children[index].textContent = text;
    });
  }
}

/** @param {HTMLElement} target @returns {target is Field} */
function isField(target) {
  const kinds = [HTMLInputElement, HTMLSelectElement, HTMLTextAreaElement];
  return kinds.some((kind) => target instanceof kind) && /** @type {Field} */ (target).name !== "";
}

/** @param {Field} field @returns {field is HTMLInputElement} */
function isSwitch(field) {
  return field.type === "checkbox" || field.type === "radio";
}

/** @param {Field} field @returns {boolean} */
function isOn(field) {
  return isSwitch(field) && field.checked;
}

/** @param {Field} field @returns {string} */
function textOf(field) {
  return field.type === "checkbox" ? (isOn(field) ? "yes" : "") : field.value;
}

/** @param {Field} field @returns {string} what came with the page */
function originalOf(field) {
  if (!(field instanceof HTMLSelectElement)) return field.defaultValue;
  const options = [...field.options];
  return (options.find((option) => option.defaultSelected) ?? options[0])?.value ?? "";
}

/** @param {Element} form @returns {HTMLElement[]} */
function unitPlaces(form) {
  return [.../** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-unit-of]"))];
}

/** @param {HTMLElement} place @returns {string} */
function builtUnit(place) {
  return place instanceof HTMLSelectElement ? originalOf(place) : (place.textContent ?? "");
}

/** A cell `table.3.column` has the unit of its column, a plus-minus that of its value. @param {string} name */
function placeOf(name) {
  const parts = name.replace(/\.plus_minus$/, "").split(".");
  return parts.filter((part) => !/^\d+$/.test(part)).join(".");
}

/** @param {Display} one @param {Display} other */
function same(one, other) {
  const names = [...Object.keys(one.fields), ...Object.keys(other.fields)];
  return one.system === other.system && names.every((name) => one.fields[name] === other.fields[name]);
}
