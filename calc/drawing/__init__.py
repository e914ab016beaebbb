"""Line drawings: what to measure on each step's page, and two results drawn with the reader's numbers.

`draw(name=...)` gives a measuring drawing whose letters A, B, C mean what `LETTERS[name]` says, in that order.
`build` and `axle_plan` take numbers and texts.
"""

from __future__ import annotations

from importlib import import_module

from calc.drawing.axle_plan import Axle, axle_plan
from calc.drawing.build import build
from calc.errors import UnknownNameError

__all__ = ["LETTERS", "Axle", "axle_plan", "build", "draw"]

LETTERS: dict[str, tuple[str, ...]] = {
    "weighing": ("Wheelbase", "Track", "Pad tops level"),
    "raised_axle": (
        "Loaded radius",
        "Rise of the raised hubs",
        "Angle of the frame",
        "Reading of the axle that stays down",
    ),
    "unsprung": ("Counts whole", "Counts half", "Offset from the center line"),
    "weight_change": ("Behind the front axle", "Left or right of center"),
    "rescaled_rate": ("Load on the springs before", "Load on the springs after", "Length at ride, the same"),
    "support_load": ("Track", "Spring base", "Lean", "Roll-center height"),
    "travel_table": ("Hub center to the mark", "Damper eye to eye"),
    "articulation": (
        "Track",
        "Axle ends, left to right",
        "Roll-center height",
        "Travel to the stop",
        "Travel to droop",
    ),
    "lever_arm": (
        "Arm, pivot to hub",
        "Arm, pivot to lower eye",
        "Angle of the arm",
        "Lean toward the pivot",
        "Length eye to eye",
    ),
    "mount_places": (
        "Body ends, left to right",
        "Axle ends, left to right",
        "Height of the body ends",
        "Height of the axle ends",
        "Behind the hubs",
        "Pivot",
    ),
    "measured_rate": ("Length", "Force"),
    "bump_stop": ("Gap at ride", "Depth of the pad"),
    "length": ("Bump stop solid", "Full droop", "Strap ends"),
    "mount_points": ("Upper eye", "Lower eye", "Lean", "Length eye to eye"),
    "natural_frequency": ("Sprung mass", "Wheel rate", "Tire rate"),
    "required_spring_rate": ("Sprung mass", "Wanted frequency", "Tire rate"),
    "stack": ("Preload", "Ring gap", "Solid length"),
    "crossover": ("Ring gap left at ride", "Damper travel to the crossover", "Damper travel past it"),
    "preload": ("Preload", "Travel used at ride", "Bump travel left"),
    "critical_damping": ("Sprung mass", "Wheel rate", "Damping", "First overshoot"),
    "corner_modes": ("Sprung weight on this spring", "Wheel rate", "Half of the axle", "Tire rate"),
    "pitch_bounce": (
        "Ride rate, each front wheel",
        "Ride rate, each rear wheel",
        "Wheelbase",
        "Sprung center of gravity",
    ),
    "rough_road": (
        "Sprung weight on this spring",
        "Wheel rate",
        "Damper",
        "Half of the axle",
        "Tire rate",
        "Road speed",
    ),
    "roll": ("Sprung center of gravity, height", "Roll-center height", "Track", "Loaded radius"),
    "force_targets": ("Piston diameter", "Rod diameter", "Gas charge", "Damper speed"),
    "rest": ("Scale pad", "Adjuster", "Track", "Effective spring base"),
    "measured_curve": ("Half of the swing", "Compression", "Rebound"),
    "tire_rate": ("Weight on the tire", "Loaded radius", "Tire pressure", "Squash"),
    "anti_roll_bar": (
        "Length of the bar, between the arms",
        "Arm of the bar",
        "Base of the bar, link to link",
        "Diameter of the bar",
    ),
    "rig_modes": ("Sprung weight", "Unsprung weight", "Wheel rate", "Tire rate", "Roll lever"),
    "gas": ("Rod diameter", "Piston diameter", "Gas length"),
    "coil": ("Wire diameter", "Mean diameter", "Free length", "Active coils", "Solid length"),
}


def draw(*, name: str) -> str:
    """The measuring drawing of one step as SVG text.

    Raises UnknownNameError for a name that is not in LETTERS.

    >>> draw(name="stack").startswith('<svg viewBox="0 0 ')
    True
    >>> draw(name="teapot")
    Traceback (most recent call last):
        ...
    calc.errors.UnknownNameError: There is no drawing named 'teapot'.
    """
    if name not in LETTERS:
        raise UnknownNameError(f"There is no drawing named {name!r}.")
    drawing = import_module(f"calc.drawing.{name}").drawing
    return str(drawing())
