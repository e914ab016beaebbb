"""The data folder is what it says it is: invented parts that could be made, a rig whose numbers agree, sourced tables."""

import csv
import json
import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from calc import tables
from calc.constants import NAMED
from calc.desk.validation import all_rows
from calc.step import all_steps
from calc.units import INCH, POUND, POUND_FORCE

LB_IN = POUND_FORCE / INCH
GRAVITY = 9.80665


# --- assortments ----------------------------------------------------------------------------------------------------


def usual() -> tables.Springs:
    """The assortment without its helpers."""
    springs = tables.assortment_springs()
    kept = np.flatnonzero(~springs.is_helper)
    arrays = {
        name: getattr(springs, name)[kept]
        for name in ("rate", "free_length", "solid_length", "inside_diameter", "outside_diameter", "wire_diameter")
    }
    return tables.Springs(
        part=tuple(springs.part[index] for index in kept),
        note=tuple(springs.note[index] for index in kept),
        known=springs.known,
        price=springs.price[kept],
        stock=springs.stock[kept],
        **arrays,
    )


def test_helpers_close_under_less_than_the_springs_they_stand_on_carry():
    springs = tables.assortment_springs()
    helpers = springs.is_helper
    assert set(np.round(springs.inside_diameter[helpers] / INCH, 3)) == {2.5, 3.0}
    closing = springs.rate * (springs.free_length - springs.solid_length)
    # The lightest corner of the example rig puts about 750 lbf on its springs.
    assert (closing[helpers] / LB_IN / INCH < 250).all()


def test_springs_are_many_and_cover_two_coil_over_sizes():
    springs = usual()
    assert len(springs) >= 150
    assert set(np.round(springs.inside_diameter / INCH, 3)) == {2.5, 3.0}
    assert set(np.round(springs.free_length / INCH, 3)) == {8, 10, 12, 14, 16, 18}
    rates = springs.rate / LB_IN
    assert rates.min() == pytest.approx(80)
    assert rates.max() == pytest.approx(700)
    assert (springs.stock == 0).any()


def test_no_two_springs_are_the_same_part_or_the_same_spring():
    springs = tables.assortment_springs()
    assert len(set(springs.part)) == len(springs)
    kinds = zip(springs.rate.tolist(), springs.free_length.tolist(), springs.inside_diameter.tolist(), strict=True)
    assert len(set(kinds)) == len(springs)


def test_part_codes_do_not_spell_size_or_rate():
    springs = usual()
    numbers = np.array([int(code.removeprefix("SP-")) for code in springs.part])
    assert all(re.fullmatch(r"SP-\d{4}", code) for code in springs.part)
    for values in (springs.rate, springs.free_length, springs.solid_length, springs.inside_diameter):
        # Shuffled codes of 241 springs correlate by chance to about 1/sqrt(241) = 0.064; three times that is the bound.
        assert abs(np.corrcoef(numbers, values)[0, 1]) < 0.2


def test_every_spring_could_be_wound():
    """K = G d^4/(8 D^3 n) with the coils that the solid length holds; stress at solid by 8 D F/(pi d^3).

    The solid length is printed to 0.005 in, which is up to 0.3 % of the coils; 2 % is what the list promises.
    The stress bound is 0.6 of 2100 MPa, hard spring wire (from memory).
    """
    springs = tables.assortment_springs()
    wire = springs.wire_diameter
    mean = springs.inside_diameter + wire
    coils = springs.solid_length / wire - 1.2
    rate = 79.5e9 * wire**4 / (8 * mean**3 * coils)
    np.testing.assert_allclose(rate, springs.rate, rtol=0.02)
    travel = springs.free_length - springs.solid_length
    assert (travel / springs.free_length > 0.45).all()
    assert (8 * mean * springs.rate * travel / (math.pi * wire**3) < 0.6 * 2100e6).all()
    index = mean / wire
    # A helper is wound of thin wire: EN 13906-1 allows an index up to 20 (from memory).
    assert ((index > 4) & (index < np.where(springs.is_helper, 17, 12))).all()
    np.testing.assert_allclose(springs.outside_diameter, springs.inside_diameter + 2 * wire, atol=0.006 * INCH)


def test_dampers_agree_with_themselves():
    dampers = tables.assortment_dampers()
    assert len(dampers) >= 12
    assert all(re.fullmatch(r"DP-\d{2}", code) for code in dampers.part)
    np.testing.assert_allclose(dampers.damper_extended - dampers.damper_collapsed, dampers.damper_stroke)
    assert (dampers.body_outside_diameter < dampers.spring_inside_diameter).all()
    assert (dampers.piston_diameter < dampers.body_outside_diameter).all()
    assert (dampers.rod_diameter < dampers.piston_diameter).all()
    assert (dampers.seat_space < dampers.damper_extended).all()
    # The rod at full stroke leaves the gas at least 40 % of its room.
    assert (np.pi / 4 * dampers.rod_diameter**2 * dampers.damper_stroke < 0.6 * dampers.gas_volume).all()


def test_everything_in_an_assortment_is_marked_as_an_example():
    assert set(tables.assortment_springs().note) == {"example"}
    assert set(tables.assortment_dampers().note) == {"example"}
    assert "cannot be bought" in (tables.DATA / "assortments" / "README.md").read_text(encoding="utf-8")


# --- Wren -----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def wren():
    return json.loads((tables.DATA / "rigs" / "wren.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def value(wren) -> Callable[[str], float]:
    return lambda key: wren["values"][key]["value"]


def axle_masses(wren, items) -> tuple[float, float]:
    """Front and rear axle mass with items added, by the lever over the wheelbase."""
    values = {key: entry["value"] for key, entry in wren["values"].items()}
    front = values["left_front.corner_mass"] + values["right_front.corner_mass"]
    rear = values["left_rear.corner_mass"] + values["right_rear.corner_mass"]
    for item in items:
        if item["carried"] == "sprung":
            share = item["behind_front_axle"] / values["wheelbase"]
        else:
            share = {"front axle": 0.0, "rear axle": 1.0}[item["carried"]]
        front += item["mass"] * (1 - share)
        rear += item["mass"] * share
    return front, rear


def test_wren_says_that_it_is_invented(wren):
    assert wren["format"] == "spring and damper rig"
    assert wren["version"] == 1
    assert "invented" in wren["note"]
    assert {entry["origin"] for entry in wren["values"].values()} == {"example"}


def test_the_home_page_weights_follow_from_wrens_changes(wren, value):
    """Before: 2453 and 1863 lb, 546 and 470 lb unsprung; after: 2900 and 2390 lb, 755 and 657 lb (the design's home page)."""
    after = axle_masses(wren, [])
    before = axle_masses(wren, [{**item, "mass": -item["mass"]} for item in wren["changes"]])
    assert [round(mass / POUND) for mass in (*before, *after)] == [2453, 1863, 2900, 2390]
    on_axle = {
        axle: sum(item["mass"] for item in wren["changes"] if item["carried"] == f"{axle} axle")
        for axle in ("front", "rear")
    }
    unsprung = {axle: value(f"{axle}.unsprung_mass") for axle in on_axle}
    assert [round(unsprung[axle] / POUND) for axle in unsprung] == [755, 657]
    assert [round((unsprung[axle] - on_axle[axle]) / POUND) for axle in unsprung] == [546, 470]
    assert round(sum(item["mass"] for item in wren["changes"]) / POUND) == 974


def test_wrens_load_cases_weigh_what_the_design_prints(wren):
    """Crew aboard: 5,775 lb, 3,023 front and 2,752 rear (the design's build sheet)."""
    cases = {case["name"]: axle_masses(wren, case["items"]) for case in wren["load_cases"]}
    assert list(cases) == ["bare", "crew", "full"]
    assert [round(mass / POUND) for mass in cases["crew"]] == [3023, 2752]
    assert round(sum(cases["crew"]) / POUND) == 5775
    assert sum(cases["full"]) == pytest.approx(sum(cases["bare"]) + 85 + 135 + 200 + 70)


def test_wrens_unsprung_parts_add_up(wren, value):
    for axle, parts in wren["unsprung_parts"].items():
        assert sum(part["mass"] for part in parts) == pytest.approx(value(f"{axle}.unsprung_mass"))


def test_wrens_dampers_are_in_the_assortment(value):
    dampers = tables.assortment_dampers()
    for axle, code in (("front", "DP-03"), ("rear", "DP-16")):
        at = dampers.part.index(code)
        for key in (
            *("damper_stroke", "damper_extended", "damper_collapsed", "rod_diameter", "piston_diameter"),
            *("gas_pressure", "gas_volume", "spring_inside_diameter", "adjuster_range", "seat_space"),
            "adjuster_turns_per_length",
        ):
            assert getattr(dampers, key)[at] == pytest.approx(value(f"{axle}.{key}"), rel=1e-8), (axle, key)


def bisect(function: Callable[[float], float], low: float, high: float) -> float:
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2


@pytest.mark.parametrize(
    ("axle", "tender", "main", "preload", "gap", "droop_left", "bump_left", "ride", "past", "above", "bare", "full"),
    [
        ("front", "SP-0147", "SP-0212", 1.25, 4.86, 5.05, 6.45, 1.11, 1.70, 2.51, 4.67, 6.29),
        ("rear", "SP-0163", "SP-0230", 0.75, 4.93, 4.38, 9.12, 1.20, 1.78, 3.50, 3.38, 7.59),
    ],
)
def test_the_assortment_holds_wrens_answer(
    wren, value, axle, tender, main, preload, gap, droop_left, bump_left, ride, past, above, bare, full
):
    """The design's build sheet, solved here in plain Python from the data alone.

    Axle path upright, so the lean grows as the coil-over shortens; isothermal gas; tire in series; tangent rates at
    ride before the crossover and at the crossover past it. The sheet prints two decimals, so half of the last is the
    tolerance; 0.006 where the sheet's own rounding of the inputs shows.
    """
    springs = tables.assortment_springs()
    k_t, k_m = (springs.rate[springs.part.index(code)] for code in (tender, main))
    series = k_t * k_m / (k_t + k_m)
    crossover = gap * INCH * (k_t + k_m) / k_m
    rod = math.pi / 4 * value(f"{axle}.rod_diameter") ** 2
    charged = value(f"{axle}.gas_pressure") + 101_325
    room = value(f"{axle}.gas_volume")
    lean = value(f"{axle}.lean")
    extended = value(f"{axle}.damper_extended")
    solid = value(f"{axle}.damper_stroke") - value(f"{axle}.solid_before_collapsed")
    index = ("front", "rear").index(axle)

    def gas(x: float) -> float:
        return charged * room / (room - rod * x)

    def axial(x: float) -> float:
        spring = series * (preload * INCH + min(x, crossover)) + k_m * max(0.0, x - crossover)
        return spring + (gas(x) - 101_325) * rod

    def load(case: str) -> float:
        items = next(each["items"] for each in wren["load_cases"] if each["name"] == case)
        return (axle_masses(wren, items)[index] - value(f"{axle}.unsprung_mass")) / 2 * GRAVITY

    at_crew = bisect(lambda x: axial(x) * math.cos(lean) - load("crew"), 0, solid)
    aside = (extended - at_crew) * math.sin(lean)

    def ratio(x: float) -> float:
        return math.sqrt(1 - (aside / (extended - x)) ** 2)

    def at(case: str) -> float:
        return bisect(lambda x: axial(x) * ratio(x) - load(case), 0, solid)

    def frequency(x: float, spring_rate: float) -> float:
        gas_rate = gas(x) * rod**2 / (room - rod * x)
        wheel = (spring_rate + gas_rate) * ratio(x) ** 2 - axial(x) * (aside / (extended - x)) ** 2 / (extended - x)
        tire = value(f"{axle}.tire_rate")
        return math.sqrt(wheel * tire / (wheel + tire) / (load("crew") / GRAVITY)) / (2 * math.pi)

    assert at_crew / INCH == pytest.approx(droop_left, abs=0.006)
    assert (solid - at_crew) / INCH == pytest.approx(bump_left, abs=0.006)
    assert (crossover - at_crew) / INCH == pytest.approx(above, abs=0.006)
    assert frequency(at_crew, series) == pytest.approx(ride, abs=0.006)
    assert frequency(crossover, k_m) == pytest.approx(past, abs=0.006)
    assert at("bare") / INCH == pytest.approx(bare, abs=0.006)
    assert (solid - at("full")) / INCH == pytest.approx(full, abs=0.006)


def test_wrens_front_main_is_close_to_bind_and_nothing_binds():
    """The main is left about 0.6 in at full bump, front and rear: more than the limit of 0.5, less than 0.7."""
    springs = tables.assortment_springs()
    for tender, main, preload, gap, solid in (
        ("SP-0147", "SP-0212", 1.25, 4.86, 11.5),
        ("SP-0163", "SP-0230", 0.75, 4.93, 13.5),
    ):
        t, m = springs.part.index(tender), springs.part.index(main)
        k_t, k_m = springs.rate[t] / LB_IN, springs.rate[m] / LB_IN
        free, bound = springs.free_length / INCH, springs.solid_length / INCH
        crossover = gap * (k_t + k_m) / k_m
        main_left = free[m] - bound[m] - (preload + crossover) * k_t / (k_t + k_m) - (solid - crossover)
        tender_left = free[t] - bound[t] - (preload + crossover) * k_m / (k_t + k_m)
        assert 0.5 < main_left < 0.7
        assert tender_left > 0.375
        assert springs.stock[t] >= 2
        assert springs.stock[m] >= 2


# --- sources, terms, materials -------------------------------------------------------------------------------------


def test_sources_say_how_they_were_read():
    allowed = {"read", "secondary", "memory", "practice", "derivation", "ours"}
    assert {source.flag for source in tables.sources().values()} <= allowed


def test_every_source_serves_something():
    """A step, a printed answer, a material or a constant rests on each source that is listed."""
    served = {item.source for item in all_rows()}
    for step in all_steps():
        parts = (*step.checks, step.example)
        served |= {source.key for source in step.sources}
        served |= {part.source.key for part in parts if part.source is not None}
    for path in (tables.DATA.parent / "docs" / "steps").glob("*.md"):
        served |= set(re.findall(r"\{\{ source (\w+)", path.read_text("utf-8")))
    for path in (tables.DATA / "materials").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            served |= {row["source"] for row in csv.DictReader(file)}
    # A constant cites its conference in words, axes and words of motion are named on the page of names.
    cited = " ".join(constant.source for constant in NAMED.values()) + (
        tables.DATA.parent / "docs" / "reference" / "nomenclature.md"
    ).read_text("utf-8")
    in_words = {"cgpm_1901": "1901", "cgpm_1954": "1954", "iso_8855": "ISO 8855"}
    assert all(words in cited for words in in_words.values())
    assert set(tables.sources()) <= served | set(in_words)


def test_terms_are_many_and_no_word_leads_two_ways():
    terms = tables.terms()
    assert len(terms) >= 60
    words = [word.lower() for term in terms for word in (term.term, *term.also_called)]
    assert {word for word in words if words.count(word) > 1} == set()
    assert all(term.meaning.endswith(".") and term.origin for term in terms)


@pytest.mark.parametrize("path", sorted((tables.DATA / "materials").glob("*.csv")), ids=lambda path: path.stem)
def test_material_rows_are_sourced(path):
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows
    assert {row["source"] for row in rows} <= set(tables.sources())
    assert {row["flag"] for row in rows} <= {"read", "secondary", "memory"}
