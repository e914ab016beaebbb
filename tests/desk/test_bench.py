"""What the bench says, with tiny sizes: its shape and its sums. How fast anything is decides nothing here."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from calc.desk.bench import budgets, command, interpreter, pages
from calc.desk.bench.budgets import Budget, Row

MOST = Budget(name="most", what="Something small", limit=10.0, unit="ms")
LEAST = Budget(name="least", what="Something large", limit=300.0, at_least=True)


@pytest.mark.parametrize(
    ("budget", "measured", "met"), [(MOST, 10.0, True), (MOST, 10.1, False), (LEAST, 299.0, False)]
)
def test_a_budget_is_met_up_to_its_limit(budget: Budget, measured: float, met: bool) -> None:
    assert Row(budget=budget, measured=measured, against="").met is met


def test_the_table_tells_budget_measurement_and_against_what() -> None:
    rows = [
        Row(budget=MOST, measured=12.34, against="Against an empty one."),
        Row(budget=LEAST, measured=412.0, against="Against a loop."),
    ]
    assert budgets.table(rows, ["A machine."]) == (
        "A machine.\n\n"
        "Something small\n    12.3 ms, at most 10 ms: MISSED\n    Against an empty one.\n\n"
        "Something large\n    412, at least 300: met\n    Against a loop.\n\n"
        "1 of 2 budgets are kept.\nMissed: most.\n"
    )


def test_json_tells_the_same(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    row = Row(budget=MOST, measured=3.0, against="Against an empty one.", samples=(3.0,))
    monkeypatch.setattr(command, "_all", lambda _rounds, **_: iter([row]))
    assert command.main(["--json", "--rounds", "1"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["rounds"] == 1
    assert told["rows"] == [
        {
            "name": "most",
            "what": "Something small",
            "limit": 10.0,
            "at_least": False,
            "unit": "ms",
            "measured": 3.0,
            "against": "Against an empty one.",
            "samples": [3.0],
            "note": "",
            "met": True,
        }
    ]


def test_this_interpreter_is_measured() -> None:
    rows = [
        interpreter.imported(rounds=1),
        interpreter.searched(rounds=1, springs=20),
        *interpreter.grown(sizes=(100, 400, 900)),
        interpreter.looped(rounds=1, springs=4),
        interpreter.rested(rounds=1, rigs=1),
    ]
    assert [row.budget.name for row in rows] == ["import", "search", "linear", "memory", "loop", "rest"]
    assert all(math.isfinite(row.measured) and row.measured > 0 and row.samples for row in rows)


def test_a_page_weighs_what_it_fetches_of_ours(tmp_path: Path) -> None:
    for name in ("assets/calc/own.css", "assets/calc/own.js", "assets/stylesheets/theme.css", "assets/vendor/f.woff2"):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("@font-face{src:url(../vendor/f.woff2)}" if name.endswith("own.css") else "x", "utf-8")
    head = (
        '<link rel="stylesheet" href="../assets/stylesheets/theme.css"><link rel="stylesheet" href="../assets/calc/own.css">'
        '<link rel="next" href="two.html"><script src="../assets/calc/own.js?v=1"></script>'
    )
    (tmp_path / "steps").mkdir()
    plain, set_ = (tmp_path / "steps" / name for name in ("two.html", "one.html"))
    plain.write_text(head, "utf-8")
    set_.write_text(f"{head}<math></math>", "utf-8")
    own = {"assets/calc/own.css", "assets/calc/own.js"}
    assert set(pages.weight(plain, tmp_path)) == {"steps/two.html", *own}
    found = pages.weight(set_, tmp_path)
    assert set(found) == {"steps/one.html", "assets/vendor/f.woff2", *own}
    assert found["assets/vendor/f.woff2"] == 1
    row = pages.weighed(tmp_path)
    assert row.measured == pytest.approx(sum(found.values()) / 1000)
    assert row.against.startswith("steps/one.html, of 2 pages, gzip: ")
