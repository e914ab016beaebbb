// Starts the browser's prepared Python under Node, as the worker does, and lets tests/pyodide/inside.py work in it.
// node run.mjs PREPARED WORK ARCHIVE...
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [prepared, work] = process.argv.slice(2, 4).map((given) => path.resolve(given));
const { python: version, abi } = JSON.parse(fs.readFileSync(path.join(prepared, "runtime.json"), "utf8"));
const { loadPyodide } = await import(pathToFileURL(path.join(prepared, "pyodide.mjs")).href);
const python = await loadPyodide({
  indexURL: prepared + path.sep,
  packageBaseUrl: prepared + path.sep,
  stdLibURL: path.join(prepared, "stdlib.zip"),
  lockFileContents: {
    info: { arch: "wasm32", platform: "emscripten", version: "0", python: "", abi_version: abi },
    packages: {},
  },
  env: { PYTHONHASHSEED: "0" },
});
const site = `/lib/python${version}/site-packages`;
for (const name of process.argv.slice(4)) {
  const bytes = fs.readFileSync(path.join(prepared, name));
  python.unpackArchive(new Uint8Array(bytes).buffer, "zip", { extractDir: site });
}
python.FS.mkdirTree("/handbook");
python.FS.mount(python.FS.filesystems.NODEFS, { root: work }, "/handbook");
try {
  python.runPython('import sys; sys.path.append("/handbook"); import inside; inside.main()');
} catch (error) {
  // Python's own words, without the long line of the bundle that passed them on.
  console.error(error.message);
  process.exitCode = 1;
}
