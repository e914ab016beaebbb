// @ts-check
/**
 * The calculator's worker: reads the page's messages, lets Python answer, sends the answers back.
 *
 * Long work runs in slices; between two slices the worker is free, so edits, stop and the heartbeat are served.
 * On a host one worker serves every page of the visit, each through its own port; else its one port is itself.
 * A stretch of work that takes long says from within that it is alive: until it ends nothing else is served here.
 */
import { Failure, bootFault, faulty, stopped } from "./contract.js";
import { explain, handed, hosted, start } from "./runtime.js";

/** @typedef {import("./contract.js").ToWorker} ToWorker */
/** @typedef {import("./contract.js").ToPage} ToPage */
/** @typedef {{postMessage: (message: ToPage) => void, onmessage: ((event: MessageEvent<ToWorker>) => void) | null}} Port */

const EVERY = 60; // ms between two words of progress

const shared = "onconnect" in self ? /** @type {SharedWorkerGlobalScope} */ (/** @type {unknown} */ (self)) : undefined;

/** @type {Set<Port>} */
const ports = new Set();
/** @type {Promise<import("./runtime.js").Python> | undefined} */
let python;
/** @type {Extract<ToPage, {kind: "boot"}> | undefined} */
let last;
let told = 0;
/** @type {Map<string, (text: string | null) => void>} */
const wanted = new Map();
// A page that comes in the middle of a stretch of work has no port yet: this reaches it all the same.
const air = shared ? new BroadcastChannel(shared.name) : undefined;

/** Say from within a stretch of work that it goes on. */
function beat() {
  /** @type {ToPage} */
  const word = { kind: "alive" };
  if (air) air.postMessage(word);
  else for (const port of ports) port.postMessage(word);
}

/** @param {Port} port */
function serve(port) {
  /** @type {Set<number>} */
  const stops = new Set();
  /** @type {Set<number>} */
  const running = new Set();

  /** @param {number | null} id @param {Failure} failure */
  function fail(id, failure) {
    port.postMessage(failing(id, failure));
    if (failure.fatal) end(failure, port);
  }

  // Said before Python begins, so that the page knows what is at work when nothing more is heard.
  /** @param {number} id */
  const begin = (id) => port.postMessage({ id, kind: "begun" });

  /** @param {number} id @param {string} text */
  async function ask(id, text) {
    const ready = await booted();
    begin(id);
    try {
      port.postMessage({ id, kind: "answer", text: await complete(ready, () => ready.call(text)) });
    } catch (error) {
      fail(id, explain(error, faulty));
    }
  }

  /** @param {number} id @param {string} text */
  async function long(id, text) {
    running.add(id);
    const ready = await booted();
    begin(id);
    /** @type {import("./runtime.js").Slices | undefined} */
    let slices;
    try {
      // The first slice is answered like an ask: it is where a missing package shows.
      let said = await complete(ready, () => {
        slices?.close();
        slices = ready.begin(text);
        return slices.next();
      });
      for (;;) {
        const { progress, done } = JSON.parse(said);
        if (progress === undefined) {
          port.postMessage({ id, kind: "answer", text: JSON.stringify(done) });
          return;
        }
        port.postMessage({ id, kind: "progress", text: JSON.stringify(progress) });
        await turn();
        if (stops.has(id)) throw stopped();
        begin(id);
        said = /** @type {import("./runtime.js").Slices} */ (slices).next();
      }
    } catch (error) {
      fail(id, explain(error, faulty));
    } finally {
      running.delete(id);
      stops.delete(id);
      slices?.close();
    }
  }

  /** A page that has gone wants no more work; one that a browser brings back says hello again. */
  function leave() {
    for (const id of running) stops.add(id);
    ports.delete(port);
  }

  // Only some browsers say that a page is gone when it could not say so itself.
  if (shared) /** @type {MessagePort} */ (/** @type {unknown} */ (port)).addEventListener("close", leave);
  port.onmessage = ({ data }) => {
    switch (data.kind) {
      case "hello":
        ports.add(port);
        port.postMessage({ id: data.id, kind: "answer", text: JSON.stringify({ build: HANDBOOK_BUILD }) });
        if (last) port.postMessage(last);
        boot(data.files).catch((error) => fail(null, explain(error, bootFault)));
        break;
      case "ping":
        port.postMessage({ id: data.id, kind: "pong" });
        break;
      case "ask":
        ask(data.id, data.text ?? "").catch(() => {});
        break;
      case "long":
        long(data.id, data.text ?? "").catch(() => {});
        break;
      case "stop":
        if (running.has(data.id)) stops.add(data.id);
        break;
      case "bye":
        leave();
        break;
      case "bytes":
        wanted.get(data.name)?.(data.text);
        wanted.delete(data.name);
        break;
    }
  };
}

/** @param {Record<string, string>} [files] */
function boot(files) {
  const source = files ? handed(files, want) : hosted(new URL("runtime/", self.location.href));
  python ??= start(source, tell, beat).then((made) => {
    tell("ready", "The calculator is ready.", 1, 1);
    return made;
  });
  return python;
}

function booted() {
  if (!python) throw new Failure("order", "The page did not say hello.");
  return python;
}

/**
 * Answer, after loading what the answer says it lacks.
 *
 * @param {import("./runtime.js").Python} ready
 * @param {() => string} answer
 */
async function complete(ready, answer) {
  const text = answer();
  const needs = lacking(text);
  if (!needs) return text;
  await add(ready, needs);
  const again = answer();
  if (lacking(again)) throw faulty(`it asked again for ${lacking(again)}`);
  return again;
}

/** @param {import("./runtime.js").Python} ready @param {string[]} names */
async function add(ready, names) {
  try {
    for (const name of names) await ready.add(name);
  } catch (error) {
    const failure = explain(error, faulty);
    // What is loaded already goes on answering, so a package that cannot be had ends this ask only.
    throw new Failure(failure.code, failure.sentence, { detail: failure.detail });
  } finally {
    tell("ready", "The calculator is ready.", 1, 1);
  }
}

/** @param {string} text @returns {string[] | undefined} */
function lacking(text) {
  return text.startsWith('{"needs"') ? JSON.parse(text).needs : undefined;
}

/** @type {import("./runtime.js").Teller} */
function tell(state, sentence, loaded, total) {
  if (state !== last?.state) answersAtOnce(state === "ready");
  last = { kind: "boot", state, sentence, loaded, total };
  const now = performance.now();
  if (state === "loading" && loaded < total && now - told < EVERY) return;
  told = now;
  for (const port of ports) port.postMessage(last);
}

let free = () => {};

/**
 * Hold a lock while nothing but a hang can keep this worker from answering.
 *
 * A page that joins and hears nothing can see it, and so tell a worker that hangs from one that is starting.
 *
 * @param {boolean} yes
 */
function answersAtOnce(yes) {
  free();
  if (!shared || !yes) return;
  const held = new Promise((/** @type {(value?: undefined) => void} */ resolve) => {
    free = resolve;
  });
  navigator.locks?.request(shared.name, () => held);
}

/**
 * End a shared worker that cannot go on, which no page can do from its side, and tell its other pages.
 *
 * @param {Failure} failure
 * @param {Port} knows has been told
 */
function end(failure, knows) {
  if (!shared) return;
  for (const port of ports) if (port !== knows) port.postMessage(failing(null, failure));
  ports.clear();
  shared.close();
}

/** @param {number | null} id @param {Failure} failure @returns {ToPage} */
function failing(id, { code, sentence, detail, fatal }) {
  return { id, kind: "failed", code, sentence, detail, fatal };
}

/** @param {string} name @returns {Promise<string | null>} */
function want(name) {
  const given = new Promise((/** @type {(text: string | null) => void} */ resolve) => wanted.set(name, resolve));
  for (const port of ports) port.postMessage({ kind: "want", name });
  return given;
}

/** Let everything that has come in meanwhile be served first. */
function turn() {
  return new Promise((resolve) => setTimeout(resolve, 0));
}

if (shared) shared.onconnect = ({ ports }) => serve(ports[0]);
else serve(/** @type {Port} */ (/** @type {unknown} */ (self)));
