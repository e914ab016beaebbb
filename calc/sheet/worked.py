"""One line of a working with its numbers put in, so that a pocket calculator gives the printed answer.

Where the numbers give the answer as they stand, or times one factor, they are printed so. Else the line is worked in one set
of units that belong together (feet or inches, pounds-force, seconds, and a mass to go with them), and the factor that leads
there stands beside each number that is printed in another unit. Numbers have as many digits as the answer needs. Angles and
shares carry their sign: ° is a 57.29578th, % a hundredth.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from calc import formula, units
from calc.constants import NAMED
from calc.errors import HandbookError
from calc.quantity import Display, Quantity
from calc.step import Equation, Step
from calc.units import FOOT, INCH, POUND, POUND_FORCE, Dimension

_RESULT = "to_the_unit_of_the_answer"
_RADIAN = 180 / math.pi
_CLOSE = 1e-9
# A factor is made up of so many known ones at most, and of a power of ten.
_MOST_FACTORS, _MOST_TENS = 4, 9
# Each number may be off by this share of the answer's last digit, before all of them together are tried.
_SHARE_OF_DIGIT = 0.1
_MOST_MORE_DIGITS = 9
# Of a line whose numbers stand as they are shown: no way is better.
_NO_COST = (0, 0)

# What stands as a factor, and what a reader is told of it. Powers of ten need no words of their own.
_G = NAMED["gravity"].value
_FACTORS = {
    "shop": {
        12.0: "12 inches make a foot",
        _RADIAN: "57.29578° make a radian",
        _G / INCH: "g is 386.0886 in/s²: so many pounds on the scale make a lbf·s²/in",
        _G / FOOT: "g is 32.17405 ft/s²: so many pounds on the scale make a lbf·s²/ft",
        5280 * 12 / 3600: "1 mph is 17.6 in/s",
        (INCH / 0.01) ** 3: "1 in³ is 16.38706 cm³",
    },
    "metric": {
        _RADIAN: "57.29578° make a radian",
        _G: "g is 9.80665 m/s²",
        3.6: "1 m/s is 3.6 km/h",
    },
}
_TENS = {"shop": "a ksi is 1,000 psi", "metric": "10, 100 and 1,000 lead from one metric unit to the next"}


@dataclass(frozen=True, kw_only=True)
class Worked:
    """A line's numbers as MathML, and what is to be said of the factors in it."""

    mathml: str
    told: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Base:
    """Units that belong together, each in SI; in `by_weight` a mass counts as the force that it weighs.

    In one that is `as_shown` every number counts as it stands, and the answer is times whatever factor is left.
    """

    mass: float
    length: float
    time: float
    kelvin: float
    by_weight: bool = False
    as_shown: bool = False

    def of(self, dimension: Dimension) -> float:
        """One unit of this dimension, in SI."""
        return math.prod(
            unit**power for unit, power in zip((self.mass, self.length, self.time, self.kelvin), dimension, strict=True)
        )


@lru_cache(maxsize=4)
def _bases(system: str) -> tuple[_Base, ...]:
    shop = system != "metric"
    force, mass, kelvin = (POUND_FORCE, POUND, 5 / 9) if shop else (1.0, 1.0, 1.0)
    lengths = (INCH, FOOT) if shop else (1e-3, 1e-2, 1.0)
    found = [_Base(mass, lengths[0], math.sqrt(mass * lengths[0] / force), kelvin, by_weight=True, as_shown=True)]
    for length in lengths:
        # A pound on the scale weighs one pound-force; a kilogram 9.81 newtons. Else the mass follows from force and second.
        found.append(_Base(mass, length, math.sqrt(mass * length / force), kelvin, by_weight=True))
        found.append(_Base(force / length, length, 1.0, kelvin))
    return tuple(found)


@dataclass(frozen=True, kw_only=True)
class _Part:
    """A number of the line: as it is shown, what it counts for in the line's units, and with how many decimals."""

    quantity: Quantity
    unit: units.Unit
    shown: float
    factor: float
    offset: float
    decimals: int
    typed: bool

    def in_line(self, decimals: int | None) -> float:
        """What the printed number counts for in the line."""
        shown = self.shown if decimals is None else _number(units.format_number(self.shown, decimals))
        return shown * self.factor + self.offset


def worked(step: Step, equation: Equation, values: Mapping[str, Any], display: Display) -> Worked:
    """Return a line of a working with its numbers put in."""
    quantity = step.quantity(equation.result)
    target = float(values[equation.result])
    places = _digits(display.text(target, quantity, equation.result))[1]
    answer = display.number(target, quantity, equation.result, places), places
    system = "metric" if display.system == "metric" else "shop"
    typed = _typed_angles(step, equation)
    numbers = tuple(_shown(step, equation, values, display))
    best: tuple[tuple[int, int], _Way] | None = None
    for base in _bases(system):
        way = _way(step, equation, values, display, base, typed, numbers)
        if way is not None and (best is None or way.cost(system) < best[0]):
            best = way.cost(system), way
        if best is not None and best[0] == _NO_COST:
            break
    if best is None:
        return Worked(mathml=_with_units(step, equation, values, display))
    return best[1].printed(equation, answer, system)


@dataclass(frozen=True)
class _Shown:
    """A number as it is shown, whatever it counts for in the line."""

    name: str
    quantity: Quantity
    unit: units.Unit
    number: float
    decimals: int


def _shown(step: Step, equation: Equation, values: Mapping[str, Any], display: Display) -> Iterator[_Shown]:
    for name in formula.names(equation.text):
        quantity, value = step.quantity(name), float(values[name])
        unit = display.unit(quantity, name)
        decimals = _digits(display.plain(value, quantity, name))[1]
        yield _Shown(name, quantity, unit, units.from_si(value, unit), decimals)


@dataclass(frozen=True, kw_only=True)
class _Way:
    """One way to work a line: its parts in the units of a base, and what leads from its outcome to the answer's unit."""

    base: _Base
    parts: Mapping[str, _Part]
    constants: Mapping[str, float]
    offset: float
    factor: float
    sign: str
    typed: float

    @property
    def in_degrees(self) -> bool:
        """Whether the numbers, as they stand, give an angle in degrees."""
        return bool(self.sign) and _is(self.factor, self.typed)

    def cost(self, system: str) -> tuple[int, int]:
        """How many factors of the line nobody knows, and how many factors it holds."""
        factors = [part.factor for part in self.parts.values() if not _is(part.factor, 1.0) and not part.typed]
        factors += [self.factor] if not _is(self.factor, 1.0) and not self.in_degrees else []
        known = [_known(factor, system) for factor in factors]
        return sum(one is None for one in known), sum(len(one[0]) + len(one[1]) for one in known if one)

    def outcome(self, equation: Equation, decimals: Mapping[str, int]) -> float:
        """The answer, in its own unit, that these printed numbers give."""
        return self.worth(equation, {name: part.in_line(decimals.get(name)) for name, part in self.parts.items()})

    def worth(self, equation: Equation, trial: Mapping[str, float]) -> float:
        """The answer, in its own unit, for these numbers of the line."""
        found = float(formula.evaluate(equation.text, {**trial, **self.constants}))
        return found * self.factor / self.typed + self.offset

    def printed(self, equation: Equation, answer: tuple[str, int], system: str) -> Worked:
        decimals = self._decimals(equation, *answer)
        told: dict[str, None] = {}

        def say(factor: float) -> None:
            known = _known(factor, system)
            for one in (*known[0], *known[1]) if known else (max(factor, 1 / factor),):
                tens = _is(math.log10(one), round(math.log10(one)))
                other = _TENS[system] if tens else f"{_factor_text(one)} leads from one of the units to another"
                told[_FACTORS[system].get(one, other)] = None

        shown: dict[str, formula.Printed] = {}
        for name, part in self.parts.items():
            shown[name] = _printed(part, decimals[name], system)
            if not part.typed:
                say(part.factor)
        for name, value in self.constants.items():
            shown[name] = _constant(name, value, self.base, system)
        text = equation.text
        if self.in_degrees:
            text = f"({text}) * {_RESULT}"
            shown[_RESULT] = formula.Printed(_product((1.0,), self.sign))
        elif not _is(self.factor, 1.0):
            over, under = _known(self.factor, system) or _plain(self.factor)
            say(self.factor)
            text = f"({text}) * {_RESULT}" if over else f"({text}) / {_RESULT}"
            shown[_RESULT] = formula.Printed(_product(over or under, self.sign))
            if over and under:
                text = f"({text}) / {_RESULT}_under"
                shown[f"{_RESULT}_under"] = formula.Printed(_product(under))
        elif self.sign:
            text = f"({text}) * {_RESULT}"
            shown[_RESULT] = formula.Printed(_product((_RADIAN,), self.sign))
            told[_FACTORS[system][_RADIAN]] = None
        if self.offset:
            text = f"{text} - {_RESULT}_from_zero"
            shown[f"{_RESULT}_from_zero"] = formula.Printed(f"<mn>{-self.offset:g}</mn>")
        return Worked(mathml=formula.mathml(text, shown, times=True), told=tuple(told))

    def _decimals(self, equation: Equation, answer: str, places: int) -> dict[str, int]:
        """Return how many decimals each number needs, so that all of them give the answer as it is printed."""
        exact = self.outcome(equation, {})
        digit = 10.0**-places
        decimals: dict[str, int] = {}
        for name, part in self.parts.items():
            for decimals[name] in range(part.decimals, part.decimals + _MOST_MORE_DIGITS):
                given = self._tried(equation, {name: decimals[name]})
                if given is not None and abs(given - exact) <= _SHARE_OF_DIGIT * digit:
                    break
        inexact = [
            name for name, part in self.parts.items() if not _is(part.in_line(decimals[name]), part.in_line(None))
        ]
        for _ in range(_MOST_MORE_DIGITS):
            given = self._tried(equation, decimals)
            if given is not None and units.format_number(given, places) == answer:
                break
            decimals.update({name: decimals[name] + 1 for name in inexact})
        return decimals

    def _tried(self, equation: Equation, decimals: Mapping[str, int]) -> float | None:
        """The answer of these printed numbers; None where one of them, so printed, cannot be worked with."""
        try:
            given = self.outcome(equation, decimals)
        except (ArithmeticError, ValueError, HandbookError):
            return None
        return given if math.isfinite(given) else None


def _way(
    step: Step,
    equation: Equation,
    values: Mapping[str, Any],
    display: Display,
    base: _Base,
    typed: frozenset[str],
    numbers: Iterable[_Shown],
) -> _Way | None:
    """Return the line in these units, or None where its equation does not give the answer in them."""
    parts = {}
    for one in numbers:
        quantity, unit = one.quantity, one.unit
        sign = quantity.kind is units.SHARE or one.name in typed
        # An angle that is multiplied counts in radians in every way of working.
        plain = base.as_shown and quantity.kind is not units.ANGLE
        scale = 1.0 if sign else 1.0 / (unit.factor if plain else base.of(quantity.kind.dimension))
        parts[one.name] = _Part(
            quantity=quantity,
            unit=unit,
            shown=one.number,
            factor=unit.factor * scale,
            offset=unit.offset * scale,
            decimals=one.decimals,
            typed=sign,
        )
    quantity = step.quantity(equation.result)
    unit = display.unit(quantity, equation.result)
    # A share and an angle are what they are: their sign makes a number of them.
    angle = quantity.kind is units.ANGLE and unit.symbol == "°"
    mark = quantity.kind is units.SHARE or angle
    way = _Way(
        base=base,
        parts=parts,
        constants={
            name: NAMED[name].value / base.of(Dimension(*NAMED[name].dimension)) for name in _constants(equation.text)
        },
        offset=0.0 if mark else -unit.offset / unit.factor,
        factor=1.0 if mark or base.as_shown else base.of(quantity.kind.dimension) / unit.factor,
        sign="°" if angle and not _is_angle(formula.parse(equation.text), typed) else "",
        typed=unit.factor if mark else 1.0,
    )
    try:
        if base.as_shown:
            return _as_shown(way, equation, values, unit)
        outcome = way.outcome(equation, {})
    except (ArithmeticError, ValueError, HandbookError):
        return None
    exact = units.from_si(float(values[equation.result]), unit)
    return way if math.isclose(outcome, exact, rel_tol=1e-6, abs_tol=1e-12) else None


def _as_shown(way: _Way, equation: Equation, values: Mapping[str, Any], unit: units.Unit) -> _Way | None:
    """Return the way with the one factor that makes its plain numbers right, or None where no one factor does.

    Whether it does so always and not by chance is tried on numbers a little off.
    """
    ratios = []
    for shift in (0.0, 0.01, 0.023):
        moves = {name: 1.0 + shift * (place + 1) for place, name in enumerate(way.parts)}
        moved = {name: float(values[name]) * moves[name] for name in way.parts}
        plain = {
            name: units.from_si(moved[name], part.unit) * part.factor + part.offset for name, part in way.parts.items()
        }
        exact = units.from_si(float(formula.evaluate(equation.text, moved)), unit)
        given = way.worth(equation, plain) - way.offset
        if given == 0 or not math.isfinite(given):
            return None
        ratios.append((exact - way.offset) / given)
    if ratios[0] <= 0 or not all(math.isclose(ratio, ratios[0], rel_tol=1e-9) for ratio in ratios):
        return None
    # What comes out is the share or the angle itself, or, where the numbers are per degree, the angle in degrees.
    if way.typed != 1.0 and not _is(ratios[0], way.typed if way.sign else 1.0):
        return None
    return replace(way, factor=ratios[0])


@lru_cache(maxsize=2048)
def _constants(text: str) -> tuple[str, ...]:
    found = (node.id for node in ast.walk(formula.parse(text)) if isinstance(node, ast.Name) and node.id in NAMED)
    return tuple(dict.fromkeys(found))


def _typed_angles(step: Step, equation: Equation) -> frozenset[str]:
    """Return the angles that stand only where a calculator takes degrees: in a sine, or beside another angle."""
    angles = frozenset(name for name in formula.names(equation.text) if step.quantity(name).kind is units.ANGLE)
    return _typed(equation.text, angles, step.quantity(equation.result).kind is units.ANGLE) if angles else angles


@lru_cache(maxsize=512)
def _typed(text: str, angles: frozenset[str], gives_angle: bool) -> frozenset[str]:
    loose: set[str] = set()

    def look(node: ast.AST, inside: bool) -> None:
        if isinstance(node, ast.Name):
            if node.id in angles and not inside:
                loose.add(node.id)
        elif isinstance(node, ast.Call):
            trig = isinstance(node.func, ast.Name) and node.func.id in ("sin", "cos", "tan")
            for argument in node.args:
                look(argument, (trig or inside) and _is_angle(argument, angles))
        else:
            for part in ast.iter_child_nodes(node):
                look(part, inside)

    tree = formula.parse(text)
    look(tree, gives_angle and _is_angle(tree, angles))
    return angles - loose


def _is_angle(node: ast.AST, angles: frozenset[str]) -> bool:
    """Tell whether a part of an equation is an angle by itself, so that degrees may stand in it."""
    if isinstance(node, ast.Name):
        return node.id in angles
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id == "atan" or (
            node.func.id in ("absolute", "minimum", "maximum") and all(_is_angle(part, angles) for part in node.args)
        )
    if isinstance(node, ast.UnaryOp):
        return _is_angle(node.operand, angles)
    if isinstance(node, ast.BinOp):
        sides = [_is_angle(side, angles) for side in (node.left, node.right)]
        numbers = [isinstance(side, ast.Constant) for side in (node.left, node.right)]
        if isinstance(node.op, (ast.Add, ast.Sub)):
            return all(sides)
        if isinstance(node.op, ast.Mult):
            return (sides[0] and numbers[1]) or (numbers[0] and sides[1])
        return isinstance(node.op, ast.Div) and sides[0] and numbers[1]
    return False


def _is(value: float, other: float) -> bool:
    return math.isclose(value, other, rel_tol=_CLOSE, abs_tol=1e-300)


_Split = tuple[tuple[float, ...], tuple[float, ...]]


@lru_cache(maxsize=4)
def _products(system: str) -> tuple[tuple[float, tuple[tuple[float, int], ...]], ...]:
    """Return what known factors make together, above or below the line, the fewest first."""
    signed = [(one, power) for one in _FACTORS[system] for power in (1, -1)]
    level: list[tuple[float, int, tuple[tuple[float, int], ...]]] = [(1.0, 0, ())]
    found = level
    for _ in range(_MOST_FACTORS):
        level = [
            (value * signed[place][0] ** signed[place][1], place, (*chosen, signed[place]))
            for value, first, chosen in level
            for place in range(first, len(signed))
        ]
        found = found + level
    return tuple((value, chosen) for value, _, chosen in found)


@lru_cache(maxsize=512)
def _known(factor: float, system: str) -> _Split | None:
    """Split a factor into known ones above and below the line, as few as will do; None where they do not make it."""
    for value, chosen in _products(system):
        rest = factor / value
        tens = round(math.log10(rest))
        if abs(tens) <= _MOST_TENS and math.isclose(rest, 10.0**tens, rel_tol=_CLOSE):
            over, under = (tuple(one for one, power in chosen if power == sign) for sign in (1, -1))
            more = (10.0 ** abs(tens),) if tens else ()
            return (over + more, under) if tens > 0 else (over, under + more)
    return None


def _plain(factor: float) -> _Split:
    return ((factor,), ()) if factor > 1 else ((), (1 / factor,))


def _product(factors: Iterable[float], sign: str = "") -> str:
    numbers = [f"<mn>{_factor_text(one)}</mn>" for one in factors]
    mark = f"<mtext>{sign}</mtext>" if sign else ""
    return "<mrow>" + "<mo>×</mo>".join(numbers) + mark + "</mrow>"


def _factor_text(factor: float) -> str:
    whole = round(factor)
    return f"{whole:,}" if _is(factor, float(whole)) else f"{factor:.7g}"


def _printed(part: _Part, decimals: int, system: str) -> formula.Printed:
    number = _mn(units.format_number(part.shown, decimals))
    if part.typed:
        symbol = part.unit.symbol
        return formula.Printed(f"<mrow>{number}<mtext>{symbol}</mtext></mrow>" if symbol else number)
    inner, compound, sign = number, part.shown < 0, ""
    split: _Split = _known(part.factor, system) or _plain(part.factor)
    if part.quantity.kind is units.ANGLE and part.unit.symbol == "°":
        # An angle that is multiplied counts in radians.
        split, sign = ((), (_RADIAN,)), "°"
        inner = f"<mrow>{number}<mtext>°</mtext></mrow>"
    over, under = split
    if over:
        inner, compound = f"<mrow>{inner}<mo>×</mo>{_product(over)}</mrow>", True
    if under:
        inner, compound = f"<mfrac><mrow>{inner}</mrow>{_product(under, sign)}</mfrac>", True
    if part.offset:
        from_zero = units.format_number(part.offset / part.factor, 2)
        inner, compound = f"<mrow><mo>(</mo>{inner}<mo>+</mo><mn>{from_zero}</mn><mo>)</mo></mrow>", False
    return formula.Printed(inner, compound=compound)


def _constant(name: str, value: float, base: _Base, system: str) -> formula.Printed:
    unit = {"shop": "lbf/lb", "metric": "N/kg"}[system] if name == "gravity" and base.by_weight else ""
    shown = f"<mtext>&#160;{unit}</mtext>" if unit else ""
    return formula.Printed(f"<mrow><mn>{_factor_text(value)}</mn>{shown}</mrow>")


def _with_units(step: Step, equation: Equation, values: Mapping[str, Any], display: Display) -> str:
    """Print every number with its unit, where no set of units gives the answer."""
    shown = {}
    for name in formula.names(equation.text):
        quantity = step.quantity(name)
        symbol = display.unit(quantity, name).symbol
        number = _mn(_digits(display.plain(float(values[name]), quantity, name))[0])
        unit = f"<mtext>&#160;{symbol}</mtext>" if symbol else ""
        shown[name] = formula.Printed(f"<mrow>{number}{unit}</mrow>", compound=bool(symbol))
    for constant, named in NAMED.items():
        shown[constant] = formula.Printed(f"<mrow><mn>{named.value:g}</mn><mtext>&#160;{named.unit}</mtext></mrow>")
    return formula.mathml(equation.text, shown, times=True)


def _digits(text: str) -> tuple[str, int]:
    """Return the number of a printed value, and how many decimals it has."""
    number = text.split(units.NO_BREAK)[0].rstrip("°")
    return number, len(number.partition(".")[2])


def _number(text: str) -> float:
    return float(text.replace(",", "").replace(units.MINUS, "-"))


def _mn(number: str) -> str:
    if number.startswith(units.MINUS):
        return f"<mrow><mo>(</mo><mo>−</mo><mn>{number[1:]}</mn><mo>)</mo></mrow>"
    return f"<mn>{number}</mn>"
