// Turns the equations of all pages into MathML in one go: a JSON list of {tex, display} in, a JSON list of texts out.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const temml = (await import(pathToFileURL(process.argv[2]).href)).default;
const wanted = JSON.parse(readFileSync(0, "utf8"));
const made = wanted.map(({ tex, display }) => {
  try {
    return { html: temml.renderToString(tex, { displayMode: display, throwOnError: true, strict: true }) };
  } catch (error) {
    return { problem: String(error.message) };
  }
});
process.stdout.write(JSON.stringify(made));
