"""The quote file and the words of its answer: every message whole, every kind of line once, on both sides of its limit."""

from __future__ import annotations

import json
import re

import pytest

from calc.answers.quote import quote_data, quote_text
from calc.errors import DataError, InputError
from calc.quantity import METRIC, SHOP
from calc.quote.file import Quote, QuotedAxle, example, keys, quote_from, read_quote
from calc.quote.lines import judge, questions, tally, verdict_words
from calc.quote.spans_of_unknowns import extent, verdict

INCH = 0.0254
POUND = 0.45359237
LB_IN = POUND * 9.80665 / INCH


def file(values: object, **more: object) -> str:
    return json.dumps({"format": "spring and damper quote", "version": 1, "values": values, **more})


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


FRONT = {
    "front.axle_mass": "3023 lb",
    "front.tender_rate": "250 lb/in",
    "front.main_rate": "450 lb/in",
    "front.main_free_length": "14 in",
    "front.damper_stroke": "12 in",
    "front.preload": "2.25 in",
}


def front(**more: object) -> Quote:
    return read_quote(file({**FRONT, **{f"front.{name}": value for name, value in more.items()}}))


def line(quote: Quote, rule: str, axle: str = "front"):
    return next(item for item in judge(quote) if item.rule == rule and item.axle == axle)


# --- reading -------------------------------------------------------------------------------------------------------------


def test_numbers_are_si_and_texts_carry_their_unit():
    quote = read_quote(file({"front.main_rate": 78807.07, "rear.main_rate": "450 lb/in"}, name="Mine"))
    assert quote.front.main_rate == 78807.07
    assert quote.rear.main_rate == pytest.approx(450 * LB_IN, rel=1e-12)
    assert quote.name == "Mine"


def test_an_empty_or_absent_value_is_left_out():
    assert read_quote(file({"front.preload": None, "rear.preload": " "})).values() == {}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("nonsense", "This is not a quote file: it is not JSON, or it is damaged."),
        ("[" * 100_000, "This is not a quote file: it is not JSON, or it is damaged."),
        ("[]", "This is not a quote file of the handbook."),
        (json.dumps({"format": "other", "version": 1}), "This is not a quote file of the handbook."),
        (
            json.dumps({"format": "spring and damper quote"}),
            "This quote file does not say its version, so it cannot be read.",
        ),
        (
            json.dumps({"format": "spring and damper quote", "version": True}),
            "This quote file does not say its version, so it cannot be read.",
        ),
        (
            json.dumps({"format": "spring and damper quote", "version": 2}),
            "This quote file is of version 2; this copy of the handbook reads up to version 1. "
            "Open it with a newer copy.",
        ),
        (file([1]), "The quote file's values cannot be read."),
        (" " * 100_001, "This file is too large for a quote file (100 kB is the limit)."),
    ],
)
def test_a_file_that_is_none_is_refused_with_its_reason(text, message):
    with pytest.raises(DataError) as problem:
        read_quote(text)
    assert str(problem.value) == message


def test_every_wrong_entry_is_told_at_once():
    with pytest.raises(InputError) as problem:
        read_quote(file({"front.main_rate": "stiff", "rear.main_rate": -1, "middle.main_rate": 1, "rear.preload": [1]}))
    told = {error.field: error.message() for error in problem.value.errors}
    assert plain(told["front.main_rate"]) == (
        "Main rate: “stiff” is not a number. Enter a number such as 3.5 or 3 1/2. "
        "Allowed: from 5.7 lb/in to 5,710.1 lb/in. Typical: 450.0 lb/in."
    )
    assert plain(told["rear.main_rate"]).startswith("Main rate must be at least 5.7 lb/in (got ")
    assert told["middle.main_rate"].startswith(
        "“middle.main_rate” is not an entry of a quote. Allowed: front. or rear. before one of axle_mass, "
    )
    assert plain(told["rear.preload"]).startswith("Preload is not a finite number. Allowed: from 0.00 in to 10.00 in.")


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_what_is_not_finite_is_refused(value):
    text = file({"front.main_rate": 1}).replace('"front.main_rate": 1', f'"front.main_rate": {value}')
    with pytest.raises(InputError) as problem:
        read_quote(text)
    assert str(problem.value).startswith("Main rate is not a finite number.")


CONTRADICTIONS = [
    (
        {"helper_solid_length": "4 in", "helper_free_length": "4 in"},
        {"helper_solid_length": "1 in", "helper_free_length": "4 in"},
        "The helper's solid length, 4.00 in, is not below its free length, 4.00 in. Allowed: below 4.00 in.",
    ),
    (
        {"axle_mass_full": "2999 lb", "axle_mass": "3000 lb"},
        {"axle_mass": "3000 lb", "axle_mass_full": "3000 lb"},
        "The full weight, 2,999 lb, is less than the weight as weighed, 3,000 lb. Allowed: from 3,000 lb.",
    ),
    (
        {"shaft_showing": "12.1 in", "damper_stroke": "12 in"},
        {"shaft_showing": "12 in", "damper_stroke": "12 in"},
        "More shaft is promised, 12.10 in, than the damper's stroke has, 12.00 in. Allowed: up to 12.00 in.",
    ),
    (
        {"main_solid_length": "14 in", "main_free_length": "14 in"},
        {"main_solid_length": "13.9 in", "main_free_length": "14 in"},
        "The main's solid length, 14.00 in, is not below its free length, 14.00 in. Allowed: below 14.00 in.",
    ),
    (
        {"tender_solid_length": "9 in", "tender_free_length": "8 in"},
        {"tender_solid_length": "7 in", "tender_free_length": "8 in"},
        "The tender's solid length, 9.00 in, is not below its free length, 8.00 in. Allowed: below 8.00 in.",
    ),
    (
        {"unsprung_mass": "900 lb", "axle_mass": "900 lb"},
        {"unsprung_mass": "899 lb", "axle_mass": "900 lb"},
        "The unsprung weight, 900 lb, is not below the axle weight, 900 lb. Allowed: below 900 lb.",
    ),
    (
        {"wanted_frequency_high": "1.1 Hz", "wanted_frequency_low": "1.2 Hz"},
        {"wanted_frequency_high": "1.2 Hz", "wanted_frequency_low": "1.2 Hz"},
        "The wanted ride frequency ends at 1.10 Hz, below where it begins, 1.20 Hz. Allowed: from 1.20 Hz.",
    ),
]


@pytest.mark.parametrize(("wrong", "right", "message"), CONTRADICTIONS)
def test_what_cannot_be_true_together_is_told_and_its_limit_is_not(wrong, right, message):
    read_quote(file({f"rear.{name}": value for name, value in right.items()}))
    with pytest.raises(InputError) as problem:
        read_quote(file({f"rear.{name}": value for name, value in wrong.items()}))
    assert plain(str(problem.value)) == message
    assert [error.field for error in problem.value.errors] == [f"rear.{next(iter(wrong))}"]


def test_every_key_is_declared_and_what_is_read_is_kept():
    values = example().values()
    assert set(values) <= set(keys())
    assert quote_from(values).values() == values
    again = read_quote(file(values, name=example().name, note=example().note))
    assert again == example()


# --- the lines -------------------------------------------------------------------------------------------------------------


def test_nothing_entered_is_no_line_and_a_sentence():
    assert judge(Quote()) == ()
    assert quote_text(Quote()) == "The quote file holds no entries, so there is nothing to judge.\n"
    assert quote_data(Quote())["lines"] == []
    assert questions(()) == ()


def test_a_line_without_what_it_needs_waits_and_does_not_vanish():
    quote = read_quote(file({"rear.axle_mass": "2752 lb"}))
    told = [(item.rule, item.state, item.waits, verdict_words(item)) for item in judge(quote)]
    assert told == [
        ("carries", "depends", True, "Waits for the main rate and the damper stroke"),
        ("bump", "depends", True, "Waits for the main rate and the damper stroke"),
        ("main", "depends", True, "Waits for the main rate and the damper stroke"),
    ]
    assert judge(quote)[0].text == "The main rate and the damper stroke are missing."
    assert questions(judge(quote)) == (
        "What is the rate of the main spring at the rear?",
        "What stroke does the damper have at the rear?",
    )
    assert tally(judge(quote)) == ((0, "hold"), (0, "to ask"), (0, "fail"), (3, "wait"))


def test_an_entry_that_cannot_be_read_is_not_asked_of_the_shop():
    quote = front()
    unread = judge(
        quote_from({k: v for k, v in quote.values().items() if "tender" not in k}),
        SHOP,
        frozenset({"front.tender_rate"}),
    )
    waiting = [item for item in unread if item.waits]
    assert {item.rule for item in waiting} == {"carries", "bump", "crossover", "tender", "main"}
    assert {item.text for item in waiting} == {"The tender rate cannot be read."}
    assert {verdict_words(item) for item in waiting} == {"Not checked: tender rate cannot be read"}
    assert {item.question for item in waiting} == {""}


def test_a_single_spring_has_no_ring_and_carries_alone():
    single = read_quote(file({name: value for name, value in FRONT.items() if "tender" not in name}))
    assert [item.rule for item in judge(single)] == ["carries", "bump", "main", "tight"]
    # Without a divider the main closes by preload and full bump together: 2.25 + 12 - 1 to 2.25 + 12 - 0.25 in.
    assert plain(line(single, "main").text).startswith(
        "It must close 13.2 to 14.0 in, preload included, and keep 0.5 in."
    )


# The numbers are those of the ride balance in pounds and inches, worked by hand: 160.714 lb/in for 250 over 450,
# a half axle of (3023 - 1058) / 2 to (3023 - 453) / 2 lb, a motion ratio of 1 to 0.85, 200 to 0 lbf of gas.
CASES = [
    # rule, entries beside the front's, state, what the line says
    (
        "carries",
        {"ring_gap": "12 in"},
        "holds",
        "It rides 2.6 to 7.2 in into its stroke. Wanted: 2.4 in of droop, a fifth of the stroke.",
    ),
    (
        "carries",
        {"ring_gap": "12 in", "preload": "4.5 in"},
        "depends",
        "It rides 0.3 to 5.0 in into its stroke. Wanted: 2.4 in of droop, a fifth of the stroke.",
    ),
    (
        "carries",
        {"ring_gap": "12 in", "preload": "8 in"},
        "fails",
        "It rides only up to 1.5 in into its stroke. It could sit topped out. "
        "Wanted: 2.4 in of droop, a fifth of the stroke.",
    ),
    (
        "carries",
        {"ring_gap": "12 in", "preload": "10 in"},
        "fails",
        "The springs at full droop push more than the rig weighs, so it sits topped out. "
        "Wanted: 2.4 in of droop, a fifth of the stroke.",
    ),
    (
        "carries",
        {"ring_gap": "12 in", "tender_rate": "60 lb/in", "main_rate": "80 lb/in", "preload": "1 in"},
        "fails",
        "It would take 21.3 to 30.5 in of stroke; the stop is solid at 11.0 to 11.8 in, so it sits on it.",
    ),
    (
        "bump",
        {"ring_gap": "12 in", "unsprung_mass": "755 lb"},
        "holds",
        "4.9 to 8.2 in is left before the stop is solid. Wanted: 4.0 in, a third of the stroke.",
    ),
    (
        "bump",
        {"ring_gap": "12 in", "wanted_bump": "4.5 in"},
        "depends",
        "3.8 to 9.2 in is left before the stop is solid. Wanted: 4.5 in. It holds with an unsprung weight of 633 lb or more.",
    ),
    (
        "bump",
        {"ring_gap": "12 in", "tender_rate": "125 lb/in", "main_rate": "225 lb/in", "axle_mass_full": "3400 lb"},
        "fails",
        "At most 2.0 in is left before the stop is solid. Wanted: 4.0 in, a third of the stroke. "
        "A stiffer pair, more preload or a longer stroke would change that.",
    ),
    (
        "promise",
        {"ring_gap": "12 in", "shaft_showing": "3 in"},
        "fails",
        "4.8 to 9.4 in of shaft shows at ride. Promised: 3 in, give or take 0.5 in.",
    ),
    (
        "promise",
        {
            "ring_gap": "12 in",
            "shaft_showing": "7.5 in",
            "unsprung_mass": "755 lb",
            "motion_ratio": 0.97,
            "gas_force": "130 lbf",
        },
        "holds",
        "",
    ),
    (
        "frequency",
        {"ring_gap": "12 in", "wanted_frequency_low": "2 Hz", "wanted_frequency_high": "2.2 Hz"},
        "fails",
        "0.82 to 1.25 Hz on both springs. Wanted: 2.00 to 2.20 Hz.",
    ),
    (
        "crossover",
        {},
        "depends",
        "On both springs it rides 2.6 to 7.2 in into its stroke. Without the ring’s position the firm part could start "
        "before that, or never. It holds with a ring gap of 4.6 in or more. It fails with a ring gap of less than 1.6 in.",
    ),
    (
        "crossover",
        {"ring_gap": "4.7 in"},
        "holds",
        "On both springs it rides 2.6 to 7.2 in into its stroke; the ring is reached at 7.3 in.",
    ),
    # The ring that holds as weighed is met at rest by the full rig.
    ("crossover", {"ring_gap": "4.7 in", "axle_mass_full": "4200 lb"}, "depends", ""),
    ("crossover", {"ring_gap": "4.7 in", "axle_mass_full": "6000 lb"}, "fails", ""),
    (
        "crossover",
        {"ring_gap": "8 in"},
        "holds",
        "On both springs it rides 2.6 to 7.2 in into its stroke; the ring is never reached.",
    ),
    (
        "crossover",
        {"ring_gap": "1 in"},
        "fails",
        "On both springs it rides 2.6 to 7.2 in into its stroke; the ring is reached at 1.6 in.",
    ),
    (
        "tender",
        {"ring_gap": "4.5 in", "tender_free_length": "10 in", "tender_solid_length": "3.5 in"},
        "holds",
        "It must close 5.9 in before the ring takes over, and keep 0.375 in. It can close 6.5 in.",
    ),
    (
        "tender",
        {"ring_gap": "4.5 in", "tender_free_length": "8 in", "tender_solid_length": "3.5 in"},
        "fails",
        "It must close 5.9 in before the ring takes over, and keep 0.375 in. It can close 4.5 in. It binds.",
    ),
    (
        "main",
        {"ring_gap": "4.5 in"},
        "depends",
        "It must close 7.3 to 8.1 in, ring and preload included, and keep 0.5 in. "
        "A spring 14 in long can close 6.3 to 9.8 in or so. It holds with a main solid length of 5.4 in or less. "
        "It fails with a main solid length of more than 6.2 in.",
    ),
    (
        "tight",
        {"preload": "0.375 in"},
        "holds",
        "The preload is 0.375 in. Wanted: 0.375 in or more, so that no spring comes loose when the springs set.",
    ),
    (
        "tight",
        {"preload": "0.37 in"},
        "fails",
        "The preload is 0.37 in. Wanted: 0.375 in or more, so that no spring comes loose when the springs set.",
    ),
    (
        "seats",
        {
            "tender_free_length": "10 in",
            "seat_space": "26.55 in",
            "divider_thickness": "0.8 in",
            "adjuster_range": "5 in",
        },
        "holds",
        "The adjuster must be run down 4.0 in; it can 5.0 in, of which 0.25 in is kept for set.",
    ),
    (
        "seats",
        {"tender_free_length": "10 in", "seat_space": "20.05 in", "divider_thickness": "0.8 in"},
        "fails",
        "They are 2.5 in too long, even with the adjuster backed off.",
    ),
]


@pytest.mark.parametrize(("rule", "more", "state", "text"), CASES)
def test_each_line_says_what_it_found(rule, more, state, text):
    found = line(front(**more), rule)
    assert found.state == state
    if text:
        assert plain(found.text) == text
    assert bool(found.question) == (state != "holds")


def test_what_fails_is_asked_with_its_number():
    full = front(tender_rate="125 lb/in", main_rate="225 lb/in", axle_mass_full="3400 lb", ring_gap="12 in")
    assert plain(line(full, "bump").question) == (
        "The front has at most 2.0 in of bump left when full: for which weight was it chosen?"
    )
    assert line(full, "bump").title == "Front: bump travel left, full"
    assert questions(judge(full))[-1] == line(full, "bump").question


def test_the_same_unknown_front_and_rear_is_one_question():
    own = front().front
    asked = questions(judge(Quote(front=own, rear=own)))
    assert (
        "How far from the divider does the stop ring sit at the front and at the rear, damper hanging free and preload set?"
        in asked
    )


def test_what_was_tried_is_told_in_either_system():
    shop, metric = plain(quote_text(example())), plain(quote_text(example(), METRIC))
    for text, words in (
        (
            shop,
            (
                "a motion ratio of 0.85 to 1;",
                "a gas force of 0 to 200 lbf;",
                "an unsprung weight of 413 to 963 lb at the rear",
                "a stop ring anywhere.",
            ),
        ),
        (metric, ("a motion ratio of 0.85 to 1;", "a gas force of 0 to 889.6 N;", "187 to 437 kg at the rear")),
    ):
        flat = " ".join(text.split())
        assert all(word in flat for word in words), flat
        assert "common practice, no source" in flat
        assert max(map(len, text.splitlines())) <= 80


def test_the_example_shows_each_verdict_and_is_marked_as_invented():
    assert {item.state for item in judge(example())} == {"holds", "depends", "fails"}
    assert "invented" in example().note
    assert example().name == "A quote for Wren"


# --- boxes of unknowns --------------------------------------------------------------------------------------------------------


def test_a_margin_of_exactly_nothing_holds_and_the_last_bit_decides_nothing():
    assert verdict(lambda v: (v["a"] - 1.0,), {"a": (1.0, 2.0)}).state == "holds"
    assert verdict(lambda v: (v["a"] - 1.0 - 1e-12,), {"a": (1.0, 2.0)}).state == "holds"
    assert verdict(lambda v: (v["a"] - 2.0 - 1e-12,), {"a": (1.0, 2.0)}).state == "depends"
    assert verdict(lambda v: (v["a"] - 2.1,), {"a": (1.0, 2.0)}).state == "fails"


def test_an_unknown_that_decides_comes_before_one_that_only_narrows():
    found = verdict(lambda v: (v["big"] + v["small"],), {"small": (-1.0, 1.0), "big": (-10.0, 10.0)})
    assert found.decided_by[0] == "big"


def test_a_wish_with_two_ends_holds_between_them_only():
    box = {"a": (0.0, 10.0), "b": (-1.0, 1.0)}
    found = verdict(lambda v: (v["a"] + v["b"] - 3.0, 7.0 - v["a"] - v["b"]), box)
    assert found.state == "depends"
    assert (found.holds_from, found.holds_to) == pytest.approx((4.0, 6.0), abs=1e-3)
    assert (found.fails_below, found.fails_above) == pytest.approx((2.0, 8.0), abs=1e-3)
    assert found.holds_from >= 4.0
    assert found.holds_to <= 6.0
    assert found.fails_below <= 2.0
    assert found.fails_above >= 8.0


def test_what_is_known_is_no_unknown():
    assert verdict(lambda v: (v["a"],), {"a": (1.0, 1.0)}).decided_by == ()
    assert extent(lambda v: v["a"] * 2.0, {"a": (1.5, 1.5)}) == (3.0, 3.0)


def test_an_axle_nobody_entered_has_no_line():
    assert {item.axle for item in judge(Quote(rear=QuotedAxle(axle_mass=1000.0)))} == {"rear"}


# --- what no allowed answer may turn over -------------------------------------------------------------------------------------


def answered(**more: str) -> dict[tuple[str, str], object]:
    """The shipped example with some of the shop's answers, by axle and rule."""
    values = {
        **example().values(),
        **read_quote(file({key.replace("__", "."): value for key, value in more.items()})).values(),
    }
    return {(item.axle, item.rule): item for item in judge(quote_from(values))}


def test_no_answer_turns_a_settled_line_of_the_example_over():
    """The ring may be met at rest: with it the rear keeps its bump when full, and the front stands topped out."""
    before = answered()
    rear = answered(rear__ring_gap="1 in", rear__preload="2.5 in", rear__unsprung_mass="657 lb")
    front_ = answered(
        front__ring_gap="0.5 in", front__unsprung_mass="1000 lb", front__motion_ratio="1", front__gas_force="190 lbf"
    )
    assert before["rear", "bump"].state == before["front", "carries"].state == "depends"
    assert rear["rear", "bump"].state == "holds"
    assert front_["front", "carries"].state == "fails"
    for after in (rear, front_):
        settled = {key for key, item in before.items() if item.state != "depends"}
        assert {key for key in settled if after[key].state != before[key].state} <= {("rear", "tight")}
    # What is so while the ring is not met is still said and asked.
    assert plain(before["rear", "bump"].text).endswith("While it rides on both springs it fails in every case.")
    assert before["rear", "bump"].also_asks in questions(tuple(before.values()))
    assert before["front", "carries"].text.endswith("While it rides on both springs it holds in every case.")


KNOWN = {
    "main_solid_length": "4 in",
    "tender_free_length": "10 in",
    "tender_solid_length": "3.5 in",
    "ring_gap": "4.5 in",
    "solid_before_collapsed": "0.5 in",
    "unsprung_mass": "755 lb",
    "motion_ratio": 0.97,
    "gas_force": "130 lbf",
}


@pytest.mark.parametrize(
    ("solid", "state", "text", "asked"),
    [
        # By hand it closes by 2.25 + 11.5 in less the tender's 4.5 + 2.25 x 450 / 700 in: 7.804 in.
        ("5 in", "holds", "It can close 9.0 in.", ""),
        (
            "6 in",
            "fails",
            "It can close 8.0 in. It does not bind, and keeps at most 0.20 in.",
            "The front main does not keep enough before it binds at full bump: at most 0.20 in, where 0.5 in is usual. "
            "Is that meant?",
        ),
        (
            "6.5 in",
            "fails",
            "It can close 7.5 in. It binds.",
            "The front main binds before full bump: what stops the axle before that?",
        ),
    ],
)
def test_binding_and_keeping_too_little_are_told_apart(solid, state, text, asked):
    found = line(front(**{**KNOWN, "main_solid_length": solid}), "main")
    assert (found.state, plain(found.question)) == (state, asked)
    assert plain(found.text).startswith("It must close 7.8 in, ring and preload included, and keep 0.5 in. ")
    assert plain(found.text).endswith(text)


@pytest.mark.parametrize("thousandths", range(-60, 61, 7))
def test_the_printed_sum_says_what_the_verdict_says(thousandths):
    """Around the limit, in steps of hundredths and less: what it must close and keep, beside what it can close."""
    exactly = line(front(**{**KNOWN, "main_solid_length": "4 in"}), "main").low / INCH
    can = 14.0 - 4.0 - exactly + thousandths / 1000.0
    found = line(front(**{**KNOWN, "main_solid_length": f"{14.0 - can:.9f} in"}), "main")
    must, kept, closes = (float(number) for number in re.findall(r"([0-9.]+) in[ ,.]", plain(found.text))[:3])
    assert (round(closes - kept - must, 9) >= 0.0) == (found.state == "holds") == (thousandths >= 0)


def test_no_frequency_holds_on_springs_that_the_rig_does_not_ride_on():
    """Beside a ring that is met at rest the frequency is that of the main alone."""
    wish = {"wanted_frequency_low": "0.9 Hz", "wanted_frequency_high": "1.2 Hz"}
    held = front(**{**KNOWN, **wish})
    assert (line(held, "crossover").state, line(held, "frequency").state) == ("holds", "holds")
    assert "on both springs" in line(held, "frequency").text
    met = front(**{**KNOWN, **wish, "ring_gap": "1 in"})
    assert (line(met, "crossover").state, line(met, "frequency").state) == ("fails", "fails")
    assert "on the main alone" in line(met, "frequency").text
    assert "on both springs" not in line(met, "frequency").text + quote_text(met).partition("Ride frequency:")[2]
    open_ = front(**{name: value for name, value in {**KNOWN, **wish}.items() if name != "ring_gap"})
    assert line(open_, "frequency").state == "depends"
    assert line(open_, "frequency").depends_on[0] == "ring_gap"
    assert "on both springs or" in line(open_, "frequency").text


@pytest.mark.parametrize(
    ("gap", "state", "text"),
    [
        ("7 in", "holds", "The ring would be reached at 10.9 in; the stop is solid at 11.5 in."),
        ("7.6 in", "fails", "The ring is never reached: it would be at 11.8 in, and the stop is solid at 11.5 in."),
    ],
)
def test_a_ring_that_is_never_met_has_a_line(gap, state, text):
    quote = front(**{**KNOWN, "ring_gap": gap})
    assert (line(quote, "ring").state, plain(line(quote, "ring").text)) == (state, text)
    assert ("the ring is never reached" in line(quote, "crossover").text) == (state == "fails")


def test_a_ring_further_away_than_the_stroke_is_as_good_as_none():
    quote = front(**{**KNOWN, "ring_gap": "12 in"})
    assert "ring" not in {item.rule for item in judge(quote)}
    assert "the ring is never reached" in line(quote, "crossover").text
    assert "before full bump" in line(quote, "tender").text


def test_a_helper_is_understood():
    """A set that would hang loose without its helper: what closes the helper is no preload of the others."""
    right = {**KNOWN, "preload": "4.5 in", "main_free_length": "14 in"}
    without = {item.rule: item.state for item in judge(front(**right))}
    helper = {"helper_rate": "40 lb/in", "helper_free_length": "5 in", "helper_solid_length": "1.3 in"}
    with_ = {item.rule: item.state for item in judge(front(**right, **helper))}
    assert without["carries"] == "fails"
    assert set(with_.values()) == {"holds"}
    assert with_["helper"] == "holds"
    assert plain(line(front(**right, **helper), "helper").text) == (
        "At ride each coil-over’s springs carry 1,039 lbf; the helper is closed at 148 lbf."
    )
    stiff = line(front(**right, **{**helper, "helper_rate": "300 lb/in"}), "helper")
    assert (stiff.state, plain(stiff.text)[-34:]) == ("fails", "the helper is closed at 1,110 lbf.")
    lengths = judge(front(**right, helper_free_length="5 in"))
    assert next(item for item in lengths if item.rule == "carries").depends_on == ("helper_rate",)
    assert "What is the rate of the helper at the front?" in questions(lengths)
    # Nor is a ride frequency told of a helper whose rate is not.
    assert "Ride frequency" not in quote_text(front(**right, helper_free_length="5 in"))


def test_a_stiffer_tender_is_judged_and_asked_about():
    found = line(front(**{**KNOWN, "tender_rate": "450 lb/in", "main_rate": "250 lb/in"}), "crossover")
    assert found.text.endswith("The tender is the stiffer of the two: are they swapped?")


def test_thread_that_is_only_short_of_its_reserve_is_no_misfit():
    fits = {**KNOWN, "divider_thickness": "0.8 in", "adjuster_range": "4 in", "seat_space": "26.4 in"}
    found = line(front(**fits), "seats")
    assert (found.state, plain(found.question)) == (
        "fails",
        "The front adjuster has at most 0.2 in of thread left, where 0.25 in is kept for set: is that meant?",
    )
