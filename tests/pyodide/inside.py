"""What runs inside the browser's Python under Node: every request once, and the core tests.

The requests come first, while nothing is there but what a page has; the tests then get the official
standard library and pytest beside it.
"""

from __future__ import annotations

import dataclasses
import importlib
import json
import sys
from pathlib import Path
from typing import Any

WORK = Path("/handbook")


def main() -> None:
    """Do what WORK/task.json asks and write WORK/told.json."""
    task = json.loads((WORK / "task.json").read_text("utf-8"))
    told: dict[str, Any] = {"python": sys.version.split()[0], "asserts": __debug__}
    if "requests" in task:
        from calc import bridge

        told["answers"] = [bridge.call(request) for request in task["requests"]]
        told["works"] = [finished(bridge.begin(request)) for request in task["works"]]
        told["values"] = example_values()
        told["doubt"] = doubt_of_wren()
        told["not_imported"] = not_imported(task["modules"])
    if "tests" in task:
        told["counts"] = tested(task["tests"])
    (WORK / "told.json").write_text(json.dumps(told), "utf-8")


def finished(slices: Any) -> str:
    """Do long work to its end and return the end."""
    while "done" not in json.loads(said := slices.next()):
        pass
    return str(said)


def example_values() -> dict[str, dict[str, Any]]:
    """Return the unrounded results of every step's example, and the plus-minus of each."""
    from calc.step import all_steps, run

    found = {}
    for step in all_steps():
        outcome = run(step, step.example_inputs())
        found[step.name] = {
            "values": {name: plain(outcome.values[name]) for name in step.results},
            "plus_minus": {name: plain(value) for name, value in outcome.plus_minus.items()},
        }
    return found


def doubt_of_wren() -> dict[str, Any]:
    """Return the unrounded chances, order and ties of Wren's sets, what is most in doubt, and every bar that moves it.

    The doubt is made wide enough that sets break limits in some of the draws, so the chances are not all certain.
    """
    from calc.answers.order_data import order_data
    from calc.rig.file import wren
    from calc.sheet.rig.lists import handbook_springs

    rig = wren()
    wide = {
        key: dataclasses.replace(rig.values[key], plus_minus=4 * rig.known(key).plus_minus)
        for key in ("front.unsprung_mass", "rear.unsprung_mass", "front.seat_space", "rear.lean", "rear.gas_pressure")
    }
    rig = dataclasses.replace(rig, values={**rig.values, **wide})
    return dict(order_data(rig, handbook_springs())["doubt"])


def plain(value: Any) -> Any:
    """Turn a result into what JSON holds."""
    if value is None or isinstance(value, (bool, str)):
        return value
    if dataclasses.is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, (tuple, list)) or getattr(value, "shape", ()):
        return [plain(item) for item in value]
    return float(value)


def not_imported(names: list[str]) -> list[str]:
    """Import every module; return the names of those that fail, with the reason."""
    failed = []
    for name in names:
        try:
            importlib.import_module(name)
        except Exception as error:  # noqa: BLE001  the reason is the finding
            failed.append(f"{name}: {error!r}")
    return failed


def tested(arguments: list[str]) -> dict[str, Any]:
    """Run pytest; return how many tests ended in which way, and what it said of those that did not pass."""
    whole = str(WORK / "python_stdlib.zip")
    sys.path[:0] = [str(WORK / "packages"), whole]
    for name, module in list(sys.modules.items()):
        path = getattr(module, "__path__", None)
        if isinstance(path, list) and path and ".zip" in path[0]:
            # A package that is loaded already finds the rest of itself too.
            path.append(f"{whole}/{name.replace('.', '/')}")
    import pytest

    class Counter:
        def __init__(self) -> None:
            self.passed = 0
            self.failed: list[str] = []
            self.skipped: list[str] = []

        def pytest_runtest_logreport(self, report: Any) -> None:
            if report.when == "call" and report.passed:
                self.passed += 1
            elif report.failed:
                self.failed.append(f"{report.nodeid} ({report.when}): {report.longrepr}")
            elif report.skipped:
                self.skipped.append(report.nodeid)

        def pytest_collectreport(self, report: Any) -> None:
            if report.failed:
                self.failed.append(f"{report.nodeid}: {report.longrepr}")

    counter = Counter()
    code = pytest.main(arguments, plugins=[counter])
    return {
        "code": int(code),
        "passed": counter.passed,
        "failed": counter.failed,
        "skipped": counter.skipped,
    }
