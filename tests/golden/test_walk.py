"""How a rig walks through the house on its way to the text of `choose`: how many modules, and how often back again.

What is counted: the modules of `calc` in the order in which their functions are called for the first time, each function
once, so that no loop and no number of springs shows. Lambdas are among them; comprehensions and what a dataclass makes
for itself are not, because they are called otherwise in another Python. A module is passed when the first of its
functions is called; it is returned to when, after other modules, another function of it is called that was
not called before. A house whose rooms are walked through downhill, each once, has no returns. Everything is asked once
before it is counted and then forgotten, so that what only a first call does (declarations that are read, imports) and
what was asked earlier in the same process do not count.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from types import FrameType

import pytest

from calc import memo, terminal
from tests.golden.rigs import case

# Today's numbers, which may only get smaller: whoever makes one smaller writes the new one here.
# The rooms of the job are where the walk goes to and fro. As one room they were passed in 46 modules with 181 returns
# (82 and 294 in the whole house), before anything was redrawn.
JOB = tuple(
    f"calc.{room}" for room in ("rig", "search", "certainty", "whole", "order", "quote", "prove", "answer", "answers")
)
MOST_MODULES, MOST_RETURNS = 88, 295
MOST_JOB_MODULES, MOST_JOB_RETURNS = 52, 186


@dataclass(frozen=True, kw_only=True)
class Walk:
    """The modules in the order in which a rig comes to them, each as often as it is come to."""

    modules: tuple[str, ...]

    @property
    def passed(self) -> int:
        """How many modules the rig passes."""
        return len(set(self.modules))

    @property
    def returns(self) -> int:
        """How often it comes back to one that it had left."""
        return len(self.modules) - self.passed

    def within(self, rooms: Sequence[str]) -> Walk:
        """Return the same walk as seen from within some rooms."""
        return walk([module for module in self.modules if module.startswith(tuple(f"{room}." for room in rooms))])

    def often(self) -> Iterator[tuple[str, int]]:
        """Yield the modules that are returned to, most often first."""
        for module in sorted(set(self.modules), key=lambda name: (-self.modules.count(name), name)):
            if self.modules.count(module) > 1:
                yield module, self.modules.count(module) - 1


def walk(modules: Sequence[str]) -> Walk:
    """Return a walk, in which to stay in a module is one visit.

    >>> walk(["a", "a", "b", "a", "c"]).modules, walk(["a", "a", "b", "a", "c"]).returns
    (('a', 'b', 'a', 'c'), 1)
    """
    return Walk(modules=(*modules[:1], *(after for before, after in pairwise(modules) if after != before)))


def first_calls(words: Sequence[str]) -> list[str]:
    """Ask a terminal's command and return the module of each function, in the order of their first calls."""
    seen: dict[tuple[str, str], None] = {}

    def called(frame: FrameType, _event: str, _argument: object) -> None:
        code, module = frame.f_code, frame.f_globals.get("__name__", "")
        written = not code.co_filename.startswith("<") and not code.co_name.endswith("comp>")
        if module.startswith("calc.") and written:
            seen.setdefault((module, code.co_qualname))

    before = sys.gettrace()
    sys.settrace(called)
    try:
        assert terminal.command(words[0], words[1:], io.StringIO(), io.StringIO()) == terminal.DONE
    finally:
        sys.settrace(before)
    return [module for module, _ in seen]


def test_a_rig_walks_no_farther_than_it_does_today(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = case("rig-10")
    assert asked.springs is not None
    (tmp_path / "rig.json").write_text(json.dumps(asked.rig), encoding="utf-8")
    (tmp_path / "springs.csv").write_text(asked.springs, encoding="utf-8")
    words = ("choose", str(tmp_path / "rig.json"), "--springs", str(tmp_path / "springs.csv"))
    first_calls(words)
    memo.forget()
    whole = walk(first_calls(words))
    job = whole.within(JOB)
    with capsys.disabled():
        sys.stdout.write(
            f"\nFrom rig file to the text of `choose`: {whole.passed} modules and {whole.returns} returns, "
            f"of the job {job.passed} and {job.returns}.\n"
        )
        sys.stdout.write("".join(f"  {count:3} returns to {module}\n" for module, count in list(job.often())[:5]))
    assert whole.passed <= MOST_MODULES
    assert whole.returns <= MOST_RETURNS
    assert job.passed <= MOST_JOB_MODULES
    assert job.returns <= MOST_JOB_RETURNS


def test_to_and_fro_counts_and_loops_do_not() -> None:
    there = walk(["calc.a.x", "calc.a.x", "calc.b.y", "calc.a.x", "calc.c.z", "calc.b.y"])
    assert (there.passed, there.returns) == (3, 2)
    assert list(there.often()) == [("calc.a.x", 1), ("calc.b.y", 1)]
    inside = there.within(("calc.a", "calc.b"))
    assert (inside.passed, inside.returns) == (2, 2)
