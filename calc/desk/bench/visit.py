"""What is measured in a browser: the first answer of a visit, the next page's, an edit's, the whole rig's, the search.

Every figure is taken in the page, from the first event to the painted answer, so that the driver's own time is left out.
"""

from __future__ import annotations

import json
import shutil
import statistics
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from calc.desk import build, runtime, shots
from calc.desk.bench.budgets import Budget, Row, figure, spread
from calc.desk.bench.interpreter import BenchError

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

BOOT = Budget(name="boot", what="Cold boot to the first live answer, against the official way", limit=0.45)
NEXT = Budget(name="next", what="Next page of the visit to its first live answer, against the first page", limit=0.03)
EDIT = Budget(name="edit", what="One edit to its answer, beyond two empty round trips", limit=10.0, unit="ms")
CHAIN = Budget(name="chain", what="Whole rig chain after one edit, in the browser", limit=100.0, unit="ms")
SETS = Budget(
    name="browser-search",
    what="Search of candidate sets, in the browser",
    limit=250_000.0,
    unit="sets/s",
    at_least=True,
)

# A page that has just come is still busy with itself. What must come may come late where other programs run.
SETTLING, PATIENCE = 500, 120_000
FIRST, SECOND = "steps/stack.html", "steps/travel_table.html"
# A field of each page, a value for it that the page answers, and how far each further value lies from the one before:
# no value comes twice, so no answer is one that was kept.
FIELDS = {FIRST: ("tender_rate", 251.0, 0.1), SECOND: ("ride_height", 20.05, 0.01)}
# Of the rig the searches of both values are kept, because the budget leaves the search out.
# So many that what is kept of one answer is gone before its value comes again, the searches apart.
RIG_FIELD, RIG_VALUES = "left_front.corner_mass", ("1475", "1476", "1477", "1478")

_ANSWER = """
  const until = (place, what, holds) => new Promise((resolve) => {
    const watch = new MutationObserver(look);
    function look() {
      if (!holds()) return;
      watch.disconnect();
      resolve();
    }
    watch.observe(place, what);
    look();
  });
  // Gives the time to the painted results, and that to all else of the page.
  const answer = async (form, field, text) => {
    const results = form.querySelector('[data-region="results"], [data-region="says-1"]');
    const before = results?.innerHTML;
    const began = performance.now();
    field.focus();
    field.value = text;
    field.dispatchEvent(new InputEvent("input", { bubbles: true }));
    if (results) {
      await until(form, { subtree: true, childList: true, characterData: true, attributes: true }, () =>
        results.innerHTML !== before || !form.hasAttribute("aria-busy"));
    }
    const took = performance.now() - began;
    await until(form, { attributes: true }, () => !form.hasAttribute("aria-busy"));
    const whole = performance.now() - began;
    const refused = form.querySelector(`[data-error-of="${CSS.escape(field.name)}"]`)?.textContent;
    if (form.hasAttribute("data-stale") || refused)
      throw new Error(refused || form.querySelector('[data-region="status"]').textContent);
    return { took, whole };
  };
"""
_ONE = f"""async ([name, text]) => {{ {_ANSWER}
  const form = document.querySelector("calc-form");
  return answer(form, form.querySelector(`[name="${{name}}"]`), text);
}}"""
# A second door into the worker that the page uses: the same address, name and options.
_DOOR = """
  const [build, counter] = localStorage["spring-damper-handbook:worker"].split(" ");
  const script = document.querySelector('script[src*="assets/calc/"]').src;
  const options = { type: "module", name: `handbook-${build}-${counter}`, extendedLifetime: true };
  const { port } = new SharedWorker(new URL(`worker.js?v=${build}`, script), options);
  const open = new Map();
  let count = 0;
  port.onmessage = ({ data }) => {
    if (data.kind === "failed") open.get(data.id)?.reject(new Error(data.sentence));
    else if (data.kind === "answer") open.get(data.id)?.resolve(JSON.parse(data.text));
    else if (data.kind === "progress") open.get(data.id)?.progress(JSON.parse(data.text));
  };
  const send = (kind, request, progress = () => {}) => new Promise((resolve, reject) => {
    count += 1;
    open.set(count, { resolve, reject, progress });
    port.postMessage({ id: count, kind, text: JSON.stringify(request) });
  });
  await send("hello", {});
"""
_EDITS = f"""async ([name, texts, times, before]) => {{ {_ANSWER} {_DOOR}
  const form = document.querySelector("calc-form");
  const field = form.querySelector(`[name="${{name}}"]`);
  for (const text of texts.slice(0, before)) await answer(form, field, text);
  const edits = [];
  const wholes = [];
  const empty = [];
  for (let time = 0; time < times; time++) {{
    const began = performance.now();
    await send("ask", {{ do: "" }});
    empty.push(performance.now() - began);
    const {{ took, whole }} = await answer(form, field, texts[(time + before) % texts.length]);
    edits.push(took);
    wholes.push(whole);
    // The next edit of a reader does not come in the same frame.
    await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
  }}
  return {{ edits, wholes, empty }};
}}"""
_SEARCH = f"""async (list) => {{ {_DOOR}
  const bare = {{ name: "rig", fields: {{}}, typed: [] }};
  const {{ rig }} = await send("ask", {{ do: "rig", ...bare, open: "wren" }});
  const {{ values }} = await send("ask", {{ do: "rig", ...bare, open: rig }});
  const common = {{ ...bare, fields: values, rig }};
  const read = await send("ask", {{ do: "rig", ...common, list_text: list }});
  const told = [];
  const began = performance.now();
  const done = await send(
    "long",
    {{ do: "choose", ...common, list: {{ ...read.list, use: true }} }},
    ({{ done }}) => told.push({{ at: performance.now() - began, done }}),
  );
  return {{ told, problem: done.problem ?? "" }};
}}"""
_OFFICIAL_PAGE = '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Official</title></head></html>'
_OFFICIAL_WORKER = """
import { loadPyodide } from "./pyodide.mjs";
const python = await loadPyodide();
await python.loadPackage("numpy");
python.runPython("import numpy");
postMessage("ready");
"""
_OFFICIAL = """() => new Promise((resolve, reject) => {
  const began = performance.now();
  const worker = new Worker("worker.mjs", { type: "module" });
  worker.onmessage = () => resolve(performance.now() - began);
  worker.onerror = (event) => reject(new Error(event.message));
})"""


class Bench:
    """A browser, and a host that has the handbook's site and the official files beside each other."""

    def __init__(self, program: Browser, address: str) -> None:
        self.program = program
        self.address = address

    @contextmanager
    def context(self) -> Iterator[BrowserContext]:
        """Open a browser profile that has seen nothing."""
        context = self.program.new_context(service_workers="block")
        context.set_default_timeout(PATIENCE)
        try:
            yield context
        finally:
            context.close()

    def visit(self, page: Page, name: str) -> None:
        """Open a page of the handbook and let it come to rest."""
        page.goto(f"{self.address}site/{name}")
        page.wait_for_timeout(SETTLING)

    def first_answers(self, *, rounds: int) -> Iterator[Row]:
        """Measure the first live answer of a visit and of its next page, in turn with the official way."""
        first, following, official = [], [], []
        for _ in range(rounds):
            with self.context() as context:
                page = context.new_page()
                page.goto(f"{self.address}official/index.html")
                official.append(float(page.evaluate(_OFFICIAL)))
            with self.context() as context:
                page = context.new_page()
                self.visit(page, FIRST)
                first.append(self._answered(page, FIRST))
                self.visit(page, SECOND)
                following.append(self._answered(page, SECOND))
        yield Row(
            budget=BOOT,
            measured=statistics.median(mine / theirs for mine, theirs in zip(first, official, strict=True)),
            against=(
                f"From the first touch of {FIRST} to its painted answer, {spread(first)}, against a worker that does "
                f"loadPyodide, loadPackage of numpy and its import, {spread(official)}; in turn, each in a new profile."
            ),
            samples=tuple(mine / theirs for mine, theirs in zip(first, official, strict=True)),
        )
        yield Row(
            budget=NEXT,
            measured=statistics.median(mine / before for mine, before in zip(following, first, strict=True)),
            against=f"The same on {SECOND}, opened next: {spread(following)}, against the first page's {spread(first)}.",
            samples=tuple(mine / before for mine, before in zip(following, first, strict=True)),
        )

    def _answered(self, page: Page, name: str) -> float:
        field, value, step = FIELDS[name]
        return float(page.evaluate(_ONE, [field, f"{value - step:.2f}"])["took"])

    def edits(self, *, times: int) -> Row:
        """Measure edits on two step pages against empty round trips through the same worker, in turn."""
        beyond, told = [], []
        with self.context() as context:
            page = context.new_page()
            for name, (field, value, step) in FIELDS.items():
                self.visit(page, name)
                self._answered(page, name)
                texts = [f"{value + step * turn:.2f}" for turn in range(times + 2)]
                found = page.evaluate(_EDITS, [field, texts, times, 2])
                beyond.append(statistics.median(found["edits"]) - 2 * statistics.median(found["empty"]))
                told.append(
                    f"{name} {spread(found['edits'])}, with working and chart {spread(found['wholes'])}, "
                    f"empty {spread(found['empty'])}"
                )
        return Row(
            budget=EDIT,
            measured=max(beyond),
            against=f"To the painted results, the worse of two pages, medians: {'; '.join(told)}.",
            samples=tuple(beyond),
        )

    def chain(self, *, times: int) -> Row:
        """Measure an edit of a corner weight of the example rig; the searches of all its values are done before.

        The answer stands when its first part is painted: what follows is the order's sheet, with the draws that the budget
        leaves out.
        """
        with self.context() as context:
            page = context.new_page()
            self.visit(page, "rig.html")
            page.get_by_role("button", name="Open Wren, the example").click()
            page.locator('[data-region="head-6"] .ans').wait_for()
            page.wait_for_selector("calc-form:not([aria-busy])")
            found = page.evaluate(_EDITS, [RIG_FIELD, RIG_VALUES, times, len(RIG_VALUES)])
        return Row(
            budget=CHAIN,
            measured=statistics.median(found["edits"]),
            against=(
                f"From an edit of {RIG_FIELD} to the painted answers of all sections: {spread(found['edits'])}; with the "
                f"order's sheet and its trials, {spread(found['wholes'])}."
            ),
            samples=tuple(found["edits"]),
        )

    def search(self, *, lists: Sequence[int]) -> Row:
        """Measure searches over a reader's own lists of more and more springs, as the rig page asks for them."""
        speeds, told = [], []
        for springs in lists:
            sets, took = self._searched(springs)
            speeds.append(sets / took)
            told.append(f"{sets:,} sets from {springs:,} springs {figure(took, 's')}")
        return Row(
            budget=SETS,
            measured=speeds[-1],
            against=f"Both axles of the example rig, with everything that the page does meanwhile: {'; '.join(told)}.",
            samples=tuple(speeds),
        )

    def _searched(self, springs: int) -> tuple[int, float]:
        with self.context() as context:
            page = context.new_page()
            self.visit(page, FIRST)
            self._answered(page, FIRST)
            found = page.evaluate(_SEARCH, spring_list(springs))
        told = found["told"]
        if found["problem"] or not told:
            raise BenchError(f"The search in the browser gave no progress ({found['problem'] or 'too few sets'}).")
        # Each axle counts from nothing again.
        ends = [now["done"] for now, later in pairwise([*told, {"done": 0}]) if later["done"] < now["done"]]
        return sum(ends), told[-1]["at"] / 1000


def spring_list(count: int) -> str:
    """Return a made-up price list whose bore fits the example rig."""
    lines = ["Item;Rate (lb/in);Free;Block;Bore;Each"]
    for index in range(count):
        rate, length = 120 + 5 * (index % 100), 8 + index // 100 % 10
        lines.append(f"B{index:04d};{rate};{length};{length * 0.36:.2f};3;90")
    return "\n".join(lines)


def official_files() -> Mapping[str, str | Path]:
    """Return the official distribution's files as it would serve them, with a lock of numpy alone, page and worker."""
    pinned = runtime.pins()
    files: dict[str, str | Path] = {
        name: path for name, path in runtime.fetch().items() if not name.endswith(".whl") or name.startswith("numpy-")
    }
    [wheel] = [member for member in pinned.members if member.name.startswith("numpy-")]
    about = {
        "name": "numpy",
        "version": wheel.name.split("-")[1],
        "file_name": wheel.name,
        "install_dir": "site",
        "sha256": wheel.sha256,
        "package_type": "package",
        "imports": ["numpy"],
        "depends": [],
    }
    info = {
        "arch": "wasm32",
        "platform": "emscripten",
        "version": pinned.version,
        "python": pinned.python,
        "abi_version": pinned.abi,
    }
    return {
        **files,
        "pyodide-lock.json": json.dumps({"info": info, "packages": {"numpy": about}}),
        "index.html": _OFFICIAL_PAGE,
        "worker.mjs": _OFFICIAL_WORKER,
    }


@contextmanager
def opened(place: Path, site: Path, program: Browser | None = None) -> Iterator[Bench]:
    """Lay out a built site and the official way in an empty folder, serve it, and open a browser where none is given."""
    shutil.copytree(site, place / "site")
    build.write(official_files(), place / "official")
    with shots.served(place) as address, nullcontext(program) if program else shots.opened() as running:
        yield Bench(running, address)
