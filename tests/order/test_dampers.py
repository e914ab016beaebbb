"""The choice over dampers and springs against a plain loop over every damper and every set of springs.

The loop reads the damper list with the standard library in inches, knows the mounts' rules in words of its own, puts
each problem together by hand, and judges each set by the scalar solution of `test_choose`.
"""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import fields, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import terminal
from calc.answers import dampers as bodies_text
from calc.answers.dampers import damper_lines
from calc.damper_list import read_damper_list
from calc.errors import DataError
from calc.limits import REASONS as SET_REASONS
from calc.order.dampers import (
    REASONS,
    Bodies,
    choose_both,
    choose_with_dampers,
    fault,
    mounts,
    slices_with_dampers,
    with_damper,
)
from calc.order.order import completed, task
from calc.quantity import SHOP
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.search.choose import choose, judged
from calc.search.coilover import Coilover
from calc.search.problem import Hardware, Problem
from calc.tables import DATA, MOST_BYTES, Dampers, Springs, assortment_dampers, assortment_springs
from tests.conftest import long_run
from tests.search.test_choose import INCH, LB_IN, oracle

LIST = (DATA / "assortments" / "dampers.csv").read_text(encoding="utf-8")
PSI = LB_IN / INCH
AXLES = ("front", "rear")
PARTS = (
    *("SP-0140", "SP-0152", "SP-0147", "SP-0050", "SP-0082", "SP-0161", "SP-0045", "SP-0078", "SP-0029"),
    *("SP-0110", "SP-0044", "SP-0012", "SP-0097"),
)


def only(springs: Springs, places: list[int]) -> Springs:
    """Some springs of a list, in a given order."""
    columns = ("rate", "free_length", "solid_length", "inside_diameter", "outside_diameter", "wire_diameter")
    arrays: dict[str, Any] = {name: getattr(springs, name)[places] for name in (*columns, "price", "stock")}
    return Springs(
        part=tuple(springs.part[place] for place in places),
        known={name: values[places] for name, values in springs.known.items()},
        note=tuple(springs.note[place] for place in places),
        helper=springs.is_helper[places],
        **arrays,
    )


def few() -> Springs:
    springs = assortment_springs()
    return only(springs, [springs.part.index(part) for part in PARTS])


def without(rig: Rig, *names: str) -> Rig:
    return replace(rig, values={key: entry for key, entry in rig.values.items() if key not in names})


def having(rig: Rig, **values: float) -> Rig:
    new = {key.replace("__", "."): Entry(value=value) for key, value in values.items()}
    return replace(rig, values={**rig.values, **new})


def list_of(*rows: str) -> Dampers:
    found = read_damper_list("\n".join([LIST.splitlines()[0], *rows]) + "\n")
    assert found.errors == ()
    return found.dampers


# --- the plain loop -----------------------------------------------------------------------------------------------------


def plain_fault(row: dict[str, str], rig: Rig, axle: str) -> str:
    """Why a damper does not go between the mounts, in inches."""

    def inches(name: str) -> float:
        return (rig.get(f"{axle}.{name}") or 0.0) / INCH

    extended, collapsed = float(row["extended_in"]), float(row["collapsed_in"])
    solid_at = inches("damper_extended") - inches("damper_stroke") + inches("solid_before_collapsed")
    droop_at = inches("damper_extended") - inches("strap_travel")
    if collapsed > solid_at + 1e-6:
        return "bottoms"
    if extended > droop_at + 1e-6 and not inches("strap_travel"):
        return "overlong"
    if min(extended, droop_at) - solid_at < inches("wanted_bump") + inches("wanted_droop") - 1e-6:
        return "short_travel"
    # Where the lean was read is where it rides, unless that is within a tenth of an end of the travel.
    longest, read = min(extended, droop_at), inches("damper_length")
    if not solid_at + 0.1 * (longest - solid_at) <= read <= longest - 0.1 * (longest - solid_at):
        return "off_height"
    return ""


def plain_problem(row: dict[str, str], rig: Rig, axle: str) -> Problem:
    """The search on a damper, its coil-over and hardware put together by hand."""
    base = task(completed(rig), axle)
    assert isinstance(base, Problem)

    def entry(name: str) -> float:
        return float(rig.get(f"{axle}.{name}") or 0.0)

    extended = float(row["extended_in"]) * INCH
    solid_at = entry("damper_extended") - entry("damper_stroke") + entry("solid_before_collapsed")
    strap = entry("strap_travel")
    return replace(
        base,
        coilover=Coilover(
            extended_length=extended,
            bump_limit=extended - solid_at,
            strap_travel=max(extended - (entry("damper_extended") - strap), 0.0) if strap else 0.0,
            eye_offset=entry("damper_length") * math.sin(entry("lean")),
            gas_pressure=float(row["gas_psi"]) * PSI,
            gas_volume=float(row["gas_volume_in3"]) * INCH**3,
            rod_area=math.pi / 4 * (float(row["rod_in"]) * INCH) ** 2,
        ),
        hardware=Hardware(
            seat_space=float(row["seat_space_in"]) * INCH,
            divider_thickness=entry("divider_thickness"),
            adjuster_range=float(row["adjuster_range_in"]) * INCH,
            adjuster_step=INCH / float(row["turns_per_in"]) / 2,
            spring_inside_diameter=float(row["spring_inside_diameter_in"]) * INCH,
            # The bump stop stays where it is on the rig.
            pad_touch=extended
            - (entry("damper_extended") - entry("damper_stroke") + entry("pad_touch_before_collapsed")),
        ),
    )


@cache
def plain_answer(axle: str) -> tuple[dict[str, tuple[str, int, dict[str, int]]], list[tuple[str, str, str]]]:
    """For each damper its reason, working sets and first reasons; and the pairs in rank, from nested plain loops."""
    rig, springs = wren(), few()
    told: dict[str, tuple[str, int, dict[str, int]]] = {}
    pairs: list[tuple[tuple[float, str, str, str], tuple[str, str, str]]] = []
    for row in csv.DictReader(io.StringIO(LIST)):
        reason, working, rejected = plain_fault(row, rig, axle), 0, dict.fromkeys(SET_REASONS, 0)
        if not reason:
            problem = plain_problem(row, rig, axle)
            spare = problem.coilover.extended_length - problem.coilover.bump_limit - float(row["collapsed_in"]) * INCH
            bore = float(row["spring_inside_diameter_in"]) * INCH
            fitting = [i for i in range(len(springs)) if abs(springs.inside_diameter[i] - bore) <= 0.02 * INCH]
            reason = "" if fitting else "bore"
            for main in fitting:
                for tender in [None, *fitting]:
                    rows = [
                        None
                        if i is None
                        else (float(springs.rate[i]), float(springs.free_length[i]), float(springs.solid_length[i]))
                        for i in (tender, main)
                    ]
                    assert rows[1] is not None
                    broken = oracle(problem, rows[0], rows[1]).broken
                    if not broken and spare < 0.4 * INCH:
                        # Half an inch is wanted, less what both lengths may be off.
                        broken = ["stop"]
                    if broken:
                        rejected[min(broken, key=list(SET_REASONS).index)] += 1
                        continue
                    working += 1
                    score = judged(problem, springs, tender, main).score
                    names = ("" if tender is None else springs.part[tender], springs.part[main])
                    pairs.append(((float(f"{score:.8e}"), row["part"], *names), (row["part"], *names)))
            if not reason and not working:
                reason = "no_set"
        told[row["part"]] = (reason, working, rejected)
    return told, [names for _, names in sorted(pairs)]


def names_of(found: Bodies) -> list[tuple[str, str, str]]:
    part = found.springs.part
    return [
        (pair.part, "" if pair.springs.tender is None else part[pair.springs.tender], part[pair.springs.main])
        for pair in found.pairs
    ]


@pytest.mark.parametrize("axle", AXLES)
def test_every_damper_and_set_agrees_with_plain_loops(axle: str) -> None:
    told, ranked = plain_answer(axle)
    found = choose_with_dampers(wren(), axle, assortment_dampers(), few())
    assert {body.part: body.reason for body in found.bodies} == {part: reason for part, (reason, _, _) in told.items()}
    own = task(completed(wren()), axle)
    assert isinstance(own, Problem)
    for body in found.bodies:
        _, working, rejected = told[body.part]
        assert body.problem is None or body.problem.wishes == own.wishes, body.part
        if body.choice is not None:
            assert body.choice.working == working, body.part
            assert dict(body.choice.rejected) == rejected, body.part
    assert names_of(found) == ranked[:12]
    # Behind, the other dampers with springs of this short list end within a tenth of their travel where it rides.
    assert len({part for part, _, _ in ranked}) > (axle == "front")


@pytest.mark.parametrize("axle", AXLES)
def test_reasons_are_counted_once_for_each_damper(axle: str) -> None:
    told, _ = plain_answer(axle)
    found = choose_with_dampers(wren(), axle, assortment_dampers(), few())
    counts = found.counts()
    assert list(counts) == list(REASONS)
    assert counts == {name: sum(reason == name for reason, _, _ in told.values()) for name in REASONS}
    assert sum(counts.values()) + found.working == len(assortment_dampers())
    assert found.searched == found.working + counts["no_set"]


# --- the mounts ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("axle", "part"), [("front", "DP-03"), ("rear", "DP-16")])
def test_the_damper_that_is_in_gives_the_search_that_is_there_without_a_list(axle: str, part: str) -> None:
    rig, springs, dampers = wren(), assortment_springs(), assortment_dampers()
    own = task(completed(rig), axle)
    assert isinstance(own, Problem)
    body = next(one for one in choose_with_dampers(rig, axle, dampers, springs).bodies if one.part == part)
    # No list tells how long a damper's body and its thread are: with another damper they are not known.
    straight = choose(replace(own, hardware=replace(own.hardware, body_length=None, thread_length=None)), springs)
    assert body.choice is not None
    assert body.choice.rejected == straight.rejected
    assert [(one.tender, one.main) for one in body.choice.ranked] == [(one.tender, one.main) for one in straight.ranked]


def test_a_strap_holds_a_longer_damper_where_the_axle_hung_before() -> None:
    dampers = assortment_dampers()
    longer = dampers.part.index("DP-12")
    bare, strapped = wren(), having(wren(), front__strap_travel=0.5 * INCH)
    assert fault(bare, mounts(bare, "front"), "front", dampers, longer)[0] == "overlong"
    assert fault(strapped, mounts(strapped, "front"), "front", dampers, longer)[0] == ""
    other = with_damper(strapped, "front", dampers, longer)
    # Straps and stops stand where they stood: the same lengths eye to eye, 30.5 in and 19.5 in.
    assert mounts(other, "front").longest == pytest.approx(30.5 * INCH, abs=1e-12)
    assert mounts(other, "front").shortest == pytest.approx(19.5 * INCH, abs=1e-12)


@pytest.mark.parametrize("part", ["DP-06", "DP-11", "DP-14", "DP-01"])
def test_mounts_and_eyes_stay_where_they_are(part: str) -> None:
    rig, dampers = wren(), assortment_dampers()
    before = mounts(rig, "front")
    after = mounts(with_damper(rig, "front", dampers, dampers.part.index(part)), "front")
    assert after.eye_offset == pytest.approx(before.eye_offset, abs=1e-12)
    assert after.shortest == pytest.approx(before.shortest, abs=1e-12)


def test_a_lean_that_was_read_beyond_a_shorter_damper_is_told_at_a_length_it_has() -> None:
    rig, dampers = having(wren(), front__damper_length=30.0 * INCH), assortment_dampers()
    other = with_damper(rig, "front", dampers, dampers.part.index("DP-11"))
    assert other.get("front.damper_length") == pytest.approx(27.0 * INCH)
    assert math.sin(other.get("front.lean")) * 27.0 == pytest.approx(math.sin(rig.get("front.lean")) * 30.0)


@pytest.mark.parametrize("wanted", [None, ("wanted_damper_length", 26.0), ("wanted_height_change", 0.75)])
@pytest.mark.parametrize(
    ("axle", "lengths", "strap"),
    [("rear", [(256, 96), (252, 96), (248, 96), (276, 112)], 0.0), ("front", [(244, 96), (248, 96)], 1.0)],
)
def test_a_damper_that_is_put_in_is_asked_for_the_height_that_the_list_asks_of_it(
    axle: str, lengths: list[tuple[int, int]], strap: float, wanted: tuple[str, float] | None
) -> None:
    """Lengths in eighths of an inch. The example's dampers were to ride at 31.12 in by the list, once they were in at 26.5."""
    rig = wren()
    for name, value in (("strap_travel", strap), *((wanted,) if wanted else ())):
        rig = having(rig, **{f"{axle}__{name}": value * INCH}) if value else rig
    rows = (f"{long},{stroke / 8},{long / 8},{(long - stroke) / 8},,,,,,3.0,4.0,12,26.0,,," for long, stroke in lengths)
    some = list_of(*dict.fromkeys(rows))
    for body in choose_with_dampers(rig, axle, some, only(few(), [])).bodies:
        if body.problem is not None:
            found = task(completed(with_damper(rig, axle, some, body.index)), axle)
            assert isinstance(found, Problem)
            # Gas that the list does not tell is left out there; the rear of a rig takes it from its front.
            for name in ("extended_length", "bump_limit", "strap_travel", "eye_offset", "ratio"):
                assert getattr(found.coilover, name) == getattr(body.problem.coilover, name)
            assert found.wishes == body.problem.wishes


def test_a_damper_of_another_bore_needs_springs_of_that_bore() -> None:
    springs = few()
    wide = only(springs, [i for i in range(len(springs)) if springs.inside_diameter[i] > 2.8 * INCH])
    found = choose_with_dampers(wren(), "front", assortment_dampers(), wide)
    assert {body.part for body in found.bodies if body.reason == "bore"} == {"DP-06", "DP-14"}


def test_a_damper_whose_gas_is_not_told_is_searched_without_gas() -> None:
    dampers = list_of("A,12,30.5,18.5,,,,,,3.0,4.0,12,26.0,,,")
    body = choose_with_dampers(wren(), "front", dampers, few()).bodies[0]
    assert body.problem is not None
    assert body.problem.coilover.rod_area == 0.0
    assert "its gas is not given" in bodies_text.bodies_text(wren(), dampers, few()).replace("\n    ", " ")


def test_what_the_list_brings_need_not_be_in_the_rig() -> None:
    rig = without(
        wren(), "front.seat_space", "front.spring_inside_diameter", "front.gas_pressure", "front.adjuster_range"
    )
    found = choose_with_dampers(rig, "front", assortment_dampers(), few())
    assert found.needs is None
    assert names_of(found) == plain_answer("front")[1][:12]


@pytest.mark.parametrize("key", ["front.damper_extended", "front.tire_rate", "left_front.corner_mass"])
def test_what_is_missing_is_named_and_nothing_searched(key: str) -> None:
    found = choose_with_dampers(without(wren(), key), "front", assortment_dampers(), few())
    assert found.needs is not None
    assert found.needs.keys == (key,)
    assert (found.bodies, found.pairs) == ((), ())


def test_a_rig_that_contradicts_itself_is_told_and_not_searched() -> None:
    rig = having(wren(), front__solid_before_collapsed=13 * INCH)
    for told in (rig, without(rig, "front.seat_space")):
        found = choose_with_dampers(told, "front", assortment_dampers(), few())
        assert found.needs is not None
        assert found.needs.sentences == (
            "Front: the bump stop is solid before the damper has moved at all. Allowed: less than the damper's stroke.",
        )


# --- the same answer whatever the order --------------------------------------------------------------------------------------


@cache
def as_listed() -> dict[str, Any]:
    return bodies_text.bodies_data(wren(), assortment_dampers(), few())


@settings(max_examples=long_run(6, 50), deadline=None)
@given(seed=st.integers(0, 10_000))
def test_the_order_of_both_lists_changes_nothing(seed: int) -> None:
    generator = np.random.default_rng(seed)
    head, *rows = LIST.splitlines()
    shuffled = read_damper_list("\n".join([head, *(rows[i] for i in generator.permutation(len(rows)))])).dampers
    springs = few()
    mixed = only(springs, [int(i) for i in generator.permutation(len(springs))])
    assert bodies_text.bodies_data(wren(), shuffled, mixed) == as_listed()


def test_equal_dampers_are_ranked_by_part_code() -> None:
    row = next(line for line in LIST.splitlines() if line.startswith("DP-06"))
    dampers = list_of(*(row.replace("DP-06", code) for code in ("Z", "B", "M")))
    found = choose_with_dampers(wren(), "front", dampers, few())
    assert [pair.part for pair in found.pairs[:3]] == ["B", "M", "Z"]
    assert [body.part for body in found.bodies] == ["B", "M", "Z"]


def test_the_same_question_has_the_same_answer() -> None:
    one, other = (bodies_text.bodies_text(wren(), assortment_dampers(), few()) for _ in range(2))
    assert one == other


def test_an_empty_list_of_springs_leaves_every_damper_without() -> None:
    for found in choose_both(wren(), assortment_dampers(), only(few(), [])):
        assert found.pairs == ()
        assert found.searched == 0
        assert found.counts()["bore"] > 0


# --- the list ---------------------------------------------------------------------------------------------------------------------


def test_the_shipped_list_reads_as_a_readers_own() -> None:
    found, own = read_damper_list(LIST), assortment_dampers()
    assert (found.problem, found.errors, found.unused) == ("", (), ())
    assert found.dampers.part == own.part
    assert found.dampers.example
    for name in ("damper_stroke", "damper_collapsed", "gas_pressure", "gas_volume", "adjuster_turns_per_length"):
        np.testing.assert_allclose(getattr(found.dampers, name), getattr(own, name), rtol=1e-12)


def test_a_metric_list_with_other_headings_is_the_same_list() -> None:
    rows = list(csv.DictReader(io.StringIO(LIST)))
    lines = [
        "SKU;Travel (mm);Extended length (mm);Spring ID (mm);Adjustment (mm);Turns (per mm);Seat to seat (mm);Gas (bar)"
    ]
    for row in rows:
        names = ("stroke_in", "extended_in", "spring_inside_diameter_in", "adjuster_range_in")
        cells = [f"{float(row[name]) * 25.4:.6f}" for name in names]
        cells += [f"{float(row['turns_per_in']) / 25.4:.9f}", f"{float(row['seat_space_in']) * 25.4:.6f}"]
        lines.append(";".join([row["part"], *cells, f"{float(row['gas_psi']) * PSI / 1e5:.9f}"]).replace(".", ","))
    found, own = read_damper_list("\n".join(lines)), assortment_dampers()
    assert found.errors == ()
    for name in ("damper_stroke", "damper_collapsed", "seat_space", "gas_pressure", "adjuster_turns_per_length"):
        np.testing.assert_allclose(getattr(found.dampers, name), getattr(own, name), rtol=1e-7)
    assert not found.dampers.gives("gas_volume", 0)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "DP-03,12,",
            "DP-03,twelve,",
            "Row 4, column “stroke_in”: Damper stroke: “twelve” is not a number. Enter a number such as 3.5 or 3 1/2. "
            "Allowed: from 1.00 in to 30.00 in.",
        ),
        (
            "DP-03,12,",
            "DP-02,12,",
            "Row 4, column “part”: “DP-02” is in row 3 too. Each damper needs a code of its own.",
        ),
        (
            "DP-03,12,31.0,",
            "DP-03,11,31.0,",
            "Row 4, column “stroke_in”: Extended less collapsed length is 12.00 in, and the stroke differs from it. "
            "Allowed: the same within an eighth of an inch (3 mm).",
        ),
        (
            "DP-03,12,31.0,19.0,",
            "DP-03,12,31.0,33.0,",
            "Row 4, column “collapsed_in”: Collapsed length must be below the extended length. Allowed: below 31.00 in.",
        ),
        (
            "2.65,200,18,",
            "2.65,200,7,",
            "Row 4, column “gas_volume_in3”: The rod would fill the whole gas room before the damper is collapsed. "
            "Allowed: more than the rod's section times the stroke.",
        ),
    ],
)
def test_a_bad_cell_is_told_by_row_and_column(old: str, new: str, message: str) -> None:
    found = read_damper_list(LIST.replace(old, new, 1))
    assert [error.text().replace("\xa0", " ") for error in found.errors] == [message]
    assert len(found.dampers) == 15
    assert "DP-03" not in found.dampers.part


def test_bare_turns_in_a_metric_list_are_asked_back() -> None:
    head = "part;stroke (mm);extended (mm);spring ID (mm);adjuster (mm);turns;seat to seat (mm)"
    found = read_damper_list(f"{head}\nA;304,8;787,4;76,2;101,6;12;673,1\n")
    assert len(found.errors) == 1
    assert "Type the number with its unit" in found.errors[0].text()


def test_a_list_without_a_needed_column_says_which() -> None:
    found = read_damper_list("part,stroke (in)\nA,12\n")
    assert found.problem == (
        "No column was recognized as extended length, spring inside diameter, adjuster range, adjuster turns per length "
        "and seat to seat, adjuster backed off. Say which column it is, or add it to the list."
    )
    assert len(found.dampers) == 0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "The list is empty. It needs a row of headings and a row for each damper."),
        ("x" * (MOST_BYTES + 1), "The list is larger than 5 MB. Leave out what is no damper, or split it."),
        ("part\0", "This is not a text file. Save the list from the spreadsheet as CSV, and bring that."),
    ],
)
def test_what_is_no_list_is_refused(text: str, message: str) -> None:
    with pytest.raises(DataError) as caught:
        read_damper_list(text)
    assert str(caught.value) == message


# --- the command line --------------------------------------------------------------------------------------------------------------


def command(*words: str) -> tuple[int, str]:
    out = io.StringIO()
    code = terminal.command("choose", words, io.StringIO(), out)
    return code, out.getvalue()


@pytest.fixture
def rig_file(tmp_path: Any) -> str:
    path = tmp_path / "rig.json"
    path.write_text((DATA / "rigs" / "wren.json").read_text(encoding="utf-8"), encoding="utf-8")
    return str(path)


@pytest.fixture
def few_file(tmp_path: Any) -> str:
    """The few springs as a list: what the command does with a list does not hang on its length."""
    head, *rows = (DATA / "assortments" / "springs.csv").read_text(encoding="utf-8").splitlines()
    path = tmp_path / "springs.csv"
    path.write_text("\n".join([head, *(row for row in rows if row.split(",")[0] in PARTS)]), encoding="utf-8")
    return str(path)


def test_the_command_prints_pairs_mounts_and_reasons(rig_file: str) -> None:
    code, text = command(rig_file, "--dampers")
    assert code == 0
    assert max(len(line) for line in text.splitlines()) <= 80
    flat = " ".join(text.split())
    assert "ESTIMATE: DO NOT ORDER." in flat
    assert "the damper list is an invented example" in flat
    assert "Eye to eye the mounts allow from 19.50 in, with the bump stop solid, to 31.00 in, at full droop." in flat
    assert "The longest length follows from “front extended length”." in flat
    assert "DP-09: too long collapsed: it bottoms before the bump stop is solid (by 0.50 in)." in flat
    assert "Too long collapsed: it bottoms before the bump stop is solid 7" in flat


def test_the_command_gives_json_with_the_same_pairs(rig_file: str, few_file: str) -> None:
    code, text = command(rig_file, "--dampers", "--json", "--springs", few_file)
    answer = json.loads(text)
    assert code == 0
    front = answer["axles"]["front"]
    found = choose_with_dampers(wren(), "front", assortment_dampers(), few())
    assert [(one["damper"], one["tender"] or "", one["main"]) for one in front["pairs"]] == names_of(found)
    assert front["dampers"]["DP-09"]["reason"] == "bottoms"
    assert front["dampers"]["DP-09"]["over"] == pytest.approx(0.5 * INCH)
    assert front["mounts"]["decided_by"]["longest"] == ["front.damper_extended"]
    assert front["rejected"] == found.counts()


def test_own_lists_are_taken_in_either_order(rig_file: str, few_file: str, tmp_path: Any) -> None:
    dampers = tmp_path / "dampers.csv"
    dampers.write_text(LIST.replace(",example", ","), encoding="utf-8")
    one = command(rig_file, "--dampers", str(dampers), "--springs", few_file)
    assert one == command(rig_file, "--springs", few_file, "--dampers", str(dampers))
    assert one[0] == 0
    assert "list is an invented example" not in " ".join(one[1].split())


def test_without_the_option_nothing_changes(rig_file: str) -> None:
    code, text = command(rig_file)
    assert code == 0
    assert text.startswith("Springs for Wren\n")


@pytest.mark.parametrize(
    "words",
    [["--damper"], ["--dampers", "--dampers"], ["--springs"], ["--dampers", "a.csv", "b.csv"]],
)
def test_a_word_that_is_not_understood_is_refused(
    rig_file: str, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert command(rig_file, *words) == (2, "")
    assert (
        capsys.readouterr().err
        == f"“{' '.join(words)}” is not understood; there is only --springs FILE and --dampers [FILE].\n"
    )


def test_a_bad_damper_list_stops_the_command_with_row_and_column(
    rig_file: str, tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.csv"
    path.write_text(LIST.replace("DP-03,12,", "DP-03,,", 1), encoding="utf-8")
    assert command(rig_file, "--dampers", str(path)) == (2, "")
    assert "1 cell cannot be used.\nRow 4, column “stroke_in”: " in capsys.readouterr().err


def test_thousands_of_dampers_are_held_against_the_mounts_in_parts_and_alike_ones_searched_once() -> None:
    own = assortment_dampers()
    times = 100
    many = replace(
        own,
        part=tuple(f"{part}-{turn:03d}" for turn in range(times) for part in own.part),
        note=own.note * times,
        known={name: np.tile(known, times) for name, known in own.known.items()},
        **{
            field.name: np.tile(value, times)
            for field in fields(own)
            if isinstance(value := getattr(own, field.name), np.ndarray)
        },
    )
    parts = list(slices_with_dampers(wren(), "front", many, few()))
    found, once = parts[-1], choose_with_dampers(wren(), "front", own, few())
    assert isinstance(found, Bodies)
    assert len(parts) < 60
    assert found.counts() == {name: times * number for name, number in once.counts().items()}
    best = once.pairs[0]
    assert [pair.part for pair in found.pairs] == [f"{best.part}-{turn:03d}" for turn in range(len(found.pairs))]
    assert {pair.springs.springs() for pair in found.pairs} == {best.springs.springs()}
    told = list(damper_lines(found, SHOP))
    assert told[-1] == f"And {len(many) - 60:,} more."
    assert len(told) == 61
