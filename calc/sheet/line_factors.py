"""The factors that stand beside the numbers of a worked line: which are known, and what a reader is told of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from calc.constants import NAMED
from calc.units import FOOT, INCH

RADIAN = 180 / math.pi
_CLOSE = 1e-9
# A factor is made up of so many known ones at most, and of a power of ten.
_MOST_FACTORS, _MOST_TENS = 4, 9
# What stands as a factor, and what a reader is told of it. Powers of ten need no words of their own.
_G = NAMED["gravity"].value
_FACTORS = {
    "shop": {
        12.0: "12 inches make a foot",
        RADIAN: "57.29578° make a radian",
        _G / INCH: "g is 386.0886 in/s²: so many pounds on the scale make a lbf·s²/in",
        _G / FOOT: "g is 32.17405 ft/s²: so many pounds on the scale make a lbf·s²/ft",
        5280 * 12 / 3600: "1 mph is 17.6 in/s",
        (INCH / 0.01) ** 3: "1 in³ is 16.38706 cm³",
    },
    "metric": {
        RADIAN: "57.29578° make a radian",
        _G: "g is 9.80665 m/s²",
        3.6: "1 m/s is 3.6 km/h",
    },
}
_TENS = {"shop": "a ksi is 1,000 psi", "metric": "10, 100 and 1,000 lead from one metric unit to the next"}


def same(value: float, other: float) -> bool:
    """Tell whether two numbers are the same but for the last bits of a conversion."""
    return math.isclose(value, other, rel_tol=_CLOSE, abs_tol=1e-300)


Split = tuple[tuple[float, ...], tuple[float, ...]]


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
def split_known(factor: float, system: str) -> Split | None:
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


def plain(factor: float) -> Split:
    """Return a factor that nobody knows, above the line or below it, so that it is above 1."""
    return ((factor,), ()) if factor > 1 else ((), (1 / factor,))


def product_of(factors: Iterable[float], sign: str = "") -> str:
    """Return some factors as MathML, with the sign of the last."""
    numbers = [f"<mn>{factor_text(one)}</mn>" for one in factors]
    mark = f"<mtext>{sign}</mtext>" if sign else ""
    return "<mrow>" + "<mo>×</mo>".join(numbers) + mark + "</mrow>"


def factor_text(factor: float) -> str:
    """Return a factor as it is printed, with as many digits as a pocket calculator takes."""
    whole = round(factor)
    return f"{whole:,}" if same(factor, float(whole)) else f"{factor:.7g}"


def told_of(factor: float, system: str) -> Iterator[str]:
    """Say what each known one in a factor is."""
    known = split_known(factor, system)
    for one in (*known[0], *known[1]) if known else (max(factor, 1 / factor),):
        tens = same(math.log10(one), round(math.log10(one)))
        other = _TENS[system] if tens else f"{factor_text(one)} leads from one of the units to another"
        yield _FACTORS[system].get(one, other)
