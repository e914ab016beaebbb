"""The answer of a measurements file against a rig file: for a program, and for a person in 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from typing import Any

from calc.answer import text
from calc.answer.parts import Listed, Paragraph, Part
from calc.answers.prove_tables import tables
from calc.cautions import caution
from calc.json_text import plain
from calc.prove.findings import basis_line, findings
from calc.prove.model import Fit
from calc.prove.prove import Proving, Sunk, prove
from calc.prove.trim import Trim
from calc.quantity import SHOP, Display
from calc.rig.axle import needs_told
from calc.rig.entries import CORNERS
from calc.rig.readings import DAMPER_LENGTH, Proof
from calc.rig.rig import Rig
from calc.tables import Springs


def latest(rig: Rig, springs: Springs, proofs: Sequence[Proof]) -> Proving | None:
    """Return what the latest of some measurements says, the others and the rig's own being its history."""
    if not proofs:
        return None
    ordered = sorted(proofs, key=lambda one: one.date)
    return prove(rig, springs, ordered[-1], earlier=(*rig.proofs, *ordered[:-1]))


def answer_data(rig: Rig, springs: Springs, proofs: Sequence[Proof]) -> dict[str, Any]:
    """Return the answer for a program: the latest measurement with its findings."""
    found = latest(rig, springs, proofs)
    if found is None:
        return {"rig": rig.name, "proving": None, "findings": []}
    return {"rig": rig.name, "proving": proving_data(found), "findings": plain(tuple(findings(found)))}


def answer_text(rig: Rig, springs: Springs, proofs: Sequence[Proof], display: Display = SHOP) -> str:
    """Return the answer for a person."""
    return text.written(answer_parts(rig, springs, proofs, display), display)


def answer_parts(rig: Rig, springs: Springs, proofs: Sequence[Proof], display: Display) -> Iterator[Part]:
    """Yield what the latest measurement says, or what it lacks."""
    found = latest(rig, springs, proofs)
    if found is None:
        yield Paragraph(text="Nothing is measured in this file.")
        return
    told = (found.proof.note, basis_line(found))
    title = f"PROVING {rig.name or 'rig without a name'}, {found.proof.date}"
    yield Listed(title=title, lines=tuple(line for line in told if line))
    if found.needs is not None:
        yield Listed(title="NEEDS", lines=tuple(needs_told(found.needs)))
        return
    if not found.measured:
        yield Paragraph(text="No height is read yet.")
        return
    yield from tables(found, display)
    yield Listed(title="CHECKED", lines=tuple(f"{one.state}: {one.text}" for one in findings(found, display)))
    warned = (caution("spring_and_gas"), caution("jacking", "adjuster"), caution("driving"))
    yield Listed(title="CAUTION", lines=warned)


# --- plain data -----------------------------------------------------------------------------------------------------------


def proving_data(found: Proving) -> dict[str, Any]:
    """Return what was found for a program: SI numbers, plus-minus at k = 2."""
    if found.needs is not None:
        return {"date": found.proof.date, "needs": list(found.needs.keys), "problems": list(found.needs.sentences)}
    return {
        "date": found.proof.date,
        "needs": [],
        "problems": [],
        "case": found.case,
        "ordered": found.against or None,
        "read": found.proof.read or DAMPER_LENGTH,
        "corners": [
            {
                **{part.name: getattr(one, part.name) for part in fields(one)},
                "difference": one.difference,
                "tolerance": one.tolerance,
                "outside": one.outside,
            }
            for one in found.corners
        ],
        "gas_temperature": found.proof.gas_temperature[0],
        "gas_temperature_plus_minus": found.proof.gas_temperature[1],
        "warp": found.warp,
        "warp_plus_minus": found.warp_doubt,
        "separates": found.separates,
        "questioned": list(found.questioned),
        "fits": {name: _fit_data(getattr(found, name)) for name in ("loads", "rates", "both", "best")},
        "trim": None if found.trim is None else _trim_data(found.trim),
        "sunk": None if found.sunk is None else {part.name: getattr(found.sunk, part.name) for part in fields(Sunk)},
    }


def _fit_data(fit: Fit | None) -> dict[str, Any] | None:
    if fit is None:
        return None
    return {
        "rate_share": fit.rate.tolist(),
        "rate_share_plus_minus": fit.rate_doubt.tolist(),
        "longer": fit.longer.tolist(),
        "force": fit.outputs.force[0].tolist(),
        "force_plus_minus": fit.doubt("force").tolist(),
        "tire_mass": fit.outputs.tire[0].tolist(),
        "tire_mass_plus_minus": fit.doubt("tire").tolist(),
    }


def _trim_data(one: Trim) -> dict[str, Any]:
    return {
        "turns": one.turns.tolist(),
        "ring": list(one.ring),
        "height": one.height.tolist(),
        "left": one.left.tolist(),
        "cross_share_before": one.cross_before,
        "cross_share_after": one.cross_after,
        "short_of_thread": [CORNERS[place] for place in one.short],
        "reached": one.reached,
    }
