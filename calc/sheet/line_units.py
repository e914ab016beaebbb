"""What the parts of an equation are, by the units of its names: which factor leads to SI, what is an angle, what is zero."""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from calc import formula
from calc.constants import NAMED
from calc.sheet.line_factors import same
from calc.units import FOOT, INCH, POUND, POUND_FORCE, Dimension


@dataclass(frozen=True)
class Base:
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
def bases(system: str) -> tuple[Base, ...]:
    """Return the sets of units in which a line can be worked, the plainest first."""
    shop = system != "metric"
    force, mass, kelvin = (POUND_FORCE, POUND, 5 / 9) if shop else (1.0, 1.0, 1.0)
    lengths = (INCH, FOOT) if shop else (1e-3, 1e-2, 1.0)
    found = [Base(mass, lengths[0], math.sqrt(mass * lengths[0] / force), kelvin, by_weight=True, as_shown=True)]
    for length in lengths:
        # A pound on the scale weighs one pound-force; a kilogram 9.81 newtons. Else the mass follows from force and second.
        found.append(Base(mass, length, math.sqrt(mass * length / force), kelvin, by_weight=True))
        found.append(Base(force / length, length, 1.0, kelvin))
    return tuple(found)


def in_si(node: ast.expr, ones: Mapping[str, float], zeros: frozenset[str]) -> float | None:
    """Return what one of a part's outcome is in SI where one of each name is so much.

    None where different units meet in it: then no one factor makes its outcome right. That must not be tried on the numbers:
    of two lengths in different units the smaller one may come out right by chance.
    """
    if isinstance(node, ast.Name):
        return ones.get(node.id, 1.0)
    if isinstance(node, ast.Constant):
        return 1.0
    if isinstance(node, ast.UnaryOp):
        return in_si(node.operand, ones, zeros)
    if isinstance(node, ast.BinOp):
        if isinstance(node.op, (ast.Add, ast.Sub)):
            return _alike((node.left, node.right), ones, zeros)
        left, right = in_si(node.left, ones, zeros), in_si(node.right, ones, zeros)
        if left is None or right is None:
            return None
        if isinstance(node.op, ast.Mult):
            return left * right
        if isinstance(node.op, ast.Div):
            return left / right
        if same(left, 1.0):
            return 1.0 if same(right, 1.0) else None
        # A number with a unit is taken to a power that is a number by itself.
        power = ast.unparse(node.right)
        return None if formula.names(power) or constants_of(power) else left ** float(formula.evaluate(power, {}))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        if node.func.id in ("absolute", "minimum", "maximum"):
            return _alike(node.args, ones, zeros)
        argument = 1.0 if _zero(node.args[0], zeros) else in_si(node.args[0], ones, zeros)
        if node.func.id == "sqrt":
            return None if argument is None else math.sqrt(argument)
        return 1.0 if argument is not None and same(argument, 1.0) else None
    if isinstance(node, ast.Compare):
        return None if _alike((node.left, *node.comparators), ones, zeros) is None else 1.0
    return None


def _alike(parts: Iterable[ast.expr], ones: Mapping[str, float], zeros: frozenset[str]) -> float | None:
    """Return what one of each of these parts is in SI, None where they differ; zero is zero in any unit."""
    found = [(in_si(part, ones, zeros), _zero(part, zeros)) for part in parts]
    if any(one is None for one, _ in found):
        return None
    counting = [one for one, zero in found if one is not None and not zero]
    return (counting[0] if all(same(one, counting[0]) for one in counting) else None) if counting else 1.0


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


def constant_unit(name: str, base: Base) -> float:
    """Return what one unit of a named constant is in SI."""
    return base.of(Dimension(*NAMED[name].dimension))


@lru_cache(maxsize=2048)
def constants_of(text: str) -> tuple[str, ...]:
    """Return the named constants of an equation."""
    found = (node.id for node in ast.walk(formula.parse(text)) if isinstance(node, ast.Name) and node.id in NAMED)
    return tuple(dict.fromkeys(found))


def typed_angles(text: str, angles: frozenset[str], gives_angle: bool) -> frozenset[str]:
    """Return the angles that stand only where a calculator takes degrees: in a sine, or beside another angle."""
    loose: set[str] = set()

    def look(node: ast.AST, inside: bool) -> None:
        if isinstance(node, ast.Name):
            if node.id in angles and not inside:
                loose.add(node.id)
        elif isinstance(node, ast.Call):
            trig = isinstance(node.func, ast.Name) and node.func.id in ("sin", "cos", "tan")
            for argument in node.args:
                look(argument, (trig or inside) and is_angle(argument, angles))
        else:
            for part in ast.iter_child_nodes(node):
                look(part, inside)

    tree = formula.parse(text)
    look(tree, gives_angle and is_angle(tree, angles))
    return angles - loose


def is_angle(node: ast.AST, angles: frozenset[str]) -> bool:
    """Tell whether a part of an equation is an angle by itself, so that degrees may stand in it."""
    if isinstance(node, ast.Name):
        return node.id in angles
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id == "atan" or (
            node.func.id in ("absolute", "minimum", "maximum") and all(is_angle(part, angles) for part in node.args)
        )
    if isinstance(node, ast.UnaryOp):
        return is_angle(node.operand, angles)
    if isinstance(node, ast.BinOp):
        sides = [is_angle(side, angles) for side in (node.left, node.right)]
        numbers = [isinstance(side, ast.Constant) for side in (node.left, node.right)]
        if isinstance(node.op, (ast.Add, ast.Sub)):
            return all(sides)
        if isinstance(node.op, ast.Mult):
            return (sides[0] and numbers[1]) or (numbers[0] and sides[1])
        return isinstance(node.op, ast.Div) and sides[0] and numbers[1]
    return False
