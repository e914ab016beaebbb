"""Directives and values in Markdown: what they become, and that a wrong one stops the build."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from calc.desk import environment, page
from calc.desk.places import ROOT

CONFIG = """\
site_name: Test
site_url: ""
theme:
  name: material
  font: false
hooks:
  - {hook}
plugins: []
"""


def in_both(shop: str, metric: str) -> str:
    shop, metric = shop.replace(" ", "\u00a0"), metric.replace(" ", "\u00a0")
    return f'<span class="hb-shop">{shop}</span><span class="hb-or"> or </span><span class="hb-metric">{metric}</span>'


# The factors are those of NIST SP 811: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 lbf = 4.4482216152605 N,
# 1 psi = 6894.757 Pa; so 250 lb/in = 43.78 N/mm, and 90 N/mm = 513.9 lb/in.
@pytest.mark.parametrize(
    ("inside", "shop", "metric"),
    [
        ("2.5 in", "2.5 in", "64 mm"),
        ("3/8 in", "3/8\u00a0in", "9.5 mm"),
        ("0.50 in", "0.50 in", "13 mm"),
        ("300 lb mass", "300 lb", "136 kg"),
        ("250 lb/in", "250 lb/in", "43.8 N/mm"),
        ("90 N/mm", "514 lb/in", "90 N/mm"),
        ("200 psi pressure", "200 psi", "13.8 bar"),
        ("77 °F temperature", "77 °F", "25 °C"),
        ("2.850 m", "112.2 in", "2.850 m"),
    ],
)
def test_a_literal_is_printed_in_both_systems(inside: str, shop: str, metric: str) -> None:
    assert page.in_both_systems(inside) == in_both(shop, metric)


def test_a_caution_is_printed_where_it_is_named() -> None:
    text, _ = page.expand("{{ caution ratings }}", "index.md")
    assert text == "Axle, tire and wheel ratings and the vehicle's gross rating bound everything."
    with pytest.raises(page.PageError, match=r"^index\.md: .*There is no caution “wind”\. There are: adjuster, "):
        page.expand("{{ caution wind }}", "index.md")


def test_the_page_of_a_step_begins_with_what_the_step_says_and_needs_no_name_in_its_blocks() -> None:
    text, blocks = page.expand("## Working\n\n```calc working\n```\n", "steps/lever_arm.md")
    assert text.startswith(
        '# Motion ratio on an arm\n\n<p class="hb-place">Motion ratio, step 4 of 13</p>\n\n'
        '<p class="hb-ask">The coil-over sits on an arm, between its pivot and the wheel: '
        "what share of the wheel's travel does it move?</p>\n\n## Working\n"
    )
    assert list(blocks.values()) == [page.render("working lever_arm")]


@pytest.mark.parametrize(
    ("inside", "printed"),
    [
        ("source common_practice", '<span class="hb-note">common practice, no source</span>'),
        ("source ours", '<span class="hb-note">a choice of this handbook</span>'),
        ("source derivation: a tire only pushes", '<span class="hb-note">a tire only pushes</span>'),
        (
            "source olley: rear frequency above front",
            '<span class="hb-note">Olley, Criteria of flat ride, rear frequency above front (from memory)</span>',
        ),
        ("calc.ride.roll.MOST_ON_ROADS", "18"),
        ("calc.certainty.trials.DRAWS", "1,000"),
        ("calc.whole.sides.SIDE_LIMIT % share", "10\u00a0%"),
        ("calc.vocabulary.road_speed.assumed km/h", in_both("19 mph", "30 km/h")),
        ("calc.ride.roll.CLASS_MEANS", "cars 1.41, pickups 1.18, sport utilities 1.17, full-size vans 1.12"),
    ],
)
def test_a_source_and_what_a_module_declares_are_printed(inside: str, printed: str) -> None:
    assert page.expand(f"{{{{ {inside} }}}}", "index.md")[0] == printed


def test_a_value_that_is_the_same_in_both_systems_is_printed_once() -> None:
    assert page.in_both_systems("1.1 Hz") == "1.1\u00a0Hz"


def test_a_value_of_a_steps_example_is_printed_in_both_systems() -> None:
    """Wren's front axle: 2900 lb less 755 lb unsprung is 2145 lb, which is 973.0 kg."""
    assert page.in_both_systems("rescaled_rate.sprung_mass_after") == in_both("2,145 lb", "973.0 kg")


@pytest.mark.parametrize(
    ("markdown", "message"),
    [
        (
            "```calc sheet no_such_step\n```\n",
            "steps/a.md: calc sheet no_such_step: There is no step called “no_such_step”.",
        ),
        ("```calc shet stack\n```\n", "steps/a.md: calc shet stack: There is no directive “shet”."),
        ("```calc\n```\n", "steps/a.md: calc : There is no directive “”."),
        ("```calc sheet\n```\n", "steps/a.md: calc sheet: “sheet” needs exactly one name behind it."),
        ("```calc rig wren\n```\n", "steps/a.md: calc rig wren: “rig” is alone, without a name after it."),
        ("```calc terms\nx\n```\n", "steps/a.md: calc terms: A directive's block is empty"),
        (
            "```calc drawing no_such_drawing\n```\n",
            "steps/a.md: calc drawing no_such_drawing: There is no drawing",
        ),
        ("{{ rescaled_rate.no_such }}", "steps/a.md: {{ rescaled_rate.no_such }}: The step rescaled_rate knows no"),
        ("{{ no_such.rate }}", "steps/a.md: {{ no_such.rate }}: There is no step called “no_such”."),
        (
            "{{ source nobody: page 3 }}",
            "steps/a.md: {{ source nobody: page 3 }}: There is no source “nobody” in data/",
        ),
        ("{{ calc.ride.roll.SLOPE }}", "steps/a.md: {{ calc.ride.roll.SLOPE }}: There is no calc.ride.roll.SLOPE."),
        ("{{ calc.ride.rill.SLOPE }}", "steps/a.md: {{ calc.ride.rill.SLOPE }}: There is no calc.ride.rill.SLOPE."),
        ("{{ 3 furlong }}", "steps/a.md: {{ 3 furlong }}: “furlong” is not a unit that the handbook knows."),
        (
            "{{ 3 lb }}",
            "steps/a.md: {{ 3 lb }}: “lb” is a unit of several kinds; name one of them behind it: mass, force.",
        ),
    ],
)
def test_a_wrong_name_is_an_error_that_tells_page_and_name(markdown: str, message: str) -> None:
    with pytest.raises(page.PageError) as caught:
        page.expand(markdown, "steps/a.md")
    assert str(caught.value).startswith(message)


def test_a_directive_stands_in_the_page_as_it_was_rendered() -> None:
    text, blocks = page.expand("Before.\n\n```calc sheet rescaled_rate\n```\n\nAfter.\n", "a.md")
    assert "calc-form" not in text
    filled = page.fill(text, blocks, "a.md")
    assert '<div class="calc"><calc-form data-do="step" data-name="rescaled_rate">' in filled
    assert filled.startswith("Before.")
    assert filled.rstrip().endswith("After.")


def test_a_directive_that_markdown_swallowed_is_an_error() -> None:
    text, blocks = page.expand("```calc sheet rescaled_rate\n```\n", "a.md")
    with pytest.raises(page.PageError, match=r"a\.md: a directive is where Markdown does not keep it"):
        page.fill(text.replace("<div", "&lt;div"), blocks, "a.md")


def test_braces_in_a_block_of_code_are_left_alone() -> None:
    text = "```text\n{{ 2.5 in }}\n```\n"
    assert page.expand(text, "a.md")[0] == text


def test_an_unknown_name_stops_the_build(tmp_path: Path) -> None:
    docs = tmp_path / "docs"
    docs.mkdir()
    (docs / "index.md").write_text("# Test\n\n```calc sheet no_such_step\n```\n", "utf-8")
    (tmp_path / "mkdocs.yml").write_text(CONFIG.format(hook=ROOT / "docs" / "hooks" / "handbook.py"), "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict"],
        cwd=tmp_path,
        env={**environment.variables(), "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode != 0
    assert "index.md: calc sheet no_such_step: There is no step called “no_such_step”." in done.stderr
    assert "Traceback" not in done.stderr
