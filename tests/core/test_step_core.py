"""Steps found and run, findings and plus-minus, on small steps made up here: nothing in them knows a vehicle."""

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np
import pytest

from calc import units
from calc.errors import ContradictionError, InputError, MissingError, UnknownNameError
from calc.quantity import METRIC, SHOP, Quantity
from calc.step import (
    Check,
    Equation,
    Example,
    Refusal,
    Source,
    Step,
    all_steps,
    attempt,
    check_finding,
    checked,
    find,
    run,
    run_each,
    step_names,
)
from calc.units import INCH, NO_BREAK, split_number


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def quantity(label, **changes):
    settings = {
        "symbol": label[0].lower(),
        "kind": units.LENGTH,
        "low": -1000.0,
        "high": 1000.0,
        "typical": 1.0,
        "help": "A length.",
    }
    return Quantity(label=label, **{**settings, **changes})


width = quantity("Width", low=0.0, low_open=True, high=100.0)
depth = quantity("Depth", low=0.0, high=100.0)
ratio = quantity("Ratio", kind=units.RATIO, low=0.0)
area = quantity("Area", kind=units.AREA)
extra = quantity("Extra")
total = quantity("Total")
spare = quantity("Spare", assumed=2.0)

Width = Annotated[float, width]
Depth = Annotated[float, depth]
Area = Annotated[float, area]
Extra = Annotated[float, extra]
Total = Annotated[float, total]
Spare = Annotated[float, spare]


@dataclass(frozen=True, kw_only=True)
class Areas:
    area: Area


@dataclass(frozen=True, kw_only=True)
class Ratios:
    ratio: Annotated[float, ratio]
    extra: Extra | None = None


@dataclass(frozen=True, kw_only=True)
class Totals:
    total: Total


def find_area(*, width: Width, depth: Depth) -> Areas:
    AREA.refuse(locals())
    return Areas(area=width * depth)


def find_ratio(*, area: Area, width: Width) -> Ratios:
    found = area / width**2
    return Ratios(ratio=found, extra=found * 3)


def find_total(*, area: Area, extra: Extra | None = None, spare: Spare = 2.0) -> Totals:
    return Totals(total=area + (0.0 if extra is None else extra) + spare)


def no_answer(*, area: Area, width: Width) -> Ratios:
    return Ratios(ratio=float(np.float64(area) / np.float64(width - 1.0)))


def divided(*, area: Area, width: Width) -> Ratios:
    return Ratios(ratio=area / (width - 1.0))


def step(function, name, **changes):
    function.__module__ = f"calc.weight.{name}"
    return Step(
        function=function,
        title=name.capitalize(),
        question="How much?",
        job="1",
        sources=(Source(key="derivation", flag="derivation"),),
        example=Example(inputs={}, expected={}, source=Source(key="derivation", flag="derivation")),
        **changes,
    )


AREA = step(
    find_area,
    "area_step",
    equations=(Equation(result="area", text="width * depth"),),
    refusals=(
        Refusal(
            field="depth",
            when="depth > most",
            problem="Depth, {depth}, is more than ten times the width, {width}.",
            allowed="Allowed: up to {most}.",
            given=(Equation(result="most", text="10 * width", quantity=depth),),
        ),
        Refusal(field="width", when="area > 900 and depth < 11", problem="An area of {area} is too much."),
        Refusal(field="depth", when="extra > width", problem="More than the width."),
    ),
)
RATIO = step(find_ratio, "ratio_step", equations=(Equation(result="ratio", text="area / width**2"),))
TOTAL = step(find_total, "total_step")


def test_steps_are_found_by_name_and_ordered_by_the_job():
    assert find("rescaled_rate").name == "rescaled_rate"
    assert find("rescaled_rate").room == "spring"
    with pytest.raises(UnknownNameError) as caught:
        find("teapot")
    assert str(caught.value) == f"There is no step called “teapot”. The steps are: {', '.join(step_names())}."
    order = [int("".join(sign for sign in item.job if sign.isdigit()) or 99) for item in all_steps()]
    assert order == sorted(order)


# --- one run ----------------------------------------------------------------------------------------------------------


def test_everything_wrong_is_told_at_once():
    with pytest.raises(InputError) as caught:
        run(AREA, {"width": -1.0, "teapot": 3.0})
    assert [error.field for error in caught.value.errors] == ["teapot", "width", "depth"]
    assert plain(caught.value.errors[0]) == "“teapot” is not an input of area_step."
    assert plain(caught.value.errors[1]) == (
        "Width must be above 0.00 in (got −39.37 in). Allowed: above 0.00 in and up to 3,937.01 in. Typical: 39.37 in."
    )
    assert plain(caught.value.errors[2]) == (
        "Depth is missing. Allowed: from 0.00 in to 3,937.01 in. Typical: 39.37 in."
    )


@pytest.mark.parametrize("value", [math.nan, math.inf, True, "3"])
def test_what_is_not_a_finite_number_is_refused(value):
    with pytest.raises(InputError, match="not a finite number"):
        run(AREA, {"width": value, "depth": 1.0})


def test_a_contradiction_of_single_values_is_an_input_error():
    with pytest.raises(InputError) as caught:
        run(AREA, {"width": 1.0, "depth": 10.001})
    assert plain(caught.value) == (
        "Depth, 393.74 in, is more than ten times the width, 39.37 in. Allowed: up to 393.70 in."
    )
    assert isinstance(caught.value.errors[0], ContradictionError)
    assert run(AREA, {"width": 1.0, "depth": 10.0}).values["area"] == 10.0


def test_defaults_and_assumed_values_are_filled_in():
    assert checked(TOTAL, {"area": 5.0}) == {"area": 5.0, "extra": None, "spare": 2.0}
    assert run(TOTAL, {"area": 5.0}).values["total"] == 7.0


@pytest.mark.parametrize("function", [no_answer, divided])
def test_no_answer_is_printed_when_it_is_not_finite(function):
    sick = step(function, "sick_step")
    with np.errstate(all="ignore"), pytest.raises(InputError) as caught:
        run(sick, {"area": 1.0, "width": 1.0})
    sentence = "These values together give no finite answer. Check the largest and the smallest of them."
    assert str(caught.value) == sentence
    with np.errstate(all="ignore"):
        done = attempt(sick, {"area": 1.0, "width": 1.0})
    assert [str(error) for error in done.errors] == [sentence]
    assert done.outcome.values["ratio"] is None


def test_an_attempt_keeps_what_does_not_need_the_bad_field():
    bad = step(
        find_ratio,
        "ratio_step",
        equations=(Equation(result="ratio", text="area / width**2"), Equation(result="extra", text="3 * area")),
        checks=(
            Check(rule="ratio is small", value="ratio", at_most=5.0, holds="Small.", fails="Large."),
            Check(rule="extra is small", value="extra", at_most=50.0, holds="Small extra.", fails="Large extra."),
        ),
    )
    done = attempt(bad, {"area": 6.0, "width": 1000.0})
    assert [error.field for error in done.errors] == ["width"]
    assert done.outcome.values["ratio"] is None
    assert done.outcome.values["extra"] == 18.0
    assert [finding.state for finding in done.outcome.findings] == ["not checked", "holds"]
    assert done.outcome.findings[0].text == "Ratio is small: needs width."
    assert attempt(bad, {"area": 6.0, "width": 2.0}).errors == ()


# --- arrays -----------------------------------------------------------------------------------------------------------


def test_an_array_without_a_mask_tells_its_first_refused_element():
    with pytest.raises(ContradictionError) as caught:
        find_area(width=np.array([1.0, 1.0, 1.0]), depth=np.array([5.0, 20.0, 30.0]))
    assert plain(caught.value).startswith("Depth, 787.40 in, is more than ten times")


def test_a_refusal_tells_names_on_the_way_and_needs_all_of_its_names():
    with pytest.raises(ContradictionError) as caught:
        find_area(width=99.0, depth=10.0)
    assert (caught.value.field, caught.value.message(METRIC)) == (
        "width",
        "An area of 9,900,000.00\u00a0cm² is too much.",
    )
    assert find_area(width=99.0, depth=12.0).area == 1188.0
    found = find_area(width=np.array([99.0, 9.0]), depth=np.array([12.0, 10.0]))
    assert found.area.tolist() == [1188.0, 90.0]
    with pytest.raises(ContradictionError):
        find_area(width=np.array([9.0, 99.0]), depth=np.array([10.0, 10.0]))
    with pytest.raises(ContradictionError) as caught:
        AREA.refuse({"width": 1.0, "depth": 2.0, "extra": 3.0})
    assert str(caught.value) == "More than the width."


def test_an_input_that_the_others_need_is_missing_or_said_so_in_words():
    def needs(**words):
        refusal = Refusal(field="extra", when="area > 5", absent=True, **words)
        return step(find_total, "total_step", refusals=(refusal,))

    with pytest.raises(MissingError) as caught:
        needs().refuse({"area": 6.0, "extra": None})
    assert str(caught.value).startswith("Extra is missing.")
    with pytest.raises(ContradictionError) as said:
        needs(problem="So large an area needs more.").refuse({"area": 6.0, "extra": None})
    assert (said.value.field, str(said.value)) == ("extra", "So large an area needs more.")
    for given in ({"area": 6.0, "extra": 0.0}, {"area": 4.0, "extra": None}, {"extra": None}):
        needs().refuse(given)


# --- plus-minus -------------------------------------------------------------------------------------------------------


def test_plus_minus_of_a_product_and_of_a_quotient_by_hand():
    """First order: relative doubts add in squares, a power counts by its exponent."""
    product = run(AREA, {"width": 2.0, "depth": 3.0}, {"width": 0.002, "depth": 0.006})
    assert product.plus_minus["area"] == pytest.approx(6.0 * math.hypot(0.001, 0.002), rel=1e-9)
    quotient = run(RATIO, {"area": 6.0, "width": 2.0}, {"area": 0.006, "width": 0.002})
    # The width enters by −2 and the step moves it by its whole doubt: a millionth of curvature is left.
    assert quotient.plus_minus["ratio"] == pytest.approx(1.5 * math.hypot(0.001, 2 * 0.001), rel=1e-5)


def test_the_doubt_that_is_given_goes_before_the_quantitys_own():
    own = quantity("Own", plus_minus=0.5, plus_minus_share=0.1)
    assert own.uncertainty(2.0) == 0.5
    assert own.uncertainty(-20.0) == 2.0
    assert run(AREA, {"width": 2.0, "depth": 3.0}).plus_minus["area"] == 0.0
    assert run(AREA, {"width": 2.0, "depth": 3.0}, {"width": 0.0}).plus_minus["area"] == 0.0


def test_runs_that_are_moved_together_give_what_each_gives_alone():
    """The roll step in three load cases, the second of which falls over: it alone is refused."""
    step = find("roll")
    given = {
        "front_sprung_mass": 1000.0,
        "rear_sprung_mass": 900.0,
        "front_unsprung_mass": 340.0,
        "rear_unsprung_mass": 300.0,
        "sprung_center_height": 0.95,
        "front_roll_center_height": 0.53,
        "rear_roll_center_height": 0.6,
        "front_coil_over_roll_stiffness": 14e3,
        "rear_coil_over_roll_stiffness": 14e3,
        "front_tire_rate": 260e3,
        "rear_tire_rate": 260e3,
        "track_front": 1.64,
        "track_rear": 1.66,
        "front_tire_radius": 0.44,
        "rear_tire_radius": 0.44,
    }
    doubts = {"sprung_center_height": 0.02, "front_tire_rate": 20e3}
    cases = [given, {**given, "sprung_center_height": 2.4}, {**given, "rear_sprung_mass": 1100.0}]
    first, fallen, last = run_each(step, [(case, doubts) for case in cases], METRIC)
    assert fallen is None
    with pytest.raises(InputError):
        run(step, cases[1], doubts, METRIC)
    for found, case in ((first, cases[0]), (last, cases[2])):
        alone = run(step, case, doubts, METRIC)
        assert found is not None
        assert (found.values, found.findings, found.assumed) == (alone.values, alone.findings, alone.assumed)
        assert found.plus_minus.keys() == alone.plus_minus.keys()
        assert [found.plus_minus[name] for name in alone.plus_minus] == pytest.approx(list(alone.plus_minus.values()))
        assert found.plus_minus["roll_gradient"] > 0


def test_at_the_edge_one_side_says_all():
    """Depth 9.9 with ± 0.2 may go past ten widths, where the step refuses: the side that is allowed is taken alone."""
    found = run(AREA, {"width": 1.0, "depth": 9.9}, {"depth": 0.2})
    assert found.plus_minus["area"] == pytest.approx(0.2, rel=1e-9)


# --- findings ---------------------------------------------------------------------------------------------------------

LIMITED = Check(
    rule="gap is enough",
    value="gap",
    at_least="least",
    holds="The gap {value} is enough; {limit} is wanted.",
    close="The gap {value} ± {doubt} is near {limit}.",
    fails="The gap {value} is less than {limit}.",
)
GAP, LEAST = quantity("Gap"), quantity("Least gap")


def judged(check, values, plus_minus=None, display=SHOP):
    return check_finding(check, values, plus_minus or {}, lambda name: {"gap": GAP, "least": LEAST}[name], display)


@pytest.mark.parametrize(
    ("gap", "doubt", "state", "text"),
    [
        (0.75, 0.05, "holds", "The gap 0.75 in is enough; 0.50 in is wanted."),
        (0.54, 0.05, "close", "The gap 0.54 in ± 0.05 is near 0.50 in."),
        (0.46, 0.05, "close", "The gap 0.46 in ± 0.05 is near 0.50 in."),
        (0.40, 0.05, "fails", "The gap 0.40 in is less than 0.50 in."),
        (0.50, 0.0, "holds", "The gap 0.50 in is enough; 0.50 in is wanted."),
        (0.499, 0.0, "fails", "The gap 0.499 in is less than 0.500 in."),
        (0.4999999, 0.0, "fails", "The gap 0.500000 in is less than 0.500000 in."),
    ],
)
def test_the_states_of_a_limit(gap, doubt, state, text):
    found = judged(LIMITED, {"gap": gap * INCH, "least": 0.5 * INCH}, {"gap": doubt * INCH})
    assert found.state == state
    assert plain(found.text) == text
    assert found.value == gap * INCH
    assert found.limit == 0.5 * INCH


def test_a_missing_input_is_not_checked_and_never_vanishes():
    found = judged(LIMITED, {"gap": 0.01, "least": None})
    assert (found.state, found.text) == ("not checked", "Gap is enough: needs least gap.")
    found = judged(LIMITED, {})
    assert (found.state, found.text) == ("not checked", "Gap is enough: needs gap and least gap.")
    told = Check(
        rule="r", value="gap", at_least=0.0, holds="h", fails="f", unchecked="Whether it binds.", needs=("least",)
    )
    assert judged(told, {"gap": 1.0}).text == "Whether it binds: needs least gap."


def test_the_doubt_of_a_limit_makes_a_value_close_and_is_printed():
    """Both off by their own: 1.5 apart is inside the root of 0.9 and 1.2 squared, which is 1.5, and 1.6 is not."""
    check = Check(rule="r", value="gap", at_least="least", holds="above {limit}{limit_doubt}.", fails="below.")
    near, far = ({"gap": 3.0 + apart, "least": 3.0} for apart in (1.499, 1.6))
    doubts = {"gap": 0.9, "least": 1.2}
    assert judged(check, near, doubts).state == "close"
    assert judged(check, near, {"gap": 0.9}).state == "holds"
    found = judged(check, far, doubts)
    assert found.state == "holds"
    assert "\u00a0±\u00a0" in found.text
    assert "±" not in judged(check, far, {"gap": 0.9}).text


def test_a_margin_makes_a_value_close_as_its_doubt_does():
    check = Check(rule="r", value="gap", at_most=1.0, margin=0.1, holds="holds.", close="close.", fails="fails.")
    assert [judged(check, {"gap": gap}).state for gap in (0.85, 0.95, 1.05, 1.2)] == [
        "holds",
        "close",
        "close",
        "fails",
    ]
    assert judged(check, {"gap": 0.85}, {"gap": 0.2}).state == "close"


def test_without_words_for_close_the_side_decides():
    check = Check(rule="r", value="gap", at_least=1.0, margin=0.1, holds="holds.", fails="fails.")
    assert (judged(check, {"gap": 1.05}).state, judged(check, {"gap": 1.05}).text) == ("close", "holds.")
    assert (judged(check, {"gap": 0.95}).state, judged(check, {"gap": 0.95}).text) == ("close", "fails.")


def test_a_caution_never_fails_and_says_what_is_wrong():
    check = Check(
        rule="r", value="gap", at_least=1.0, margin=0.1, warns=True, holds="holds.", close="near.", fails="beyond."
    )
    found = [judged(check, {"gap": gap}) for gap in (1.5, 1.05, 0.95, 0.5)]
    assert [finding.state for finding in found] == ["holds", "close", "close", "close"]
    assert [finding.text for finding in found] == ["holds.", "near.", "near.", "beyond."]


def test_of_two_limits_the_nearer_is_told():
    check = Check(rule="r", value="gap", at_least=1.0, at_most=3.0, holds="{limit}", fails="{value} against {limit}")
    texts = [plain(judged(check, {"gap": gap * 1.0}, display=METRIC).text) for gap in (0.5, 1.5, 2.5, 3.5)]
    assert texts == [
        "500.0 mm against 1,000.0 mm",
        "1,000.0 mm",
        "3,000.0 mm",
        "3,500.0 mm against 3,000.0 mm",
    ]


def test_a_condition_holds_or_fails_or_cautions():
    check = Check(rule="r", condition="gap > least", holds="{gap} beats {least}.", fails="{gap} does not beat {least}.")
    assert plain(judged(check, {"gap": 2 * INCH, "least": INCH}).text) == "2.00 in beats 1.00 in."
    assert judged(check, {"gap": 1.0, "least": 2.0}).state == "fails"
    caution = Check(rule="r", condition="gap > least", warns=True, holds="h.", fails="f.")
    assert judged(caution, {"gap": 1.0, "least": 2.0}).state == "close"
    assert judged(check, {"gap": 1.0}).state == "not checked"


def test_the_last_bit_of_a_number_decides_nothing():
    """Three tenths by adding is a bit more than three tenths by writing: equal means holds, whichever way it came."""
    limit = Check(rule="r", value="gap", at_most=0.3, holds="h.", fails="f.")
    assert 0.1 + 0.2 > 0.3
    assert judged(limit, {"gap": 0.1 + 0.2}).state == "holds"
    assert judged(Check(rule="r", value="gap", at_least=0.0, holds="h.", fails="f."), {"gap": -1e-17}).state == "holds"


def test_rounding_never_makes_a_finding_lie():
    """Whatever is printed, the printed numbers stand on the side that the state says, in both unit systems."""
    generator = np.random.default_rng(20)
    for display in (SHOP, METRIC):
        for _ in range(400):
            least = float(generator.uniform(0.001, 1.0))
            gap = least * (1 + float(generator.choice([-1, 1])) * 10 ** float(generator.uniform(-5, 0)))
            found = judged(LIMITED, {"gap": gap, "least": least}, display=display)
            value = split_number(plain(found.text).partition("gap ")[2].partition(" is ")[0])[0]
            words = plain(found.text)
            limit_text = words.partition("; ")[2] if found.state == "holds" else words.partition("less than ")[2]
            limit = split_number(limit_text.partition(" is wanted")[0].rstrip("."))[0]
            assert found.state == ("holds" if gap >= least else "fails")
            assert (value > limit) == (found.state == "holds"), found.text


def test_a_quantity_that_a_step_does_not_have_is_told():
    with pytest.raises(UnknownNameError) as caught:
        AREA.quantity("teapot")
    assert str(caught.value) == "The step area_step knows no quantity 'teapot'."


# --- limits in numbers -------------------------------------------------------------------------------------------------


def spread(**changes):
    """A rule whose value is worked out, against a share of another."""
    settings = {
        "rule": "r",
        "value": "absolute(gap - least)",
        "of": quantity("Difference"),
        "at_most": 0.2,
        "times": "least",
        "holds": "Apart by {value}, within {share}.",
        "fails": "Apart by {value}, more than {share}: {limit}.",
    }
    return Check(**{**settings, **changes})


@pytest.mark.parametrize(
    ("gap", "state", "text"),
    [
        (12.0, "holds", "Apart by 2.00 in, within 20 %."),
        (8.0, "holds", "Apart by 2.00 in, within 20 %."),
        (12.001, "fails", "Apart by 2.001 in, more than 20 %: 2.000 in."),
        (7.9, "fails", "Apart by 2.10 in, more than 20 %: 2.00 in."),
    ],
)
def test_a_limit_may_be_a_share_of_something(gap, state, text):
    found = judged(spread(), {"gap": gap * INCH, "least": 10 * INCH})
    assert (found.state, plain(found.text)) == (state, text)
    assert found.limit == pytest.approx(2 * INCH)
    assert found.value == pytest.approx(abs(gap - 10) * INCH)


def test_a_factor_prints_as_it_is_declared():
    check = Check(rule="r", value="gap", at_least=4.0, times="least", holds="h {factor}.", fails="f {factor} {limit}.")
    assert judged(check, {"gap": 5 * INCH, "least": INCH}).text == "h 4."
    assert plain(judged(check, {"gap": 3 * INCH, "least": INCH}).text) == "f 4 4.00 in."
    assert judged(check, {"gap": 3.0, "least": None}).text == "R: needs least gap."


def test_both_limits_print_as_a_span_in_the_readers_units():
    check = Check(
        rule="r", value="gap", at_least=8 * INCH, at_most=15.5 * INCH, holds="{limits}.", fails="{at_least}, {at_most}."
    )
    assert plain(judged(check, {"gap": 10 * INCH}).text) == "8 to 15.5 in."
    assert plain(judged(check, {"gap": 7 * INCH}).text) == "8 in, 15.5 in."
    assert plain(judged(check, {"gap": 0.3}, display=METRIC).text) == "203.2 to 393.7 mm."


def test_what_is_judged_on_an_assumed_value_says_so():
    checks = (
        Check(rule="spare", value="spare", at_most=3.0, holds="Little.", fails="{value}, more than {limit}."),
        Check(rule="none", condition="extra > spare", holds="More.", fails="Less."),
        Check(rule="total", value="total", at_most=9.0, holds="Small.", fails="Large."),
    )
    judging = step(find_total, "total_step", checks=checks)
    told = [plain(finding.text) for finding in run(judging, {"area": 1.0, "extra": 3.0}).findings]
    assert told == ["Little. Assumed: spare, 78.74 in.", "More. Assumed: spare, 78.74 in.", "Small."]
    told = [plain(finding.text) for finding in attempt(judging, {"extra": 1.0}).outcome.findings]
    assert told[:2] == ["Little. Assumed: spare, 78.74 in.", "Less. Assumed: spare, 78.74 in."]
    given = [finding.text for finding in run(judging, {"area": 1.0, "extra": 3.0, "spare": 2.0}).findings]
    assert given == ["Little.", "More.", "Small."]
