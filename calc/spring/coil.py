"""One coil spring from its wire: rate, solid length, stress, gaps, buckling and surge."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.quantity import Choice, Option, Quantity
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import FreeLength, SolidLength, SpringRate, force, length

_SHIGLEY = Source(key="shigley", where="Eq. 10-18 and 10-19, in a solution", flag="read")
_KSI = 1e3 * POUND_FORCE / INCH**2
_MPSI = 1e3 * _KSI
_MM = 1e-3

PLAIN, PLAIN_GROUND, SQUARED, SQUARED_GROUND = "plain", "plain ground", "squared", "squared ground"
# Coils at the ends that do not work, and coils that count for the solid length beyond the total: Shigley, Table 10-1.
_IDLE = {PLAIN: 0.0, PLAIN_GROUND: 1.0, SQUARED: 2.0, SQUARED_GROUND: 2.0}
_SOLID = {PLAIN: 1.0, PLAIN_GROUND: 0.0, SQUARED: 1.0, SQUARED_GROUND: 0.0}
# Share of the free length that counts for buckling: Shigley, Table 10-2.
_SUPPORT = {"flat": 0.5, "divider": 0.707, "pivots": 1.0, "free": 2.0}
COLD, HOT = "cold", "hot"
ALONE, ON_BODY = "nothing", "body"
AS_WOUND, PRESET = "as wound", "preset"


@dataclass(frozen=True, kw_only=True)
class Wire:
    """Strength of a spring wire: A / d^m in ksi and inches, the share of it that shear may reach, and the sizes told."""

    constant: float
    exponent: float
    shear_share: float
    preset_share: float
    thinnest: float
    thickest: float


# Constants of Ugural, Table 14.2, in their ksi form, which fits the ASTM minimum tables; their MPa form does not.
# Shear shares (as wound with the Bergsträsser factor, preset with the direct shear factor) and diameter ranges follow
# Shigley: 0.45 and 0.50 as wound are read in solutions, the preset ones are the low ends of a table from memory.
# The same rows stand in data/materials/, which a test compares.
WIRES = {
    "A227": Wire(
        constant=137.0, exponent=0.201, shear_share=0.45, preset_share=0.60, thinnest=0.7 * _MM, thickest=12.7 * _MM
    ),
    "A228": Wire(
        constant=186.0, exponent=0.163, shear_share=0.45, preset_share=0.60, thinnest=0.1 * _MM, thickest=6.5 * _MM
    ),
    "A229": Wire(
        constant=146.0, exponent=0.193, shear_share=0.50, preset_share=0.65, thinnest=0.5 * _MM, thickest=12.7 * _MM
    ),
    "A232": Wire(
        constant=173.0, exponent=0.155, shear_share=0.50, preset_share=0.65, thinnest=0.8 * _MM, thickest=11.1 * _MM
    ),
    "A401": Wire(
        constant=218.0, exponent=0.091, shear_share=0.50, preset_share=0.65, thinnest=1.6 * _MM, thickest=9.5 * _MM
    ),
}

Material = Annotated[
    str,
    Choice(
        label="Wire",
        options=(
            Option("A401", "chrome silicon, A401"),
            Option("A232", "chrome vanadium, A232"),
            Option("A229", "oil tempered, A229"),
            Option("A228", "music wire, A228"),
            Option("A227", "hard drawn, A227"),
        ),
        typical="A401",
        help="What the spring is wound from; it decides the strength. Ask the maker.",
    ),
]
Ends = Annotated[
    str,
    Choice(
        label="Ends",
        options=(
            Option(SQUARED_GROUND, "squared and ground"),
            Option(SQUARED, "squared, not ground"),
            Option(PLAIN_GROUND, "plain, ground"),
            Option(PLAIN, "plain"),
        ),
        typical=SQUARED_GROUND,
        help="Squared: the last coil lies closed. Ground: it is cut flat, so that it sits square.",
    ),
]
Support = Annotated[
    str,
    Choice(
        label="Seats",
        options=(
            Option("divider", "one flat seat, one on a divider"),
            Option("flat", "both on flat, guided seats"),
            Option("pivots", "both free to tilt"),
            Option("free", "one seat, the other end free"),
        ),
        typical="divider",
        help="How the ends are held. A divider can tilt, so it is no flat seat.",
    ),
]
Coiling = Annotated[
    str,
    Choice(
        label="Wound",
        options=(Option(COLD, "cold"), Option(HOT, "hot")),
        typical=COLD,
        help="Thick bar is wound hot; most coil-over springs are wound cold.",
    ),
]
GuidedBy = Annotated[
    str,
    Choice(
        label="Guided inside by",
        options=(Option(ON_BODY, "the damper's body"), Option(ALONE, "nothing")),
        typical=ON_BODY,
        help="What would keep it from bowing out.",
    ),
]
Setting = Annotated[
    str,
    Choice(
        label="Set",
        options=(
            Option(AS_WOUND, "as wound, or not known"),
            Option(PRESET, "taken out by the maker"),
        ),
        typical=AS_WOUND,
        help="A spring that the maker pressed solid until it set no further bears more afterward. Ask him.",
    ),
]
WireDiameter = Annotated[
    float,
    length.called(
        "Wire diameter",
        "d",
        "Thickness of the bare wire; take the paint off the reading.",
        low=0.2 * _MM,
        high=60 * _MM,
        kind=units.DIAMETER,
        usual=(3 * _MM, 25 * _MM),
        typical=0.6 * INCH,
        plus_minus=0.003 * INCH,
    ),
]
MeanCoilDiameter = Annotated[
    float,
    length.called(
        "Mean coil diameter",
        "D",
        "Over the coils less one wire, or the inside plus one wire.",
        low=1 * _MM,
        high=400 * _MM,
        kind=units.DIAMETER,
        usual=(30 * _MM, 250 * _MM),
        typical=3.6 * INCH,
        plus_minus=0.02 * INCH,
    ),
]
_total_coils = Quantity(
    label="Total coils",
    symbol="n_t",
    kind=units.NUMBER,
    low=2.0,
    high=100.0,
    typical=11.0,
    help="Count from one end of the wire to the other, to a quarter turn.",
    plus_minus=0.1,
)
TotalCoils = Annotated[float, _total_coils]
_modulus = Quantity(
    label="Shear modulus",
    symbol="G",
    kind=units.STRESS,
    low=20e9,
    high=100e9,
    typical=11.5 * _MPSI,
    assumed=11.5 * _MPSI,
    help="Of spring steel; published values run from 11.2 to 11.8 Mpsi (77.2 to 81.5 GPa), and the rate is as uncertain.",
    plus_minus_share=0.03,
)
ShearModulus = Annotated[float, _modulus]
YoungsModulus = Annotated[
    float,
    _modulus.called(
        "Elastic modulus",
        "E",
        "Of spring steel; only the buckling needs it.",
        low=50e9,
        high=250e9,
        typical=30 * _MPSI,
        assumed=30 * _MPSI,
        plus_minus_share=0.02,
    ),
]
WireDensity = Annotated[
    float,
    Quantity(
        label="Density of the wire",
        symbol="ρ",
        kind=units.DENSITY,
        low=1000.0,
        high=12000.0,
        typical=7850.0,
        assumed=7850.0,
        help="Of steel; only the surge and the weight need it.",
    ),
]
KnownStrength = Annotated[
    float,
    Quantity(
        label="Tensile strength, if given",
        symbol="R_m,told",
        kind=units.STRESS,
        low=100e6,
        high=5e9,
        typical=1570e6,
        help="What the maker says of this wire. Left empty, the published minimum of its kind is used.",
    ),
]
SpringForce = Annotated[
    float,
    force.called(
        "Force on the spring", "F", "Where the stress is wanted, as at full bump.", low=0.0, high=2e5, usual=None
    ),
]
_diameter = length.called("Diameter", "d", kind=units.DIAMETER, low=0.0, typical=3.6 * INCH)
_factor = Quantity(
    label="Stress factor", symbol="K", kind=units.RATIO, low=1.0, high=3.0, typical=1.25, help="For the curved wire."
)
_used = _factor.called("Stress factor used", "K")
_stress = Quantity(
    label="Shear stress",
    symbol="τ",
    kind=units.STRESS,
    low=0.0,
    high=1e11,
    typical=700e6,
    help="At the inside of the coil, with the stress factor.",
)
_travel = length.called("Travel", "s", low=-2.0, high=4.0, typical=5 * INCH)


@dataclass(frozen=True, kw_only=True)
class Coil:
    """What the wire makes of the spring; what needs a free length or a force is None without it."""

    spring_rate: SpringRate
    solid_length: SolidLength
    active_coils: Annotated[
        float,
        Quantity(
            label="Active coils",
            symbol="n",
            kind=units.NUMBER,
            low=0.0,
            high=100.0,
            typical=9.0,
            help="The coils that work: the total less the closed ends.",
        ),
    ]
    spring_index: Annotated[
        float,
        Quantity(
            label="Spring index",
            symbol="w",
            kind=units.NUMBER,
            low=1.0,
            high=100.0,
            typical=6.0,
            help="Mean coil diameter over wire diameter.",
        ),
    ]
    stress_factor: Annotated[float, _factor.called("Stress factor, Bergsträsser", "K_B")]
    wahl_factor: Annotated[float, _factor.called("Stress factor, Wahl", "K_W")]
    direct_factor: Annotated[float, _factor.called("Direct shear factor", "K_s", "For a spring that is preset.")]
    gap_sum: Annotated[
        float,
        length.called(
            "Smallest gaps, summed",
            "S_a",
            "Below this length left, the first coils touch.",
            low=0.0,
            typical=0.6 * INCH,
        ),
    ]
    tensile_strength: Annotated[float, _stress.called("Tensile strength, at least", "R_m", "Of wire this thick.")]
    allowed_stress: Annotated[float, _stress.called("Allowed shear stress", "τ_max", "Before the spring sets.")]
    solid_stress: Annotated[float, _stress.called("Shear stress when solid", "τ_c", "All its coils touching.")] | None
    solid_force: Annotated[float, force.called("Force when solid", "F_c", "Coils touching.", low=0.0, high=1e7)] | None
    longest_free_length: Annotated[
        float,
        vocabulary.free_length.called(
            "Longest free length safe to press solid",
            "L_0,max",
            "With these coils, before it sets.",
            low=0.0,
            high=100.0,
        ),
    ]
    stress: Annotated[float, _stress.called("Shear stress at this force", "τ")] | None
    stable_length: Annotated[
        float,
        vocabulary.free_length.called(
            "Longest free length without buckling", "L_0,s", "On these seats.", low=0.0, high=100.0
        ),
    ]
    solid_travel: Annotated[float, _travel.called("Travel to solid", "s_c", "From its free length.")] | None
    buckling_travel: (
        Annotated[
            float,
            _travel.called("Travel to buckling", "s_k", "From its free length; none where it never buckles."),
        ]
        | None
    )
    surge_frequency: Annotated[
        float,
        vocabulary.natural_frequency.called(
            "Surge frequency",
            "f_e",
            "Own vibration of its coils between two seats.",
            high=1e5,
            usual=None,
            typical=50.0,
        ),
    ]
    spring_mass: Annotated[
        float,
        Quantity(
            label="Weight of the active coils",
            symbol="m_f",
            kind=units.MASS,
            low=0.0,
            high=500.0,
            typical=4.0,
            help="The wire that moves.",
        ),
    ]


def wire_strength(*, wire_diameter: Any, constant: float, exponent: float) -> Any:
    """Return the tensile strength A / d^m of a wire, A in ksi with the diameter in inches.

    >>> round(wire_strength(wire_diameter=0.5 * 0.0254, constant=218.0, exponent=0.091) / 6.894757e6, 1)
    232.2
    """
    return constant * _KSI / (wire_diameter / INCH) ** exponent


def coil(
    *,
    wire_diameter: WireDiameter,
    mean_coil_diameter: MeanCoilDiameter,
    total_coils: TotalCoils,
    ends: Ends = SQUARED_GROUND,
    coiling: Coiling = COLD,
    material: Material = "A401",
    known_strength: KnownStrength | None = None,
    setting: Setting = AS_WOUND,
    shear_modulus: ShearModulus = 11.5 * _MPSI,
    youngs_modulus: YoungsModulus = 30 * _MPSI,
    wire_density: WireDensity = 7850.0,
    free_length: FreeLength | None = None,
    support: Support = "divider",
    guided_by: GuidedBy = ON_BODY,
    spring_force: SpringForce | None = None,
) -> Coil:
    """Return rate, solid length, stress, gaps, buckling and surge of a cylindrical spring of round wire.

    A rate from the wire carries the doubt of its fourth power and of the shear modulus: a measured one is better.
    The solid length counts the wire as it is given; paint and a raised end come on top.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the coils would be wound tighter than their own wire, when no coil is left to work,
    when the two moduli cannot belong to one metal, or when the free length is not above the solid length.
    Valid for round wire, constant pitch and cold steel; the strength only for the wire diameters that are published.
    Source: Shigley, chapter 10, and EN 13906-1:2013 from memory.

    >>> found = coil(wire_diameter=0.0025, mean_coil_diameter=0.0285, total_coils=14.0, ends="plain ground",
    ...     shear_modulus=81e9, material="A228")
    >>> round(found.spring_rate, 1), round(found.stress_factor, 3), round(found.solid_length, 4)
    (1314.2, 1.117, 0.035)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    idle, beyond = _IDLE[ends], _SOLID[ends]
    wire = WIRES[material]
    active = total_coils - idle
    index = mean_coil_diameter / wire_diameter
    solid = wire_diameter * (total_coils + beyond)
    rate = shear_modulus * wire_diameter**4 / (8 * mean_coil_diameter**3 * active)
    factor = (index + 0.5) / (index - 0.75)
    direct = (2 * index + 1) / (2 * index)
    preset = setting == PRESET
    per_force = 8 * mean_coil_diameter * (direct if preset else factor) / (math.pi * wire_diameter**3)
    strength = known_strength
    if strength is None:
        strength = wire_strength(wire_diameter=wire_diameter, constant=wire.constant, exponent=wire.exponent)
    allowed = (wire.preset_share if preset else wire.shear_share) * strength
    stability = math.pi * np.sqrt(2 * (youngs_modulus - shear_modulus) / (2 * shear_modulus + youngs_modulus))
    stable = stability * mean_coil_diameter / _SUPPORT[support]
    solid_travel = None if free_length is None else free_length - solid
    mass = math.pi**2 / 4 * wire_diameter**2 * mean_coil_diameter * active * wire_density
    return Coil(
        spring_rate=rate,
        solid_length=solid,
        active_coils=active,
        spring_index=index,
        stress_factor=factor,
        wahl_factor=(4 * index - 1) / (4 * index - 4) + 0.615 / index,
        direct_factor=direct,
        gap_sum=(
            active * (0.0015 * mean_coil_diameter**2 / wire_diameter + 0.1 * wire_diameter)
            if coiling == COLD
            else 0.02 * active * (mean_coil_diameter + wire_diameter)
        ),
        tensile_strength=strength,
        allowed_stress=allowed,
        solid_stress=None if solid_travel is None else per_force * rate * solid_travel,
        solid_force=None if solid_travel is None else rate * solid_travel,
        longest_free_length=solid + allowed / per_force / rate,
        stress=None if spring_force is None else per_force * spring_force,
        stable_length=stable,
        solid_travel=solid_travel,
        buckling_travel=None if free_length is None else _buckling(free_length, stable, shear_modulus, youngs_modulus),
        surge_frequency=0.5 * np.sqrt(rate / mass),
        spring_mass=mass,
    )


def _buckling(free_length: Any, stable_length: Any, shear_modulus: Any, youngs_modulus: Any) -> Any:
    """Return None where no spring of these ever buckles; among others one that never does may use all its length."""
    if np.all(free_length <= stable_length):
        return None
    part = youngs_modulus / (2 * (youngs_modulus - shear_modulus))
    root = np.sqrt(np.maximum(1 - (stable_length / free_length) ** 2, 0.0))
    return np.where(free_length <= stable_length, free_length, free_length * part * (1 - root))[()]


_PUBLISHED = " or ".join(
    f"(material == '{name}' and wire_diameter >= {wire.thinnest!r} and wire_diameter <= {wire.thickest!r})"
    for name, wire in WIRES.items()
)
_STABLE = "pi * sqrt(2 * (youngs_modulus - shear_modulus) / (2 * shear_modulus + youngs_modulus)) * mean_coil_diameter"
_BUCKLING = (
    "free_length * youngs_modulus / (2 * (youngs_modulus - shear_modulus))"
    " * (1 - sqrt(1 - (stable_length / free_length)**2))"
)
# Told by the lengths, since a spring that never buckles has no travel to buckling.
_STRAIGHT = f"free_length <= stable_length or {_BUCKLING} >= solid_travel"

STEP = Step(
    function=coil,
    title="Coil spring from its wire",
    question="What rate does this coil have, how short does it go, and does it set, buckle or rub before that?",
    job="6d",
    sources=(
        Source(key="shigley", where="chapter 10: rate, ends and stress factor, in its solutions", flag="read"),
        Source(key="en_13906_1_2013", where="gaps, surge, stress factor", flag="memory"),
        Source(key="ugural", where="wire strength, Table 14.2, ksi form", flag="secondary"),
        Source(key="haringx", where="buckling", flag="memory"),
    ),
    equations=(
        Equation(
            result="active_coils",
            text="total_coils - 2",
            note="the two closed ends do not work",
            when="ends == 'squared ground' or ends == 'squared'",
        ),
        Equation(
            result="active_coils", text="total_coils - 1", note="grinding takes a coil", when="ends == 'plain ground'"
        ),
        Equation(result="active_coils", text="total_coils", note="all of them work", when="ends == 'plain'"),
        Equation(
            result="spring_rate",
            text="shear_modulus * wire_diameter**4 / (8 * mean_coil_diameter**3 * active_coils)",
            note="the wire twists as the spring shortens; the rate goes with the fourth power of its thickness",
        ),
        Equation(
            result="solid_length",
            text="wire_diameter * total_coils",
            note="ground ends: as many wires as coils",
            when="ends == 'squared ground' or ends == 'plain ground'",
        ),
        Equation(
            result="solid_length",
            text="wire_diameter * (total_coils + 1)",
            note="an end that is not ground adds a wire",
            when="ends == 'squared' or ends == 'plain'",
        ),
        Equation(result="spring_index", text="mean_coil_diameter / wire_diameter", note="how tightly it is wound"),
        Equation(
            result="stress_factor",
            text="(spring_index + 0.5) / (spring_index - 0.75)",
            note="the inside of the coil carries more than its share",
        ),
        Equation(
            result="wahl_factor",
            text="(4 * spring_index - 1) / (4 * spring_index - 4) + 0.615 / spring_index",
            note="the older factor, about one percent higher",
        ),
        Equation(
            result="direct_factor",
            text="(2 * spring_index + 1) / (2 * spring_index)",
            note="for a preset spring, whose inside has yielded and evened out",
        ),
        Equation(
            result="gap_sum",
            text="active_coils * (0.0015 * mean_coil_diameter**2 / wire_diameter + 0.1 * wire_diameter)",
            note="what keeps all coils apart; take 1.5 times as much where it moves fast",
            when="coiling == 'cold'",
        ),
        Equation(
            result="gap_sum",
            text="0.02 * active_coils * (mean_coil_diameter + wire_diameter)",
            note="what keeps all coils apart; take twice as much where it moves fast",
            when="coiling == 'hot'",
        ),
        Equation(result="solid_travel", text="free_length - solid_length", note="all it can be shortened"),
        Equation(result="solid_force", text="spring_rate * solid_travel", note="coils touching"),
        Equation(
            result="stress_factor_used",
            text="stress_factor",
            note="as wound",
            when="setting == 'as wound'",
            quantity=_used,
        ),
        Equation(
            result="stress_factor_used",
            text="direct_factor",
            note="preset",
            when="setting == 'preset'",
            quantity=_used,
        ),
        Equation(
            result="solid_stress",
            text="stress_factor_used * 8 * solid_force * mean_coil_diameter / (pi * wire_diameter**3)",
            note="twist of the wire, coils touching",
        ),
        Equation(result="tensile_strength", text="known_strength", note="as the maker says"),
        *(
            Equation(
                result="allowed_stress",
                text=f"{share} * tensile_strength",
                note=f"{kind} wire, {setting}",
                when=f"setting == '{setting}' and ({' or '.join(f'material == {name!r}' for name in names)})",
            )
            for kind, names in (
                ("hardened and tempered", ("A401", "A232", "A229")),
                ("cold-drawn", ("A228", "A227")),
            )
            for setting, share in (
                (AS_WOUND, WIRES[names[0]].shear_share),
                (PRESET, WIRES[names[0]].preset_share),
            )
        ),
        Equation(
            result="longest_free_length",
            text="solid_length + allowed_stress * pi * wire_diameter**3"
            " / (8 * stress_factor_used * mean_coil_diameter * spring_rate)",
            note="longer than this it sets when pressed solid",
        ),
        Equation(
            result="stress",
            text="stress_factor_used * 8 * spring_force * mean_coil_diameter / (pi * wire_diameter**3)",
            note="twist of the wire at this force",
        ),
        *(
            Equation(
                result="stable_length",
                text=f"{_STABLE} / {share}",
                note="shorter than this it never bows out",
                when=f"support == '{name}'",
            )
            for name, share in _SUPPORT.items()
        ),
        Equation(
            result="buckling_travel",
            text=_BUCKLING,
            note="where it bows out, if nothing guides it",
            when="free_length > stable_length",
        ),
        Equation(
            result="spring_mass",
            text="pi**2 / 4 * wire_diameter**2 * mean_coil_diameter * active_coils * wire_density",
            note="the wire of the active coils",
        ),
        Equation(
            result="surge_frequency", text="sqrt(spring_rate / spring_mass) / 2", note="both ends held by their seats"
        ),
    ),
    refusals=(
        Refusal(
            field="mean_coil_diameter",
            when="spring_index < 2",
            problem="A mean coil diameter of {mean_coil_diameter} is too small for a wire of {wire_diameter}: the coils "
            "could not be wound.",
            allowed="Allowed: at least twice the wire diameter.",
        ),
        Refusal(
            field="total_coils",
            when="active_coils < 0.5",
            problem="With {total_coils} coils and these ends no coil is left to work.",
            allowed="Allowed: at least half a coil more than the ends take.",
        ),
        Refusal(
            field="youngs_modulus",
            when="youngs_modulus < 2 * shear_modulus or youngs_modulus > 3 * shear_modulus",
            problem="An elastic modulus of {youngs_modulus} and a shear modulus of {shear_modulus} cannot belong to one "
            "metal.",
            allowed="Allowed: 2 to 3 times the shear modulus.",
        ),
        Refusal(
            field="free_length",
            when="free_length <= solid_length",
            problem="A free length of {free_length} is not more than the solid length of these coils, {solid_length}.",
            allowed="Allowed: above the solid length.",
        ),
    ),
    example=Example(
        inputs={
            "wire_diameter": "0.605 in",
            "mean_coil_diameter": "3.605 in",
            "total_coils": "11.16",
            "ends": SQUARED_GROUND,
            "coiling": COLD,
            "material": "A401",
            "known_strength": "228 ksi",
            "setting": PRESET,
            "shear_modulus": "11.5 Mpsi",
            "youngs_modulus": "30 Mpsi",
            "free_length": "14 in",
            "support": "divider",
            "guided_by": ON_BODY,
            "spring_force": "3190 lbf",
        },
        expected={
            "active_coils": (9.16, 1e-9),
            "spring_rate": ("448.8 lb/in", 0.05),
            "solid_length": ("6.752 in", 0.0005),
            "spring_index": (5.959, 0.0005),
            "stress_factor": (1.240, 0.0005),
            "direct_factor": (1.0839, 5e-5),
            "gap_sum": ("0.849 in", 0.0005),
            "allowed_stress": ("148.2 ksi", 0.05),
            "stress": ("143.3 ksi", 0.05),
            "solid_travel": ("7.248 in", 0.0005),
            "stable_length": ("13.38 in", 0.005),
        },
        source=Source(
            key="derivation",
            where="by hand: 0.605⁴ = 0.13397, 3.605³ = 46.851; 11.16 × 0.605; 9.16 × (0.0015 × 21.481 + 0.0605)",
            flag="derivation",
        ),
        name="a main like Wren's, front",
    ),
    checks=(
        Check(
            rule="pressed solid",
            value="solid_stress",
            at_most="allowed_stress",
            holds="Pressed solid the wire sees {value}; it may see {limit} before it sets.",
            fails="Pressed solid the wire sees {value}, more than the {limit} it may see: it sets, and sags. "
            "With these coils it may be {longest_free_length} long.",
            unchecked="Whether it may be pressed solid",
        ),
        Check(
            rule="stress at this force",
            value="stress",
            at_most="allowed_stress",
            holds="At {spring_force} the wire sees {value}; it may see {limit} before it sets.",
            fails="At {spring_force} the wire sees {value}, more than the {limit} it may see: it sets, and sags.",
            unchecked="Whether the wire bears the force",
        ),
        Check(
            rule="strength published for this wire",
            condition=_PUBLISHED,
            warns=True,
            holds="The strength of this kind of wire is published for a diameter of {wire_diameter}.",
            fails="Our sources give no strength for this kind of wire at {wire_diameter}: one worked out from the table is "
            "a guess. Ask the maker for the strength of his wire.",
        ),
        Check(
            rule="buckling",
            condition=f"{_STRAIGHT} or guided_by == 'body'",
            holds="It does not buckle before it is solid, or the body holds it.",
            fails="It buckles after {buckling_travel}, before it is solid at {solid_travel}: guide it or take it shorter.",
            unchecked="Whether it buckles",
        ),
        Check(
            rule="rub on the body",
            condition=f"{_STRAIGHT} or guided_by == 'nothing'",
            warns=True,
            holds="It sits straight on its seats and need not lean on the body.",
            fails="It is guided by the body: rub. Past {buckling_travel} it leans on it; a divider is no fixed seat. "
            "Look for worn paint.",
            unchecked="Whether it rubs on the body",
        ),
        Check(
            rule="index",
            value="spring_index",
            at_least=4.0,
            at_most=12.0,
            warns=True,
            source=_SHIGLEY,
            holds="An index of {value} is easy to wind.",
            fails="An index of {value} is outside {limits}: hard to wind true, or apt to tangle and bow.",
        ),
        Check(
            rule="active coils",
            value="active_coils",
            at_least=3.0,
            at_most=15.0,
            warns=True,
            source=_SHIGLEY,
            holds="{value} active coils keep its rate true.",
            fails="{value} active coils are outside {limits}: its rate is uncertain, or it bows.",
        ),
        Check(
            rule="surge above wheel hop",
            value="surge_frequency",
            at_least=30.0,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Its coils swing at {value}, well above wheel hop.",
            fails="Its coils swing at {value}, below the {limit} that keeps them clear of wheel hop: they may rattle with it.",
        ),
    ),
    practice=(
        Practice(
            text="A spring has {total_coils} coils of {wire_diameter} wire, squared and ground, with a mean diameter of "
            "{mean_coil_diameter}. The shear modulus is {shear_modulus}. What is its rate?",
            asks="spring_rate",
            vary=("total_coils", "wire_diameter", "mean_coil_diameter"),
        ),
        Practice(
            text="A spring has {total_coils} coils of {wire_diameter} wire, squared and ground. How long is it when its "
            "coils touch?",
            asks="solid_length",
            vary=("total_coils", "wire_diameter"),
        ),
    ),
    groups={
        "Coil": ("wire_diameter", "mean_coil_diameter", "total_coils", "ends", "free_length"),
        "Wire": ("material", "known_strength", "setting", "coiling"),
        "Seats": ("support", "guided_by", "spring_force"),
        "Constants of the metal": ("shear_modulus", "youngs_modulus", "wire_density"),
    },
    main=("spring_rate", "solid_length", "stress"),
)
