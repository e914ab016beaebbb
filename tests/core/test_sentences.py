"""Sentences of the pages that state a fact in numbers, held against the numbers themselves."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from calc import tables
from calc.step import find, run
from calc.units import NO_BREAK
from calc.vocabulary import CROSS_SHARE_GOOD

PAGES = Path(__file__).parents[2] / "docs"


def example(name: str) -> dict[str, float]:
    step = find(name)
    return dict(run(step, step.example_inputs()).values)


def page(step: str) -> str:
    return (PAGES / "steps" / f"{step}.md").read_text("utf-8")


def test_the_roll_axis_is_said_to_be_where_it_is() -> None:
    values = example("roll")
    (height,) = re.findall(r"The roll axis passes below it, \{\{ ([\d.]+) m \}\} above the ground", page("roll"))
    assert float(height) == pytest.approx(values["sprung_center_height"] - values["roll_lever"], abs=5e-5)


def test_what_the_lean_takes_off_the_ratio_of_an_arm() -> None:
    values = example("lever_arm")
    share = 1 - values["motion_ratio"] / (values["mount_distance"] / values["arm_length"])
    assert f"here about {100 * share:.0f} %" in page("lever_arm"), share


def test_a_bar_quickens_tramp_too_and_the_page_says_so() -> None:
    step = find("rig_modes")
    given = step.example_inputs()
    before = run(step, given).values
    stiffer = run(step, {**given, "front_bar_roll_stiffness": given["front_coil_over_roll_stiffness"]}).values
    for name in ("rig_roll_frequency", "front_tramp_frequency"):
        assert stiffer[name] > 1.01 * before[name], name
    for name in ("rig_bounce_frequency", "rig_pitch_frequency"):
        assert stiffer[name] == pytest.approx(before[name], rel=1e-6), name
    assert "a bar quickens roll, and tramp with it" in page("rig_modes")
    assert "roll alone" not in page("rig_modes")


def test_one_unsprung_share_is_not_called_usual_on_one_line_and_more_than_good_on_the_next() -> None:
    step = find("unsprung")
    values = run(step, step.example_inputs()).values
    text, (finding,) = page("unsprung"), run(step, step.example_inputs()).findings
    sprung = [int(number) / 100 for number in re.findall(r"(\d+) to (\d+) % of what is sprung", text)[0]]
    axle = [int(number) / 100 for number in re.findall(r"(\d+) to (\d+) % of the axle weight", text)[0]]
    assert axle == [pytest.approx(share / (1 + share), abs=0.005) for share in sprung]
    assert f"Wren's front axle with {100 * values['unsprung_share']:.0f} %" in text
    assert "usual" not in finding.text


def test_the_cross_weight_has_one_pair_of_spans() -> None:
    """What weighing calls sound and what setting aims at stand together, and each check judges by its own."""
    weighing, rest = find("weighing"), find("rest")
    assert all("\n- {{ calc.vocabulary.CROSS_SHARE_GOOD }}\n" in page(step.name) for step in (weighing, rest))
    spans = re.findall(r"(\d+) (?:and|to) (\d+) %", CROSS_SHARE_GOOD)
    checks = [
        next(check for check in step.checks if check.value == value)
        for step, value in ((weighing, "cross_share"), (rest, "cross_share_at_rest"))
    ]
    assert [(100 * check.at_least, 100 * check.at_most) for check in checks] == [
        (pytest.approx(float(low)), pytest.approx(float(high))) for low, high in spans
    ]
    sound = run(weighing, {**weighing.example_inputs()}).findings
    assert not any("square" in finding.text for finding in sound)


def test_the_glossary_does_not_call_two_things_one() -> None:
    """The shaft shows more than the bump left, by the solid bump stop; a strut carries the wheel, a coil-over does not."""
    terms = {term.term: term for term in tables.terms()}
    assert "shaft showing" not in terms["bump left"].also_called
    assert "shaft showing" in terms
    assert not any("strut" in term.also_called for term in terms.values())


def test_nobody_lifts_a_wheel_without_its_tire() -> None:
    """Said once as good practice, and dangerous."""
    for path in sorted(PAGES.glob("**/*.md")):
        text = path.read_text("utf-8")
        assert not re.search(r"forklift|tires off", text.replace(NO_BREAK, " "), re.I), text[:80]


def test_practice_promises_what_its_pages_do() -> None:
    """A wrong answer gets a word and the working, no line of its own."""
    text = (PAGES / "practice.md").read_text("utf-8")
    assert "go astray" not in text
    assert "The page says whether it is right" in text
