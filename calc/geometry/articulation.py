"""How far the wheels go before the coil-over is used up: in heave, with one wheel, and in articulation."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units
from calc.chart import Chart, Curve, Dot, Panel
from calc.heave_path import FLATTEST, HeavePath, LongPath
from calc.quantity import Choice, Display, Option, Quantity
from calc.roots import turns_positive
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    ArticulationRatio,
    BumpLeft,
    BumpLimit,
    CrossoverTravel,
    DamperLength,
    DroopLeft,
    Lean,
    MotionRatio,
    MountBase,
    MountHeight,
    OneWheelRatio,
    RideTravel,
    RollCenterHeight,
    StrapTravel,
    Track,
    lean,
    length,
    motion_ratio,
    motion_ratio_slope,
    mount_base,
    travel_left,
)

_DEGREE = math.pi / 180
# Beyond this a linked axle is out of its bushings, and the plane picture is no longer true.
_MOST_TURNED = 45 * _DEGREE
_FAR_TURNED = 1.0
_EYES, _MEASURED, _PLACES = "lean", "measured", "places"
_ratio_by = Choice(
    label="Motion ratio at ride, by",
    options=(
        Option(_EYES, "lean", "Both eyes lie in one plane across the rig, on axle and body."),
        Option(_MEASURED, "measurement", "From a travel table, or on an arm."),
        Option(_PLACES, "measurement, both leans known", "The eyes of an axle that goes round a pivot, as it turns."),
    ),
    typical=_EYES,
    help="What sets how the coil-over gets shorter as both wheels rise.",
)
_wheel_travel = travel_left.called
_part = mount_base.called("Part", low=-3.0, high=3.0, usual=None)
_turn = lean.called("Angle of the axle", "ψ", "How far the axle has turned about its roll center.")
_cosine = Quantity(
    label="Cosine", symbol="γ", kind=units.RATIO, low=-1.0, high=1.0, typical=0.5, help="Cosine of the angle."
)


@dataclass(frozen=True, kw_only=True)
class Articulation:
    """Wheel travel from ride to each end of the coil-over, in each of the three ways to use it up."""

    motion_ratio: MotionRatio
    one_wheel_ratio: OneWheelRatio
    articulation_ratio: ArticulationRatio
    bump_left: BumpLeft
    droop_left: DroopLeft
    heave_bump: Annotated[
        float, _wheel_travel("Bump, both wheels", "z_b", "Wheel travel from ride until the stop is solid.")
    ]
    one_wheel_bump: Annotated[
        float, _wheel_travel("Bump, one wheel", "z_b1", "The same for one wheel, the other one staying.")
    ]
    articulation_bump: Annotated[
        float, _wheel_travel("Bump in articulation", "z_ba", "The same, the other wheel going down by as much.")
    ]
    heave_droop: Annotated[
        float,
        _wheel_travel("Droop, both wheels", "z_d", "Wheel travel from ride down to full droop."),
    ]
    one_wheel_droop: Annotated[
        float, _wheel_travel("Droop, one wheel", "z_d1", "The same for one wheel, the other one staying.")
    ]
    articulation_droop: Annotated[
        float, _wheel_travel("Droop in articulation", "z_da", "The same, the other wheel going up by as much.")
    ]
    heave_crossover: (
        Annotated[
            float,
            _wheel_travel(
                "Crossover, both wheels", "z_c", "Wheel travel from ride up to the crossover; negative once past it."
            ),
        ]
        | None
    )
    one_wheel_crossover: Annotated[float, _wheel_travel("Crossover, one wheel", "z_c1")] | None
    articulation_crossover: Annotated[float, _wheel_travel("Crossover in articulation", "z_ca")] | None
    level_articulation: Annotated[
        float,
        _wheel_travel(
            "Articulation with the body level",
            "z_a",
            "What each wheel can do up and down before one side ends, the body staying level between them.",
        ),
    ]


def articulation(
    *,
    lean: Lean,
    damper_length: DamperLength,
    mount_base: MountBase,
    mount_height: MountHeight,
    roll_center_height: RollCenterHeight,
    track: Track,
    ride_travel: RideTravel,
    bump_limit: BumpLimit,
    strap_travel: StrapTravel = 0.0,
    crossover_travel: CrossoverTravel | None = None,
    ratio_by: Annotated[str, _ratio_by] = _EYES,
    measured_motion_ratio: Annotated[float, motion_ratio.called("Measured motion ratio at ride", "R_m")] | None = None,
    measured_motion_ratio_slope: Annotated[
        float, motion_ratio_slope.called("Measured change of it with wheel travel", "R'_m", assumed=0.0)
    ] = 0.0,
    lean_back: Annotated[float, lean.called("Lean fore and aft", "β_x", "Top fore or aft.", low=-60 * _DEGREE)]
    | None = None,
    wanted_articulation: Annotated[
        float,
        length.called(
            "Wanted in articulation",
            "z_w",
            "How far each wheel should go up and down, the body staying level.",
            low=0.0,
            high=1.0,
            usual=(1 * INCH, 30 * INCH),
            typical=8 * INCH,
        ),
    ]
    | None = None,
) -> Articulation:
    """Return the wheel travel from ride to stop, droop and crossover, in heave, with one wheel and in articulation.

    A solid axle seen from behind: it goes straight up and down, and turns about its roll center, which stays on the body.
    Wheel travel counts at the wheel whose coil-over is looked at, as the axle's end rises: half the track times the sine
    of the angle. Lengths are exact, not ratios times travel. Where the ratio was measured, heave goes by it; what turning
    adds is that of the eyes, or, where the ratio is not theirs, that of a line on its base at the roll center's height.
    Where both leans are known, turning goes by them whatever the ratio.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when ride lies outside the damper's travel, when the coil-over would lie flat or its upper
    eyes meet in the middle, when the axle would turn by 45 degrees before a coil-over ends, and when a measured ratio is
    missing or would fall to nothing before that.
    Valid for a solid axle; what the tires, links and hoses allow is not in it.
    Source: lengths between points in a plane; worked out on the page.

    >>> found = articulation(lean=0.0, damper_length=0.7, mount_base=1.0, mount_height=0.4, roll_center_height=0.4,
    ...     track=1.6, ride_travel=0.13, bump_limit=0.29)
    >>> round(float(found.heave_bump), 3), round(float(found.articulation_ratio), 3)
    (0.16, 0.625)
    """
    # Over 60 lines: its inputs and results one to a line, and refusals that only the lengths on the way tell.
    STEP.refuse(locals())
    measured = None if ratio_by == _EYES else measured_motion_ratio
    path = None
    upright, across = damper_length * np.cos(lean), damper_length * np.sin(lean)
    if measured is not None:
        path = HeavePath.measured(ratio=measured, slope=measured_motion_ratio_slope, length=damper_length)
        upright = damper_length * _upright_share(lean, measured, lean_back if ratio_by == _PLACES else None)
        across = upright * np.tan(lean)
    extended: Any = damper_length + ride_travel
    half: Any = mount_base / 2
    above = mount_height - roll_center_height
    shortest: Any = extended - bump_limit
    if path is not None and measured is not None:
        refuse(
            np.minimum(path.ratio_squared(shortest), path.ratio_squared(extended)) <= (FLATTEST * measured) ** 2,
            "measured_motion_ratio_slope",
            "With this change the motion ratio would fall to little or nothing before the damper's travel ends.",
            "Allowed: a change that leaves the ratio above a fifth of what it is at ride.",
        )
    refuse(
        shortest <= across * 1.02,
        "bump_limit",
        "At full bump the coil-over is {short} long, and its eyes are {across} apart across the vehicle: it would lie flat.",
        "Allowed: longer than that; check lean, length and full bump.",
        short=(shortest, _part),
        across=(across, _part),
    )
    refuse(
        half - across <= 0,
        "lean",
        "The upper eyes would be {apart} left of their own middle: the two coil-overs meet.",
        "Allowed: less lean, a shorter coil-over or a wider base.",
        apart=(across - half, _part),
    )
    line = _Line.of(
        length=damper_length,
        across=across,
        upright=upright,
        half=half,
        above=above,
        track=track,
        ratio=measured,
        slope=measured_motion_ratio_slope,
        eyes=ratio_by == _PLACES,
    )
    droop = extended - strap_travel
    crossover = None if crossover_travel is None else extended - crossover_travel
    turned_bump, turned_droop = line.turned(shortest), line.turned(droop)
    refuse(
        np.maximum(np.abs(turned_bump), np.abs(turned_droop)) > _MOST_TURNED,
        "mount_base",
        "In articulation the axle would turn by {most} and more before its coil-overs end.",
        "Allowed: a wider base between the lower mounts, or less travel.",
        most=(_MOST_TURNED, _turn),
    )
    leaning = line.upright / damper_length * line.lever
    ratio = line.upright / damper_length if line.path is None or measured is None else measured + 0.0 * leaning
    at_bump, at_droop = track / 2 * np.sin(turned_bump), -track / 2 * np.sin(turned_droop)
    return Articulation(
        motion_ratio=ratio,
        one_wheel_ratio=(ratio + 2 * leaning / track) / 2,
        articulation_ratio=2 * leaning / track,
        bump_left=bump_limit - ride_travel,
        droop_left=ride_travel - strap_travel,
        heave_bump=line.lifted(shortest),
        one_wheel_bump=line.one_wheel(shortest),
        articulation_bump=at_bump,
        heave_droop=-line.lifted(droop),
        one_wheel_droop=-line.one_wheel(droop),
        articulation_droop=at_droop,
        heave_crossover=None if crossover is None else line.lifted(crossover),
        one_wheel_crossover=None if crossover is None else line.one_wheel(crossover),
        articulation_crossover=None if crossover is None else track / 2 * np.sin(line.turned(crossover)),
        level_articulation=np.minimum(at_bump, at_droop),
    )


def _upright_share(across: Any, measured: Any, back: Any) -> Any:
    """Return which part of its length a coil-over stands up: by its two leans, else as a ratio of eyes that go straight up."""
    return measured if back is None else 1.0 / np.sqrt(1.0 + np.tan(across) ** 2 + np.tan(back) ** 2)


@dataclass(frozen=True, kw_only=True)
class _Line:
    """The coil-over's line at ride, seen from behind: parts of its length, and its lower eye beside the roll center.

    `aback` is the square of its part fore and aft. `path` is that of a measured ratio, and `known` how far the eyes tell
    what turning adds to it.
    """

    across: Any
    upright: Any
    half: Any
    above: Any
    track: Any
    aback: Any = 0.0
    path: HeavePath | None = None
    long: LongPath | None = None
    known: Any = 1.0

    @classmethod
    def of(cls, *, length: Any, ratio: Any, slope: Any, eyes: bool, **parts: Any) -> _Line:
        """Return the line with what a measured ratio says of it; `eyes` says that they are known whatever the ratio."""
        if ratio is None:
            return cls(**parts)
        path = HeavePath.measured(ratio=ratio, slope=slope, length=length)
        aback = np.maximum(length**2 - parts["upright"] ** 2 - parts["across"] ** 2, 0.0)
        long = LongPath.of(ratio=ratio, slope=slope, length=length)
        return cls(**parts, aback=aback, path=path, long=long, known=1.0 if eyes else path.eyes_known)

    @property
    def lever(self) -> Any:
        """Return half of the base on which the line acts at the roll center's height."""
        return self.half + self.above * self.across / self.upright

    def lifted(self, target: Any) -> Any:
        """Return how far both wheels go up until the coil-over has a length."""
        if self.path is not None and self.long is not None:
            return self.path.wheel_travel(self.long.length, target)
        return self.upright - np.sqrt(np.maximum(target**2 - self.across**2, 0.0))

    def turned(self, target: Any) -> Any:
        """Return by which angle the axle has turned, own wheel up, when the coil-over has a length."""
        if self.long is not None:
            return turns_positive(lambda turned: target - self.length(0.0, turned), -_FAR_TURNED, _FAR_TURNED)
        lower = np.hypot(self.half, self.above)
        upper = np.hypot(self.half - self.across, self.above + self.upright)
        apart = np.arctan2(self.above + self.upright, self.half - self.across) - np.arctan2(self.above, self.half)
        cosine = np.clip((lower**2 + upper**2 - target**2) / (2 * lower * upper), -1.0, 1.0)
        return apart - np.arccos(cosine)

    def reach(self, lifted: Any, turned: Any) -> tuple[Any, Any]:
        """Return how far outward and how far below the upper eye the lower one is, the axle gone up and turned.

        It turns about the roll center, which stays on the body: what has gone up stands that much above it.
        """
        cos, sin, above = np.cos(turned), np.sin(turned), self.above + lifted
        outward = self.half * cos - above * sin - (self.half - self.across)
        return outward, self.above + self.upright - (self.half * sin + above * cos)

    def length(self, lifted: Any, turned: Any) -> Any:
        """Return the length after the axle has gone up, and turned about its roll center."""
        eyes = np.sqrt(sum(part**2 for part in self.reach(lifted, turned)) + self.aback)
        if self.long is None:
            return eyes
        straight = np.sqrt(self.across**2 + (self.upright - lifted) ** 2 + self.aback)
        acting = self.long.at(lifted + self.lever * turned)[0]
        return self.known * (self.long.at(lifted)[0] + eyes - straight) + (1.0 - self.known) * acting

    def one_wheel(self, target: Any) -> Any:
        """Return how far one wheel goes, the other one staying, until the coil-over has a length."""
        heave, alone = self.lifted(target), self.track / 2 * np.sin(self.turned(target))

        def short(wheel: Any) -> Any:
            moved = wheel / 2, np.arcsin(np.clip(wheel / self.track, -1.0, 1.0))
            # A lower eye that has passed the upper one is beyond, however long the line has become again.
            return np.where(self.reach(*moved)[1] > 0, target - self.length(*moved), target)

        return turns_positive(short, np.minimum(heave + alone, 0.0), np.maximum(heave + alone, 0.0))


def _chart(values: Values, display: Display) -> Chart:
    measured, eyes = values["ratio_by"] != _EYES, values["ratio_by"] == _PLACES
    ratio = values["motion_ratio"]
    share = _upright_share(values["lean"], ratio, values["lean_back"] if eyes else None)
    upright = values["damper_length"] * (share if measured else math.cos(values["lean"]))
    line = _Line.of(
        length=values["damper_length"],
        across=upright * math.tan(values["lean"]),
        upright=upright,
        half=values["mount_base"] / 2,
        above=values["mount_height"] - values["roll_center_height"],
        track=values["track"],
        ratio=ratio if measured else None,
        slope=values["measured_motion_ratio_slope"],
        eyes=eyes,
    )
    unit, track = display.unit(travel_left), values["track"]
    ways: dict[str, tuple[str, float, Callable[[Any], Any]]] = {
        "both wheels": ("heave", 0.95, lambda z: line.length(z, 0.0)),
        "one wheel": ("one_wheel", 0.9, lambda z: line.length(z / 2, np.arcsin(z / track))),
        "articulation": ("articulation", 0.75, lambda z: line.length(0.0, np.arcsin(2 * z / track))),
    }
    extended = values["damper_length"] + values["ride_travel"]
    curves, reach = [], (-1.0, 1.0)
    for label, (name, at, long) in ways.items():
        wheel = np.linspace(-values[f"{name}_droop"], values[f"{name}_bump"], 41).tolist()
        points = tuple((units.from_si(z, unit), units.from_si(float(extended - long(z)), unit)) for z in wheel)
        reach = points[0][0], points[-1][0]
        curves.append(Curve(points, label=label, at=reach[0] + at * (reach[1] - reach[0])))
    level = {"stop solid": values["bump_limit"], "full droop": values["strap_travel"]}
    if values["crossover_travel"] is not None:
        level["crossover"] = values["crossover_travel"]
    for label, travel in level.items():
        ends = tuple((end, units.from_si(travel, unit)) for end in reach)
        curves.append(Curve(ends, label=label, at=reach[0] + 0.1 * (reach[1] - reach[0]), quiet=True))
    return Chart(
        key="articulation-chart",
        title="Damper travel against wheel travel",
        description="Damper travel from full extension against the travel of its own wheel from ride, both wheels together, "
        "with one wheel and in articulation, each as far as the coil-over allows.",
        x_label="Wheel travel from ride, bump positive",
        x_unit=unit.symbol,
        panels=(
            Panel(
                "Damper travel from full extension",
                unit.symbol,
                curves=tuple(curves),
                dots=(Dot(0.0, units.from_si(values["ride_travel"], unit), "ride"),),
                decimals=display.decimals(travel_left),
                tall=True,
            ),
        ),
    )


_BY_LEAN, _BY_PLACES = f"ratio_by == '{_EYES}'", f"ratio_by == '{_PLACES}'"
_BY_MEASUREMENT = f"not ({_BY_LEAN})"
_square = Quantity(
    label="Second coefficient of the length's square",
    symbol="q",
    kind=units.RATIO,
    low=-1e3,
    high=1e3,
    typical=1.0,
    help="1 where the eyes go straight up between axle and body.",
)
_edge = Quantity(
    label="Edge of the motion ratio",
    symbol="e",
    kind=units.AREA,
    low=-1e3,
    high=1e3,
    typical=0.02,
    help="What of the length's square does not shrink with the wheel, at that second coefficient.",
)


def _by_measurement() -> tuple[Equation, ...]:
    """Return heave where the ratio was measured: the length's square is a parabola over wheel travel."""
    square = Equation(
        result="square",
        text="measured_motion_ratio**2 - damper_length * measured_motion_ratio_slope",
        note="the length's square is a parabola over wheel travel",
        when=_BY_MEASUREMENT,
        quantity=_square,
    )
    edge = Equation(
        result="edge",
        text="damper_length**2 * (square - measured_motion_ratio**2)",
        when=_BY_MEASUREMENT,
        quantity=_edge,
    )
    ends = (("heave_bump", "damper_length - bump_left", ""), ("heave_droop", "damper_length + droop_left", "-"))
    return (
        square,
        edge,
        *(
            Equation(
                result=result,
                text=f"{sign}(damper_length**2 - ({end})**2) / (damper_length * measured_motion_ratio"
                f" + sqrt(square * ({end})**2 - edge))",
                when=_BY_MEASUREMENT,
            )
            for result, end, sign in ends
        ),
    )


_TURN = "{0}_angle - 2 * atan(sqrt((1 - {1}) / (1 + {1})))"

STEP = Step(
    function=articulation,
    title="Articulation",
    question="Both wheels up, one wheel up, or one up and one down: how far does the wheel go before the coil-over is used up?",
    job="4d",
    sources=(Source(key="derivation", where="lengths between points in the plane across the rig", flag="derivation"),),
    groups={
        "Coil-overs at ride": ("lean", "damper_length", "mount_base", "mount_height"),
        "Motion ratio": ("ratio_by", "measured_motion_ratio", "measured_motion_ratio_slope", "lean_back"),
        "Axle": ("roll_center_height", "track"),
        "Damper travel, from full extension": ("ride_travel", "bump_limit", "strap_travel", "crossover_travel"),
        "Wanted, if you know it": ("wanted_articulation",),
    },
    equations=(
        Equation(result="motion_ratio", text="cos(lean)", note="in heave", when=_BY_LEAN),
        Equation(
            result="motion_ratio", text="measured_motion_ratio", note="in heave, as measured", when=_BY_MEASUREMENT
        ),
        Equation(
            result="articulation_ratio",
            text="motion_ratio * (mount_base + 2 * tan(lean) * (mount_height - roll_center_height)) / track",
            note="the base of the line at the height of the roll center, over the track",
            when=f"not ({_BY_PLACES})",
        ),
        Equation(
            result="articulation_ratio",
            text="(mount_base + 2 * tan(lean) * (mount_height - roll_center_height))"
            " / (track * sqrt(1 + tan(lean)**2 + tan(lean_back)**2))",
            note="the same, by how nearly upright the line is",
            when=_BY_PLACES,
        ),
        Equation(result="one_wheel_ratio", text="(motion_ratio + articulation_ratio) / 2"),
        Equation(result="bump_left", text="bump_limit - ride_travel"),
        Equation(result="droop_left", text="ride_travel - strap_travel"),
        Equation(
            result="heave_bump",
            text="damper_length * cos(lean) - sqrt((damper_length - bump_left)**2 - (damper_length * sin(lean))**2)",
            note="the upright part shrinks, the part across stays",
            when=_BY_LEAN,
        ),
        Equation(
            result="heave_droop",
            text="sqrt((damper_length + droop_left)**2 - (damper_length * sin(lean))**2) - damper_length * cos(lean)",
            when=_BY_LEAN,
        ),
        *_by_measurement(),
        Equation(
            result="lower_radius",
            when=_BY_LEAN,
            text="sqrt(mount_base**2 / 4 + (mount_height - roll_center_height)**2)",
            note="from the roll center to the lower eye",
            quantity=_part.called("Lower eye from the roll center", "r_l"),
        ),
        Equation(
            result="upper_across",
            when=_BY_LEAN,
            text="mount_base / 2 - damper_length * sin(lean)",
            quantity=_part.called("Upper eye from the middle", "y_u"),
        ),
        Equation(
            result="upper_above",
            when=_BY_LEAN,
            text="mount_height - roll_center_height + damper_length * cos(lean)",
            quantity=_part.called("Upper eye above the roll center", "z_u"),
        ),
        Equation(
            result="upper_radius",
            when=_BY_LEAN,
            text="sqrt(upper_across**2 + upper_above**2)",
            note="from the roll center to the upper eye",
            quantity=_part.called("Upper eye from the roll center", "r_u"),
        ),
        Equation(
            result="ride_angle",
            when=_BY_LEAN,
            text="atan(upper_above / upper_across) - atan(2 * (mount_height - roll_center_height) / mount_base)",
            note="between these two, at ride",
            quantity=lean.called("Angle at the roll center", "Γ", high=180 * _DEGREE),
        ),
        Equation(
            result="bump_cosine",
            when=_BY_LEAN,
            text="(lower_radius**2 + upper_radius**2 - (damper_length - bump_left)**2) "
            "/ (2 * lower_radius * upper_radius)",
            note="law of cosines, stop solid",
            quantity=_cosine.called("Cosine at full bump", "γ_b"),
        ),
        Equation(
            result="bump_angle",
            when=_BY_LEAN,
            text=_TURN.format("ride", "bump_cosine"),
            note="how far the axle has turned",
            quantity=lean.called("Axle turned at full bump", "ψ_b"),
        ),
        Equation(result="articulation_bump", text="track / 2 * sin(bump_angle)", note="at the wheel", when=_BY_LEAN),
        Equation(
            result="droop_cosine",
            when=_BY_LEAN,
            text="(lower_radius**2 + upper_radius**2 - (damper_length + droop_left)**2) "
            "/ (2 * lower_radius * upper_radius)",
            note="law of cosines, full droop",
            quantity=_cosine.called("Cosine at full droop", "γ_d"),
        ),
        Equation(
            result="droop_angle",
            when=_BY_LEAN,
            text=_TURN.format("ride", "droop_cosine"),
            note="the other way",
            quantity=lean.called("Axle turned at full droop", "ψ_d", low=-60 * _DEGREE),
        ),
        Equation(result="articulation_droop", text="-track / 2 * sin(droop_angle)", when=_BY_LEAN),
        Equation(
            result="level_articulation",
            text="minimum(articulation_bump, articulation_droop)",
            note="whichever side ends first",
        ),
    ),
    refusals=(
        Refusal(
            field="ride_travel",
            when="ride_travel >= bump_limit",
            problem="Ride, {ride_travel} from full extension, is at or beyond full bump, {bump_limit}.",
            allowed="Allowed: less than full bump.",
        ),
        Refusal(
            field="strap_travel",
            when="ride_travel < strap_travel",
            problem="Full droop, {strap_travel} from full extension, lies beyond ride, {ride_travel}.",
            allowed="Allowed: at most where the rig sits.",
        ),
        Refusal(
            field="measured_motion_ratio",
            when=f"ratio_by == '{_MEASURED}'",
            absent=True,
            problem="The motion ratio is to go by measurement, and none is given.",
            allowed="Allowed: the motion ratio at ride; or by lean.",
        ),
        Refusal(
            field="lean_back",
            when=_BY_PLACES,
            absent=True,
            problem="Turning is to go by both leans, and the one fore and aft is not given.",
            allowed="Allowed: the lean fore and aft, or by measurement alone.",
        ),
    ),
    example=Example(
        inputs={
            "lean": "12°",
            "damper_length": "25.95 in",
            "mount_base": "1.000 m",
            "mount_height": "0.400 m",
            "roll_center_height": "0.530 m",
            "track": "1.640 m",
            "ride_travel": "5.05 in",
            "bump_limit": "11.5 in",
            "strap_travel": "0 in",
            "crossover_travel": "7.55 in",
            "wanted_articulation": "8 in",
        },
        expected={
            "heave_bump": ("6.64418 in", 5e-6),
            "one_wheel_bump": ("8.23298 in", 5e-6),
            "articulation_bump": ("10.71242 in", 5e-6),
            "heave_droop": ("5.14395 in", 5e-6),
            "one_wheel_droop": ("6.64032 in", 5e-6),
            "articulation_droop": ("9.31757 in", 5e-6),
            "heave_crossover": ("2.56204 in", 5e-6),
            "articulation_crossover": ("4.33296 in", 5e-6),
        },
        source=Source(
            key="derivation",
            where="the length between two points set to each end and solved by scipy's brentq, without this step's formulas",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="both wheels use up the coil-over first",
            condition="heave_bump <= articulation_bump",
            warns=True,
            holds="The stop is solid after {heave_bump} of wheel travel with both wheels, {one_wheel_bump} with one, and "
            "{articulation_bump} in articulation: both wheels together use up the coil-over first.",
            fails="In articulation the stop is solid after {articulation_bump}, sooner than with both wheels: check base and track.",
        ),
        Check(
            rule="which side ends articulation",
            condition="articulation_droop <= articulation_bump",
            warns=True,
            holds="In articulation the drooping side ends first, after {articulation_droop}; the other side would go "
            "{articulation_bump} to its stop. Past that the body leans or the wheel hangs.",
            fails="In articulation the side in bump ends first, on its stop after {articulation_bump}; the other side would "
            "still droop to {articulation_droop}.",
        ),
        Check(
            rule="articulation as wanted",
            value="level_articulation",
            at_least="wanted_articulation",
            holds="Each wheel goes {value} up and down with the body level; {limit} is wanted.",
            close="Each wheel goes {value} up and down with the body level, give or take {doubt}; {limit} is wanted.",
            fails="Each wheel goes only {value} up and down with the body level; {limit} is wanted.",
            unchecked="Articulation as wanted",
        ),
        Check(
            rule="the crossover in articulation",
            condition="heave_crossover > 0",
            warns=True,
            holds="The rate steps up after {heave_crossover} of wheel travel with both wheels, {one_wheel_crossover} with "
            "one, and {articulation_crossover} in articulation.",
            fails="At ride the coil-over is already past its crossover, by {heave_crossover} of wheel travel.",
            unchecked="Where the rate steps up in articulation",
        ),
    ),
    practice=(
        Practice(
            text="A coil-over of the worked example sits {ride_travel} from full extension and its stop is solid at "
            "{bump_limit}. How far do both wheels go up together before that?",
            asks="heave_bump",
            vary=("ride_travel", "bump_limit"),
        ),
        Practice(
            text="The axle of the worked example has a track of {track}, its lower mounts {mount_base} apart. How far does "
            "a wheel go up in articulation before its stop is solid?",
            asks="articulation_bump",
            vary=("track", "mount_base"),
        ),
    ),
    chart=_chart,
    main=("heave_bump", "one_wheel_bump", "articulation_bump"),
)
