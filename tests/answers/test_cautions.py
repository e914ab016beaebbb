"""A caution is said once in the code, and wherever somebody is told what to turn, to take apart or to buy."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from calc import terminal
from calc.answers.build_sheet import CAUTIONS as ON_THE_SHEET
from calc.cautions import CAUTIONS
from calc.desk.places import ROOT

RIGS = ROOT / "data" / "rigs"
WREN, QUOTE, MEASURED = (str(RIGS / name) for name in ("wren.json", "quote.json", "wren-measured.json"))

LISTED = (ROOT / "data" / "assortments" / "springs.csv").read_text("utf-8").splitlines()


def said(*words: str) -> str:
    """What the terminal prints, its line breaks as spaces."""
    out = io.StringIO()
    assert terminal.command(words[0], words[1:], io.StringIO(), out) == 0
    return " ".join(out.getvalue().split())


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("choose", WREN), ("spring_and_gas", "driving", "ratings", "strength")),
        (("choose", WREN, "--dampers", "--springs", "FEW"), ("spring_and_gas", "driving", "ratings", "strength")),
        (("sheet", WREN), ("spring_and_gas", "jacking", "driving", "strength")),
        (("quote", QUOTE), ("driving", "ratings", "strength")),
        (("prove", WREN, MEASURED), ("spring_and_gas", "jacking", "adjuster", "driving")),
    ],
)
def test_the_terminal_says_its_cautions(words: tuple[str, ...], named: tuple[str, ...], tmp_path: Path) -> None:
    few = tmp_path / "few.csv"
    few.write_text("\n".join(LISTED[::8]), "utf-8")
    answer = said(*(str(few) if word == "FEW" else word for word in words))
    assert [name for name in named if CAUTIONS[name] not in answer] == []


@pytest.mark.parametrize(
    ("page", "named"),
    [
        ("index", ("driving", "ratings")),
        ("rig", ("spring_and_gas", "driving", "ratings", "strength")),
        ("quote", ("driving", "ratings", "strength")),
        ("prove", ("spring_and_gas", "jacking", "scales", "adjuster", "driving")),
        ("steps/natural_frequency", ("tire_on_scale", "scales")),
    ],
)
def test_a_page_takes_its_cautions_from_the_one_place(page: str, named: tuple[str, ...]) -> None:
    text = (ROOT / "docs" / f"{page}.md").read_text("utf-8")
    assert [name for name in named if f"{{{{ caution {name} }}}}" not in text] == []


def test_no_caution_is_written_twice() -> None:
    """A sentence of one is in no other module and on no page; every one is used somewhere."""
    texts = {
        path.relative_to(ROOT): " ".join(re.sub(r"[\"\n]", " ", path.read_text("utf-8")).split())
        for folder, kind in (("calc", "*.py"), ("docs", "*.md"))
        for path in (ROOT / folder).rglob(kind)
    }
    own = texts.pop(Path("calc/cautions.py"))
    sentences = {sentence for text in CAUTIONS.values() for sentence in re.split(r"(?<=[.]) ", text)}
    assert all(sentence in own for sentence in sentences)
    assert {str(path) for path, text in texts.items() for sentence in sentences if sentence in text} == set()
    used = " ".join(texts.values())
    assert [name for name in CAUTIONS if f"caution {name} }}}}" not in used] == []
    assert len(ON_THE_SHEET) == 3
