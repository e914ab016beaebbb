"""The answer of a measurements file against a rig file: for a program, and for a person in 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from calc.cautions import caution
from calc.job import axle as axles
from calc.job.prove import Proving, prove, proving_data
from calc.job.prove_findings import basis_line, findings
from calc.job.prove_readings import Proof
from calc.job.prove_tables import tables
from calc.job.rest_text import WIDTH, printed
from calc.job.rig import Rig
from calc.quantity import SHOP, Display
from calc.tables import Springs
from calc.units import NO_BREAK


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
    told = [{part.name: getattr(one, part.name) for part in fields(one)} for one in findings(found)]
    return {"rig": rig.name, "proving": proving_data(found), "findings": told}


def answer_text(rig: Rig, springs: Springs, proofs: Sequence[Proof], display: Display = SHOP) -> str:
    """Return the answer for a person."""
    found = latest(rig, springs, proofs)
    if found is None:
        return "Nothing is measured in this file.\n"
    blocks = [f"PROVING {rig.name or 'rig without a name'}, {found.proof.date}"]
    if found.proof.note:
        blocks[0] += "\n" + _wrapped(found.proof.note)
    blocks.append(_wrapped(basis_line(found)))
    if found.needs is not None:
        told = [*found.needs.sentences, *(f"Needs the {axles.label(key)}." for key in found.needs.keys)]
        return "\n\n".join([*blocks, "\n".join(_wrapped(line) for line in told)]) + "\n"
    if not found.measured:
        return "\n\n".join([*blocks, "  No height is read yet."]) + "\n"
    blocks += [printed(table) for table in tables(found, display)]
    blocks.append("\n".join(_wrapped(f"{one.state}: {one.text}") for one in findings(found, display)))
    warned = (caution("spring_and_gas"), caution("jacking", "adjuster"), caution("driving"))
    blocks.append("\n".join(["CAUTION", *(_wrapped(text) for text in warned)]))
    return "\n\n".join(blocks) + "\n"


def _wrapped(text: str) -> str:
    lines = textwrap.wrap(
        text.replace(NO_BREAK, " "), WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=False
    )
    return "\n".join(lines)
