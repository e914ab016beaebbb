"""How far an answer may be trusted, as it is told above everything else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.answer.parts import Paragraph


def estimate(reasons: Sequence[str]) -> Iterator[Paragraph]:
    """Yield that nothing may be ordered from this, and why; nothing where it may."""
    if reasons:
        text = "; ".join(reasons)
        yield Paragraph(text=f"ESTIMATE: DO NOT ORDER. {text[:1].upper()}{text[1:]}.")
