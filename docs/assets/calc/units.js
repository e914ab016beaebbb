// @ts-check
/**
 * Which units the reader wants: for the whole site, and for single fields of one form.
 *
 * Nothing is converted here. The style sheet shows the texts of one system by an attribute on the root, which a line
 * in the page's head sets before anything is drawn; forms are converted by Python.
 */
import { OURS, readKept, writeKept } from "./storage.js";

/** @typedef {"shop" | "metric"} System */
/** @typedef {{system: System, fields: Record<string, string>}} Display */

const SYSTEM = "units";
const MOST_FIELDS = 200;
const root = document.documentElement;

/** @type {Set<() => void>} */
const listeners = new Set();

/** @returns {System} */
export function system() {
  return root.dataset.units === "metric" ? "metric" : "shop";
}

/**
 * Switch the whole site, now and for later visits.
 *
 * @param {System} wanted
 */
export function switchSystem(wanted) {
  writeKept(SYSTEM, wanted);
  show(wanted);
}

/**
 * Hear of every switch.
 *
 * @param {() => void} listener
 * @returns {() => void} stops it
 */
export function onSystem(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Take over what was chosen on an earlier page or in another tab. */
export function settleUnits() {
  show(readKept(SYSTEM) === "metric" ? "metric" : "shop");
  window.addEventListener("storage", ({ key, newValue }) => {
    if (key === OURS + SYSTEM) show(newValue === "metric" ? "metric" : "shop");
  });
}

/** @param {System} wanted */
function show(wanted) {
  if (wanted === "metric") root.dataset.units = wanted;
  else delete root.dataset.units;
  for (const button of document.querySelectorAll("[data-system]")) {
    button.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (button).dataset.system === wanted));
  }
  for (const listener of listeners) listener();
}

/**
 * Return the units that single fields of a form had on an earlier visit in the same system.
 *
 * @param {string} form
 * @returns {Record<string, string>}
 */
export function ownUnits(form) {
  try {
    const kept = JSON.parse(readKept(`${SYSTEM}:${form}`) ?? "null");
    if (kept?.system !== system()) return {};
    const entries = Object.entries(kept.fields).slice(0, MOST_FIELDS);
    return Object.fromEntries(entries.filter(([, unit]) => typeof unit === "string"));
  } catch {
    return {};
  }
}

/** @param {string} form @param {Record<string, string>} fields */
export function keepOwnUnits(form, fields) {
  const text = Object.keys(fields).length ? JSON.stringify({ system: system(), fields }) : null;
  writeKept(`${SYSTEM}:${form}`, text);
}
