"""The core tests inside the browser's own Python under Node, and every step's numbers equal to this Python's.

The runtime is the prepared one that a page gets: stripped, compiled, without docstrings and asserts.
"""

from __future__ import annotations

import json
import math
import re
import shutil
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest

from calc import bridge
from calc.desk import bytecode, npm, runtime
from calc.desk.places import ROOT
from calc.quantity import METRIC, SHOP, Declared, Display, Quantity, Table
from calc.rig.file import rig_to_data, wren
from calc.sheet import home, quote
from calc.step import Step, all_steps
from calc.step import run as evaluate
from tests.pyodide import inside

pytestmark = pytest.mark.runtime

HERE = Path(__file__).parent
# Pure Python, so the very packages of this environment run there too.
PYTEST = ("pytest", "iniconfig", "pluggy", "packaging", "pygments")
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
# A result's last bits may differ: other compilers, another mathematics library.
RELATIVE = 1e-9
# Below this a number is a zero that arithmetic missed: in SI nothing here is that small.
TINY = 1e-12


@pytest.fixture(scope="session")
def prepared() -> Path:
    return bytecode.prepare()


def run(prepared: Path, work: Path, task: dict[str, Any], *archives: str) -> dict[str, Any]:
    shutil.copy(HERE / "inside.py", work)
    (work / "task.json").write_text(json.dumps(task), "utf-8")
    npm.node(HERE / "run.mjs", str(prepared), str(work), *archives)
    return json.loads((work / "told.json").read_text("utf-8"))


def core_tests() -> list[Path]:
    """Tests that need nothing but numpy, calc and pytest: by name, and all data that they read is in calc.zip."""
    return sorted((ROOT / "tests").glob("*/test_*_core.py"))


def test_the_core_tests_pass(prepared: Path, tmp_path: Path) -> None:
    packages = tmp_path / "packages"
    for name in PYTEST:
        for file in metadata.files(name) or ():
            if (file.suffix == ".py" or file.name == "METADATA") and ".." not in file.parts:
                place = packages / file
                place.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(str(file.locate()), place)
    shutil.copy(runtime.fetch()["python_stdlib.zip"], tmp_path)
    files = core_tests()
    for path in files:
        place = tmp_path / path.relative_to(ROOT)
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, place)
    asked = [f"/handbook/{path.relative_to(ROOT).as_posix()}" for path in files]
    options = ["--rootdir=/handbook/tests", "--import-mode=importlib", "-p", "no:cacheprovider", "-v", "-W", "error"]
    told = run(prepared, tmp_path, {"tests": [*options, *asked]}, "numpy.zip", "calc.zip")
    counts = told["counts"]
    print(f"Python {told['python']} of the browser: {counts['passed']} passed, {len(counts['failed'])} failed")
    assert not counts["failed"], "\n".join(counts["failed"])
    assert counts["skipped"] == []
    assert counts["code"] == 0
    assert counts["passed"] >= len(files) > 0
    assert told["python"].startswith(runtime.pins().python + ".")


def requests() -> list[dict[str, Any]]:
    """Every step's example as a page would ask it, in both unit systems, typed by the reader and not."""
    asked = []
    for step in all_steps():
        for display in (SHOP, METRIC):
            fields = example_fields(step, display)
            units = {"system": display.system, "fields": {}}
            one = {"do": "step", "name": step.name, "fields": fields, "units": units}
            asked += [{**one, "typed": []}, {**one, "typed": sorted(fields)}]
    for display in (SHOP, METRIC):
        units = {"system": display.system, "fields": {}}
        for name, declared, values in (
            ("home", home.declared(), home.example()),
            ("quote", quote.declared(), quote.example().values()),
        ):
            fields = {key: entry(value, declared[key], display, key) for key, value in values.items()}
            asked.append({"do": name, "fields": fields, "typed": sorted(fields), "units": units})
        asked.append({"do": "rig", "rig": rig_to_data(wren()), "fields": {}, "typed": [], "units": units})
    return asked


def works() -> list[dict[str, Any]]:
    """The search for Wren, and how sure it is, as the rig page lets them run."""
    asked = {"rig": rig_to_data(wren()), "fields": {}, "typed": [], "units": {"system": "shop"}}
    return [{"do": "choose", **asked}, {"do": "doubt", **asked}]


def example_fields(step: Step, display: Display) -> dict[str, str]:
    """The step's example as the texts that a reader would type."""
    outcome = evaluate(step, step.example_inputs())
    fields: dict[str, str] = {}
    for name, declared in step.inputs.items():
        value = outcome.values.get(name)
        if value is None:
            continue
        if isinstance(declared.is_a, Table):
            for index, row in enumerate(value):
                for column, cell in declared.is_a.columns().items():
                    fields[f"{name}.{index}.{column}"] = entry(getattr(row, column), cell, display, column)
        else:
            fields[name] = entry(value, declared, display, name)
        if name in outcome.plus_minus and isinstance(declared.is_a, Quantity):
            doubt = display.plus_minus(outcome.plus_minus[name], declared.is_a, name)
            fields[f"{name}.plus_minus"] = doubt.replace(",", "")
    return fields


def entry(value: Any, declared: Declared, display: Display, name: str) -> str:
    if value is None:
        return ""
    return display.entry(value, declared.is_a, name) if isinstance(declared.is_a, Quantity) else str(value)


def difference(here: Any, there: Any, place: str = "") -> list[str]:
    """Tell where two answers differ: words count exactly, numbers to 1e-9, also those inside texts."""
    if isinstance(here, dict) and isinstance(there, dict) and here.keys() == there.keys():
        return [found for key in here for found in difference(here[key], there[key], f"{place}.{key}")]
    if isinstance(here, list) and isinstance(there, list) and len(here) == len(there):
        pairs = zip(here, there, strict=True)
        return [found for at, (a, b) in enumerate(pairs) for found in difference(a, b, f"{place}[{at}]")]
    if isinstance(here, str) and isinstance(there, str) and NUMBER.split(here) == NUMBER.split(there):
        pairs = zip(NUMBER.findall(here), NUMBER.findall(there), strict=True)
        return [found for a, b in pairs for found in difference(float(a), float(b), place)]
    if isinstance(here, float) and isinstance(there, (int, float)):
        return (
            [] if math.isclose(here, there, rel_tol=RELATIVE, abs_tol=TINY) else [f"{place}: {here!r}, there {there!r}"]
        )
    return [] if here == there else [f"{place}: {here!r}, there {there!r}"]


@pytest.fixture(scope="module")
def answered(prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the bare runtime says: no docstrings, no asserts, no pandas, nothing that a page does not get."""
    modules = sorted(
        path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".").removesuffix(".__init__")
        for path in (ROOT / "calc").rglob("*.py")
        if path.relative_to(ROOT / "calc").parts[0] not in ("desk", "__main__.py")
    )
    task = {
        "requests": [json.dumps(request) for request in requests()],
        "works": [json.dumps(request) for request in works()],
        "modules": modules,
    }
    return run(prepared, tmp_path_factory.mktemp("answers"), task, "numpy.zip", "calc.zip")


def test_every_module_imports_without_what_was_stripped(answered: dict[str, Any]) -> None:
    assert answered["not_imported"] == []
    assert answered["python"].startswith(runtime.pins().python + ".")


def test_every_step_has_the_numbers_of_this_python(answered: dict[str, Any]) -> None:
    here = inside.example_values()
    assert len(here) == len(all_steps()) > 0
    assert difference(here, answered["values"]) == []


def test_every_page_has_the_answers_of_this_python(answered: dict[str, Any]) -> None:
    asked = requests()
    assert len(asked) == len(answered["answers"]) > 0
    for request, there in zip(asked, answered["answers"], strict=True):
        here = json.loads(bridge.call(json.dumps(request)))
        assert here["problem"] is None, request
        assert difference(here, json.loads(there)) == [], request


def test_the_search_ranks_as_in_this_python(answered: dict[str, Any]) -> None:
    for request, there in zip(works(), answered["works"], strict=True):
        here = json.loads(inside.finished(bridge.begin(json.dumps(request))))["done"]
        assert here["problem"] is None
        if request["do"] == "choose":
            assert all(axle["ranked"] for axle in here["data"]["axles"].values())
        assert difference(here, json.loads(there)["done"]) == []


def test_the_draws_are_those_of_this_python(answered: dict[str, Any]) -> None:
    """The same chances, the same order and ties, and the same bars: a draw is counted by a rule, not by its last bit."""
    here = inside.doubt_of_wren()
    chances = [chance for axle in here.values() for one in axle["sets"] for chance in one["chances"].values()]
    assert any(0.01 < chance < 0.99 for chance in chances)
    assert any(one["tied"] for axle in here.values() for one in axle["sets"])
    assert all(axle["most_in_doubt"]["moves"] for axle in here.values())
    assert difference(here, answered["doubt"]) == []
