// Two tabs of one browser with the real scripts of the rig page, walked by commands on standard input.
// What Python would answer is a small rig of three fields and a count, worked out from the request alone.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import vm from "node:vm";

import * as dom from "./document.mjs";

const KEY = "spring-damper-handbook:rigs";
const FIELDS = ["name", "a", "b"];
const EXAMPLE = { name: "Wren", a: "1", b: "2", n: 0 };
const script = new vm.Script(readFileSync(process.argv[2], "utf-8"));
const kept = new Map();
const tabs = [];

function told(rig) {
  return FIELDS.map((name) => rig[name]).join("/") + `/${rig.n}`;
}

/** What Python answers: a function of the request and of nothing else. */
function answer(request) {
  if (request.open === "wren") return { rig: EXAMPLE, problem: null };
  const opens = request.open !== undefined;
  const base = request.open === "blank" ? null : opens ? request.open : request.rig;
  const rig = { name: "", a: "", b: "", n: 0, ...base };
  for (const name of FIELDS) if (name in request.fields) rig[name] = request.fields[name];
  if (request.action === "more") rig.n += 1;
  if (request.part === "rest") return { regions: { order: told(rig) } };
  return {
    rig: !base && told(rig) === "///0" ? null : rig,
    fields: {},
    values: opens ? Object.fromEntries(FIELDS.map((name) => [name, rig[name]])) : {},
    regions: { says: told(rig), ...(request.part ? {} : { order: told(rig) }) },
    problem: null,
    ...(request.part ? { more: ["order"] } : {}),
  };
}

class Tab {
  asks = [];
  longs = [];
  timers = new Map();
  clock = 0;
  heard = [];

  constructor() {
    const { made } = dom;
    const button = (name) => made(dom.HTMLButtonElement, { "data-kept-do": name });
    const region = (name) => made(dom.HTMLElement, { "data-region": name });
    this.bar = made(
      dom.HTMLElement, { "data-kept": "" }, {},
      made(dom.HTMLSelectElement, { "data-kept-rigs": "" }), region("kept"), region("kept-said"),
      ...["undo", "save", "open", "link", "new", "wren", "remove"].map(button),
      made(dom.HTMLElement, { "data-kept-question": "" }, { hidden: true },
        made(class extends dom.HTMLElement { static tag = "p"; }), button("yes"), button("no")),
    );
    const tab = this;
    const page = {
      ...dom, console, URL, DOMException, TextDecoder, performance, crypto,
      navigator: {}, location: { protocol: "http:", hash: "", pathname: "/", search: "", href: "http://x/" },
      document: {
        documentElement: made(dom.HTMLElement),
        activeElement: null,
        querySelector: (selector) => [this.form, this.bar].find((one) => one.matches(selector)) ?? null,
        querySelectorAll: () => [],
        getElementById: () => null,
        createElement: () => made(dom.HTMLElement),
      },
      addEventListener: (type, listener) => type === "storage" && this.heard.push(listener),
      localStorage: {
        getItem: (key) => kept.get(key) ?? null,
        setItem: (key, text) => {
          if (kept.get(key) === text) return;
          kept.set(key, text);
          for (const other of tabs) if (other !== tab) other.news = true;
        },
        removeItem: (key) => kept.delete(key),
      },
      setTimeout: (then) => (this.timers.set(++this.clock, then), this.clock),
      clearTimeout: (count) => this.timers.delete(count),
      backend: {
        ask: (request, Failure) => new Promise((resolve, reject) => {
          const text = JSON.stringify(answer(JSON.parse(JSON.stringify(request))));
          const brings = request.open === "wren";
          this.asks.push({ brings, end: () => resolve(JSON.parse(text)), refuse: () => resolve({ problem: "No." }), fail: () => reject(new Failure("hung", "No answer.")) });
        }),
        long: (request, Failure) => {
          const text = JSON.stringify(answer(JSON.parse(JSON.stringify(request))));
          const promise = new Promise((resolve) => this.longs.push(() => resolve(JSON.parse(text))));
          return { promise, stop() {} };
        },
      },
      start: (CalcForm, connectRigs) => {
        CalcForm.tag = "calc-form";
        const fields = FIELDS.map((name) => made(dom.HTMLInputElement, {}, { name }));
        const search = made(dom.HTMLButtonElement, { "data-long": "choose", "data-while": "Stop" }, { textContent: "Search" });
        const parts = [...fields, search, ...["status", "says", "order"].map(region)];
        this.form = made(CalcForm, { "data-do": "rig", "data-name": "rig" }, {}, ...parts);
        this.form.connectedCallback();
        connectRigs();
      },
    };
    page.window = page;
    page.globalThis = page;
    script.runInContext(vm.createContext(page));
  }

  button(name) {
    return this.bar.querySelector(`[data-kept-do="${name}"]`);
  }

  field(name) {
    return this.form.querySelectorAll("input").find((field) => field.name === name);
  }

  state() {
    const rigs = this.bar.querySelector("[data-kept-rigs]");
    const question = this.bar.querySelector("[data-kept-question]");
    const text = (name) => [this.form, this.bar].flatMap((one) => one.querySelectorAll(`[data-region="${name}"]`))[0].textContent;
    return {
      fields: Object.fromEntries(FIELDS.map((name) => [name, this.field(name).value])),
      open: rigs.options.findIndex(({ value }) => value === rigs.value && value !== ""),
      undo: !this.button("undo").disabled,
      question: question.hidden ? null : question.querySelector("p").textContent,
      says: text("says"),
      order: text("order"),
      status: text("status"),
      said: text("kept-said"),
      stale: this.form.hasAttribute("data-stale"),
      search: this.form.querySelector("[data-long]").textContent,
      asks: this.asks.filter(({ brings }) => !brings).length,
      brings: this.asks.filter(({ brings }) => brings).length,
      longs: this.longs.length,
    };
  }
}

const does = {
  type(tab, name, text) {
    tab.field(name).value = text;
    tab.field(name).send("input");
  },
  more: (tab) => tab.form.renew({ action: "more" }),
  press: (tab, name) => tab.button(name).disabled || tab.button(name).send("click"),
  choose(tab, place) {
    const rigs = tab.bar.querySelector("[data-kept-rigs]");
    rigs.value = rigs.options[place].value;
    rigs.send("change");
  },
  search: (tab) => tab.form.querySelector("[data-long]").send("click"),
  end: (tab) => take(tab.asks, ({ brings }) => !brings).end(),
  fail: (tab) => take(tab.asks, ({ brings }) => !brings).fail(),
  refuse: (tab) => take(tab.asks, ({ brings }) => !brings).refuse(),
  bring: (tab) => take(tab.asks, ({ brings }) => brings).end(),
  finish: (tab, place) => tab.longs.splice(place, 1)[0](),
  reload: (tab) => (tabs[tabs.indexOf(tab)] = new Tab()),
};

function take(asks, fits) {
  return asks.splice(asks.findIndex(fits), 1)[0];
}

/** Let everything happen that needs nobody's doing. */
async function settle() {
  for (;;) {
    await new Promise(setImmediate);
    let busy = false;
    for (const tab of tabs) {
      for (const [count, then] of tab.timers) {
        busy = true;
        tab.timers.delete(count);
        then();
      }
      if (tab.news) {
        tab.news = false;
        busy = true;
        for (const listener of tab.heard) listener({ key: KEY });
      }
    }
    if (!busy) return;
  }
}

for await (const line of createInterface({ input: process.stdin })) {
  const { tab, op, args = [] } = JSON.parse(line);
  if (op === "begin") {
    kept.clear();
    tabs.splice(0);
    for (let count = 0; count < args[0]; count++) tabs.push(new Tab());
  } else does[op](tabs[tab], ...args);
  await settle();
  const book = JSON.parse(kept.get(KEY) ?? '{"rigs": {}, "current": ""}');
  const ids = Object.keys(book.rigs);
  const state = { rigs: Object.values(book.rigs), current: ids.indexOf(book.current), tabs: tabs.map((one) => one.state()) };
  process.stdout.write(`${JSON.stringify(state)}\n`);
}
