"""What every section of the rig page is made from, and the small parts that they share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from html import escape

from calc.memo import Memo
from calc.order.findings import count, worst
from calc.order.order import Order
from calc.quantity import Display, Quantity
from calc.rig import axle as axles
from calc.rig.rig import Rig
from calc.sheet import markup, step_working
from calc.step import Finding, Outcome

_FEW = 4


@dataclass(frozen=True, kw_only=True)
class Said:
    """A section's answer, or what it needs, with the state for its heading and the HTML of its body.

    `outcomes` are the steps that were run for it, whose working can be read behind a line below.
    """

    answer: str = ""
    need: str = ""
    state: str = ""
    body: str = ""
    outcomes: Sequence[tuple[str, Outcome | None]] = ()


@dataclass(frozen=True, kw_only=True)
class View:
    """What every section is made from: the rig as completed, its order, the reader's units, and a prefix for ids."""

    order: Order
    display: Display
    prefix: str = ""

    @property
    def rig(self) -> Rig:
        """The rig with what its rear takes over from its front."""
        return self.order.rig


def facts(rows: Iterable[tuple[str, str, str]]) -> str:
    """Return a list of smaller results: what, how much, how sure."""
    lines = "".join(markup.fact(label, text, doubt) for label, text, doubt in rows)
    return f'<dl class="hb-facts">{lines}</dl>' if lines else ""


def fact(outcome: Outcome, name: str, display: Display, label: str = "") -> tuple[str, str, str]:
    """Return a result of a step as a line of such a list."""
    quantity, value = outcome.step.quantity(name), outcome.values[name]
    printed = display.doubt(value, outcome.plus_minus.get(name, 0.0), quantity, name)
    return label or quantity.label, display.text(value, quantity, name), printed


def doubt_of(rig: Rig, key: str) -> float:
    """Return the plus-minus of one of the rig's values; 0 while it is not known."""
    known = rig.known(key)
    return 0.0 if known is None else known.plus_minus


_worked: Memo[str] = Memo()


def working(outcomes: Iterable[tuple[str, Outcome | None]], display: Display) -> str:
    """Return the working of some steps behind a line of its own."""
    blocks = [
        (f"<h4>{escape(name)}</h4>" if name else "") + _lines(name, outcome, display)
        for name, outcome in outcomes
        if outcome is not None
    ]
    return f'<details class="hb-open"><summary>Working</summary>{"".join(blocks)}</details>' if blocks else ""


def _lines(name: str, outcome: Outcome, display: Display) -> str:
    return _worked.of(
        outcome.values,
        display,
        make=lambda: step_working.working_lines(outcome.step, outcome, display),
        place=(name, outcome.step.name),
    )


def both(texts: Iterable[tuple[str, str]]) -> str:
    """Join what is said of front and rear: "755 lb front, 657 lb rear"."""
    return ", ".join(f"{text} {axle}" for axle, text in texts)


def labelled(findings: Iterable[Finding], axle: str) -> Iterable[Finding]:
    """Give the findings of an axle with its name in front."""
    return (
        replace(finding, text=f"{axle.capitalize()}: {finding.text[:1].lower()}{finding.text[1:]}")
        for finding in findings
    )


def needed(keys: Iterable[str]) -> str:
    """Return what is missing as a short sentence: the first three, and how many more."""
    # A comma inside a label would read like the next of the list.
    names = [axles.label(key).replace(", ", " ") for key in keys]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"Needs {', '.join(names[:3])}{more}" if names else ""


def told(findings: Iterable[Finding]) -> str:
    """Return the list of findings: what needs a look first, and many that hold behind a line of their own."""
    every = list(findings)
    held = [finding for finding in every if finding.state == "holds"]
    if len(held) <= _FEW:
        return markup.findings(every)
    rest = markup.findings(finding for finding in every if finding.state != "holds")
    return (
        f'{rest}<details class="hb-open"><summary>{count(len(held), "check")} hold</summary>'
        f"{markup.findings(held)}</details>"
    )


def state_of(findings: Iterable[Finding], missing: Iterable[str]) -> str:
    """Return the worst state of a section; what holds for one axle only is not checked for the rig."""
    found = worst(findings)
    return "not checked" if found in ("", "holds") and tuple(missing) else found


def unchecked(rule: str, text: str) -> Finding:
    """Return what could not be checked, and what it needs."""
    return Finding(rule=rule, state="not checked", text=text)


def text_of(view: View, value: float, quantity: Quantity, decimals: int | None = None) -> str:
    """Return a value with its unit in the reader's units."""
    return view.display.text(value, quantity, decimals=decimals)
