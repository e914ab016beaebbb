"""Equations as text: one text is evaluated, shown with symbols, and shown again with numbers.

The text is a Python expression of names, numbers, + - * / **, comparisons, `and`, `or`, `not`
and a few functions; a choice is compared with a text, as in `axle_kind == "solid"`.
Nothing else is understood, so an equation can hold no surprise.
"""

from __future__ import annotations

import ast
import itertools
import math
import operator
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from html import escape
from typing import Any

import numpy as np

from calc.constants import NAMED
from calc.errors import UnknownNameError


def erfc(value: Any) -> Any:
    """Return the complementary error function of a number or of each of an array.

    >>> round(float(erfc(0.5)), 12)
    0.479500122187
    """
    return np.vectorize(math.erfc, otypes=[np.float64])(value)[()]


_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "sqrt": np.sqrt,
    "cos": np.cos,
    "sin": np.sin,
    "tan": np.tan,
    "atan": np.arctan,
    "exp": np.exp,
    "log": np.log,
    "erfc": erfc,
    "absolute": np.abs,
    "minimum": np.minimum,
    "maximum": np.maximum,
}
_TAKES_TWO = ("minimum", "maximum")
# The browser's Python has little room for what nests: both are far above what any equation needs.
_LONGEST, _DEEPEST = 500, 20
_CONSTANTS: dict[str, float] = {"pi": math.pi, **{name: constant.value for name, constant in NAMED.items()}}
_UNARY: dict[type[ast.unaryop], Callable[[Any], Any]] = {
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
    ast.Not: operator.not_,
}


def _power(base: Any, exponent: Any) -> Any:
    found = operator.pow(base, exponent)
    if isinstance(found, complex):
        raise FloatingPointError("A number below 0 has no such power.")
    return found


_BINARY: dict[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: _power,
}
_COMPARING: dict[type[ast.cmpop], Callable[[Any, Any], Any]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
}
_SIGNS = {ast.Lt: "&lt;", ast.LtE: "≤", ast.Gt: "&gt;", ast.GtE: "≥", ast.Eq: "="}


@lru_cache(maxsize=512)
def parse(text: str) -> ast.expr:
    """Return the syntax tree of an equation's text. Raises UnknownNameError for what equations do not have."""
    if len(text) > _LONGEST:
        raise UnknownNameError(f"The equation is too long ({len(text)} characters).")
    if max(itertools.accumulate(text, lambda depth, sign: depth + (sign == "(") - (sign == ")"), initial=0)) > _DEEPEST:
        raise UnknownNameError(f"The equation {text!r} has too many brackets inside each other.")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
        _check(tree, text)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise UnknownNameError(f"The equation {text!r} cannot be read.") from None
    return tree


_OPERATORS = (*_BINARY, *_UNARY, ast.And, ast.Or, *_COMPARING)


def _check(node: ast.AST, text: str) -> None:
    allowed = (ast.BinOp, ast.UnaryOp, ast.Compare, ast.BoolOp, ast.Name, ast.Constant, ast.Call)
    operators: list[ast.AST] = list(node.ops) if isinstance(node, ast.Compare) else [getattr(node, "op", ast.Add())]
    if not isinstance(node, allowed) or not all(isinstance(sign, _OPERATORS) for sign in operators):
        raise UnknownNameError(f"The equation {text!r} uses something that equations do not have.")
    if isinstance(node, ast.Constant):
        number = isinstance(node.value, (int, float)) and not isinstance(node.value, bool)
        if not number or not abs(node.value) < 1e300:  # type: ignore[arg-type]  # a number, as the line above says
            raise UnknownNameError(f"The equation {text!r} holds a constant that is not a number.")
        return
    if isinstance(node, ast.Call):
        if not isinstance(node.func, ast.Name) or node.func.id not in _FUNCTIONS or node.keywords:
            raise UnknownNameError(f"The equation {text!r} calls a function that equations do not have.")
        if len(node.args) != (2 if node.func.id in _TAKES_TWO else 1):
            raise UnknownNameError(f"The equation {text!r} gives {node.func.id} the wrong number of values.")
    for part in _parts(node):
        _check(part, text)


def _parts(node: ast.AST) -> list[ast.expr]:
    if isinstance(node, ast.Call):
        return node.args
    if isinstance(node, ast.BinOp):
        return [node.left, node.right]
    if isinstance(node, ast.UnaryOp):
        return [node.operand]
    if isinstance(node, ast.Compare):
        # The one place where a text may stand: behind an equals sign, as the value of a choice.
        choices = zip(node.ops, node.comparators, strict=True)
        return [node.left, *(part for sign, part in choices if not (isinstance(sign, ast.Eq) and _is_text(part)))]
    return node.values if isinstance(node, ast.BoolOp) else []


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


@lru_cache(maxsize=2048)
def names(text: str) -> tuple[str, ...]:
    """Return the names an equation uses, in order, without functions and constants.

    >>> names("tender_rate * main_rate / (tender_rate + main_rate)")
    ('tender_rate', 'main_rate')
    """
    found: dict[str, None] = {}

    def look(node: ast.expr) -> None:
        if isinstance(node, ast.Name) and node.id not in _CONSTANTS:
            found[node.id] = None
        for part in _parts(node):
            look(part)

    look(parse(text))
    return tuple(found)


@lru_cache(maxsize=512)
def conditions(text: str) -> tuple[str, ...]:
    """Return the parts of a condition that must all be true.

    >>> conditions("stack_kind == 'ring' and preload >= 0")
    ("stack_kind == 'ring'", 'preload >= 0')
    """
    node = parse(text)
    parts = node.values if isinstance(node, ast.BoolOp) and isinstance(node.op, ast.And) else [node]
    return tuple(found for part in parts for found in ([text] if part is node else conditions(ast.unparse(part))))


def evaluate(text: str, values: Mapping[str, Any]) -> Any:
    """Evaluate an equation. Raises UnknownNameError when a value is missing.

    >>> float(evaluate("sqrt(a**2 + b**2)", {"a": 3.0, "b": 4.0}))
    5.0
    """
    try:
        return _working(text)(values)
    except KeyError as absent:
        raise UnknownNameError(f"The equation needs {absent.args[0]}, which is not known here.") from None


Work = Callable[[Mapping[str, Any]], Any]
# An equation that gives a name, and the condition under which it does ("" for always).
Line = tuple[str, str]


class OnTheWay(dict[str, Any]):
    """Values that are known, and what equations make of them, each worked out when it is asked for.

    >>> OnTheWay({"area": (("width**2", "shape == 'square'"),)}, {"width": 3.0, "shape": "square"})["area"]
    9.0
    """

    def __init__(self, lines: Mapping[str, tuple[Line, ...]], given: Mapping[str, Any]) -> None:
        super().__init__({name: value for name, value in given.items() if value is not None})
        self._lines = lines

    def __missing__(self, name: str) -> Any:
        for text, when in self._lines.get(name, ()):
            if not when or evaluate(when, self):
                return self.setdefault(name, evaluate(text, self))
        raise KeyError(name)


@lru_cache(maxsize=2048)
def _working(text: str) -> Work:
    """An equation is read once and worked out many times: at every edit, for every input moved by its uncertainty."""
    return _work(parse(text))


def _work(node: ast.expr) -> Work:
    if isinstance(node, ast.Constant):
        # Floats only: whole numbers to a high power would run without end.
        constant = node.value if isinstance(node.value, str) else float(node.value)  # type: ignore[arg-type]  # see _check
        return lambda _values: constant
    if isinstance(node, ast.Name):
        return partial(_constant, node.id) if node.id in _CONSTANTS else operator.itemgetter(node.id)
    if isinstance(node, ast.UnaryOp):
        sign, inner = _UNARY[type(node.op)], _work(node.operand)
        return lambda values: sign(inner(values))
    if isinstance(node, ast.BinOp):
        operation, left, right = _BINARY[type(node.op)], _work(node.left), _work(node.right)
        return lambda values: operation(left(values), right(values))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        function, given = _FUNCTIONS[node.func.id], [_work(part) for part in node.args]
        return lambda values: function(*(part(values) for part in given))
    if isinstance(node, ast.Compare):
        return _comparison(node)
    if isinstance(node, ast.BoolOp):
        every, parts = isinstance(node.op, ast.And), [_work(part) for part in node.values]
        return partial(_decided, every, parts)
    raise UnknownNameError("The equation uses something that equations do not have.")


def _constant(name: str, values: Mapping[str, Any]) -> Any:
    return values[name] if name in values else _CONSTANTS[name]


def _decided(every: bool, parts: Sequence[Work], values: Mapping[str, Any]) -> Any:
    """The first part that decides is the last one looked at; each element of an array is decided for itself."""
    decided: Any = every
    for part in parts:
        answer = part(values)
        if isinstance(answer, np.ndarray):
            decided = decided & answer if every else decided | answer
        elif bool(answer) is not every:
            return not every
    return decided


def _comparison(node: ast.Compare) -> Work:
    between = itertools.pairwise([_work(part) for part in (node.left, *node.comparators)])
    parts = [_compared(_COMPARING[type(sign)], *sides) for sign, sides in zip(node.ops, between, strict=True)]
    return partial(_decided, True, parts)


def _compared(holds: Callable[[Any, Any], Any], left: Work, right: Work) -> Work:
    return lambda values: holds(left(values), right(values))


@dataclass(frozen=True)
class Printed:
    """How one name is printed in an equation: MathML, and whether it must be bracketed under a power."""

    mathml: str
    compound: bool = False


@lru_cache(maxsize=2048)
def symbol_mathml(symbol: str) -> str:
    """Return the MathML of a symbol such as `k_t`, `ΔF` or `L_0,t`: what follows the underscore is its index.

    >>> symbol_mathml("k_t")
    '<msub><mi>k</mi><mi>t</mi></msub>'
    """
    base, _, index = symbol.partition("_")
    head = f"<mi>{escape(base)}</mi>"
    if not index:
        return head
    return f"<msub>{head}{_index_mathml(index)}</msub>"


def _index_mathml(index: str) -> str:
    if index.isdigit():
        return f"<mn>{index}</mn>"
    return f"<mi>{escape(index)}</mi>" if len(index) == 1 else f"<mtext>{escape(index)}</mtext>"


_CONSTANT_SYMBOLS = {
    "pi": "<mi>π</mi>",
    **{name: symbol_mathml(constant.symbol) for name, constant in NAMED.items()},
}

# How strongly an operation binds, so that brackets stand only where they are needed. Only an atom takes a power as it is.
_SUM, _PRODUCT, _SIGN, _POWER, _ATOM = range(1, 6)


def mathml(text: str, symbols: Mapping[str, Printed], times: bool = False) -> str:
    """Return an equation's MathML (the inside of a <math> element).

    `symbols` says how each name is printed: its symbol, or its number with a unit.
    With `times` products are written with ×, as between numbers.
    """
    printed = _pieces(text, tuple((name, symbol.compound) for name, symbol in symbols.items()), times)
    return "".join(symbols[piece].mathml if place % 2 else piece for place, piece in enumerate(printed))


# Stands where a name will be printed; no equation and no escaped text has it.
_MARK = "\0"


@lru_cache(maxsize=2048)
def _pieces(text: str, names: tuple[tuple[str, bool], ...], times: bool) -> tuple[str, ...]:
    """Return an equation's MathML in pieces, every second one a name: only what stands for the names changes at an edit."""
    marked = {name: Printed(f"{_MARK}{name}{_MARK}", compound) for name, compound in names}
    return tuple(_print(parse(text), marked, times)[0].split(_MARK))


def _row(*parts: str) -> str:
    return "<mrow>" + "".join(parts) + "</mrow>"


def _bracket(inner: str) -> str:
    return _row("<mo>(</mo>", inner, "<mo>)</mo>")


def _print(node: ast.expr, symbols: Mapping[str, Printed], times: bool) -> tuple[str, int]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return f"<mtext>{escape(node.value)}</mtext>", _ATOM
    if isinstance(node, ast.Constant):
        return f"<mn>{float(node.value):g}</mn>", _ATOM  # type: ignore[arg-type]  # _check lets numbers only pass
    if isinstance(node, ast.Name):
        if node.id in symbols:
            printed = symbols[node.id]
            return printed.mathml, _PRODUCT if printed.compound else _ATOM
        return _CONSTANT_SYMBOLS.get(node.id) or f"<mi>{escape(node.id)}</mi>", _ATOM
    if isinstance(node, ast.UnaryOp):
        inner, level = _print(node.operand, symbols, times)
        if isinstance(node.op, ast.Not):
            return _row("<mtext>not&#160;</mtext>", _bracket(inner)), _SUM
        if isinstance(node.op, ast.UAdd):
            return inner, level
        return _row("<mo>−</mo>", inner if level >= _PRODUCT else _bracket(inner)), _SIGN
    if isinstance(node, ast.BinOp):
        return _print_operation(node, symbols, times)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return _print_call(node, node.func.id, symbols, times), _ATOM
    if isinstance(node, ast.Compare):
        parts = [_print(node.left, symbols, times)[0]]
        for sign, part in zip(node.ops, node.comparators, strict=True):
            parts += [f"<mo>{_SIGNS[type(sign)]}</mo>", _print(part, symbols, times)[0]]
        return _row(*parts), _SUM
    if isinstance(node, ast.BoolOp):
        word = "<mtext>&#160;and&#160;</mtext>" if isinstance(node.op, ast.And) else "<mtext>&#160;or&#160;</mtext>"
        return _row(word.join(_print(part, symbols, times)[0] for part in node.values)), _SUM
    raise UnknownNameError("The equation cannot be printed.")


def _print_operation(node: ast.BinOp, symbols: Mapping[str, Printed], times: bool) -> tuple[str, int]:
    left, left_level = _print(node.left, symbols, times)
    right, right_level = _print(node.right, symbols, times)
    match node.op:
        case ast.Div():
            return f"<mfrac>{_row(left)}{_row(right)}</mfrac>", _PRODUCT if times else _POWER
        case ast.Pow():
            base = left if left_level == _ATOM else _bracket(left)
            return f"<msup>{_row(base)}{_row(right)}</msup>", _POWER
        case ast.Mult():
            left = left if left_level >= _PRODUCT else _bracket(left)
            right = right if right_level >= _PRODUCT and right_level != _SIGN else _bracket(right)
            # ⁢ is the invisible times sign: between symbols nothing is written.
            sign = "<mo>×</mo>" if times or isinstance(node.right, ast.Constant) else "<mo>&#8290;</mo>"
            return _row(left, sign, right), _PRODUCT
        case _:
            sign = "<mo>+</mo>" if isinstance(node.op, ast.Add) else "<mo>−</mo>"
            low = right_level == _SUM and isinstance(node.op, ast.Sub)
            right = _bracket(right) if low or right_level == _SIGN else right
            return _row(left, sign, right), _SUM


def _print_call(node: ast.Call, name: str, symbols: Mapping[str, Printed], times: bool) -> str:
    arguments = [_print(arg, symbols, times)[0] for arg in node.args]
    if name == "sqrt":
        return f"<msqrt>{arguments[0]}</msqrt>"
    if name == "absolute":
        return _row("<mo>|</mo>", arguments[0], "<mo>|</mo>")
    shown = {"minimum": "min", "maximum": "max", "atan": "arctan", "log": "ln"}.get(name, name)
    return _row(f"<mi>{shown}</mi>", "<mo>&#8289;</mo>", _bracket("<mo>,</mo>".join(arguments)))
