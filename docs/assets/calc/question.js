// @ts-check
/** A question with two answers, asked in the page. */

export class Question {
  #place;
  /** @type {((yes?: boolean) => void) | undefined} */
  #decide;

  /** @param {Element | null} place a paragraph, and the buttons for yes and no */
  constructor(place) {
    this.#place = /** @type {HTMLElement} */ (place);
  }

  /**
   * Ask; a question that is open is let fall.
   *
   * @param {string} question
   * @param {string} yes
   * @param {string} no
   * @returns {Promise<boolean | undefined>} nothing where the question was let fall
   */
  ask(question, yes, no) {
    this.drop();
    const [agree, decline] = this.#place.querySelectorAll("button");
    /** @type {HTMLElement} */ (this.#place.querySelector("p")).textContent = question;
    agree.textContent = yes;
    decline.textContent = no;
    this.#place.hidden = false;
    decline.focus();
    return new Promise((resolve) => {
      this.#decide = resolve;
    });
  }

  /** @param {boolean} yes */
  answer(yes) {
    this.#end(yes);
  }

  /** Let it fall: what it was asked about is not what is open any more. */
  drop() {
    this.#end(undefined);
  }

  /** @param {boolean | undefined} answer */
  #end(answer) {
    const decide = this.#decide;
    this.#place.hidden = true;
    this.#decide = undefined;
    decide?.(answer);
  }
}
