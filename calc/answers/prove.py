"""The answer of a measurements file against a rig file: for a program, and for a person in 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from calc.answer import text
from calc.answer.parts import Listed, Paragraph, Part
from calc.answers.prove_tables import tables
from calc.cautions import caution
from calc.json_text import plain
from calc.prove.findings import basis_line, findings
from calc.prove.prove import Proving, prove, proving_data
from calc.quantity import SHOP, Display
from calc.rig.axle import needs_told
from calc.rig.readings import Proof
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
