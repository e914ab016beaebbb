"""The words of a US shop: none of those below stands in page text, labels, help, messages or terminal text.

Each pattern is as narrow as the wrong use, so that a hanging wheel, a jack stand or a tire's track stay what they are.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# What is wrong, and what to write instead.
WORDS: dict[str, str] = {
    # Translated words.
    r"\bh[au]ngs? on (?!the trail)": "depends on; hangs from; is bolted to",
    r"\bparts? (?:into|them)\b": "splits into, separates them",
    r"\b(?:takes?|taken|taking) in\b": "absorbs",
    r"\b(?:is|are|was|were|be|never) met\b": "occurs, is reached; or say the range",
    r"\b(?:not|if|is|are|was|as) told\b(?! apart)|\btold (?:above|below|otherwise|in)\b": "given, stated",
    r"\b(?:at|through|from|mean|more than|add up to|counts? for) nothing\b|[;,] nothing (?:where|while|without)\b": "zero",
    r"(?<!decimal )\bplaces\b": "positions, coordinates",
    r"\bits place\b|\bplace of (?:its|the)\b|\b(?:ring|pivot|center)[’']s place\b|\bneeds (?:no|a) place\b": "position",
    r"\bstands\b(?! (?:still|up\b|upright|clear|rated))(?<!on stands)(?<!jack stands)": "sits, is",
    r"\bstand (?:for|at|past|too|over|below|above|as)\b": "sit, be",
    r"\bshall\b": "is to",
    r"\bdoubts?\b|\bdoubtful\b": "uncertainty, ±",
    r"\bturn(?:s|ed)? on\b(?! (?:the|an) (?:engine|light|tires))": "screw down, tighten",
    r"\blet(?:s|ting)? down\b": "aired down",
    r"\bcarried so far\b": "so far",
    r"\bwish(?:es|ed)?\b": "target, what is wanted",
    r"\bdraws\b": "trials",
    r"\bby chance\b": "at random",
    r"\b(?:tires?|wheels?|springs?|axle) behind\b(?! (?:the|it|them|each|one)\b)": "rear",
    r"\bnext to the body\b": "at the adjuster end",
    r"\bwhatever the rest\b": "in every case",
    # Where.
    r"\bin in\b": "one in",
    r"\b(?:at|on) (?:front|rear)\b(?! (?:and|or|axle|wheels?|tires?|springs?|dampers?|corners?))": "at the front, at the rear",
    # US shop words.
    r"\bgear ?box": "transmission",
    r"\bprop(?:eller)?[- ]?shafts?\b": "driveshaft",
    r"\blicences?\b(?!/|\.py|\.md)": "license",
    r"\btyres?\b|\bcentres?\b|\bcolours?\b|\bmetres?\b|\bmoulds?\b|\bwhilst\b": "US spelling",
    r"\bset-ups?\b": "setup",
    r"\bheadlamps?\b": "headlight",
    r"\b(?:usb|memory) sticks?\b|\b(?:a|the) stick\b": "USB drive",
    r"\b(?:steel|load|cargo) tray\b|\bthe tray\b": "bed",
    # What we do not know.
    r"\bnone exists\b|\bno published [a-z ]+ exists?\b": "we know of no published",
}
WRONG = {re.compile(pattern, re.IGNORECASE): better for pattern, better in WORDS.items()}

# Where one of them is right: the file, the words around it, and why.
RIGHT: tuple[tuple[str, str, str], ...] = (
    ("data/terms.csv", "tyre rate", "the reader's word for it, which leads to ours"),
    ("docs/safety.md", "Use stands that are rated", "what carries a raised vehicle"),
    ("docs/steps/raised_axle.md", "of the hoist and its stands", "what carries a raised vehicle"),
)

# What of a text is filled in, or is markup: a gap of a template, a tag with its attributes.
_FILLED = re.compile(r"\{[a-z_.]*\}|<[^<>]*>")
_CODE = re.compile(
    r"\{\{ [\w.]+ \}\}|^(```|~~~).*?^\1|<!--.*?-->|`[^`\n]*`|\]\([^)]*\)|\{[:#][^}]*\}", re.MULTILINE | re.DOTALL
)


def page_text(path: Path) -> str:
    """Return what a Markdown page says: no code, comment, address or attribute."""
    return _CODE.sub(lambda found: "\n" * found[0].count("\n"), path.read_text("utf-8"))


def _names(expression: ast.expr | None) -> list[ast.expr | None]:
    return [] if expression is None else [node for node in ast.walk(expression) if isinstance(node, ast.Constant)]


def _silent(nodes: list[ast.AST]) -> set[int]:
    """Return the strings that nobody reads on a page: docstrings, keys, names of types, and what is written to a log."""
    silent = set()
    for node in nodes:
        parts: list[ast.expr | None] = []
        if isinstance(node, ast.Expr):
            parts = [node.value]
        elif isinstance(node, ast.Subscript):
            parts = [node.slice]
        elif isinstance(node, ast.arg | ast.AnnAssign):
            parts = _names(node.annotation)
        elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and node.targets[0].id == "__all__":
            parts = _names(node.value)
        elif isinstance(node, ast.FunctionDef):
            parts = _names(node.returns)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            of = node.func.value
            parts = list(node.args) if isinstance(of, ast.Name) and of.id in {"logging", "logger", "log", "re"} else []
        silent |= {id(part) for part in parts if isinstance(part, ast.Constant | ast.JoinedStr)}
    return silent


def module_text(source: str) -> str:
    """Return the texts of a module, one a line, a template with its gaps as "{}"; a single small word is a key."""
    tree = ast.parse(source)
    nodes = list(ast.walk(tree))
    silent = _silent(nodes)
    texts = []
    for node in nodes:
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
            text = "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if id(node) not in silent and (" " in text.strip() or text[:1].isupper()):
            texts.append(_FILLED.sub("{}", text))
    return "\n".join(texts)


def wrong_words(where: str, text: str) -> Iterator[str]:
    """Yield what is wrong in a text, with the words around it and what to write instead."""
    for pattern, better in WRONG.items():
        for found in pattern.finditer(text):
            around = text[max(0, found.start() - 40) : found.end() + 40].replace("\n", " ")
            if not any(file == where and words in around for file, words, _ in RIGHT):
                yield f"{where}: “{found[0]}” in “{around}”: {better}"


def _text(name: str) -> str:
    path = ROOT / name
    return module_text(path.read_text("utf-8")) if path.suffix == ".py" else page_text(path)


@pytest.mark.parametrize("files", ["calc/**/*.py", "docs/**/*.md", "data/terms.csv"])
def test_no_text_has_a_word_that_a_shop_would_not_say(files):
    names = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.glob(files))
    wrong = [said for name in names for said in wrong_words(name, _text(name))]
    assert names
    assert not wrong, "\n".join(wrong)


def test_each_exception_is_still_one():
    for file, words, _ in RIGHT:
        assert words in _text(file), f"{file} no longer says “{words}”: take the exception out"


@pytest.mark.parametrize(
    "text",
    [
        "The answer hangs on the weight.",
        "In how many draws it works",
        "At the wheel behind, a turn moves more.",
        "The pad takes in 12 ft·lbf",
        "Whether the gas pressure is told",
        "The rig stands level",
        "A corner shall ride at 1.1 Hz",
        "Rebound at rear",
        "Prop-shaft torque",
        "we leave it at nothing",
    ],
)
def test_a_wrong_word_is_found(text):
    assert list(wrong_words("page", text))


@pytest.mark.parametrize(
    "text",
    [
        "A vehicle on stands or a jack can fall.",
        "The wheel hangs free.",
        "Load and rate told apart",
        "behind the front axle",
        "Nothing to turn",
        "Track, front",
        "a divider that meets the ring",
    ],
)
def test_a_right_word_is_left_alone(text):
    assert not list(wrong_words("page", text))


def test_keys_docstrings_and_gaps_are_no_text():
    source = '"""A wish."""\nx: "Wish" = data["a wish"]\ny = "wish"\nz = f"a {wish} of {1}"\nw = "{wish} <p class=wish>A wish"\n'
    assert sorted(module_text(source).splitlines()) == ["a {} of {}", "{} {}A wish"]
