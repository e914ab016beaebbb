// @ts-check
/** Buttons that copy a text, with a way out where a browser does not allow it. */

/** Listen for every button that carries a text to copy; what became of it is told in the form's place for that. */
export function connectCopies() {
  document.addEventListener("click", async ({ target }) => {
    const button = target instanceof Element ? target.closest("[data-copy]") : null;
    if (!(button instanceof HTMLElement)) return;
    const said = (await copied(button.dataset.copy ?? ""))
      ? "Copied."
      : "This browser does not allow copying: select the text above and copy it by hand.";
    const place = button.closest("calc-form")?.querySelector("[data-copied]");
    if (place) place.textContent = said;
  });
}

/** @param {string} text @returns {Promise<boolean>} */
async function copied(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return copiedBySelecting(text);
  }
}

/** The older way, which also works where a page is not served securely. @param {string} text */
function copiedBySelecting(text) {
  const focused = document.activeElement;
  const holder = document.createElement("textarea");
  holder.value = text;
  holder.readOnly = true;
  holder.className = "hb-sr";
  document.body.append(holder);
  holder.select();
  try {
    return document.execCommand("copy");
  } catch {
    return false;
  } finally {
    holder.remove();
    if (focused instanceof HTMLElement) focused.focus();
  }
}
