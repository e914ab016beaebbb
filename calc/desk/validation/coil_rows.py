"""The coil spring."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from calc import units
from calc.desk.validation.rows import Answers, Row, root
from calc.desk.validation.wire_rows import strength
from calc.errors import DataError
from calc.spring._stack_curve import StackCurve
from calc.spring.coil import Coil, coil
from calc.units import COUNT, ENERGY, FORCE, FREQUENCY, LENGTH, MASS, NUMBER, RATE, RATIO, SHARE, STRESS

# Any sound metal: where only the rate is asked for, the elastic modulus decides nothing.
_USUAL_MODULI = 2.6


def _of_any_coil(**known: Any) -> Coil:
    """A coil of which only what does not depend on the rest is used."""
    return coil(**{"wire_diameter": 0.01, "mean_coil_diameter": 0.1, "total_coils": 10.0, **known})


def _with_coils(row: Row, prefix: str = "", **known: Any) -> Coil:
    """A squared and ground coil by its active coils; what is known already is not read from the row."""
    modulus = row.given("shear_modulus", STRESS)
    read: dict[str, Any] = {"shear_modulus": modulus, "youngs_modulus": _USUAL_MODULI * modulus}
    for name in ("wire_diameter", "mean_coil_diameter"):
        if name not in known:
            read[name] = row.given(prefix + name, LENGTH)
    if "total_coils" not in known:
        read["total_coils"] = row.number(f"{prefix}active_coils") + 2
    return coil(**{**read, **known})


def _stable(mean: float) -> float:
    """The longest free length between flat seats, by the step's own moduli: the book has one factor for every steel."""
    return _of_any_coil(wire_diameter=mean / 10, mean_coil_diameter=mean, support="flat").stable_length


def _told(value: float | None) -> float:
    if value is None:
        raise DataError("A coil is not asked for what it is asked to tell.")
    return value


def _plain_ground(row: Row, **known: Any) -> Coil:
    wire = row.given("wire_diameter", LENGTH)
    return coil(
        wire_diameter=wire,
        mean_coil_diameter=row.given("outside_diameter", LENGTH) - wire,
        total_coils=row.number("total_coils"),
        ends="plain ground",
        shear_modulus=row.given("shear_modulus", STRESS),
        material="A228",
        **known,
    )


def plain_ground_rate(row: Row) -> Answers:
    """S01."""
    return {"rate": (_plain_ground(row).spring_rate, RATE)}


def plain_ground_solid_and_buckling(row: Row) -> Answers:
    """S02: the same spring to solid and to buckling."""
    found = _plain_ground(
        row,
        known_strength=strength(row, row.given("wire_diameter", LENGTH)),
    )
    return {
        "Bergstraesser factor": (found.stress_factor, RATIO),
        "solid length": (found.solid_length, LENGTH),
        "force at yield": (found.spring_rate * (found.longest_free_length - found.solid_length), FORCE),
        "free length": (found.longest_free_length, LENGTH),
        "free length at buckling": (
            _stable(row.given("outside_diameter", LENGTH) - row.given("wire_diameter", LENGTH)),
            LENGTH,
        ),
    }


def squared_pressed_solid(row: Row) -> Answers:
    """S04."""
    found = coil(
        wire_diameter=row.given("wire_diameter", LENGTH),
        mean_coil_diameter=row.given("mean_coil_diameter", LENGTH),
        total_coils=row.number("total_coils"),
        ends="squared",
        shear_modulus=row.given("shear_modulus", STRESS),
        material="A229",
        known_strength=strength(row, row.given("wire_diameter", LENGTH)),
        free_length=row.given("free_length", LENGTH),
    )
    stress = _told(found.solid_stress)
    return {
        "Bergstraesser factor": (found.stress_factor, RATIO),
        "force at solid": (_told(found.solid_force), FORCE),
        "shear stress at solid": (stress, STRESS),
        "shear yield strength": (found.allowed_stress, STRESS),
        "safety at solid": (found.allowed_stress / stress, RATIO),
    }


def wahl_against_bergstraesser(row: Row) -> Answers:
    """S06."""
    shares = {}
    for index in row.numbers("spring_index"):
        found = _of_any_coil(mean_coil_diameter=index * 0.01)
        shares[f"at index {index:g}"] = ((found.wahl_factor - found.stress_factor) / found.wahl_factor, SHARE)
    return shares


def rate_buckling_and_deflection(row: Row) -> Answers:
    """S07."""
    found = _with_coils(row)
    return {
        "rate": (found.spring_rate, RATE),
        "free length at buckling": (_stable(row.given("mean_coil_diameter", LENGTH)), LENGTH),
        "deflection at 30 lbf": (row.given("force", FORCE) / found.spring_rate, LENGTH),
    }


def direct_shear(row: Row) -> Answers:
    """S08: the book takes 1 + 0.615/C, which is Wahl's factor without the part of the curvature."""
    found = _of_any_coil(
        **{name: row.given(name, LENGTH) for name in ("wire_diameter", "mean_coil_diameter")}, spring_force=1.0
    )
    index = found.spring_index
    factor = 1 + found.wahl_factor - (4 * index - 1) / (4 * index - 4)
    of_one_newton = _told(found.stress) / found.stress_factor * factor
    return {"factor": (factor, RATIO), "load": (row.given("shear_stress", STRESS) / of_one_newton, FORCE)}


def wire_coils_and_free_length(row: Row) -> Answers:
    """S10: the wire whose stress is the wanted one; the book takes Wahl's factor where we take Bergsträsser's."""
    load, index = row.given("force", FORCE), row.number("spring_index")
    wanted = row.number("shear_stress_share") * row.given("tensile_strength", STRESS)

    def wound(wire: float) -> Coil:
        return _with_coils(
            row, wire_diameter=wire, mean_coil_diameter=index * wire, total_coils=10.0, spring_force=load
        )

    def short(wire: float) -> float:
        found = wound(wire)
        return _told(found.stress) * found.wahl_factor / found.stress_factor - wanted

    eight = wound(row.given("wire_diameter_used", LENGTH))
    rate = load / row.given("deflection", LENGTH)
    gaps = (eight.active_coils + 2 - 1) * row.given("gap_between_coils", LENGTH)
    return {
        "wire diameter": (root(short, 0.002, 0.02), LENGTH),
        "active coils": (eight.spring_rate * eight.active_coils / rate, COUNT),
        "free length": (eight.solid_length + load / eight.spring_rate + gaps, LENGTH),
    }


def coils_for_an_energy(row: Row) -> Answers:
    """S12: the work between two compressions, by the curve of the stack."""
    wire = row.given("wire_diameter", LENGTH)
    first, second = (row.given(name, LENGTH) for name in ("first_compression", "second_compression"))
    wanted = row.given("energy", ENERGY)

    def over(active: float) -> float:
        rate = _with_coils(
            row, wire_diameter=wire, mean_coil_diameter=row.number("spring_index") * wire, total_coils=active + 2
        ).spring_rate
        return float(StackCurve(main_rate=rate, preload=first).energy(second - first)) - wanted

    return {"active coils": (root(over, 2.0, 60.0), COUNT)}


def squared_music_wire(row: Row) -> Answers:
    """S14: the book goes on from its rounded shear yield strength and stress factor, and so does the force."""
    wire, modulus = row.given("wire_diameter", LENGTH), row.given("shear_modulus", STRESS)
    found = coil(
        wire_diameter=wire,
        mean_coil_diameter=row.given("mean_coil_diameter", LENGTH),
        total_coils=row.number("total_coils"),
        ends="squared",
        shear_modulus=modulus,
        material="A228",
        known_strength=strength(row, wire),
    )
    shear_yield = units.to_si(row.printed("shear yield strength").value, STRESS.unit("ksi"))
    rounded = shear_yield / found.allowed_stress * found.stress_factor / row.printed("Bergstraesser factor").value
    yielding = (found.longest_free_length - found.solid_length) * rounded
    return {
        "tensile strength": (found.tensile_strength, STRESS),
        "shear yield strength": (found.allowed_stress, STRESS),
        "Bergstraesser factor": (found.stress_factor, RATIO),
        "force at yield": (found.spring_rate * yielding, FORCE),
        "rate": (found.spring_rate, RATE),
        "deflection": (yielding, LENGTH),
        "solid length": (found.solid_length, LENGTH),
        "free length": (found.longest_free_length, LENGTH),
        "free length at buckling": (_stable(row.given("mean_coil_diameter", LENGTH)), LENGTH),
        "pitch": ((found.longest_free_length - 3 * wire) / found.active_coils, LENGTH),
    }


def designed_for_its_load(row: Row) -> Answers:
    """S15: the coil whose stress, overrun by the printed share, leaves the wanted safety."""
    wire, modulus = row.given("wire_diameter", LENGTH), row.given("shear_modulus", STRESS)
    deflection, load = row.given("deflection", LENGTH), row.given("force", FORCE)
    overrun = 1 + row.number("overrun")
    known_strength = strength(row, wire)

    def wound(mean: float, total: float) -> Coil:
        return coil(
            wire_diameter=wire,
            mean_coil_diameter=mean,
            total_coils=total,
            shear_modulus=modulus,
            material="A228",
            known_strength=known_strength,
            spring_force=overrun * load,
        )

    def spare(mean: float) -> float:
        found = wound(mean, 12.0)
        return found.allowed_stress / _told(found.stress) - row.number("safety_at_solid")

    mean = root(spare, 3 * wire, 30 * wire)
    ten = wound(mean, 12.0)
    active = ten.spring_rate * ten.active_coils / (load / deflection)
    found = wound(mean, active + 2)
    return {
        "spring index": (found.spring_index, RATIO),
        "mean coil diameter": (mean, LENGTH),
        "active coils": (active, COUNT),
        "solid length": (found.solid_length, LENGTH),
        "free length": (found.solid_length + overrun * deflection, LENGTH),
        "free length at buckling": (_stable(mean), LENGTH),
    }


def surge(row: Row) -> Answers:
    """S16."""
    mean = row.given("outside_diameter", LENGTH) - row.given("wire_diameter", LENGTH)
    found = _with_coils(row, mean_coil_diameter=mean, wire_density=row.given("weight_density", units.DENSITY))
    return {
        "rate": (found.spring_rate, RATE),
        "weight": (found.spring_mass, MASS),
        "fundamental frequency": (found.surge_frequency, FREQUENCY),
        "Bergstraesser factor": (found.stress_factor, RATIO),
    }


def wahl_factor(row: Row) -> Answers:
    """S17."""
    return {
        f"at index {index:g}": (_of_any_coil(mean_coil_diameter=index * 0.01).wahl_factor, RATIO)
        for index in row.numbers("spring_index")
    }


def bergstraesser_written_otherwise(row: Row) -> Answers:
    """S18: the standard's factor is ours; that of the book is (4 w + 2) / (4 w - 3)."""
    first, last = (units.parse_number(part) for part in row.text("spring_index").split(" to "))
    index = np.linspace(first, last, 161)
    found = _of_any_coil(mean_coil_diameter=index * 0.01)
    return {"difference": (float(np.max(np.abs(found.stress_factor - (4 * index + 2) / (4 * index - 3)))), NUMBER)}


def surge_coefficient(_row: Row) -> Answers:
    """S19: the coefficient for lengths in mm, the modulus in N/mm² and the density in kg/dm³, of any coil."""
    wire, mean, modulus, density = 15.4, 91.6, 79_500.0, 7.85
    found = coil(
        wire_diameter=units.to_si(wire, LENGTH.metric),
        mean_coil_diameter=units.to_si(mean, LENGTH.metric),
        total_coils=11.2,
        shear_modulus=units.to_si(modulus, STRESS.metric),
        wire_density=1e3 * density,
    )
    in_its_units = wire / (found.active_coils * mean**2) * np.sqrt(modulus / density)
    return {"coefficient": (found.surge_frequency / in_its_units, NUMBER)}


def buckling_of_two_authors(row: Row) -> Answers:
    """B01: ours, in the form of the one, less the deflection at which the other lets the spring buckle."""
    free, mean = row.given("free_length", LENGTH), row.given("mean_coil_diameter", LENGTH)
    shear, youngs = row.given("shear_modulus", STRESS), row.given("youngs_modulus", STRESS)
    found = coil(
        wire_diameter=0.008,
        mean_coil_diameter=mean,
        total_coils=10.0,
        free_length=free,
        shear_modulus=shear,
        youngs_modulus=youngs,
        support="pivots",
    )
    ratio, slenderness = shear / youngs, row.number("seating_coefficient") * free / mean
    inside = 1 - (1 - ratio) / (0.5 + ratio) * (np.pi / slenderness) ** 2
    other = free * 0.5 / (1 - ratio) * (1 - np.sqrt(inside))
    return {"difference": (_told(found.buckling_travel) - other, LENGTH)}


def absolute_stability(row: Row) -> Answers:
    """B02."""
    found = _of_any_coil(
        **{name: row.given(name, STRESS) for name in ("shear_modulus", "youngs_modulus")}, support="pivots"
    )
    return {"factor": (found.stable_length / 0.1, RATIO)}


def deflection_at_a_slenderness(row: Row) -> Answers:
    """B03: at twice the longest stable length a quarter stands under the difference; that is the printed slenderness."""
    known: dict[str, Any] = {name: row.given(name, STRESS) for name in ("shear_modulus", "youngs_modulus")}
    length = 2 * _of_any_coil(**known, support="pivots").stable_length
    found = _of_any_coil(**known, support="pivots", free_length=length)
    return {"ratio": (_told(found.buckling_travel) / length, RATIO)}


def smallest_gaps(row: Row) -> Answers:
    """B04."""
    found = _of_any_coil(
        **{name: row.given(name, LENGTH) for name in ("wire_diameter", "mean_coil_diameter")},
        total_coils=row.number("active_coils") + 2,
    )
    return {"sum of minimum gaps": (found.gap_sum, LENGTH)}


def compound_spring(row: Row) -> Answers:
    """D05: what the inner spring must carry, and the wire that makes its rate."""
    travel, gap = row.given("deflection", LENGTH), row.given("inner_shorter_by", LENGTH)
    outer = _with_coils(row, "outer_").spring_rate
    inner = (row.given("force", FORCE) - outer * travel) / (travel - gap)
    wire = root(lambda wire: _with_coils(row, "inner_", wire_diameter=wire).spring_rate - inner, 5e-4, 7e-3)
    return {"inner rate": (inner, RATE), "inner wire diameter": (wire, LENGTH)}


WORK: dict[str, Callable[[Row], Answers]] = {
    "S01": plain_ground_rate,
    "S02": plain_ground_solid_and_buckling,
    "S04": squared_pressed_solid,
    "S06": wahl_against_bergstraesser,
    "S07": rate_buckling_and_deflection,
    "S08": direct_shear,
    "S10": wire_coils_and_free_length,
    "S12": coils_for_an_energy,
    "S14": squared_music_wire,
    "S15": designed_for_its_load,
    "S16": surge,
    "S17": wahl_factor,
    "S18": bergstraesser_written_otherwise,
    "S19": surge_coefficient,
    "B01": buckling_of_two_authors,
    "B02": absolute_stability,
    "B03": deflection_at_a_slenderness,
    "B04": smallest_gaps,
    "D05": compound_spring,
}
