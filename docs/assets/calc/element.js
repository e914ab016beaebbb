// @ts-check
/**
 * One calculator form: collects what was typed, asks Python, paints the answer.
 *
 * The page was rendered with an example by the same Python code, so nothing has to be drawn before the first edit,
 * and everything stays readable when the calculator cannot be had.
 */
import { About } from "./about.js";
import { ask, boot, long, onStatus } from "./client.js";
import { Failure, stopped } from "./contract.js";
import { addRow, emptyRegions, fieldsOf, leaveRegions, paintFields, paintRegions, paintUnits, paintValues } from "./paint.js";
import { keepOwnUnits, onSystem, ownUnits, switchSystem, system } from "./units.js";

/** @typedef {import("./paint.js").Answer} Answer */
/** @typedef {import("./paint.js").Field} Field */
/** @typedef {import("./units.js").Display} Display */
/** @typedef {import("./client.js").Status} Status */

/** @type {Display} the units that every page is built with */
const BUILT = { system: "shop", fields: {} };
/** @typedef {import("./about.js").Mark} Mark */
/** @typedef {{about: About, mark: Mark, begun: boolean, stop: () => void, over: () => void}} Work long work, wanted or under way */
const NOT_YOURS = "The results shown are not for what you typed.";
const NOT_WORKED_OUT = "Not worked out for what you typed.";
const WORKING = "Working it out.";
const PATIENCE = 500; // ms until what stands there is shown as what earlier values gave
const CHANGED = "Stopped, because a value changed.";
const LEFT = "Stopped, because another rig was opened.";
const EVENTS = ["input", "change", "click", "submit", "reset", "focusin", "focusout", "pointerdown"];

export class CalcForm extends HTMLElement {
  /** @type {() => Record<string, unknown>} what a page adds to every request */
  extras = () => ({});
  /**
   * @type {(answer: Answer & Record<string, unknown>, edited: string, loaded: boolean) => void} what a page does with
   *   every answer: which field was changed last, and whether the answer only shows what was to be shown
   */
  answered = () => {};
  /** @type {() => import("./about.js").Subject} the rig that this form is about, for a form that is about one */
  subject = () => ({ id: "", revision: 0 });

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
  #about = new About(() => this.subject());
  #asked = false; // anything but what came with the page
  #unanswered = false; // what stands there is not for what stands in the fields
  #refusal = false; // the last answer was a sentence alone
  #slow = false; // the answer lets wait for itself
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #patience;
  #owed = false; // what the reader changed has no answer yet, so it is not kept either
  /** @type {Record<string, unknown>} said with the next ask only */
  #once = {};
  /** @type {Record<string, unknown> | undefined} what is to be shown, said with every ask until it is shown */
  #loading;
  /** @type {(() => void)[]} */
  #waiters = [];
  /** @type {Work | undefined} */
  #long;

  /** @type {Status | undefined} */
  #status;
  #failure = "";
  #problem = "";
  #stopped = ""; // why long work ended

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
    window.addEventListener("pageshow", ({ persisted }) => persisted || this.#asked || this.#settle());
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
    // What a button does is no further change of the field that was typed in last.
    if (Object.keys(once).length) this.#edited = "";
    this.#owed = true;
    this.#want();
  }

  /**
   * Ask for more about what stands in the fields: what stands beside them is still for it.
   *
   * @param {Record<string, unknown>} once said with this ask only
   */
  look(once) {
    Object.assign(this.#once, once);
    this.#edited = "";
    this.#want(this.#unanswered);
  }

  /** Ask again, because something that the answers rest on was changed otherwise than in a field. */
  change() {
    this.#stopped = "";
    this.#about.change();
    this.#review();
    this.renew();
  }

  /**
   * Show other numbers than those that stand here: Python says which, for what is said with this ask.
   *
   * Whatever was asked about those that stand here is dropped; `settled` tells when nothing is lost by it.
   *
   * @param {Record<string, unknown>} once
   */
  load(once) {
    this.#forget();
    this.#loading = { fields: {}, typed: [], ...once };
    this.#touched = true;
    this.#want();
    this.#turn();
  }

  /** @returns {{fields: Record<string, string>, units: Display}} what stands in the fields, and in which units */
  entries() {
    const fields = fieldsOf(this).filter((field) => field.type !== "radio" || isOn(field));
    return { fields: Object.fromEntries(fields.map((field) => [field.name, textOf(field)])), units: this.#shown };
  }

  /**
   * Show a reader's own entries of another time, and ask about them.
   *
   * @param {Record<string, string>} texts by field; a field that is not among them is empty
   * @param {Display} units
   */
  restore(texts, units) {
    this.#forget();
    this.#cleared = true;
    this.toggleAttribute("data-cleared", true);
    for (const field of fieldsOf(this)) {
      field.value = texts[field.name] ?? "";
      if (field.value) this.#typed.add(field.name);
    }
    this.#shown = units;
    this.#touched = true;
    this.#want();
  }

  /** Whether the reader changed something that has no answer yet, and so is not kept either. */
  get owes() {
    return this.#owed;
  }

  /** Wait until what the reader changed has its answer, or will have none. */
  async settled() {
    while (this.#owed) await this.#turned();
  }

  /** Have the first answer made before it is asked for; nothing of it is shown. */
  prepare() {
    ask(this.#request()).catch(() => {});
  }

  /** Leave everything behind that was about the numbers that stood here. */
  #forget() {
    this.#typed.clear();
    this.#before.clear();
    this.#editing = undefined;
    this.#edited = "";
    this.#once = {};
    this.#loading = undefined;
    this.#owed = false;
    this.#stopped = "";
    this.#about.reopen();
    this.#review();
  }

  #want(unanswered = true) {
    this.#asked = true;
    this.#unanswered = unanswered;
    this.#refusal = false;
    this.#patience ??= setTimeout(() => {
      this.#slow = true;
      this.#tell();
    }, PATIENCE);
    this.#waiting = true;
    this.#about.again();
    this.#tell();
    this.#soon();
  }

  /** @returns {Promise<void>} until the next answer or failure */
  #turned() {
    return new Promise((resolve) => this.#waiters.push(resolve));
  }

  #turn() {
    for (const resolve of this.#waiters.splice(0)) resolve();
  }

  #key() {
    return `${this.dataset.do}/${this.dataset.name ?? ""}`;
  }

  /** @returns {Display} */
  #wanted() {
    return { system: this.#system, fields: this.#own };
  }

  #request() {
    return {
      do: this.dataset.do,
      name: this.dataset.name ?? "",
      ...this.entries(),
      typed: [...this.#typed],
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
    this.#stopped = "";
    this.#about.change();
    this.#review();
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
    this.#forget();
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
    const mark = this.#about.mark();
    const request = this.#request();
    /** @type {Answer} */
    const answer = await ask({ ...request, do: "convert", of: request.do, to });
    // Whoever typed or switched meanwhile is not overwritten: it is done again with what stands there now.
    if (same(to, this.#wanted())) this.#about.receive(mark, () => this.#converted(answer, to));
  }

  /** @param {Answer} answer @param {Display} to */
  #converted({ values = {}, units = {}, problem }, to) {
    if (problem) {
      this.#refused = to;
      this.#problem = problem;
      return;
    }
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
    // Long work would come back in the units that it was asked for in.
    this.#about.change();
    this.#review();
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
      this.#failure = this.#asked ? `${error.sentence} ${NOT_YOURS}` : error.sentence;
      // What was typed after the ask that failed still wants its answer.
      if (this.#waiting) this.#soon();
      else this.#owed = false;
      this.#patient();
    } finally {
      this.#running = false;
      this.#turn();
      this.#tell();
    }
  }

  async #ask() {
    const loading = this.#loading;
    // What is to be done with the numbers that are on their way waits until they are there.
    const once = loading ? {} : this.#once;
    if (!loading) this.#once = {};
    this.#waiting = false;
    this.#tell();
    // Of a step the working and the chart can wait until the answer stands there, of a rig the order's sheet.
    const part = ["step", "rig"].includes(this.dataset.do ?? "") ? { part: "answer" } : {};
    const mark = this.#about.mark();
    const answer = await ask({ ...this.#request(), ...part, ...loading, ...once });
    const fate = this.#about.receive(mark, () => this.#answered(answer, loading));
    if (fate === "holds" && answer.more) await this.#rest(answer.more);
    else if (fate === "older") {
      // A newer edit waits. What was to be said once is said with that.
      this.#once = { ...once, ...this.#once };
      if (!this.#checksWhenDone() || Object.keys(this.#once).length) this.#waiting = true;
    }
  }

  /** @param {string[]} names the regions that are still those of earlier values */
  async #rest(names) {
    const mark = this.#about.mark();
    const late = setTimeout(() => leaveRegions(this, names), PATIENCE);
    /** @type {Answer} */
    let rest = {};
    try {
      rest = await ask({ ...this.#request(), part: "rest" });
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      rest = { problem: error.sentence };
    } finally {
      clearTimeout(late);
    }
    this.#about.receive(mark, () => {
      const { regions = {}, problem } = rest;
      paintRegions(this, regions);
      const missing = names.filter((name) => !(name in regions));
      if (missing.length) emptyRegions(this, missing, `${NOT_WORKED_OUT} ${problem ?? ""}`.trim());
    });
  }

  /** @param {Answer & Record<string, unknown>} answer @param {Record<string, unknown>} [loading] */
  #answered(answer, loading) {
    const loaded = loading !== undefined && answer.values !== undefined;
    if (loaded) this.#loading = undefined;
    this.#refusal = Boolean(answer.problem) && !answer.regions;
    this.#unanswered = this.#refusal;
    this.#patient();
    this.#paint(answer, loaded);
    if (this.#refusal) this.#problem = `${this.#problem} ${NOT_YOURS}`;
    // What was typed while other numbers were on their way stands in their field, and they are asked about with it.
    if (loaded && (this.#typed.size || Object.keys(this.#once).length)) this.#want();
    else this.#owed = false;
    this.#turn();
    this.#tell();
  }

  #patient() {
    clearTimeout(this.#patience);
    this.#patience = undefined;
    this.#slow = false;
  }

  /** @param {Answer & Record<string, unknown>} answer @param {boolean} loaded */
  #paint(answer, loaded) {
    const { fields = {}, values, units, regions, problem } = answer;
    const homeless = answer.fields ? paintFields(this, fields) : "";
    for (const [place, { unit }] of Object.entries(fields)) if (unit !== undefined) this.#units.set(place, unit);
    /** @param {Field} field */
    const busy = (field) =>
      loaded ? this.#typed.has(field.name) : field === this.#editing && field === document.activeElement;
    if (values) paintValues(this, values, busy);
    if (units) this.#paintUnits(units);
    if (regions) paintRegions(this, regions);
    this.#problem = problem || homeless;
    this.answered(answer, this.#edited, loaded);
    this.#review();
  }

  /**
   * Do long work, or stop it.
   *
   * @param {HTMLButtonElement} button
   * @param {string} kind
   */
  async #work(button, kind) {
    if (this.#long) {
      this.stop();
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
   * @param {About} [about] what it is about, where that is not what stands in the form
   * @returns {Promise<boolean>} whether it came to its end without a trouble
   */
  async work(kind, more = {}, about = this.#about) {
    this.#end("");
    /** @type {Work} */
    const mine = { about, mark: about.lasting(), begun: false, stop: () => {}, over: () => {} };
    const over = new Promise((/** @type {(value?: undefined) => void} */ resolve) => {
      mine.over = resolve;
    });
    this.#long = mine;
    this.#touched = true;
    this.#problem = "";
    this.#stopped = "";
    this.#tell();
    try {
      if (about === this.#about && !(await this.#standing(mine))) return false;
      const mark = (mine.mark = about.lasting());
      mine.begun = true;
      const { promise, stop } = long({ ...this.#request(), ...more, do: kind }, ({ text, regions }) => {
        if (this.#long !== mine) return;
        about.receive(mark, () => {
          if (regions) paintRegions(this, regions);
          if (text) this.#problem = text;
        });
        this.#tell();
      });
      mine.stop = stop;
      const answer = await Promise.race([promise, over]);
      if (this.#long !== mine) return false;
      this.#long = undefined;
      this.#problem = "";
      const fate = about.receive(mark, () => this.#paint(answer, false));
      this.#stopped = whyStopped(fate);
      return fate === "holds" && !this.#problem;
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      if (this.#long === mine) this.#problem = error.sentence;
      return false;
    } finally {
      if (this.#long === mine) this.#long = undefined;
      this.#tell();
    }
  }

  /**
   * Wait until the form shows what it is about, with everything that was typed.
   *
   * @param {Work} mine
   * @returns {Promise<boolean>} whether it does, and the work is still wanted
   */
  async #standing(mine) {
    const waits = () => this.#owed || (this.#loading && (this.#running || this.#waiting));
    while (this.#long === mine && waits()) {
      await this.#turned();
      // Whoever has waited longer, to open another rig, goes first.
      await new Promise((resolve) => setTimeout(resolve));
    }
    return this.#long === mine && !this.#loading;
  }

  /** Stop the long work that is under way. */
  stop() {
    this.#end(stopped().sentence);
  }

  /** Stop long work that is about something else than what is open now. */
  #review() {
    const work = this.#long;
    if (!work) return;
    const fate = work.about.fate(work.mark);
    // What has not begun yet will be done with what is typed meanwhile.
    if (fate !== "holds" && (work.begun || fate !== "older")) this.#end(whyStopped(fate));
  }

  /** The work's button is free at once, whatever still comes of it. @param {string} sentence */
  #end(sentence) {
    const work = this.#long;
    if (!work) return;
    this.#long = undefined;
    this.#problem = "";
    this.#stopped = sentence;
    work.stop();
    work.over();
    this.#turn();
    this.#tell();
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
    const said = this.#failure || this.#problem || this.#stopped || news || (this.#slow ? WORKING : "");
    // An answer comes at once where the calculator is up; where it is not, what stands there must not pass for one.
    const late = state !== "ready" || this.#failure !== "" || this.#refusal || this.#slow;
    this.toggleAttribute("data-stale", this.#unanswered && late);
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

/** @param {import("./about.js").Fate} fate @returns {string} */
function whyStopped(fate) {
  return fate === "holds" ? "" : fate === "left" ? LEFT : CHANGED;
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
