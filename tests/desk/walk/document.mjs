// As much of a document as the rig page's form and bar ask for.

export class HTMLElement {
  attributes = new Map();
  children = [];
  parent = null;
  hidden = false;
  classList = { toggle() {} };
  #text = "";
  #heard = [];

  dataset = new Proxy(this, {
    get: (element, key) => element.getAttribute(dashed(key)) ?? undefined,
    set: (element, key, value) => (element.setAttribute(dashed(key), value), true),
  });

  get tag() {
    return this.constructor.tag ?? "div";
  }

  get textContent() {
    return this.#text || this.children.map((child) => child.textContent ?? child).join("");
  }

  set textContent(text) {
    this.#text = text;
  }

  set innerHTML(text) {
    this.#text = text;
  }

  getAttribute(name) {
    return this.attributes.get(name) ?? null;
  }

  setAttribute(name, value) {
    this.attributes.set(name, String(value));
  }

  removeAttribute(name) {
    this.attributes.delete(name);
  }

  hasAttribute(name) {
    return this.attributes.has(name);
  }

  toggleAttribute(name, force) {
    if (force) this.setAttribute(name, "");
    else this.removeAttribute(name);
  }

  append(...children) {
    for (const child of children) if (child instanceof HTMLElement) child.parent = this;
    this.children.push(...children);
  }

  replaceChildren(...children) {
    this.children = [];
    this.#text = "";
    this.append(...children);
  }

  addEventListener(type, listener) {
    this.#heard.push({ type, listener });
  }

  /** Let an event rise from here. */
  send(type) {
    const event = { type, target: this, preventDefault() {} };
    for (let at = this; at; at = at.parent) {
      for (const heard of at.#heard) if (heard.type === type) heard.listener(event);
    }
  }

  matches(selector) {
    return selector.split(",").some((one) => {
      const [, tag = "", parts = ""] = /^\s*([\w-]*)((?:\[[^\]]+\])*)\s*$/.exec(one) ?? bad(one);
      if (tag && tag !== this.tag) return false;
      return [...parts.matchAll(/\[([\w-]+)(?:="?([^"\]]*)"?)?\]/g)].every(([, name, value]) => {
        const has = this.getAttribute(name) ?? (name in this && !name.startsWith("data") ? this[name] : null);
        return value === undefined ? has !== null && has !== undefined : has === value;
      });
    });
  }

  closest(selector) {
    for (let at = this; at; at = at.parent) if (at.matches(selector)) return at;
    return null;
  }

  querySelectorAll(selector) {
    const inside = this.children.filter((child) => child instanceof HTMLElement);
    return inside.flatMap((child) => [...(child.matches(selector) ? [child] : []), ...child.querySelectorAll(selector)]);
  }

  querySelector(selector) {
    return this.querySelectorAll(selector)[0] ?? null;
  }

  contains(other) {
    for (let at = other; at; at = at.parent) if (at === this) return true;
    return false;
  }

  focus() {}

  select() {}
}

class Entry extends HTMLElement {
  type = "text";
  defaultValue = "";
  value = "";
}
export class HTMLInputElement extends Entry {
  static tag = "input";
  files = [];
  name = "";
}
export class HTMLTextAreaElement extends Entry {
  static tag = "textarea";
}
export class HTMLButtonElement extends HTMLElement {
  static tag = "button";
  disabled = false;
}
export class Option extends HTMLElement {
  static tag = "option";

  constructor(text, value, defaultSelected, selected) {
    super();
    Object.assign(this, { text, value, defaultSelected, selected });
  }
}
export class HTMLSelectElement extends HTMLElement {
  static tag = "select";
  #value;
  name = "";
  type = "select-one";

  get options() {
    return this.children;
  }

  get value() {
    return this.#value ?? this.options.find(({ selected }) => selected)?.value ?? "";
  }

  set value(text) {
    this.#value = text;
  }

  replaceChildren(...options) {
    this.#value = undefined;
    super.replaceChildren(...options);
  }
}

/** Make an element with its attributes, fields and children. */
export function made(Kind, attributes = {}, fields = {}, ...children) {
  const element = Object.assign(new Kind(), fields);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

function dashed(key) {
  return `data-${key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
}

function bad(selector) {
  throw new Error(`The walk's document does not know ${selector}.`);
}
