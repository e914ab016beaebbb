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
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, NamedTuple

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
# Stands where a number will be printed.
_NUMBER = "{number}"

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


class _Given(NamedTuple):
    """What the way to work a line depends on, of a number in it or of its answer: of the number itself only whether it is 0."""

    share: bool
    angle: bool
    dimension: Dimension
    unit: units.Unit
    zero: bool = False


@dataclass(frozen=True)
class _Shown:
    """A number as it is shown, and with how many decimals."""

    number: float
    decimals: int

    def text(self, decimals: int) -> str:
        return units.format_number(self.number, decimals)


@dataclass(frozen=True, kw_only=True)
class _Part:
    """What a number of the line counts for in the line's units, and what is printed before and behind it."""

    factor: float
    offset: float
    typed: bool
    before: str
    behind: str
    compound: bool

    def in_line(self, shown: float) -> float:
        """What a number counts for in the line."""
        return shown * self.factor + self.offset

    def printed(self, shown: _Shown, decimals: int) -> formula.Printed:
        compound = self.compound or (shown.number < 0 and not self.typed and not self.offset)
        return formula.Printed(f"{self.before}{_mn(shown.text(decimals))}{self.behind}", compound)


def worked(step: Step, equation: Equation, values: Mapping[str, Any], display: Display, answer: str) -> Worked:
    """Return a line of a working with its numbers put in, whose answer is printed so."""
    quantity = step.quantity(equation.result)
    target = float(values[equation.result])
    places = _digits(answer)[1]
    unit = display.unit(quantity, equation.result)
    exact = units.from_si(target, unit)
    numbers: dict[str, _Shown] = {}
    given = []
    for name in formula.names(equation.text):
        own, value = step.quantity(name), float(values[name])
        own_unit = display.unit(own, name)
        numbers[name] = _Shown(*display.plain_number(value, own, name))
        given.append(_given(own, own_unit, value == 0))
    system = "metric" if display.system == "metric" else "shop"
    for way in _line(equation.text, tuple(given), _given(quantity, unit), system).ways():
        trial = way.trial(numbers)
        outcome = way.outcome(trial)
        if outcome is not None and way.right(outcome, exact):
            decimals = way.decimals(numbers, trial, outcome, units.format_number(exact, places), places)
            return way.printed(numbers, decimals)
    return Worked(mathml=_with_units(step, equation, values, display))


def _given(quantity: Quantity, unit: units.Unit, zero: bool = False) -> _Given:
    return _Given(quantity.kind is units.SHARE, quantity.kind is units.ANGLE, quantity.kind.dimension, unit, zero)


@dataclass(frozen=True, kw_only=True)
class _Way:
    """One way to work a line: its parts in the units of a base, and what leads from its outcome to the answer's unit.

    `text` is the equation with these factors, as it is printed; `fixed` is what is printed for all but its numbers.
    """

    equation: str
    as_shown: bool
    parts: Mapping[str, _Part]
    constants: Mapping[str, float]
    factor: float
    offset: float
    text: str
    fixed: Mapping[str, formula.Printed]
    told: tuple[str, ...]

    def trial(self, numbers: Mapping[str, _Shown]) -> dict[str, float]:
        """What all numbers count for in the line, before they are printed."""
        return {**self.constants, **{name: part.in_line(numbers[name].number) for name, part in self.parts.items()}}

    def outcome(self, trial: Mapping[str, float]) -> float | None:
        """The answer, in its own unit, that the line then gives; None where it cannot be worked."""
        try:
            given = float(formula.evaluate(self.equation, trial)) * self.factor + self.offset
        except (ArithmeticError, ValueError, HandbookError):
            return None
        return given if math.isfinite(given) else None

    def right(self, outcome: float, exact: float) -> bool:
        """Tell whether the line gives the answer, or, where its numbers stand as they are shown, anything at all."""
        if self.as_shown:
            return outcome != self.offset
        return math.isclose(outcome, exact, rel_tol=1e-6, abs_tol=1e-12)

    def decimals(
        self, numbers: Mapping[str, _Shown], trial: Mapping[str, float], exact: float, answer: str, places: int
    ) -> dict[str, int]:
        """Return how many decimals each number needs, so that all of them give the answer as it is printed."""
        close = _SHARE_OF_DIGIT * 10.0**-places
        decimals: dict[str, int] = {}
        inexact: dict[str, float] = {}
        for name, shown in numbers.items():
            for decimals[name] in range(shown.decimals, shown.decimals + _MOST_MORE_DIGITS):
                printed = units.rounded(shown.number, decimals[name])
                if _is(printed, shown.number):
                    # What prints whole needs no more, whatever is made of it.
                    inexact.pop(name, None)
                    break
                inexact[name] = self.parts[name].in_line(printed)
                given = self.outcome({**trial, name: inexact[name]})
                if given is not None and abs(given - exact) <= close:
                    break
        for _ in range(_MOST_MORE_DIGITS):
            given = self.outcome({**trial, **inexact}) if inexact else exact
            if given is not None and units.format_number(given, places) == answer:
                break
            for name in inexact:
                decimals[name] += 1
                inexact[name] = self.parts[name].in_line(units.rounded(numbers[name].number, decimals[name]))
        return decimals

    def printed(self, numbers: Mapping[str, _Shown], decimals: Mapping[str, int]) -> Worked:
        shown = {name: part.printed(numbers[name], decimals[name]) for name, part in self.parts.items()}
        return Worked(mathml=formula.mathml(self.text, {**shown, **self.fixed}, times=True), told=self.told)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Line:
    """An equation with the units of its numbers and of its answer: how it can be worked, whatever the numbers are.

    A share and an angle are what they are: their `sign` makes a number of them, and they count as so many of `own`.
    """

    text: str
    given: Mapping[str, _Given]
    answer: _Given
    system: str
    typed: frozenset[str]
    marked: bool
    sign: str
    own: float

    def ways(self) -> Iterator[_Way]:
        """Yield the ways to work it, the plainest first."""
        if self._plain is not None:
            yield self._plain
        for base in self._others:
            yield _way(self, base)

    @cached_property
    def _plain(self) -> _Way | None:
        """The way in which nothing stands beside any number: most lines have it, and then need no other."""
        base = _bases(self.system)[0]
        factor = self.factor(base)
        return _way(self, base) if factor is not None and self._cost(base, factor) == (0, 0) else None

    @cached_property
    def _others(self) -> tuple[_Base, ...]:
        factors = ((base, self.factor(base)) for base in _bases(self.system))
        costs = [(self._cost(base, factor), base) for base, factor in factors if factor is not None]
        return tuple(base for _, base in sorted(costs, key=lambda each: each[0]))

    def scale(self, name: str, base: _Base) -> float:
        """What one SI unit of a number counts for."""
        one = self.given[name]
        if one.share or name in self.typed:
            return 1.0
        # An angle that is multiplied counts in radians in every way of working.
        return 1.0 / (one.unit.factor if base.as_shown and not one.angle else base.of(one.dimension))

    def factor(self, base: _Base) -> float | None:
        """What leads from the outcome to the answer's unit; None where its numbers are as they are shown and nothing does."""
        if base.as_shown:
            return self._factor_as_shown
        return 1.0 if self.marked else base.of(self.answer.dimension) / self.answer.unit.factor

    @cached_property
    def _factor_as_shown(self) -> float | None:
        base = _bases(self.system)[0]
        ones = {name: _constant_unit(name, base) for name in _constants(self.text)}
        ones |= {name: 1.0 / self.scale(name, base) for name in self.given}
        one = _one(formula.parse(self.text), ones, frozenset(name for name, item in self.given.items() if item.zero))
        if one is None:
            return None
        factor = one * self.own / self.answer.unit.factor
        # What comes out is the share or the angle itself, or, where the numbers are per degree, the angle in degrees.
        right = not self.marked or _is(factor, self.own if self.sign else 1.0)
        return factor if right else None

    def in_degrees(self, factor: float) -> bool:
        """Tell whether the numbers, as they stand, give an angle in degrees."""
        return bool(self.sign) and _is(factor, self.own)

    def _cost(self, base: _Base, factor: float) -> tuple[int, int]:
        """How many factors of the line nobody knows, and how many factors it holds."""
        factors = [
            one.unit.factor * self.scale(name, base)
            for name, one in self.given.items()
            if not one.share and name not in self.typed
        ]
        factors += [] if self.in_degrees(factor) else [factor]
        known = [_known(one, self.system) for one in factors if not _is(one, 1.0)]
        return sum(one is None for one in known), sum(len(one[0]) + len(one[1]) for one in known if one)


# A page asks for the same lines at every edit, in other numbers.
@lru_cache(maxsize=1024)
def _line(text: str, given: tuple[_Given, ...], answer: _Given, system: str) -> _Line:
    named = dict(zip(formula.names(text), given, strict=True))
    angles = frozenset(name for name, one in named.items() if one.angle)
    typed = _typed(text, angles, answer.angle) if angles else angles
    angle = answer.angle and answer.unit.symbol == "°"
    marked = answer.share or angle
    return _Line(
        text=text,
        given=named,
        answer=answer,
        system=system,
        typed=typed,
        marked=marked,
        sign="°" if angle and not _is_angle(formula.parse(text), typed) else "",
        own=answer.unit.factor if marked else 1.0,
    )


@lru_cache(maxsize=1024)
def _way(line: _Line, base: _Base) -> _Way:
    """Return the way to work a line in these units, with what is printed around its numbers."""
    system, factor = line.system, line.factor(base)
    if factor is None:
        raise ValueError("In these units no factor makes the line right.")
    parts = {name: _part(line, name, base) for name in line.given}
    constants = {name: NAMED[name].value / _constant_unit(name, base) for name in _constants(line.text)}
    printed, fixed = line.text, {name: _constant(name, value, base, system) for name, value in constants.items()}
    factors = [part.factor for part in parts.values() if not part.typed]
    if line.in_degrees(factor):
        printed = f"({printed}) * {_RESULT}"
        fixed[_RESULT] = formula.Printed(_product((1.0,), line.sign))
    elif not _is(factor, 1.0):
        factors.append(factor)
        over, under = _known(factor, system) or _plain(factor)
        printed = f"({printed}) * {_RESULT}" if over else f"({printed}) / {_RESULT}"
        fixed[_RESULT] = formula.Printed(_product(over or under, line.sign))
        if over and under:
            printed = f"({printed}) / {_RESULT}_under"
            fixed[f"{_RESULT}_under"] = formula.Printed(_product(under))
    elif line.sign:
        factors.append(_RADIAN)
        printed = f"({printed}) * {_RESULT}"
        fixed[_RESULT] = formula.Printed(_product((_RADIAN,), line.sign))
    unit = line.answer.unit
    offset = 0.0 if line.marked else -unit.offset / unit.factor
    if offset:
        printed = f"{printed} - {_RESULT}_from_zero"
        fixed[f"{_RESULT}_from_zero"] = formula.Printed(f"<mn>{-offset:g}</mn>")
    return _Way(
        equation=line.text,
        as_shown=base.as_shown,
        parts=parts,
        constants=constants,
        factor=factor / line.own,
        offset=offset,
        text=printed,
        fixed=fixed,
        told=tuple(dict.fromkeys(said for one in factors for said in _told(one, system))),
    )


def _told(factor: float, system: str) -> Iterator[str]:
    """Say what each known one in a factor is."""
    known = _known(factor, system)
    for one in (*known[0], *known[1]) if known else (max(factor, 1 / factor),):
        tens = _is(math.log10(one), round(math.log10(one)))
        other = _TENS[system] if tens else f"{_factor_text(one)} leads from one of the units to another"
        yield _FACTORS[system].get(one, other)


def _one(node: ast.expr, ones: Mapping[str, float], zeros: frozenset[str]) -> float | None:
    """Return what one of a part's outcome is in SI where one of each name is so much.

    None where different units meet in it: then no one factor makes its outcome right. That must not be tried on the numbers:
    of two lengths in different units the smaller one may come out right by chance.
    """
    if isinstance(node, ast.Name):
        return ones.get(node.id, 1.0)
    if isinstance(node, ast.Constant):
        return 1.0
    if isinstance(node, ast.UnaryOp):
        return _one(node.operand, ones, zeros)
    if isinstance(node, ast.BinOp):
        if isinstance(node.op, (ast.Add, ast.Sub)):
            return _alike((node.left, node.right), ones, zeros)
        left, right = _one(node.left, ones, zeros), _one(node.right, ones, zeros)
        if left is None or right is None:
            return None
        if isinstance(node.op, ast.Mult):
            return left * right
        if isinstance(node.op, ast.Div):
            return left / right
        if _is(left, 1.0):
            return 1.0 if _is(right, 1.0) else None
        # A number with a unit is taken to a power that is a number by itself.
        power = ast.unparse(node.right)
        return None if formula.names(power) or _constants(power) else left ** float(formula.evaluate(power, {}))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        if node.func.id in ("absolute", "minimum", "maximum"):
            return _alike(node.args, ones, zeros)
        argument = 1.0 if _zero(node.args[0], zeros) else _one(node.args[0], ones, zeros)
        if node.func.id == "sqrt":
            return None if argument is None else math.sqrt(argument)
        return 1.0 if argument is not None and _is(argument, 1.0) else None
    if isinstance(node, ast.Compare):
        return None if _alike((node.left, *node.comparators), ones, zeros) is None else 1.0
    return None


def _alike(parts: Iterable[ast.expr], ones: Mapping[str, float], zeros: frozenset[str]) -> float | None:
    """Return what one of each of these parts is in SI, None where they differ; zero is zero in any unit."""
    found = [(_one(part, ones, zeros), _zero(part, zeros)) for part in parts]
    if any(one is None for one, _ in found):
        return None
    counting = [one for one, zero in found if one is not None and not zero]
    return (counting[0] if all(_is(one, counting[0]) for one in counting) else None) if counting else 1.0


_ZERO_OF_ZERO = ("absolute", "minimum", "maximum", "sqrt", "sin", "tan", "atan")


def _zero(node: ast.expr, zeros: frozenset[str]) -> bool:
    """Tell whether a part of an equation is 0 because a number in it is."""
    if isinstance(node, ast.Constant):
        return node.value == 0
    if isinstance(node, ast.Name):
        return node.id in zeros
    if isinstance(node, ast.UnaryOp):
        return _zero(node.operand, zeros)
    if isinstance(node, ast.BinOp):
        left, right = _zero(node.left, zeros), _zero(node.right, zeros)
        if isinstance(node.op, ast.Mult):
            return left or right
        return left and (right or isinstance(node.op, (ast.Div, ast.Pow)))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in _ZERO_OF_ZERO and all(_zero(part, zeros) for part in node.args)
    return False


def _constant_unit(name: str, base: _Base) -> float:
    return base.of(Dimension(*NAMED[name].dimension))


@lru_cache(maxsize=2048)
def _constants(text: str) -> tuple[str, ...]:
    found = (node.id for node in ast.walk(formula.parse(text)) if isinstance(node, ast.Name) and node.id in NAMED)
    return tuple(dict.fromkeys(found))


def _typed(text: str, angles: frozenset[str], gives_angle: bool) -> frozenset[str]:
    """Return the angles that stand only where a calculator takes degrees: in a sine, or beside another angle."""
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


@dataclass(frozen=True)
class _Product:
    """What some known factors make together, each with 1 above the line and -1 below it."""

    value: float
    tens: float
    last: int
    chosen: tuple[tuple[float, int], ...]


@lru_cache(maxsize=16)
def _products(system: str, count: int) -> tuple[_Product, ...]:
    """Return what so many known factors make together, above or below the line."""
    if not count:
        return (_Product(1.0, 0.0, 0, ()),)
    signed = [(one, power) for one in _FACTORS[system] for power in (1, -1)]
    found = []
    for fewer in _products(system, count - 1):
        for place in range(fewer.last, len(signed)):
            one, power = signed[place]
            value = fewer.value * one**power
            found.append(_Product(value, math.log10(value), place, (*fewer.chosen, signed[place])))
    return tuple(found)


@lru_cache(maxsize=512)
def _known(factor: float, system: str) -> _Split | None:
    """Split a factor into known ones above and below the line, as few as will do; None where they do not make it."""
    whole = math.log10(factor)
    for count in range(_MOST_FACTORS + 1):
        for product in _products(system, count):
            tens = round(whole - product.tens)
            if abs(whole - product.tens - tens) > _CLOSE or abs(tens) > _MOST_TENS:
                continue
            if math.isclose(factor / product.value, 10.0**tens, rel_tol=_CLOSE):
                over, under = (tuple(one for one, power in product.chosen if power == sign) for sign in (1, -1))
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


def _part(line: _Line, name: str, base: _Base) -> _Part:
    """Return what a number counts for in the line's units, and how that is printed around it."""
    given, scale = line.given[name], line.scale(name, base)
    unit, typed, system = given.unit, given.share or name in line.typed, line.system
    factor, offset = unit.factor * scale, unit.offset * scale
    inner, compound = _NUMBER, False
    if typed:
        inner = f"<mrow>{inner}<mtext>{unit.symbol}</mtext></mrow>" if unit.symbol else inner
    else:
        sign = ""
        split: _Split = _known(factor, system) or _plain(factor)
        if given.angle and unit.symbol == "°":
            # An angle that is multiplied counts in radians.
            split, sign = ((), (_RADIAN,)), "°"
            inner = f"<mrow>{inner}<mtext>°</mtext></mrow>"
        over, under = split
        if over:
            inner, compound = f"<mrow>{inner}<mo>×</mo>{_product(over)}</mrow>", True
        if under:
            inner, compound = f"<mfrac><mrow>{inner}</mrow>{_product(under, sign)}</mfrac>", True
        if offset:
            from_zero = units.format_number(offset / factor, 2)
            inner, compound = f"<mrow><mo>(</mo>{inner}<mo>+</mo><mn>{from_zero}</mn><mo>)</mo></mrow>", False
    before, behind = inner.split(_NUMBER)
    return _Part(factor=factor, offset=offset, typed=typed, before=before, behind=behind, compound=compound)


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


def _mn(number: str) -> str:
    if number.startswith(units.MINUS):
        return f"<mrow><mo>(</mo><mo>−</mo><mn>{number[1:]}</mn><mo>)</mo></mrow>"
    return f"<mn>{number}</mn>"
