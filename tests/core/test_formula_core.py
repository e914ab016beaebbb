"""Equations as text: what they give, what they print, and that nothing else is let in."""

import math
import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from calc import formula
from calc.errors import UnknownNameError
from calc.formula import Printed, evaluate, mathml, names, symbol_mathml
from calc.step import find, step_names

VALUES = {"a": 3.0, "b": 4.0, "c": -2.0, "kind": "solid"}


def shown(text, symbols=None, times=False):
    """Return the printed equation as a tree and as its bare text, invisible signs left out."""
    tree = ET.fromstring(f"<math>{mathml(text, symbols or {}, times)}</math>")
    return tree, "".join(tree.itertext()).replace("\u2062", "").replace("\u2061", "")


# --- evaluating -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a + b * c", -5.0),
        ("(a + b) * c", -14.0),
        ("a - b - c", 1.0),
        ("a - (b - c)", -3.0),
        ("a / b / 2", 0.375),
        ("-a**2", -9.0),
        ("(-a)**2", 9.0),
        ("2**3**2", 512.0),
        ("a**-1", 1 / 3),
        ("+a", 3.0),
        ("1e3 * a", 3000.0),
        ("pi", math.pi),
        ("gravity", 9.80665),
        ("atmosphere", 101325.0),
        ("sqrt(a**2 + b**2)", 5.0),
        ("cos(0) + sin(0) + tan(0)", 1.0),
        ("atan(1) * 4", math.pi),
        ("exp(log(a))", 3.0),
        ("absolute(c)", 2.0),
        ("minimum(a, b) + maximum(a, b)", 7.0),
    ],
)
def test_values(text, value):
    assert float(evaluate(text, VALUES)) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a < b", True),
        ("a >= b", False),
        ("a < b < 5", True),
        ("a < b < 4", False),
        ("a == 3 and b == 4", True),
        ("a == 3 and b == 5", False),
        ("a == 2 or b == 4", True),
        ("not a > b", True),
        ("not (a < b)", False),
        ('kind == "solid"', True),
        ('kind == "independent"', False),
        ('kind == "solid" and a > 1', True),
    ],
)
def test_conditions(text, value):
    assert evaluate(text, VALUES) is value


def test_arrays_are_taken_element_by_element():
    found = evaluate("sqrt(a**2 + b**2) - minimum(a, b)", {"a": np.array([3.0, 5.0]), "b": np.array([4.0, 12.0])})
    assert found.tolist() == [2.0, 8.0]


def test_a_value_of_the_step_goes_before_a_constant():
    assert evaluate("gravity * a", {"gravity": 2.0, "a": 3.0}) == 6.0


def test_a_missing_value_is_named():
    with pytest.raises(UnknownNameError) as caught:
        evaluate("a + missing", VALUES)
    assert str(caught.value) == "The equation needs missing, which is not known here."


def test_names_in_order_without_functions_and_constants():
    assert names("minimum(b, a) * pi + sqrt(b) * gravity - log(c)") == ("b", "a", "c")
    assert names("sqrt * sqrt(a)") == ("sqrt", "a")
    assert names('kind == "solid" and a > 0') == ("kind", "a")


# --- refusing ---------------------------------------------------------------------------------------------------------

HAS_NOT = "The equation {!r} uses something that equations do not have."
CALLS = "The equation {!r} calls a function that equations do not have."
NOT_NUMBER = "The equation {!r} holds a constant that is not a number."
UNREADABLE = "The equation {!r} cannot be read."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('__import__("os")', CALLS),
        ("eval(a)", CALLS),
        ("f(*a)", CALLS),
        ("sqrt(x=a)", CALLS),
        ("(a)(b)", CALLS),
        ("a.b", HAS_NOT),
        ("().__class__", HAS_NOT),
        ("a[0]", HAS_NOT),
        ("[a]", HAS_NOT),
        ("(a, b)", HAS_NOT),
        ("{a: b}", HAS_NOT),
        ("lambda: a", HAS_NOT),
        ("a if b else c", HAS_NOT),
        ("[a for a in b]", HAS_NOT),
        ("f'{a}'", HAS_NOT),
        ("(a := b)", HAS_NOT),
        ("a % b", HAS_NOT),
        ("a // b", HAS_NOT),
        ("a @ b", HAS_NOT),
        ("a << b", HAS_NOT),
        ("a | b", HAS_NOT),
        ("~a", HAS_NOT),
        ("a != b", HAS_NOT),
        ("a is b", HAS_NOT),
        ("a in b", HAS_NOT),
        ("await a", HAS_NOT),
        ('"text"', NOT_NUMBER),
        ('a + "text"', NOT_NUMBER),
        ('kind < "solid"', NOT_NUMBER),
        ('"a" == "a"', NOT_NUMBER),
        ("True", NOT_NUMBER),
        ("None", NOT_NUMBER),
        ("...", NOT_NUMBER),
        ("1j", NOT_NUMBER),
        ("b'a'", NOT_NUMBER),
        ("1e999", NOT_NUMBER),
        ("1" + "0" * 400, NOT_NUMBER),
        ("", UNREADABLE),
        ("a +", UNREADABLE),
        ("a; b", UNREADABLE),
        ("a = b", UNREADABLE),
        ("import os", UNREADABLE),
        ("a\0b", UNREADABLE),
        ("(" * 21 + "a" + ")" * 21, "The equation {!r} has too many brackets inside each other."),
        ("(" * 240 + "a" + ")" * 240, "The equation {!r} has too many brackets inside each other."),
    ],
)
def test_whatever_is_not_an_equation_is_refused(text, message):
    for use in (formula.parse, names, lambda item: evaluate(item, VALUES), lambda item: mathml(item, {})):
        with pytest.raises(UnknownNameError) as caught:
            use(text)
        assert str(caught.value) == message.format(text)


@pytest.mark.parametrize("text", ["sqrt(a, b)", "sqrt()", "minimum(a)", "maximum(a, b, c)"])
def test_a_function_with_too_many_or_too_few_values_is_refused(text):
    with pytest.raises(UnknownNameError) as caught:
        formula.parse(text)
    assert str(caught.value) == f"The equation {text!r} gives {text.partition('(')[0]} the wrong number of values."


def test_a_text_without_end_is_refused_before_it_is_read():
    with pytest.raises(UnknownNameError) as caught:
        formula.parse("-" * 5000 + "a")
    assert str(caught.value) == "The equation is too long (5001 characters)."


def test_what_is_just_short_enough_is_read():
    assert formula.evaluate("(" * 20 + "a" + ")" * 20, VALUES) == 3.0
    assert formula.evaluate("-" * 100 + "a", VALUES) == 3.0


def test_powers_of_whole_numbers_do_not_run_without_end():
    with pytest.raises(ArithmeticError):
        evaluate("9**9**9", {})


# --- printing ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("a + b", "a+b"),
        ("a - b", "a−b"),
        ("a - (b - c)", "a−(b−c)"),
        ("a - (b + c)", "a−(b+c)"),
        ("(a - b) - c", "a−b−c"),
        ("a + (b - c)", "a+b−c"),
        ("a + -b", "a+(−b)"),
        ("-(a + b)", "−(a+b)"),
        ("-a * b", "−ab"),
        ("a * -b", "a(−b)"),
        ("(a + b) * c", "(a+b)c"),
        ("a * (b * c)", "abc"),
        ("2 * a", "2a"),
        ("a * 2", "a×2"),
        ("(a + b)**2", "(a+b)2"),
        ("(a * b)**2", "(ab)2"),
        ("(-a)**2", "(−a)2"),
        ("(a / b)**2", "(ab)2"),
        ("(a**b)**c", "(ab)c"),
        ("a**b**c", "abc"),
        ("absolute(a - b)", "|a−b|"),
        ("minimum(a, b)", "min(a,b)"),
        ("maximum(a, b)", "max(a,b)"),
        ("atan(a)", "arctan(a)"),
        ("log(a)", "ln(a)"),
        ("cos(a)", "cos(a)"),
        ("a <= b", "a≤b"),
        ("a < b and b >= c", "a<b\u00a0and\u00a0b≥c"),
        ("a > b or b == c", "a>b\u00a0or\u00a0b=c"),
        ("not a > b", "not\u00a0(a>b)"),
        ('kind == "solid"', "kind=solid"),
        ("pi * gravity", "πg"),
        ("+a", "a"),
    ],
)
def test_brackets_stand_where_they_are_needed_and_nowhere_else(text, printed):
    assert shown(text)[1] == printed


def test_fractions_powers_and_roots_have_their_own_shapes():
    tree, _ = shown("sqrt((a + b) / c)**2")
    power = tree.find(".//msup")
    assert power is not None
    assert power[0].find(".//msqrt/mfrac") is not None
    assert len(power) == 2
    fraction = tree.find(".//mfrac")
    assert ["".join(part.itertext()) for part in fraction] == ["a+b", "c"]


def test_numbers_are_multiplied_with_a_sign():
    symbols = {"a": Printed("<mn>250</mn>"), "b": Printed("<mn>450</mn>")}
    assert shown("a * b / (a + b)", symbols, times=True)[1] == "250×450250+450"


def test_a_number_with_its_unit_is_bracketed_under_a_power():
    symbols = {"a": Printed("<mrow><mn>3</mn><mtext>&#160;in</mtext></mrow>", compound=True)}
    assert shown("a**2", symbols, times=True)[1] == "(3\u00a0in)2"
    assert shown("a**2", {"a": Printed("<mn>3</mn>")}, times=True)[1] == "32"


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [
        ("m", "<mi>m</mi>"),
        ("k_t", "<msub><mi>k</mi><mi>t</mi></msub>"),
        ("k_2", "<msub><mi>k</mi><mn>2</mn></msub>"),
        ("L_0,t", "<msub><mi>L</mi><mtext>0,t</mtext></msub>"),
        ("ΔF", "<mi>ΔF</mi>"),
        ("<b>_<i>", "<msub><mi>&lt;b&gt;</mi><mtext>&lt;i&gt;</mtext></msub>"),
    ],
)
def test_symbols(symbol, printed):
    assert symbol_mathml(symbol) == printed


def test_a_name_without_a_symbol_is_printed_as_text_only():
    assert "<script>" not in mathml("a * b", {"a": Printed(symbol_mathml("<script>"))})


def equations():
    return [(name, line) for name in step_names() for line in find(name).equations]


def test_every_equation_of_every_step_is_well_formed_and_holds_its_symbols():
    """MathML is XML here: each tag closed, each sign escaped, each number of children as MathML wants it."""
    children = {"mfrac": 2, "msup": 2, "msub": 2}
    for name, line in equations():
        step = find(name)
        used = names(line.text)
        symbols = {item: Printed(symbol_mathml(step.quantity(item).symbol)) for item in used}
        tree, text = shown(line.text, symbols)
        for node in tree.iter():
            assert re.fullmatch(r"math|mrow|mi|mn|mo|mtext|mfrac|msup|msub|msqrt", node.tag), node.tag
            assert len(node) == children.get(node.tag, len(node)), (name, line.text)
        for item in used:
            assert step.quantity(item).symbol.partition("_")[0] in text, (name, line.text, item)
        if line.when:
            formula.parse(line.when)
