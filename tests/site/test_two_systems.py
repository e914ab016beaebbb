"""Every text is true in both unit systems: what a reader of one sees holds no unit of the other.

A number of the other system may stand only in brackets behind its own, and must be the same: 1/16 in (1.6 mm).
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from calc import units
from calc.cautions import CAUTIONS
from calc.chart.page import figure, table
from calc.desk.page import expand, fill
from calc.desk.two_systems import TextError, in_both_systems
from calc.practice import problem
from calc.quantity import METRIC, SHOP, Choice, Display, Table
from calc.sheet.step_working import working_lines
from calc.step import Step, find, run, step_names
from calc.units import NO_BREAK

DOCS = Path(__file__).parents[2] / "docs"
# The history, licences, the page that says what the units are, and functions, which take SI.
WITHOUT_UNITS = {"changes.md", "licences.md", "reference/functions.md", "reference/nomenclature.md"}
# Tables that name every unit on purpose, and the forms that answer in the reader's own units when they are touched.
SKIPPED = re.compile(
    r"^```calc (?:sheet|practice|home|wren|rig|quote|prove|nomenclature|functions|validation|licences|terms|bibliography|steps)"
    r"\b.*?^```$",
    re.M | re.S,
)
PAGES = sorted(path for path in DOCS.glob("**/*.md") if path.relative_to(DOCS).as_posix() not in WITHOUT_UNITS)
SYSTEMS: dict[str, Display] = {"shop": SHOP, "metric": METRIC}

SHOP_UNITS = (
    "in", "in²", "in³", "in/s", "in/s²", "lb", "lbf", "lb/in", "lb/in²", "lbf/in", "lb·in", "in·lbf", "ft·lbf", "lbf·ft",
    "lbf·ft/°", "lbf·s/in", "psi", "ksi", "Mpsi", "ft", "mph", "°F", "°R", "inch", "inches", "feet", "foot", "pound", "pounds",
)  # fmt: skip
METRIC_UNITS = (
    "mm", "cm", "m", "mm/s", "m/s", "kg", "t", "N", "kN", "N/mm", "N/mm²", "N/m", "N·m", "N·m/°", "N·s/m", "kg·m", "J", "bar",
    "kPa", "MPa", "GPa", "km/h", "°C", "millimeter", "millimeters", "centimeters", "meter", "meters", "kilogram", "kilograms",
    "newton", "newtons", "kilos",
)  # fmt: skip
NUMBER = r"(?:\d[\d,]*(?:\.\d+)?(?:/\d+)?)"


def mentions(names: tuple[str, ...]) -> re.Pattern[str]:
    """A number with one of these units, or one of these words where it needs no number."""
    joined = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    words = "|".join(name for name in sorted(names, key=len, reverse=True) if len(name) > 3 and name.isalpha())
    # "12 in a row" is no length.
    end = r"(?![\w·/²³°])(?! (?:a|an|the|its|each|all)\b)"
    bare = "|psi|lbf|lb/in" if "psi" in names else ""
    return re.compile(rf"(?<![\w.,/]){NUMBER}[ {NO_BREAK}-]?(?:{joined}){end}|\b(?:{words}{bare}){end}")


OTHER = {"shop": mentions(METRIC_UNITS), "metric": mentions(SHOP_UNITS)}
# A definition of ISO 8608 in its own unit, and the road's roughness, which both systems give in cubic centimeters.
BY_DEFINITION = re.compile(r"0\.1 waves per meter")
OWN_THEN_OTHER = re.compile(
    rf"({NUMBER}(?: to {NUMBER})?)[ {NO_BREAK}]?([^\s\d()]+) \(({NUMBER}(?: to {NUMBER})?)[ {NO_BREAK}]?([^\s\d()]+)\)"
)


def same(match: re.Match[str]) -> bool:
    """Whether a value and the one in brackets behind it are the same, to a tenth: they are written as a person would."""

    def number(text: str) -> float:
        over, _, under = text.replace(",", "").partition("/")
        return float(over) / float(under or 1)

    for first, second in zip(match[1].split(" to "), match[3].split(" to "), strict=True):
        for kind in units.KINDS.values():
            try:
                one, other = kind.unit(match[2].rstrip(",.")), kind.unit(match[4].rstrip(",."))
            except units.UnitError:
                continue
            # A difference of temperatures and a temperature are written alike.
            for offset in (1.0, 0.0):
                here = number(first) * one.factor + offset * one.offset
                there = number(second) * other.factor + offset * other.offset
                if abs(here - there) <= 0.1 * abs(here):
                    return True
    return False


def foreign(text: str, system: str) -> list[str]:
    """What of the other system stands in a text, but for what stands in brackets behind the same in the other."""
    plain = OWN_THEN_OTHER.sub(lambda match: "" if same(match) else match[0], BY_DEFINITION.sub("", text))
    return [plain[max(0, found.start() - 40) : found.end() + 10] for found in OTHER[system].finditer(plain)]


def shown(page: str, system: str) -> str:
    """What a reader of one system reads of a page's HTML or Markdown."""
    hidden = "metric" if system == "shop" else "shop"
    text = re.sub(rf'<span class="hb-{hidden}">.*?</span>|<span class="hb-or">.*?</span>', "", page, flags=re.S)
    # A block of the other system runs to its counterpart, or to the end of what a directive made.
    text = re.sub(
        r'<div class="hb-metric">.*?</dl>.*?</div>'
        if hidden == "metric"
        else r'<div class="hb-shop">.*?(?=<div class="hb-metric">)',
        "",
        text,
        flags=re.S,
    )
    text = re.sub(r"\$\$.*?\$\$|\$[^$\n]*\$|`[^`]*`|<math.*?</math>", " ", text, flags=re.S)
    text = re.sub(r"\]\([^)]*\)", "]", text)
    return re.sub(r"[ \t]+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text))).replace("\N{SOFT HYPHEN}", "")


@pytest.mark.parametrize("page", PAGES, ids=[path.relative_to(DOCS).as_posix() for path in PAGES])
def test_a_page_holds_no_unit_of_the_other_system(page: Path) -> None:
    name = page.relative_to(DOCS).as_posix()
    text, blocks = expand(SKIPPED.sub("", page.read_text("utf-8")), name)
    whole = fill(text, blocks, name)
    for system in SYSTEMS:
        assert foreign(shown(whole, system), system) == [], system


def spoken(step: Step, display: Display, system: str) -> Iterator[str]:
    """What a step's sheet says to a reader of these units: findings, working, chart, help and practice."""
    outcome = run(step, step.example_inputs(), display=display)
    yield step.title
    yield step.question
    yield from (finding.text for finding in outcome.findings)
    yield shown(working_lines(step, outcome, display), system)
    for declared in (*step.inputs.values(), *step.results.values()):
        inner = declared.is_a.columns().values() if isinstance(declared.is_a, Table) else ()
        for one in (declared, *inner):
            yield one.is_a.label
            yield getattr(one.is_a, "help", "")
            if isinstance(one.is_a, Choice):
                yield from (f"{option.label}. {option.help}" for option in one.is_a.options)
    if step.chart is not None:
        drawn = step.chart(outcome.values, display)
        yield shown(figure(drawn) + table(drawn), system)
    yield from (problem(step.name, number, display).text() for number in range(1, 2 * len(step.practice) + 1))


@pytest.mark.parametrize("name", list(step_names()))
def test_a_sheet_speaks_in_the_readers_units(name: str) -> None:
    for system, display in SYSTEMS.items():
        for text in spoken(find(name), display, system):
            assert foreign(text, system) == [], (system, text[:200])


@pytest.mark.parametrize("name", sorted(CAUTIONS))
def test_a_caution_speaks_to_both(name: str) -> None:
    for system in SYSTEMS:
        assert foreign(CAUTIONS[name], system) == []


@pytest.mark.parametrize(
    ("text", "system", "found"),
    [
        ("a 2 in gap", "metric", 1),
        ("a 2 in gap", "shop", 0),
        ("Half of 85 kg", "shop", 1),
        ("about an inch", "metric", 1),
        ("1/16 in (1.6 mm) with a tape", "shop", 0),
        ("1/16 in (1.6 mm) with a tape", "metric", 0),
        ("1/16 in (16 mm) with a tape", "metric", 1),
        ("12 in a row", "metric", 0),
        ("20 psi (1.4 bar)", "shop", 0),
        ("at 5 m/s", "shop", 1),
    ],
)
def test_the_reader_of_these_tests_finds_what_is_foreign(text: str, system: str, found: int) -> None:
    assert len(foreign(text, system)) == found


def test_a_wording_for_each_system_is_printed_and_escaped() -> None:
    page = in_both_systems("12~in of <18 | 305~mm of <457")
    assert '<span class="hb-shop">12\u00a0in of &lt;18</span>' in page
    assert '<span class="hb-metric">305\u00a0mm of &lt;457</span>' in page
    assert in_both_systems("as much | as much") == "as much"


def test_a_text_that_asks_for_what_an_example_lacks_says_so() -> None:
    with pytest.raises(TextError, match="The example of stack has no value for helper_rate"):
        in_both_systems("stack.helper_rate")
