// @ts-check
/**
 * Loads the browser's Python inside a worker: every file is verified, the network is fenced, then `calc` answers.
 *
 * Nothing here knows what is computed. The page's text goes to `calc.bridge` and its text comes back.
 */
import * as say from "./contract.js";

/** @typedef {(name: string) => Promise<Uint8Array<ArrayBuffer>>} Reader gives a file's bytes, not yet verified */
/** @typedef {(state: "loading" | "ready", sentence: string, loaded: number, total: number) => void} Teller */
/** @typedef {{next: () => string, close: () => void}} Slices */
/**
 * @typedef {object} Python
 * @property {(text: string) => string} call answers one request
 * @property {(text: string) => Slices} begin starts long work
 * @property {(name: string) => Promise<void>} add loads a package that an answer asked for
 */

const FIRST = ["pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "stdlib.zip", "numpy.zip", "calc.zip"];
const SITE = `/lib/python${HANDBOOK_RUNTIME.python}/site-packages`;
// Python asks for its files under this name, which no network knows; they are answered from verified bytes.
const OWN = "https://runtime.invalid/";
// Nothing is ever installed from here, so the list of packages that could be is empty.
const NO_PACKAGES = {
  info: { arch: "wasm32", platform: "emscripten", version: "0", python: "", abi_version: HANDBOOK_RUNTIME.abi },
  packages: {},
};

// A package that is loaded later shows as an import that fails; the answer is then asked for again.
const DOOR = `
import importlib, sys, warnings
from types import SimpleNamespace
from calc import bridge

# dateutil comes without its file of time zones, which nothing here has.
warnings.filterwarnings("ignore", module="dateutil")

def lacking(work):
    try:
        return work()
    except ModuleNotFoundError as lack:
        if lack.name != "pandas":
            raise
        return '{"needs":["pandas"]}'

def load(name):
    # importlib's own way to look again imports what reads packages' records, which is stripped.
    for finder in sys.path_importer_cache.values():
        if finder:
            finder.invalidate_caches()
    importlib.import_module(name)

SimpleNamespace(
    listen=bridge.listen,
    answer=lambda text: lacking(lambda: bridge.call(text)),
    begin=bridge.begin,
    slice=lambda slices: lacking(slices.next),
    load=load,
)
`;

/**
 * Start Python.
 *
 * @param {(report: (name: string, loaded: number) => void) => Reader} source where the files come from
 * @param {Teller} tell hears every movement
 * @param {() => void} beat is called from within an answer that takes long, while it is worked out
 * @returns {Promise<Python>}
 */
export async function start(source, tell, beat) {
  if (typeof WebAssembly !== "object" || typeof WebAssembly.instantiate !== "function") throw say.noWebAssembly();
  const read = reading(source, tell);
  const files = read(FIRST, "Loading the calculator");
  const all = Promise.all(Object.values(files));
  const own = fence(files);
  const [loader, glue] = await Promise.all([files["pyodide.mjs"], files["pyodide.asm.mjs"]]);
  const [{ loadPyodide }, { default: createPyodideModule }] = await Promise.all([module(loader), module(glue)]);
  const loading = loadPyodide({
    indexURL: OWN,
    packageBaseUrl: OWN,
    stdLibURL: `${OWN}stdlib.zip`,
    lockFileContents: NO_PACKAGES,
    createPyodideModule,
    env: { PYTHONHASHSEED: "0" },
    stdout: () => {},
  });
  // A file that fails ends the start at once, with its own sentence and not with Python's.
  const [python] = await Promise.all([loading, all]);
  own.close();
  tell("loading", "Starting the calculator.", 1, 1);
  python.unpackArchive((await files["numpy.zip"]).buffer, "zip", { extractDir: SITE });
  python.unpackArchive((await files["calc.zip"]).buffer, "zip", { extractDir: SITE });
  const door = python.runPython(DOOR);
  door.listen(beat);
  /** @type {Map<string, Promise<void>>} */
  const added = new Map();

  /** @param {string} name @param {string} file */
  const load = async (name, file) => {
    const bytes = await read([file], "Loading what reads tables")[file];
    tell("loading", "Starting what reads tables.", 1, 1);
    python.unpackArchive(bytes.buffer, "zip", { extractDir: SITE });
    // Imported here, where nobody takes the silence for a hang, and not by the answer that needs it.
    door.load(name);
  };

  return {
    call: (text) => door.answer(text),
    begin: (text) => {
      const slices = door.begin(text);
      return { next: () => door.slice(slices), close: () => slices.destroy() };
    },
    add: (name) => {
      const file = `${name}.zip`;
      if (!(file in HANDBOOK_RUNTIME.files)) throw say.faulty(`it asked for ${name}`);
      const loading = added.get(name) ?? load(name, file);
      added.set(name, loading);
      loading.catch(() => added.delete(name));
      return loading;
    },
  };
}

/**
 * Say what a thrown thing means to the reader.
 *
 * @param {unknown} error
 * @param {(detail: string) => say.Failure} otherwise
 * @returns {say.Failure}
 */
export function explain(error, otherwise) {
  if (error instanceof say.Failure) return error;
  const text = String(/** @type {any} */ (error)?.message ?? error);
  const type = String(/** @type {any} */ (error)?.type ?? "");
  if (type.endsWith("MemoryError") || /out of memory|could not allocate|allocation failed|enlarge memory/i.test(text)) {
    return say.outOfMemory(text);
  }
  const last = text.trim().split("\n").at(-1) ?? "";
  const failure = otherwise(last);
  failure.detail = text;
  // An error that Python did not raise itself leaves Python in a state that nobody knows.
  failure.fatal ||= type === "";
  return failure;
}

/**
 * Read files with verification and one common progress.
 *
 * @param {(report: (name: string, loaded: number) => void) => Reader} source
 * @param {Teller} tell
 */
function reading(source, tell) {
  /** @param {string[]} names @param {string} words @returns {Record<string, Promise<Uint8Array<ArrayBuffer>>>} */
  return (names, words) => {
    /** @type {Record<string, number>} */
    const come = {};
    const total = names.reduce((sum, name) => sum + HANDBOOK_RUNTIME.files[name].size, 0);
    const report = (/** @type {string} */ name, /** @type {number} */ loaded) => {
      come[name] = loaded;
      const sum = Object.values(come).reduce((left, right) => left + right, 0);
      tell("loading", `${words}: ${megabytes(sum)} of ${megabytes(total)} MB.`, sum, total);
    };
    const get = source(report);
    return Object.fromEntries(names.map((name) => [name, verified(name, get)]));
  };
}

/** @param {string} name @param {Reader} get */
async function verified(name, get) {
  const bytes = await get(name);
  const { size, sha256 } = HANDBOOK_RUNTIME.files[name];
  if (bytes.length !== size) throw say.wrongFile(name, `${size} bytes`, `${bytes.length} bytes`);
  // Only a page that came over https, from this machine or from a folder can check more than the length.
  if (globalThis.crypto?.subtle) {
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    const found = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
    if (found !== sha256) throw say.wrongFile(name, `sha256 ${sha256}`, found);
  }
  return bytes;
}

/**
 * Read over http(s), from beside the worker.
 *
 * @param {URL} folder
 * @returns {(report: (name: string, loaded: number) => void) => Reader}
 */
export function hosted(folder) {
  const fetch = self.fetch.bind(self);
  return (report) => async (name) => {
    const { size, sha256 } = HANDBOOK_RUNTIME.files[name];
    // The hash in the address keeps a browser from answering with the file of an older copy.
    const address = new URL(`${name}?v=${sha256.slice(0, 16)}`, folder);
    let answer;
    try {
      answer = await fetch(address);
    } catch {
      throw say.unreachableFile(name);
    }
    if (!answer.ok) throw say.missingFile(name, `the server answered ${answer.status}`);
    if (!answer.body) return new Uint8Array(await answer.arrayBuffer());
    let bytes = new Uint8Array(size);
    let loaded = 0;
    const reader = answer.body.getReader();
    try {
      for (let part = await reader.read(); !part.done; part = await reader.read()) {
        if (loaded + part.value.length > bytes.length) throw say.wrongFile(name, `${size} bytes`, "more");
        bytes.set(part.value, loaded);
        loaded += part.value.length;
        report(name, loaded);
      }
    } catch (error) {
      throw error instanceof say.Failure ? error : say.unreachableFile(name);
    }
    return bytes.subarray(0, loaded);
  };
}

/**
 * Read from what the page handed over as base64, for a page opened from a folder.
 *
 * @param {Record<string, string>} given by name; names that end in .gz are compressed
 * @param {(name: string) => Promise<string | null>} want asks the page for a file that it did not hand over
 * @returns {(report: (name: string, loaded: number) => void) => Reader}
 */
export function handed(given, want) {
  return (report) => async (name) => {
    let bytes;
    if (`${name}.gz` in given) {
      const packed = new Blob([decoded(given[`${name}.gz`])]).stream();
      bytes = new Uint8Array(await new Response(packed.pipeThrough(new DecompressionStream("gzip"))).arrayBuffer());
    } else {
      const text = given[name] ?? (await want(name));
      if (text === null) throw say.missingFile(name, "it is not in the folder");
      bytes = decoded(text);
    }
    report(name, bytes.length);
    return bytes;
  };
}

/** @param {string} text @returns {Uint8Array<ArrayBuffer>} */
function decoded(text) {
  const made = /** @type {any} */ (Uint8Array).fromBase64;
  if (made) return made.call(Uint8Array, text);
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at++) bytes[at] = letters.charCodeAt(at);
  return bytes;
}

/** @param {Uint8Array<ArrayBuffer>} bytes */
async function module(bytes) {
  const address = URL.createObjectURL(new Blob([bytes], { type: "text/javascript" }));
  try {
    return await import(address);
  } finally {
    URL.revokeObjectURL(address);
  }
}

/**
 * Fence the worker: from here on its own scripts and Python reach nothing but this site.
 *
 * A page's policy does not bind a worker that came from a file, so the ways out are closed by hand.
 *
 * @param {Record<string, Promise<Uint8Array<ArrayBuffer>>>} files answered from bytes until `close`
 */
function fence(files) {
  const fetch = self.fetch.bind(self);
  const home = self.location.origin;
  const own = new Map(Object.entries(files));
  const closed = (/** @type {string} */ what) =>
    class {
      constructor() {
        throw new TypeError(`${what} is closed in the calculator.`);
      }
    };
  /** @type {typeof self.fetch} */
  const fenced = async (input, init) => {
    const address = new URL(input instanceof Request ? input.url : String(input), self.location.href);
    const bytes = address.href.startsWith(OWN) ? own.get(address.href.slice(OWN.length)) : undefined;
    if (bytes) {
      const type = address.pathname.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
      return new Response(await bytes, { headers: { "content-type": type } });
    }
    if (home === "null" || address.origin !== home) throw new TypeError("The calculator reads from its own site only.");
    return fetch(input, init);
  };
  const replaced = {
    fetch: fenced,
    importScripts: () => {
      throw new TypeError("importScripts is closed in the calculator.");
    },
    ...Object.fromEntries(
      ["XMLHttpRequest", "WebSocket", "WebSocketStream", "WebTransport", "EventSource", "Worker"].map((name) => [
        name,
        closed(name),
      ]),
    ),
  };
  for (const [name, value] of Object.entries(replaced)) {
    Object.defineProperty(self, name, { value, writable: false, configurable: false });
  }
  return { close: () => own.clear() };
}

/** @param {number} bytes */
function megabytes(bytes) {
  return (bytes / 1e6).toFixed(1);
}
