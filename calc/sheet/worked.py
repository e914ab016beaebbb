"""One line of a working with its numbers put in, so that a pocket calculator gives the printed answer.

Where the numbers give the answer as they stand, or times one factor, they are printed so. Else the line is worked in one set
of units that belong together (feet or inches, pounds-force, seconds, and a mass to go with them), and the factor that leads
there stands beside each number that is printed in another unit. Numbers have as many digits as the answer needs. Angles and
shares carry their sign: ° is a 57.29578th, % a hundredth.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, NamedTuple

from calc import formula, units
from calc.constants import NAMED
from calc.errors import HandbookError
from calc.quantity import Display, Quantity
from calc.sheet.line_factors import RADIAN, Split, factor_text, plain, product_of, same, split_known, told_of
from calc.sheet.line_units import Base, bases, constant_unit, constants_of, in_si, is_angle, typed_angles
from calc.step import Equation, Step
from calc.units import Dimension

_RESULT = "to_the_unit_of_the_answer"
# Each number may be off by this share of the answer's last digit, before all of them together are tried.
_SHARE_OF_DIGIT = 0.1
_MOST_MORE_DIGITS = 9
# Stands where a number will be printed.
_NUMBER = "{number}"


@dataclass(frozen=True, kw_only=True)
class Worked:
    """A line's numbers as MathML, and what is to be said of the factors in it."""

    mathml: str
    told: tuple[str, ...] = ()


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
                if same(printed, shown.number):
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
        base = bases(self.system)[0]
        factor = self.factor(base)
        return _way(self, base) if factor is not None and self._cost(base, factor) == (0, 0) else None

    @cached_property
    def _others(self) -> tuple[Base, ...]:
        factors = ((base, self.factor(base)) for base in bases(self.system))
        costs = [(self._cost(base, factor), base) for base, factor in factors if factor is not None]
        return tuple(base for _, base in sorted(costs, key=lambda each: each[0]))

    def scale(self, name: str, base: Base) -> float:
        """What one SI unit of a number counts for."""
        one = self.given[name]
        if one.share or name in self.typed:
            return 1.0
        # An angle that is multiplied counts in radians in every way of working.
        return 1.0 / (one.unit.factor if base.as_shown and not one.angle else base.of(one.dimension))

    def factor(self, base: Base) -> float | None:
        """What leads from the outcome to the answer's unit; None where its numbers are as they are shown and nothing does."""
        if base.as_shown:
            return self._factor_as_shown
        return 1.0 if self.marked else base.of(self.answer.dimension) / self.answer.unit.factor

    @cached_property
    def _factor_as_shown(self) -> float | None:
        base = bases(self.system)[0]
        ones = {name: constant_unit(name, base) for name in constants_of(self.text)}
        ones |= {name: 1.0 / self.scale(name, base) for name in self.given}
        one = in_si(formula.parse(self.text), ones, frozenset(name for name, item in self.given.items() if item.zero))
        if one is None:
            return None
        factor = one * self.own / self.answer.unit.factor
        # What comes out is the share or the angle itself, or, where the numbers are per degree, the angle in degrees.
        right = not self.marked or same(factor, self.own if self.sign else 1.0)
        return factor if right else None

    def in_degrees(self, factor: float) -> bool:
        """Tell whether the numbers, as they stand, give an angle in degrees."""
        return bool(self.sign) and same(factor, self.own)

    def _cost(self, base: Base, factor: float) -> tuple[int, int]:
        """How many factors of the line nobody knows, and how many factors it holds."""
        factors = [
            one.unit.factor * self.scale(name, base)
            for name, one in self.given.items()
            if not one.share and name not in self.typed
        ]
        factors += [] if self.in_degrees(factor) else [factor]
        known = [split_known(one, self.system) for one in factors if not same(one, 1.0)]
        return sum(one is None for one in known), sum(len(one[0]) + len(one[1]) for one in known if one)


# A page asks for the same lines at every edit, in other numbers.
@lru_cache(maxsize=1024)
def _line(text: str, given: tuple[_Given, ...], answer: _Given, system: str) -> _Line:
    named = dict(zip(formula.names(text), given, strict=True))
    angles = frozenset(name for name, one in named.items() if one.angle)
    typed = typed_angles(text, angles, answer.angle) if angles else angles
    angle = answer.angle and answer.unit.symbol == "°"
    marked = answer.share or angle
    return _Line(
        text=text,
        given=named,
        answer=answer,
        system=system,
        typed=typed,
        marked=marked,
        sign="°" if angle and not is_angle(formula.parse(text), typed) else "",
        own=answer.unit.factor if marked else 1.0,
    )


@lru_cache(maxsize=1024)
def _way(line: _Line, base: Base) -> _Way:
    """Return the way to work a line in these units, with what is printed around its numbers."""
    system, factor = line.system, line.factor(base)
    if factor is None:
        raise ValueError("In these units no factor makes the line right.")
    parts = {name: _part(line, name, base) for name in line.given}
    constants = {name: NAMED[name].value / constant_unit(name, base) for name in constants_of(line.text)}
    printed, fixed = line.text, {name: _constant(name, value, base, system) for name, value in constants.items()}
    factors = [part.factor for part in parts.values() if not part.typed]
    if line.in_degrees(factor):
        printed = f"({printed}) * {_RESULT}"
        fixed[_RESULT] = formula.Printed(product_of((1.0,), line.sign))
    elif not same(factor, 1.0):
        factors.append(factor)
        over, under = split_known(factor, system) or plain(factor)
        printed = f"({printed}) * {_RESULT}" if over else f"({printed}) / {_RESULT}"
        fixed[_RESULT] = formula.Printed(product_of(over or under, line.sign))
        if over and under:
            printed = f"({printed}) / {_RESULT}_under"
            fixed[f"{_RESULT}_under"] = formula.Printed(product_of(under))
    elif line.sign:
        factors.append(RADIAN)
        printed = f"({printed}) * {_RESULT}"
        fixed[_RESULT] = formula.Printed(product_of((RADIAN,), line.sign))
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
        told=tuple(dict.fromkeys(said for one in factors for said in told_of(one, system))),
    )


def _part(line: _Line, name: str, base: Base) -> _Part:
    """Return what a number counts for in the line's units, and how that is printed around it."""
    given, scale = line.given[name], line.scale(name, base)
    unit, typed, system = given.unit, given.share or name in line.typed, line.system
    factor, offset = unit.factor * scale, unit.offset * scale
    inner, compound = _NUMBER, False
    if typed:
        inner = f"<mrow>{inner}<mtext>{unit.symbol}</mtext></mrow>" if unit.symbol else inner
    else:
        sign = ""
        split: Split = split_known(factor, system) or plain(factor)
        if given.angle and unit.symbol == "°":
            # An angle that is multiplied counts in radians.
            split, sign = ((), (RADIAN,)), "°"
            inner = f"<mrow>{inner}<mtext>°</mtext></mrow>"
        over, under = split
        if over:
            inner, compound = f"<mrow>{inner}<mo>×</mo>{product_of(over)}</mrow>", True
        if under:
            inner, compound = f"<mfrac><mrow>{inner}</mrow>{product_of(under, sign)}</mfrac>", True
        if offset:
            from_zero = units.format_number(offset / factor, 2)
            inner, compound = f"<mrow><mo>(</mo>{inner}<mo>+</mo><mn>{from_zero}</mn><mo>)</mo></mrow>", False
    before, behind = inner.split(_NUMBER)
    return _Part(factor=factor, offset=offset, typed=typed, before=before, behind=behind, compound=compound)


def _constant(name: str, value: float, base: Base, system: str) -> formula.Printed:
    unit = {"shop": "lbf/lb", "metric": "N/kg"}[system] if name == "gravity" and base.by_weight else ""
    shown = f"<mtext>&#160;{unit}</mtext>" if unit else ""
    return formula.Printed(f"<mrow><mn>{factor_text(value)}</mn>{shown}</mrow>")


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
