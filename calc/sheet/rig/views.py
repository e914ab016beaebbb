"""The rig drawn to scale: from above with its loads, from the side with what its wheels may still move."""

from __future__ import annotations

from html import escape

from calc import vocabulary
from calc.drawing.axle_plan import Axle, PlanError, axle_plan
from calc.drawing.side_view import Center, Wheel, side_view
from calc.order.axle_order import AxleOrder
from calc.order.order import Order
from calc.quantity import Display
from calc.rig import loads as weights
from calc.rig.loads import centers, corner_masses
from calc.rig.rig import Rig
from calc.units import INCH


def plan(rig: Rig, display: Display, prefix: str = "") -> str:
    """Return the plan view with the tire loads of the load case that the wishes hold for; "" while it cannot be drawn."""
    case = rig.reference()
    found = centers(rig, case)
    if found is None:
        return ""
    masses = corner_masses(rig, case) or {}
    unit = display.unit(vocabulary.corner_mass)
    numbers = {corner: display.number(mass, vocabulary.corner_mass) for corner, mass in masses.items()}
    metric = display.system == "metric"
    place = _place(found.whole, display)
    bases = [rig.get(f"{axle}.mount_base") for axle in ("front", "rear")]
    try:
        drawing = axle_plan(
            key=f"{prefix}rig",
            title=f"Plan view to scale: loads at the tires in {unit.symbol}, and the center of gravity",
            description="; ".join(f"{name.replace('_', ' ')} {number}" for name, number in numbers.items())
            + f". The center of gravity lies {place}.",
            wheelbase=rig.get("wheelbase"),
            front=Axle(rig.get("front.track"), numbers["left_front"], numbers["right_front"], bases[0]),
            rear=Axle(rig.get("rear.track"), numbers["left_rear"], numbers["right_rear"], bases[1]),
            center_behind_front=found.whole.behind_front_axle,
            center_left=found.whole.left_of_center,
            sprung_center=None
            if found.sprung is None
            else (found.sprung.behind_front_axle, found.sprung.left_of_center),
            wheelbase_text=display.text(rig.get("wheelbase"), vocabulary.wheelbase),
            center_text=display.text(found.whole.behind_front_axle, vocabulary.behind_front_axle),
            side_text=_aside(found.whole, display),
            scale_length=1.0 if metric else 40 * INCH,
            scale_text="1 m" if metric else "40 in",
        )
    except PlanError:
        return ""
    dots = " Dots are the springs' lower mounts." if any(bases) else ""
    sprung = "" if found.sprung is None else f" Sprung weight (open circle): {_place(found.sprung, display)}."
    caption = f"To scale, loads in {escape(unit.symbol)}: {escape(case.label)}.{dots}{sprung}"
    return f'<figure class="hb-fig">{drawing}<figcaption>{caption}</figcaption></figure>'


def _aside(center: weights.Center, display: Display) -> str:
    side = "left" if center.left_of_center > 0 else "right"
    return f"{display.text(abs(center.left_of_center), vocabulary.left_of_center)} {side}"


def _place(center: weights.Center, display: Display) -> str:
    behind = display.text(center.behind_front_axle, vocabulary.behind_front_axle)
    return f"{behind} behind the front axle and {_aside(center, display)} of center"


def side(made: Order, display: Display, prefix: str = "") -> str:
    """Return the side view with the travel left of the chosen sets; "" while an axle or a tire's radius is missing."""
    rig = made.rig
    case = rig.reference()
    wheels = [_wheel(rig, item, display) for item in made.axles]
    wheelbase = rig.get("wheelbase")
    if None in wheels or wheelbase is None:
        return ""
    front, rear = (wheel for wheel in wheels if wheel is not None)
    found = centers(rig, case)
    points = (None, None) if found is None else (found.whole, found.sprung)
    whole, sprung = (_point(center, display) for center in points)
    told = [
        f"{name}: bump {wheel.bump_text}, droop {wheel.droop_text}"
        for name, wheel in (("Front", front), ("Rear", rear))
    ]
    told += [
        f"{name} {center.text} from the ground"
        for name, center in (("Center of gravity", whole), ("Sprung", sprung))
        if center is not None
    ]
    try:
        drawing = side_view(
            key=f"{prefix}rig",
            title="Side view to scale: what each wheel may still move, and how high the weight lies",
            description=". ".join(told) + ".",
            wheelbase=wheelbase,
            front=front,
            rear=rear,
            wheelbase_text=display.text(wheelbase, vocabulary.wheelbase),
            center=whole,
            sprung_center=sprung,
        )
    except PlanError:
        return ""
    missing = "" if whole is not None else " The height of the center of gravity is not entered with this load case."
    caption = f"To scale, at the wheel, both wheels together: {escape(case.label)}.{missing}"
    return f'<figure class="hb-fig">{drawing}<figcaption>{caption}</figcaption></figure>'


def _point(center: weights.Center | None, display: Display) -> Center | None:
    if center is None or center.height is None:
        return None
    text = display.text(center.height, vocabulary.center_of_gravity_height)
    return Center(center.behind_front_axle, center.height, text)


def _wheel(rig: Rig, item: AxleOrder, display: Display) -> Wheel | None:
    """Return what an axle's wheels may still move up and down from ride, in the load case that the wishes hold for."""
    radius = rig.get(f"{item.axle}.tire_loaded_radius")
    if radius is None or item.task is None or item.wheel_left is None or not item.cases:
        return None
    coilover, ride = item.task.coilover, item.cases[item.task.reference].ride_travel
    if not coilover.strap_travel <= ride <= coilover.bump_limit:
        return None
    texts = [display.text(travel, vocabulary.length) for travel in item.wheel_left]
    return Wheel(radius, *item.wheel_left, *texts)
