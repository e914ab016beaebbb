"""Equations in a page's prose: TeX between dollar signs, made MathML at build and needing no script to be read."""

from __future__ import annotations

import hashlib
import html
import json
import re
from collections.abc import Mapping
from pathlib import Path

from calc.desk import npm
from calc.desk.places import CACHE
from calc.errors import HandbookError

WRAPPED = re.compile(
    r'<(?P<tag>span|div) class="arithmatex">\\(?:\((?P<inline>.*?)\\\)|\[(?P<block>.*?)\\\])</(?P=tag)>', re.S
)
STYLE = re.compile(r' style="[^"]*"')
CLASS = re.compile(r' class="tml-[^"]*"')


class EquationError(HandbookError):
    """A page's equation cannot be set."""


def set_all(pages: Mapping[str, str]) -> dict[str, str]:
    """Return the HTML of every page with its equations as MathML; one run of Node for all that are new.

    Raises EquationError that names the page and the equation.
    """
    wanted = {
        (_tex(match), bool(match["block"])): page
        for page, content in pages.items()
        for match in WRAPPED.finditer(content)
    }
    if not wanted:
        return dict(pages)
    made = _made(wanted)
    return {
        page: WRAPPED.sub(lambda match: made[_tex(match), bool(match["block"])], content)
        for page, content in pages.items()
    }


def _tex(match: re.Match[str]) -> str:
    return html.unescape(match["inline"] or match["block"]).strip()


def _made(wanted: Mapping[tuple[str, bool], str]) -> dict[tuple[str, bool], str]:
    program = npm.modules() / "temml"
    version = json.loads((program / "package.json").read_text("utf-8"))["version"]
    asked = json.dumps(sorted(wanted))
    kept = CACHE / "equations" / (hashlib.sha256(f"{version} {asked}".encode()).hexdigest()[:32] + ".json")
    if kept.is_file():
        answers = json.loads(kept.read_text("utf-8"))
    else:
        order = [{"tex": tex, "display": display} for tex, display in sorted(wanted)]
        said = npm.node(
            Path(__file__).with_name("temml.mjs"), str(program / "dist" / "temml.mjs"), text=json.dumps(order)
        )
        answers = json.loads(said)
    made: dict[tuple[str, bool], str] = {}
    for (tex, display), answer in zip(sorted(wanted), answers, strict=True):
        if "problem" in answer:
            raise EquationError(f"{wanted[tex, display]}: the equation “{tex}” cannot be set: {answer['problem']}")
        math = _plain(answer["html"])
        made[tex, display] = f'<div class="hb-equation">{math}</div>' if display else math
    if not kept.is_file():
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(json.dumps(answers), "utf-8")
    return made


def _plain(mathml: str) -> str:
    # The policy of a page allows no style attribute, and the classes serve a style sheet that is not shipped.
    return CLASS.sub("", STYLE.sub("", mathml))
