// @ts-check
/** The browser's storage, which may be refused, full, or filled by another copy of the handbook. */

/** Every key of ours begins so: other sites of the same host, and every page opened from a folder, share the storage. */
export const OURS = "spring-damper-handbook:";

/** @typedef {"kept" | "refused" | "full"} Written */

/** @returns {Storage | null} */
function storage() {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

/** Tell whether the browser lets this page keep anything. */
export function allowed() {
  try {
    storage()?.getItem(OURS);
    return storage() !== null;
  } catch {
    return false;
  }
}

/** @param {string} name @returns {string | null} what is kept under this name */
export function readKept(name) {
  try {
    return storage()?.getItem(OURS + name) ?? null;
  } catch {
    return null;
  }
}

/** @param {string} name @param {string | null} text null removes it @returns {Written} */
export function writeKept(name, text) {
  try {
    const place = storage();
    if (!place) return "refused";
    if (text === null) place.removeItem(OURS + name);
    else place.setItem(OURS + name, text);
    return "kept";
  } catch (error) {
    const full = error instanceof DOMException && /quota/i.test(error.name);
    return full ? "full" : "refused";
  }
}
