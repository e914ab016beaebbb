"""What can hurt somebody, said once: pages, paper and terminal take these sentences from here."""

from __future__ import annotations

from collections.abc import Mapping

CAUTIONS: Mapping[str, str] = {
    "spring": (
        "A compressed coil spring holds enough energy to kill. Use a spring compressor made for the job, and let nobody "
        "stand in line with the part."
    ),
    "gas": (
        "A gas-charged damper holds enough energy to kill. Let gas out only as its maker says, and let nobody stand in "
        "line with the part."
    ),
    "spring_and_gas": (
        "A compressed coil spring and a gas-charged damper hold enough energy to kill. Use a spring compressor made for "
        "the job, let gas out only as the maker says, and let nobody stand in line with the part."
    ),
    "jacking": (
        "A vehicle on stands or a jack can fall. Work on level ground, with chocks and stands rated for the load, and "
        "nobody underneath."
    ),
    "adjuster": "Turn an adjuster only as its maker says, with the wheel hanging and the spring unloaded as far as it goes.",
    "scales": ("A vehicle on scales can roll. Work on level ground, with chocks, and nobody underneath."),
    "tire_on_scale": (
        "A tire under load on a scale can slip off or burst: keep within its rated load and pressure, set it square on the "
        "scale, and stand clear of it."
    ),
    "ground": (
        "The numbers on rough ground are an estimate of a linear corner. A rock, a hole or a ditch moves the damper faster "
        "and farther. They are never a speed that is safe to drive."
    ),
    "driving": (
        "A change of springs, height or load changes braking, steering, stability, headlight aim and the vehicle's legal "
        "state. Local codes, type approval and insurance decide, and a licensed engineer or inspector signs where the law "
        "asks for it."
    ),
    "ratings": "Axle, tire and wheel ratings and the vehicle's gross rating bound everything.",
    "strength": "Mounts, brackets and welds are not judged here: a qualified fabricator or engineer does that.",
}


def caution(*names: str) -> str:
    """Return the named cautions as one paragraph.

    >>> caution("ratings")
    "Axle, tire and wheel ratings and the vehicle's gross rating bound everything."
    """
    return " ".join(CAUTIONS[name] for name in names)
