// @ts-check
/** Puts what Python answered into a form. Whatever a reader typed reaches the page as a value or as text only. */

/**
 * @typedef {{problem: string, allowed: string, typical: string}} Message
 * @typedef {{error?: Message | null, unit?: string, origin?: string}} FieldAnswer
 * @typedef {object} Answer
 * @property {Record<string, FieldAnswer>} [fields]
 * @property {Record<string, string>} [values] texts to stand in the fields
 * @property {Record<string, string>} [units] symbols, by field
 * @property {Record<string, string>} [regions] HTML, made and escaped by Python
 * @property {string | null} [problem]
 * @property {string[]} [more] the regions that another part of this answer brings
 */
/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Field */

const ORIGINS = new Set(["example", "assumed", "measured", "derived"]);
const MOST_ROWS = 5000;

/** What was last painted into a region; an unchanged one is left alone, so that nothing is read out twice. */
/** @type {WeakMap<Element, string>} */
const painted = new WeakMap();

/**
 * Return the fields that a reader fills in.
 *
 * @param {Element} form
 * @returns {Field[]}
 */
export function fieldsOf(form) {
  const found = /** @type {NodeListOf<Field>} */ (form.querySelectorAll("input[name], select[name], textarea[name]"));
  return [...found].filter(({ type }) => type !== "file");
}

/**
 * Return a form's elements by what a data attribute of theirs says; looked for once, as a rig has hundreds of fields.
 *
 * @param {Element} form
 * @param {string} key
 * @returns {(name: string) => HTMLElement[]}
 */
function marked(form, key) {
  /** @type {Map<string | null, HTMLElement[]>} */
  const found = new Map();
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(`[data-${key}]`))) {
    const name = element.getAttribute(`data-${key}`);
    found.set(name, [...(found.get(name) ?? []), element]);
  }
  return (name) => found.get(name) ?? [];
}

/**
 * Paint the HTML of regions.
 *
 * @param {Element} form
 * @param {Record<string, string>} regions
 */
export function paintRegions(form, regions) {
  for (const [name, html] of Object.entries(regions)) {
    if (name === "status") continue;
    // Looked for each time: one may have come with another.
    for (const region of marked(form, "region")(name)) {
      delete region.dataset.earlier;
      if (painted.get(region) === html) continue;
      const open = [...region.querySelectorAll("details")].map((details) => details.open);
      const focused = region.contains(document.activeElement) ? document.activeElement?.id : "";
      region.innerHTML = html;
      // Whoever chose among what is painted anew goes on from there by keyboard.
      if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
      painted.set(region, html);
      region.querySelectorAll("details").forEach((details, place) => {
        details.open = open[place] ?? details.open;
      });
    }
  }
}

/**
 * Mark regions as what earlier values gave, until they are painted.
 *
 * @param {Element} form
 * @param {string[]} names
 */
export function leaveRegions(form, names) {
  const regions = marked(form, "region");
  for (const name of names) for (const region of regions(name)) region.dataset.earlier = "";
}

/**
 * Put a sentence in the place of what earlier values gave.
 *
 * @param {Element} form
 * @param {string[]} names
 * @param {string} sentence
 */
export function emptyRegions(form, names, sentence) {
  const regions = marked(form, "region");
  for (const name of names) {
    for (const region of regions(name)) {
      delete region.dataset.earlier;
      const note = document.createElement("p");
      note.className = "hb-note";
      note.textContent = sentence;
      region.replaceChildren(note);
      painted.delete(region);
    }
  }
}

/**
 * Paint messages, units and origins.
 *
 * @param {Element} form
 * @param {Record<string, FieldAnswer>} answers
 * @returns {string} the messages that have no place in this form
 */
export function paintFields(form, answers) {
  /** @type {Map<string, Message>} */
  const errors = new Map();
  const homeless = [];
  const [units, origins, troubles] = ["unit-of", "origin-of", "error-of"].map((key) => marked(form, key));
  for (const [name, { error, unit, origin }] of Object.entries(answers)) {
    if (unit !== undefined) paintUnit(units(name), unit);
    if (origin !== undefined) paintOrigin(origins(name), origin);
    if (!error) continue;
    const place = placeOf(troubles, name);
    if (place === undefined) homeless.push([error.problem, error.allowed].filter(Boolean).join(" "));
    else if (!errors.has(place)) errors.set(place, error);
  }
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-error-of]"))) {
    paintError(form, place, errors.get(place.dataset.errorOf ?? ""));
  }
  const wrong = new Set(Object.keys(answers).filter((name) => answers[name].error));
  for (const field of fieldsOf(form)) {
    if (wrong.has(field.name)) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  return homeless.join(" ");
}

/** @param {(name: string) => HTMLElement[]} places @param {string} name @returns {string | undefined} the nearest place for a field's message */
function placeOf(places, name) {
  for (let at = name; at; at = at.includes(".") ? at.slice(0, at.lastIndexOf(".")) : "") {
    if (places(at).length) return at;
  }
  return undefined;
}

/** @param {Element} form @param {HTMLElement} place @param {Message | undefined} error */
function paintError(form, place, error) {
  const said = error ? [error.problem, error.allowed, error.typical].filter(Boolean).join("\n") : "";
  if (painted.get(place) === said) return;
  painted.set(place, said);
  place.hidden = !error;
  place.closest(".hb-field")?.classList.toggle("hb-field--error", Boolean(error));
  place.replaceChildren();
  if (!error) return;
  const problem = document.createElement("strong");
  problem.textContent = error.problem;
  place.append(problem, [error.allowed, error.typical].filter(Boolean).join(" "));
  const name = place.dataset.errorOf ?? "";
  place.id ||= `e-${name.replace(/[^\w-]/g, "-")}-${[...document.querySelectorAll("calc-form")].indexOf(form)}`;
  for (const field of fieldsOf(form)) {
    const own = field.name === name || field.name === `${name}.plus_minus`;
    if (own && !field.hasAttribute("aria-describedby")) field.setAttribute("aria-describedby", place.id);
  }
}

/**
 * Paint the units of fields.
 *
 * @param {Element} form
 * @param {Record<string, string>} symbols by field
 */
export function paintUnits(form, symbols) {
  const places = marked(form, "unit-of");
  for (const [name, symbol] of Object.entries(symbols)) paintUnit(places(name), symbol);
}

/** @param {HTMLElement[]} places @param {string} symbol */
function paintUnit(places, symbol) {
  for (const place of places) {
    if (place instanceof HTMLSelectElement) place.value = symbol;
    else if (place.textContent !== symbol) place.textContent = symbol;
  }
}

/** @param {HTMLElement[]} places @param {string} origin */
function paintOrigin(places, origin) {
  for (const place of places) {
    if (place.textContent === origin) continue;
    place.textContent = origin;
    place.className = `hb-origin hb-origin--${ORIGINS.has(origin) ? origin : "none"}`;
  }
}

/**
 * Put texts into the fields, except where the reader is typing. A row that does not exist yet is added.
 *
 * @param {Element} form
 * @param {Record<string, string>} values
 * @param {(field: Field) => boolean} [busy] tells whether a field must be left alone
 */
export function paintValues(form, values, busy = () => false) {
  for (const name of Object.keys(values)) makeRoom(form, name);
  for (const field of fieldsOf(form)) {
    const text = values[field.name];
    if (text === undefined || field.value === text || busy(field)) continue;
    if (field instanceof HTMLInputElement && (field.type === "checkbox" || field.type === "radio")) {
      field.checked = field.type === "radio" ? field.value === text : text === "yes";
    } else field.value = text;
  }
}

/** @param {Element} form @param {string} name */
function makeRoom(form, name) {
  const cell = /^(.+)\.(\d{1,4})\.[^.]+$/.exec(name);
  if (!cell) return;
  const [table] = marked(form, "table")(cell[1]);
  while (table && rowsOf(table).length <= Number(cell[2])) if (!addRow(table)) return;
}

/** @param {Element} table @returns {HTMLTableRowElement[]} */
function rowsOf(table) {
  return [...table.querySelectorAll("tr")].filter((row) => row.hasAttribute("data-row"));
}

/**
 * Add an empty row like the last one.
 *
 * @param {HTMLElement} table
 * @returns {HTMLTableRowElement | null} null when the table holds all that it may
 */
export function addRow(table) {
  const rows = rowsOf(table);
  const last = rows.at(-1);
  const most = Math.min(Number(table.dataset.most ?? MOST_ROWS), MOST_ROWS);
  if (!last || rows.length >= most) return null;
  const row = /** @type {HTMLTableRowElement} */ (last.cloneNode(true));
  const [old, next] = [`.${last.dataset.row}.`, `.${rows.length}.`];
  row.dataset.row = String(rows.length);
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (row.querySelectorAll("[data-error-of]"))) {
    place.dataset.errorOf = place.dataset.errorOf?.replace(old, next);
    place.removeAttribute("id");
    place.hidden = true;
    place.replaceChildren();
  }
  for (const field of fieldsOf(row)) {
    field.name = field.name.replace(old, next);
    for (const name of ["id", "aria-describedby", "aria-invalid"]) field.removeAttribute(name);
    field.setAttribute("aria-label", (field.getAttribute("aria-label") ?? "").replace(/\d+$/, String(rows.length + 1)));
    if (field instanceof HTMLSelectElement) field.selectedIndex = 0;
    else if (field.type !== "checkbox" && field.type !== "radio") field.value = "";
  }
  last.after(row);
  const more = table.querySelector("[data-add-row]");
  if (more instanceof HTMLButtonElement) more.disabled = rows.length + 1 >= most;
  return row;
}
