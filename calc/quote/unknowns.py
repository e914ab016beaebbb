"""What neither a quote nor a scale slip tells: its plausible spans, its words, and the questions that ask for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc import vocabulary
from calc.limits import LEAST_PRELOAD
from calc.quantity import Quantity, declared_fields
from calc.quote.entries import QuotedAxle
from calc.quote.spans_of_unknowns import Spans
from calc.rig import spans as assumed
from calc.units import INCH, POUND_FORCE

_length = vocabulary.length


@dataclass(frozen=True, kw_only=True)
class Unknown:
    """Something a quote does not say: how it is called in a sentence, and the question that asks for it."""

    words: str
    with_value: str
    quantity: Quantity
    question: str


def _of_axle(name: str) -> Quantity:
    return declared_fields(QuotedAxle)[name].quantity


_closing = _length.called("Closes by", "s_h", "Free length less solid length.", low=0.0, high=1.0)
UNKNOWN: Mapping[str, Unknown] = {
    "preload": Unknown(
        words="the preload",
        with_value="a preload of {}",
        quantity=_of_axle("preload"),
        question="What preload is set {at}, with the damper hanging free?",
    ),
    "ring_gap": Unknown(
        words="the stop ring",
        with_value="a ring gap of {}",
        quantity=_of_axle("ring_gap"),
        question="How far from the divider does the stop ring sit {at}, damper hanging free and preload set?",
    ),
    "main_solid_length": Unknown(
        words="the main’s solid length",
        with_value="a main solid length of {}",
        quantity=_of_axle("main_solid_length"),
        question="What is the solid length of the main spring {at}?",
    ),
    "main_closing": Unknown(
        words="the main’s lengths",
        with_value="a main that closes by {}",
        quantity=_closing,
        question="What are the free length and the solid length of the main spring {at}?",
    ),
    "tender_solid_length": Unknown(
        words="the tender’s solid length",
        with_value="a tender solid length of {}",
        quantity=_of_axle("tender_solid_length"),
        question="What is the solid length of the tender spring {at}?",
    ),
    "tender_closing": Unknown(
        words="the tender’s lengths",
        with_value="a tender that closes by {}",
        quantity=_closing,
        question="What are the free length and the solid length of the tender spring {at}?",
    ),
    "helper_solid_length": Unknown(
        words="the helper’s solid length",
        with_value="a helper solid length of {}",
        quantity=_of_axle("helper_solid_length"),
        question="What is the solid length of the helper {at}?",
    ),
    "helper_closing": Unknown(
        words="the helper’s lengths",
        with_value="a helper that closes by {}",
        quantity=_closing,
        question="What are the free length and the solid length of the helper {at}?",
    ),
    "unsprung_mass": Unknown(
        words="the unsprung weight",
        with_value="an unsprung weight of {}",
        quantity=_of_axle("unsprung_mass"),
        question="What unsprung weight did you assume {at}?",
    ),
    "motion_ratio": Unknown(
        words="the motion ratio",
        with_value="a motion ratio of {}",
        quantity=_of_axle("motion_ratio"),
        question="What motion ratio did you assume {at}, and how far does the coil-over lean there?",
    ),
    "gas_force": Unknown(
        words="the gas force",
        with_value="a gas force of {}",
        quantity=_of_axle("gas_force"),
        question="What gas pressure and what rod diameter does the damper have {at}?",
    ),
    "solid_before_collapsed": Unknown(
        words="the bump stop",
        with_value="a bump stop that is solid {} before collapsed",
        quantity=_of_axle("solid_before_collapsed"),
        question="How much damper travel is left {at} when the bump stop is solid?",
    ),
    "adjuster_range": Unknown(
        words="the adjuster",
        with_value="an adjuster range of {}",
        quantity=_of_axle("adjuster_range"),
        question="How far can the adjuster be run down its thread {at}?",
    ),
    "divider_thickness": Unknown(
        words="the divider",
        with_value="a divider of {}",
        quantity=_of_axle("divider_thickness"),
        question="How thick is the divider {at}?",
    ),
    "gas_rate": Unknown(
        words="the gas",
        with_value="a gas rate of {}",
        quantity=_of_axle("gas_rate"),
        question="What gas pressure and what rod diameter does the damper have {at}?",
    ),
    "damper_length": Unknown(
        words="the damper’s length",
        with_value="a damper of {}",
        quantity=_of_axle("damper_length"),
        question="How long is the damper, eye to eye, at ride height {at}?",
    ),
    "tire_rate": Unknown(
        words="the tire rate",
        with_value="a tire rate of {}",
        quantity=_of_axle("tire_rate"),
        question="What tire rate did you assume {at}?",
    ),
}

# The spans are common practice, without a source.
SPANS: Spans = {
    "motion_ratio": assumed.MOTION_RATIO,
    "preload": (LEAST_PRELOAD, 3.0 * INCH),
    "gas_force": (0.0, 200 * POUND_FORCE),
    "gas_rate": (0.0, 10 * POUND_FORCE / INCH),
    "solid_before_collapsed": (0.25 * INCH, 1.0 * INCH),
    "main_closing": (3.0 * INCH, 18.0 * INCH),
    "tender_closing": (2.0 * INCH, 13.0 * INCH),
    "helper_closing": (1.0 * INCH, 6.0 * INCH),
    "tire_rate": assumed.TIRE_RATE,
    "adjuster_range": (2.0 * INCH, 5.0 * INCH),
    "divider_thickness": (0.6 * INCH, 1.0 * INCH),
    "damper_length": (20.0 * INCH, 36.0 * INCH),
}
# Solid length as a share of free length.
MAIN_SOLID_SHARE = (0.30, 0.55)
TENDER_SOLID_SHARE = (0.20, 0.46)
HELPER_SOLID_SHARE = (0.15, 0.40)


# What says that a helper stands on top.
HELPER = ("helper_rate", "helper_free_length", "helper_solid_length")


def spans(own: QuotedAxle) -> dict[str, tuple[float, float]]:
    """Return the span of everything that the lines need of one axle; what is known spans nothing.

    What rests on an entry that is missing has no span.
    """
    found = dict(SPANS)
    for name in SPANS:
        value = getattr(own, name, None)
        if value is not None:
            found[name] = (value, value)
    if own.unsprung_mass is not None:
        found["unsprung_mass"] = (own.unsprung_mass, own.unsprung_mass)
    elif own.axle_mass is not None:
        found["unsprung_mass"] = (assumed.UNSPRUNG_SHARE[0] * own.axle_mass, assumed.UNSPRUNG_SHARE[1] * own.axle_mass)
    if own.ring_gap is not None:
        found["ring_gap"] = (own.ring_gap, own.ring_gap)
    elif own.damper_stroke is not None:
        # A ring further away than the whole stroke is as good as none.
        found["ring_gap"] = (0.0, own.damper_stroke)
    for which, share in (("main", MAIN_SOLID_SHARE), ("tender", TENDER_SOLID_SHARE), ("helper", HELPER_SOLID_SHARE)):
        free, solid = getattr(own, f"{which}_free_length"), getattr(own, f"{which}_solid_length")
        if free is not None:
            del found[f"{which}_closing"]
            found[f"{which}_solid_length"] = (share[0] * free, share[1] * free) if solid is None else (solid, solid)
    if own.preload is None and has_helper(own):
        # What closes the helper counts as preload too.
        most = found["helper_closing"][1] if own.helper_free_length is None else own.helper_free_length
        found["preload"] = (found["preload"][0], found["preload"][1] + most)
    return found


def has_helper(own: QuotedAxle) -> bool:
    """Tell whether anything is said of a helper on top."""
    return any(getattr(own, name) is not None for name in HELPER)


def slope_known(own: QuotedAxle) -> bool:
    """Tell whether how the motion ratio changes is said, and need not follow from a lean."""
    return own.motion_ratio is not None and own.motion_ratio_slope is not None
