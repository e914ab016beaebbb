// @ts-check
/** What every page starts: its calculators, and the site itself kept for later. */
import { running } from "./channel.js";
import { boot } from "./client.js";
import { connectCopies } from "./copy.js";
import { CalcForm } from "./element.js";
import { keepPages } from "./keep.js";
import { settleUnits } from "./units.js";

// Pages on which the reader is about to enter something; every other page may be only read.
const SOON = 'calc-form:is([data-do="home"], [data-do="rig"], [data-do="quote"])';

/** @param {(() => void)[]} connected what only some pages have, joined to their forms once these are alive */
export function start(...connected) {
  settleUnits();
  if (!customElements.get("calc-form")) customElements.define("calc-form", CalcForm);
  connectCopies();
  for (const connect of connected) connect();
  keepPages();

  // A form that is shown in other units than the page was built with needs the calculator to change them.
  if (document.querySelector(SOON) || [...document.querySelectorAll("calc-form")].some(waits)) whenIdle(boot);

  // Where a worker of the visit is up, this page's step costs it a moment now instead of at the first touch.
  running().then((yes) => yes && whenIdle(() => document.querySelectorAll('calc-form[data-do="step"]').forEach(prepare)));
}

/** @param {Element} form */
function prepare(form) {
  if (form instanceof CalcForm) form.prepare();
}

/** @param {Element} form */
function waits(form) {
  return form instanceof CalcForm && form.waits;
}

/** @param {() => void} then */
function whenIdle(then) {
  const { connection } = /** @type {{connection?: {saveData?: boolean}}} */ (navigator);
  if (connection?.saveData) return;
  if (typeof requestIdleCallback === "function") requestIdleCallback(then, { timeout: 2000 });
  else setTimeout(then, 200);
}
