"""Every door of the handbook, asked for one case: each answer as one text, in the units of one system.

The doors are those that every later house keeps: `terminal.answered` for a terminal and a program, `bridge` for a page.
A terminal speaks in one system only. What costs one search is one `Ask` that gives several texts.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from calc import bridge, memo, terminal
from tests.golden.rigs import Case

SHOP, METRIC = "shop", "metric"
DAY = "2026-05-02"
# Where the text of a page is broken, so that a difference of two answers is a few lines.
_BLOCK = re.compile(r"(?=<(?:p|h\d|li|tr|td|th|dt|dd|div|section|details|figure|table|fieldset|label|caption|svg)\b)")
_DRAWING = re.compile(r"<svg\b.*?</svg>", re.S)


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What one door says: its text, or the data of a program's answer."""

    door: str
    system: str
    text: str = ""
    data: Any = None

    @property
    def name(self) -> str:
        return f"{self.door}, {self.system}"

    @property
    def is_data(self) -> bool:
        return self.data is not None


@dataclass(frozen=True, kw_only=True)
class Ask:
    """A search's worth of doors."""

    name: str
    answers: Callable[[Case, Path], Iterator[Answer]]


def answers(case: Case, asked: tuple[Ask, ...]) -> Iterator[Answer]:
    """Ask some doors for a case, as if nothing had been asked before."""
    memo.forget()
    with TemporaryDirectory() as folder:
        here = Path(folder)
        files: dict[str, Any] = {
            "rig.json": case.rig,
            "other.json": case.other,
            "measured.json": case.measured,
            "quote.json": case.quote,
            "dampers.csv": case.dampers,
        }
        if case.springs is not None:
            files["springs.csv"] = case.springs
        for name, content in files.items():
            text = content if isinstance(content, str) else json.dumps(content)
            (here / name).write_text(text, encoding="utf-8")
        for ask in asked:
            yield from ask.answers(case, here)


# --- a terminal and a program -----------------------------------------------------------------------------------------


def _told(door: str, *, data: bool = True, own_list: bool = True) -> Callable[[Case, Path], Iterator[Answer]]:
    """Ask a command, whose words name files of the case; its answer as text, and as data."""

    def ask(case: Case, here: Path) -> Iterator[Answer]:
        words = [str(here / word) if "." in word else word for word in door.split()]
        if own_list and case.springs is not None:
            words += ["--springs", str(here / "springs.csv")]
        if words[0] == "sheet":
            words += ["--date", DAY]
        found, text, code = terminal.answered(words[0], words[1:], io.StringIO())
        named = re.sub(r"\s+\S+\.json|(?<=--dampers) \S+", "", door)
        # The folder of the files is another each time.
        shown = terminal.printable(text).replace(f"{here}/", "")
        yield Answer(door=named, system=SHOP, text=f"{shown}exit code {code}\n")
        if data:
            read = json.loads(terminal.json_text(found).replace(f"{here}/", ""))
            yield Answer(door=f"{named} --json", system=SHOP, data=read)

    return ask


# --- the pages --------------------------------------------------------------------------------------------------------


def _page(answer: dict[str, Any]) -> str:
    """Return what a page shows: the fields' texts, units and messages, then its regions, broken into lines.

    The rig that it keeps and the data for a program are what other doors answer.
    """
    left_out = ("rig", "data", "regions", "list", "dampers", "want_list")
    shown = {key: value for key, value in answer.items() if key not in left_out}
    lines = [json.dumps(shown, sort_keys=True, ensure_ascii=False, indent=1)]
    for name, html in sorted(answer.get("regions", {}).items()):
        lines += ["", f"== {name}", *(line for line in _BLOCK.sub("\n", html).split("\n") if line.strip())]
    return "\n".join(lines) + "\n"


def without_drawings(text: str) -> str:
    """Return a page's text with a digest in place of each drawing.

    >>> without_drawings("<p>a</p><svg><path/></svg><p>b</p>")
    '<p>a</p>[drawing 82893551]<p>b</p>'
    """
    return _DRAWING.sub(lambda found: f"[drawing {hashlib.sha256(found[0].encode()).hexdigest()[:8]}]", text)


def _asked(**request: Any) -> dict[str, Any]:
    return dict(json.loads(bridge.call(json.dumps(request))))


def _worked(**request: Any) -> dict[str, Any]:
    work = bridge.begin(json.dumps(request))
    while "done" not in (said := json.loads(work.next())):
        pass
    return dict(said["done"])


def _rig_pages(system: str) -> Callable[[Case, Path], Iterator[Answer]]:
    """The rig page as it answers a rig that is opened, in its two parts and its long works, and the Prove page."""

    def ask(case: Case, _here: Path) -> Iterator[Answer]:
        common: dict[str, Any] = {"fields": {}, "typed": [], "units": {"system": system}, "today": DAY}
        if case.springs is not None:
            held = _worked(do="list", list_text=case.springs)["list"]
            common["list"] = {**held, "use": True}
        for door, answer in (
            ("rig page", _asked(do="rig", open=case.rig, part="answer", **common)),
            ("rig page, the rest", _asked(do="rig", rig=case.rig, part="rest", **common)),
            ("rig page, how sure", _worked(do="doubt", rig=case.rig, **common)),
        ):
            yield Answer(door=door, system=system, text=_page(answer))
        measured = {**case.rig, "proofs": case.measured["proofs"]}
        yield Answer(
            door="prove page", system=system, text=_page(_asked(do="prove", rig=measured, open=True, **common))
        )

    return ask


def _quote_pages(system: str) -> Callable[[Case, Path], Iterator[Answer]]:
    """The quote page with a file that is opened, and the home page with the weights of the rig."""

    def ask(case: Case, here: Path) -> Iterator[Answer]:
        units = {"system": system}
        file = (here / "quote.json").read_text(encoding="utf-8")
        opened = _asked(do="quote", file=file, units=units)
        fields = opened.get("values", {})
        answer = _asked(do="quote", fields=fields, typed=sorted(fields), units=units, action="save")
        yield Answer(door="quote page", system=system, text=_page(opened) + _page(answer))
        weights = {
            f"{axle}.axle_mass_{when}": f"{mass + more:.6g} kg"
            for axle, mass in _axle_masses(case).items()
            for when, more in (("before", 0.0), ("after", 150.0))
        }
        home = _asked(do="home", fields=weights, typed=sorted(weights), units=units)
        yield Answer(door="home page", system=system, text=_page(home))

    return ask


def _axle_masses(case: Case) -> dict[str, float]:
    values = case.rig["values"]
    found: dict[str, float] = {}
    for axle in ("front", "rear"):
        corners = [values.get(f"{side}_{axle}.corner_mass", {}).get("value") for side in ("left", "right")]
        if None not in corners:
            found[axle] = sum(corners)
    return found


ASKS = (
    Ask(name="choose", answers=_told("choose rig.json")),
    Ask(name="dampers", answers=_told("choose rig.json --dampers dampers.csv")),
    Ask(name="sheet", answers=_told("sheet rig.json")),
    Ask(name="sheet as csv", answers=_told("sheet rig.json --csv", data=False)),
    Ask(name="compare", answers=_told("compare rig.json other.json")),
    Ask(name="prove", answers=_told("prove rig.json measured.json")),
    Ask(name="rig and prove pages in shop units", answers=_rig_pages(SHOP)),
    Ask(name="rig and prove pages in metric units", answers=_rig_pages(METRIC)),
    Ask(name="quote", answers=_told("quote quote.json", own_list=False)),
    Ask(name="quote and home pages in shop units", answers=_quote_pages(SHOP)),
    Ask(name="quote and home pages in metric units", answers=_quote_pages(METRIC)),
)
HEAVY, LIGHT = ASKS[:8], ASKS[8:]
