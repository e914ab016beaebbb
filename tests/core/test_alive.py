"""Long work says that it goes on: in no answer of a page, and in no order or proving, is it silent for long.

A stretch is measured in calls of Python functions, which are the same on every machine.
"""

from __future__ import annotations

import io
import json
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from types import FrameType
from typing import Any

import pytest

from calc import alive, bridge, terminal
from calc.desk.places import ROOT
from calc.order.certainty import doubts
from calc.order.order import order
from calc.prove.prove import prove
from calc.rig.file import rig_to_data, wren
from calc.rig.readings import Proof, proofs_to_data, read_measurements
from calc.rig.rig import Rig
from calc.tables import DATA, assortment_springs
from tests.conftest import long_run
from tests.property.rigs import mutated_rig

# Some tens of milliseconds where Python is slow, and thousands of times fewer than what once made an answer look hung.
MOST_CALLS = 45_000


@pytest.fixture(autouse=True)
def nobody_listens() -> Iterator[None]:
    yield
    alive.listen(None)


def longest_silence(work: Callable[[], object]) -> int:
    """The most calls that were made between two words, before the first, or after the last."""
    calls, longest = 0, 0

    def count(_frame: FrameType, event: str, _argument: object) -> None:
        nonlocal calls
        calls += event == "call"

    def heard() -> None:
        nonlocal calls, longest
        calls, longest = 0, max(longest, calls)

    alive.listen(heard, every=0.0)
    before = sys.getprofile()
    sys.setprofile(count)
    try:
        work()
    finally:
        sys.setprofile(before)
        alive.listen(None)
    return max(longest, calls)


def ask(**request: Any) -> None:
    answer = json.loads(bridge.call(json.dumps({"fields": {}, **request})))
    assert not answer.get("problem"), answer


def measured() -> tuple[Proof, ...]:
    return read_measurements((DATA / "rigs" / "wren-measured.json").read_text("utf-8"))


REQUESTS: dict[str, dict[str, Any]] = {
    "home": {"do": "home"},
    "quote": {"do": "quote"},
    "rig": {"do": "rig", "rig": rig_to_data(wren())},
    "prove": {"do": "prove", "rig": {**rig_to_data(wren()), "proofs": proofs_to_data(measured())}},
    "step": {"do": "step", "name": "articulation"},
}


@pytest.mark.parametrize("name", REQUESTS)
def test_no_answer_of_a_page_is_silent_for_long(name: str) -> None:
    assert longest_silence(lambda: ask(**REQUESTS[name])) < MOST_CALLS


def whole(rig: Rig, proofs: tuple[Proof, ...]) -> None:
    springs = assortment_springs()
    made = order(rig, springs)
    doubts(made)
    for proof in proofs:
        prove(rig, springs, proof, made)


@pytest.mark.parametrize("number", [0, 2, *range(10, long_run(10, 200))])
def test_no_order_and_no_proving_is_silent_for_long(number: int) -> None:
    rig = mutated_rig(random.Random(number), ways=("change", "add", "cases", "ratio", "certainty"))
    assert longest_silence(lambda: whole(rig, measured())) < MOST_CALLS


def test_a_word_is_heard_once_in_a_while_only() -> None:
    heard: list[str] = []
    alive.listen(lambda: heard.append("alive"), every=3600.0)
    for _ in range(1000):
        alive.beat()
    assert heard == []


def test_an_import_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page's first answer imports for seconds on a slow machine."""
    monkeypatch.delitem(sys.modules, "calc.whole.leveling", raising=False)
    heard: list[str] = []
    alive.listen(lambda: heard.append("alive"), every=0.0)
    import calc.whole.leveling  # noqa: F401

    assert heard
    finders = len(sys.meta_path)
    alive.listen(None)
    assert len(sys.meta_path) == finders - 1


def test_what_is_called_may_import_and_may_fail() -> None:
    heard: list[str] = []

    def hook() -> None:
        heard.append("alive")
        alive.beat()
        raise OSError("gone")

    alive.listen(hook, every=0.0)
    for _ in range(2):
        with pytest.raises(OSError, match="gone"):
            alive.beat()
    assert heard == ["alive", "alive"]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def slow_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock on which each look at it takes a second."""
    seconds = iter(range(1_000_000))
    monkeypatch.setattr(alive, "monotonic", lambda: float(next(seconds)))


@pytest.mark.usefixtures("slow_clock")
def test_a_terminal_shows_how_long_it_takes_and_forgets_it() -> None:
    stream = Terminal()
    with alive.shown(stream):
        alive.beat()
        alive.beat()
    shown = stream.getvalue().split("\r")
    assert [text for text in shown if text.strip()] == ["Still at work: 3 s", "Still at work: 5 s"]
    assert shown[-2:] == [" " * len("Still at work: 3 s"), ""]


@pytest.mark.usefixtures("slow_clock")
def test_what_is_no_terminal_is_told_only_where_that_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(DATA / "rigs" / "wren.json")
    answers = []
    for more in ([], ["--progress"]):
        out = io.StringIO()
        assert terminal.command("choose", [path, "--json", *more], io.StringIO(), out) == 0
        answers.append(out.getvalue())
    said = capsys.readouterr()
    assert answers[0] == answers[1]
    assert said.out == ""
    lines = said.err.splitlines()
    assert lines
    assert all(line.startswith("Still at work: ") for line in lines)


def test_the_first_part_of_a_first_answer_brings_in_only_what_it_shows() -> None:
    """A page waits for every module of it: no files, no working, no chart, no list, no rig; the bridge alone no step."""
    program = (
        "import sys, numpy; had = set(sys.modules); import calc.bridge\n"
        "print(*set(sys.modules) - had)\n"
        'calc.bridge.call(\'{"do": "step", "name": "rescaled_rate", "part": "answer"}\')\n'
        "print(*set(sys.modules) - had)"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    bridge, answer = (set(line.split()) for line in done.stdout.splitlines())
    assert "calc.spring.rescaled_rate" in answer - bridge
    needless = {
        "importlib.resources",
        "tempfile",
        "calc.sheet.step_working",
        "calc.sheet.worked",
        "calc.chart.page",
        "calc.tables",
        "calc.rig.unread",
    }
    assert answer & needless == set()
