"""The coil from its wire: hand values, ends, findings, refusals."""

import math

import numpy as np
import pytest

from calc import formula
from calc.errors import ContradictionError
from calc.spring.coil import STEP, WIRES, coil, wire_strength
from calc.step import run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
KSI = 1e3 * LBF / INCH**2


def wren(**changes):
    """A main like Wren's in SI, with changes in SI."""
    return {
        "wire_diameter": 0.605 * INCH,
        "mean_coil_diameter": 3.605 * INCH,
        "total_coils": 11.16,
        "free_length": 14 * INCH,
        **changes,
    }


def finding(rule, **changes):
    inputs = {name: value for name, value in wren(**changes).items() if value is not None}
    return next(item for item in run(STEP, inputs).findings if item.rule == rule)


@pytest.mark.parametrize(
    ("ends", "active", "wires"),
    [("plain", 12, 13), ("plain ground", 11, 12), ("squared", 10, 13), ("squared ground", 10, 12)],
)
def test_ends_take_coils_and_add_wires(ends, active, wires):
    """The table of ends: Shigley, Table 10-1 (plain, plain ground and squared read in solutions, the last from memory)."""
    found = coil(wire_diameter=0.01, mean_coil_diameter=0.08, total_coils=12.0, ends=ends)
    assert found.active_coils == active
    assert found.solid_length == pytest.approx(wires * 0.01, rel=1e-12)


def test_rate_goes_with_the_fourth_power_of_the_wire_and_the_third_of_the_coil():
    base = coil(**wren())
    assert coil(**wren(wire_diameter=1.01 * 0.605 * INCH)).spring_rate / base.spring_rate == pytest.approx(1.01**4)
    assert coil(**wren(mean_coil_diameter=1.01 * 3.605 * INCH)).spring_rate / base.spring_rate == pytest.approx(
        1.01**-3
    )


def test_a_preset_spring_counts_the_smaller_factor_and_bears_more():
    wound, preset = coil(**wren()), coil(**wren(setting="preset"))
    assert preset.allowed_stress / wound.allowed_stress == pytest.approx(0.65 / 0.50)
    assert preset.solid_stress / wound.solid_stress == pytest.approx(wound.direct_factor / wound.stress_factor)


def test_hot_wound_gaps():
    """EN 13906-1 from memory: 0.02 n (D + d) = 0.02 × 8 × 114 mm."""
    found = coil(wire_diameter=0.014, mean_coil_diameter=0.1, total_coils=10.0, coiling="hot")
    assert found.gap_sum == pytest.approx(0.01824, abs=1e-9)


@pytest.mark.parametrize("material", sorted(WIRES))
def test_wire_outside_the_published_diameters_warns(material):
    wire = WIRES[material]
    rule = "strength published for this wire"

    def state(diameter):
        return finding(
            rule, material=material, wire_diameter=diameter, mean_coil_diameter=6 * diameter, free_length=None
        ).state

    assert state(wire.thickest) == "holds"
    assert state(wire.thickest * 1.01) == "close"
    assert state((wire.thinnest + wire.thickest) / 2) == "holds"
    if wire.thinnest > 0.21e-3:
        assert state(wire.thinnest * 0.99) == "close"


def test_a_told_strength_replaces_the_table():
    assert coil(**wren(known_strength=1500e6)).tensile_strength == 1500e6
    table = wire_strength(wire_diameter=0.605 * INCH, constant=218.0, exponent=0.091)
    assert coil(**wren()).tensile_strength == table
    assert table / KSI == pytest.approx(218 / 0.605**0.091, rel=1e-9)


REGIMES = [
    {"known_strength": 1500e6, "spring_force": 9000.0},
    {"known_strength": 1500e6, "setting": "preset", "spring_force": 9000.0},
    {"known_strength": 1500e6, "material": "A228"},
    {"known_strength": 1500e6, "material": "A227", "setting": "preset"},
    {"ends": "plain"},
    {"ends": "plain ground"},
    {"ends": "squared"},
    {"coiling": "hot"},
    {"support": "flat"},
    {"support": "pivots"},
    {"support": "free"},
]


@pytest.mark.parametrize("changes", REGIMES, ids=str)
def test_the_equations_hold_in_every_regime(changes):
    values = dict(run(STEP, wren(**changes)).values)
    given = set()
    for equation in STEP.equations:
        needed = {*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ())}
        if any(values.get(name) is None for name in needed):
            continue
        if equation.when and not formula.evaluate(equation.when, values):
            continue
        assert equation.result not in given
        given.add(equation.result)
        answer = float(formula.evaluate(equation.text, values))
        if equation.result in STEP.results:
            assert answer == pytest.approx(values[equation.result], rel=1e-9), equation.text
        values[equation.result] = answer
    # A strength from the published table has no line of its own: its constants carry broken dimensions.
    assert {name for name in STEP.results if values[name] is not None} - given <= {"tensile_strength"}


@pytest.mark.parametrize(
    ("rule", "changes", "state"),
    [
        ("pressed solid", {"setting": "preset", "free_length": 13 * INCH}, "holds"),
        ("pressed solid", {}, "fails"),
        ("pressed solid", {"free_length": None}, "not checked"),
        ("stress at this force", {"spring_force": 5e3}, "holds"),
        ("stress at this force", {"spring_force": 14e3}, "fails"),
        ("stress at this force", {}, "not checked"),
        ("buckling", {"guided_by": "nothing"}, "holds"),
        ("buckling", {"guided_by": "nothing", "support": "free"}, "fails"),
        ("buckling", {"support": "free"}, "holds"),
        ("rub on the body", {"support": "free"}, "close"),
        ("rub on the body", {}, "holds"),
        ("rub on the body", {"free_length": None}, "not checked"),
        ("index", {}, "holds"),
        ("index", {"wire_diameter": 1.0 * INCH}, "close"),
        ("active coils", {}, "holds"),
        ("active coils", {"total_coils": 19.0, "free_length": 20 * INCH}, "close"),
        ("surge above wheel hop", {}, "holds"),
        ("surge above wheel hop", {"wire_diameter": 0.2 * INCH, "mean_coil_diameter": 3.2 * INCH}, "close"),
    ],
)
def test_each_finding_in_each_of_its_states(rule, changes, state):
    assert finding(rule, **changes).state == state


@pytest.mark.parametrize(
    ("wrong", "right", "field", "message"),
    [
        (
            {"mean_coil_diameter": 1.2 * INCH},
            {"mean_coil_diameter": 1.22 * INCH, "wire_diameter": 0.605 * INCH},
            "mean_coil_diameter",
            "A mean coil diameter of 1.200\u00a0in is too small for a wire of 0.605\u00a0in: the coils could not be wound. "
            "Allowed: at least twice the wire diameter.",
        ),
        (
            {"total_coils": 2.25},
            {"total_coils": 2.5},
            "total_coils",
            "With 2.25 coils and these ends no coil is left to work. "
            "Allowed: at least half a coil more than the ends take.",
        ),
        (
            {"youngs_modulus": 150e9},
            {"youngs_modulus": 200e9},
            "youngs_modulus",
            "An elastic modulus of 21,755.7\u00a0ksi and a shear modulus of 11,500.0\u00a0ksi cannot belong to one metal. "
            "Allowed: 2 to 3 times the shear modulus.",
        ),
        (
            {"free_length": 6.7 * INCH},
            {"free_length": 6.8 * INCH},
            "free_length",
            "A free length of 6.70\u00a0in is not more than the solid length of these coils, 6.75\u00a0in. "
            "Allowed: above the solid length.",
        ),
    ],
)
def test_contradictions_are_refused_with_their_whole_message(wrong, right, field, message):
    coil(**wren(**right))
    with pytest.raises(ContradictionError) as caught:
        coil(**wren(**wrong))
    assert caught.value.field == field
    assert str(caught.value) == message


def test_arrays_give_what_single_values_give():
    count = 40
    random = np.random.default_rng(9)
    arrays = {
        "wire_diameter": random.uniform(0.008, 0.018, count),
        "mean_coil_diameter": random.uniform(0.07, 0.1, count),
        "total_coils": random.uniform(6, 16, count),
        "free_length": random.uniform(0.3, 0.6, count),
        "spring_force": random.uniform(1e3, 2e4, count),
    }
    together = coil(**arrays, support="free")
    for index in range(count):
        alone = coil(**{name: float(values[index]) for name, values in arrays.items()}, support="free")
        for name in STEP.results:
            value = getattr(alone, name)
            column = np.broadcast_to(getattr(together, name), (count,))
            assert math.isclose(column[index], value, rel_tol=1e-12), name
