// Runs the browser's Python under Node to turn one archive of sources into bytecode of exactly that Python.
// node prepare.mjs FOLDER_OF_OFFICIAL_FILES WORK ABI: WORK holds given.zip and pyc.py, and gets made.zip.
import path from "node:path";
import { pathToFileURL } from "node:url";

const [core, work] = process.argv.slice(2, 4).map((given) => path.resolve(given));
const { loadPyodide } = await import(pathToFileURL(path.join(core, "pyodide.mjs")).href);
const python = await loadPyodide({
  indexURL: core + path.sep,
  packageBaseUrl: core + path.sep,
  lockFileContents: {
    info: { arch: "wasm32", platform: "emscripten", version: "0", python: "", abi_version: process.argv[4] },
    packages: {},
  },
  env: { PYTHONHASHSEED: "0" },
});
python.FS.mkdirTree("/handbook");
python.FS.mount(python.FS.filesystems.NODEFS, { root: work }, "/handbook");
try {
  python.runPython(`
import sys
sys.path.insert(0, "/handbook")
import pyc
pyc.convert("/handbook/given.zip", "/handbook/made.zip")
`);
} catch (error) {
  // Python's own words, without the long line of the bundle that passed them on.
  console.error(error.message);
  process.exitCode = 1;
}
