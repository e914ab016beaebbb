"""The door for a terminal and for a program: the same steps and jobs as on the pages, as text or as JSON.

A page never comes through here, so nothing of this is imported for one.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from calc import alive, damper_list, tables
from calc.answers import steps as step_answers
from calc.bridge import LARGEST_REQUEST, RequestError
from calc.errors import FieldError, HandbookError, InputError
from calc.json_text import read_json
from calc.quantity import Declared, Display, Quantity, Table
from calc.step import Outcome, Step, all_steps, find, run

if TYPE_CHECKING:
    from calc.rig.rig import Rig

# --- the machine door ------------------------------------------------------------------------------------------------------


def machine_answer(step: Step, outcome: Outcome) -> dict[str, Any]:
    """Return a step's outcome for a program."""
    from calc.sheet import step_working

    chart = None
    if step.chart is not None:
        from calc.quantity import SHOP

        drawn = step.chart(outcome.values, SHOP)
        chart = {"title": drawn.title, "description": drawn.description}
    return {
        "step": step.name,
        "results": {
            item: {
                "value": outcome.values[item],
                "unit": step_answers.si_unit(declared.is_a) if isinstance(declared.is_a, Quantity) else "",
                "plus_minus": outcome.plus_minus.get(item, 0.0),
            }
            for item, declared in step.results.items()
            if outcome.values[item] is not None
        },
        "findings": [step_answers.finding_answer(item) for item in outcome.findings],
        "working": step_working.working_texts(step, outcome),
        "chart": chart,
    }


def _given(step: Step, given: Mapping[str, Any]) -> tuple[dict[str, Any], list[FieldError]]:
    from calc.quantity import read_cell, read_row

    values: dict[str, Any] = {}
    errors: list[FieldError] = []
    for key, value in given.items():
        declared = step.inputs.get(key)
        if declared is None:
            errors.append(FieldError(key, f"“{key}” is not an input of this step.", allowed=_inputs_sentence(step)))
            continue
        try:
            if isinstance(declared.is_a, Table):
                if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
                    raise FieldError(key, f"{declared.is_a.label} must be a list of rows.")
                cells = [
                    {column: _cell_text(cell, declared.is_a.columns().get(column)) for column, cell in row.items()}
                    for row in value
                ]
                values[key] = tuple(read_row(declared.is_a, row, key, index, _SI) for index, row in enumerate(cells))
            elif isinstance(value, str):
                values[key] = read_cell(declared, value, key, _SI)
            elif value is not None:
                values[key] = float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value
        except FieldError as error:
            errors.append(error)
    return values, errors


def _cell_text(value: Any, declared: Declared | None) -> str:
    """A number in a row is SI: written with its SI unit it passes the same reader as a typed text."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or declared is None:
        return "" if value is None else str(value)
    if isinstance(declared.is_a, Quantity):
        unit = declared.is_a.kind.metric
        from calc.units import from_si

        return f"{from_si(float(value), unit):.12g} {unit.symbol}".strip()
    return str(value)


# Bare numbers typed as text through the machine door are in the metric display's units.
_SI = Display("metric")


def _inputs_sentence(step: Step) -> str:
    return f"Its inputs are: {', '.join(step.inputs)}."


# --- the command line ------------------------------------------------------------------------------------------------------

DONE, BAD_INPUT = 0, 2


def command(name: str, words: Sequence[str], stdin: TextIO, stdout: TextIO) -> int:
    """Carry out `steps`, `step`, `choose`, `quote` or `prove` for a terminal or a program; return the exit code.

    With `--json` the answer is JSON, bad input too: `{"errors": [{"field", "message"}]}` and exit code 2.
    Work that takes long shows that on standard error: on a terminal, and with `--progress` anywhere.
    Without it what is wrong is told on standard error, so that a file never holds it in place of an answer.
    """
    given = [word for word in words if word not in ("--json", "--progress")]
    with alive.shown(sys.stderr, always="--progress" in words):
        answer, text, code = answered(name, given, stdin)
    if "--json" in words:
        stdout.write(json_text(answer))
    else:
        (sys.stderr if code == BAD_INPUT else stdout).write(printable(text))
    return code


def answered(name: str, words: Sequence[str], stdin: TextIO) -> tuple[Any, str, int]:
    """Return a command's answer as data and as text, and its exit code; what is wrong is told in both, too."""
    try:
        return _COMMANDS[name](words, stdin)
    except InputError as problem:
        return _bad((error.field, error.message()) for error in problem.errors)
    except FieldError as error:
        return _bad([(error.field, error.message())])
    except HandbookError as problem:
        return _bad([("", str(problem))])


def json_text(answer: Any) -> str:
    """Return an answer as JSON text that a terminal only shows: sorted, finite."""
    return escaped(json.dumps(answer, sort_keys=True, ensure_ascii=False, allow_nan=False, indent=2)) + "\n"


# What a terminal would obey and not show, and half a character, which no output can carry.
_OBEYED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]|\r(?!\n)"
)


def printable(text: str) -> str:
    """Return a text that a terminal only shows: what it would obey comes as its number.

    >>> printable("a" + chr(27) + "[2Jb") == "a" + chr(92) + "x1b[2Jb"
    True
    """
    return _OBEYED.sub(lambda found: f"\\x{ord(found[0]):02x}", text)


def escaped(text: str) -> str:
    """Return JSON text in which such characters are written as JSON writes them: it says the same."""
    return _OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _rig(path: str) -> Rig:
    """Read a rig file; what of it is left out is told on standard error."""
    from calc.rig.file import read_rig, unknown

    rig = read_rig(_file(path))
    told = unknown(rig)
    if told:
        sys.stderr.write(printable(f"{path}: {told}\n"))
    return rig


def _bad(errors: Iterable[tuple[str, str]]) -> tuple[dict[str, Any], str, int]:
    found = [{"field": field, "message": message} for field, message in errors]
    text = "".join(
        f"{item['field']}: {item['message']}\n" if item["field"] else f"{item['message']}\n" for item in found
    )
    return {"errors": found}, text, BAD_INPUT


def _steps_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    _no_more(words)
    return [step_answers.describe(step) for step in all_steps()], step_answers.steps(), DONE


def _step_command(words: Sequence[str], stdin: TextIO) -> tuple[Any, str, int]:
    name, rest = _first(words, "Name the step, as `steps` lists it.")
    _no_more(rest)
    step = find(name)
    given = _json_object(stdin.read(LARGEST_REQUEST + 1), "Standard input")
    values, errors = _given(step, given)
    if errors:
        raise InputError(errors)
    outcome = run(step, values)
    return machine_answer(step, outcome), step_answers.outcome(step, outcome), DONE


def _choose_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    from calc.answers import order, order_data

    path, rest = _first(words, "Name the rig file.")
    own, over = _lists(rest)
    springs = tables.assortment_springs() if own is None else _own_springs(own)
    rig = _rig(path)
    if over is not None:
        from calc.answers import dampers as damper_answers

        dampers = _own_dampers(over) if over else tables.assortment_dampers()
        return (
            damper_answers.bodies_data(rig, dampers, springs),
            damper_answers.bodies_text(rig, dampers, springs),
            DONE,
        )
    return order_data.order_data(rig, springs), order.order_text(rig, springs), DONE


def _lists(words: Sequence[str]) -> tuple[str | None, str | None]:
    """Return the spring list and the damper list that are named; a damper list of no name is the handbook's own."""
    found: dict[str, str] = {}
    rest = list(words)
    while rest:
        name = rest.pop(0)
        value = rest.pop(0) if rest and not rest[0].startswith("--") else ""
        if name not in ("--springs", "--dampers") or name in found or (name == "--springs" and not value):
            raise RequestError(
                f"“{' '.join(words)}” is not understood; there is only --springs FILE and --dampers [FILE]."
            )
        found[name] = value
    return found.get("--springs"), found.get("--dampers")


def _own_springs(path: str) -> tables.Springs:
    listed = tables.read_spring_list(tables.decode(_bytes(path)))
    _refuse_faults(path, listed.problem, listed.errors, listed.error_count)
    return listed.springs


def _own_dampers(path: str) -> tables.Dampers:
    listed = damper_list.read_damper_list(tables.decode(_bytes(path), "damper"))
    _refuse_faults(path, listed.problem, listed.errors, listed.error_count)
    return listed.dampers


def _refuse_faults(path: str, problem: str, errors: Sequence[tables.CellError], count: int) -> None:
    if problem:
        raise RequestError(problem)
    if errors:
        told = "\n".join(error.text() for error in errors[:20])
        raise RequestError(f"{path}: {count:,} {'cell' if count == 1 else 'cells'} cannot be used.\n{told}")


def _sheet_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    from calc.answers import build_sheet
    from calc.order import order, recording
    from calc.rig.file import rig_to_data, write_rig
    from calc.rig.readings import check_date

    path, rest = _first(words, "Name the rig file.")
    flags = ("--csv", "--order")
    own, day, to = _named([word for word in rest if word not in flags], ("--springs", "--date", "--order-to"))
    springs = tables.assortment_springs() if own is None else _own_springs(own)
    made = order.order(_rig(path), springs)
    today = day or datetime.now().astimezone().date().isoformat()
    if "--order" in rest or to is not None:
        ordered = recording.recorded(made, check_date(today, "--date"))
        if to is None:
            return rig_to_data(ordered), write_rig(ordered), DONE
        _write(to, write_rig(ordered))
        return {"ordered": today, "written": to}, f"Ordered on {today}: written to {to}.\n", DONE
    found = recording.sheet_in_force(made, today)
    if found is None:
        missing = [f"no set is chosen for the {item.axle}" for item in made.axles if item.chosen is None]
        raise RequestError(f"There is no build sheet yet: {'; '.join(missing)}. `choose` says what is missing.")
    as_csv = "--csv" in rest
    text = build_sheet.sheet_csv(found) if as_csv else build_sheet.sheet_text(found)
    return build_sheet.sheet_data(found), text, DONE


def _compare_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    from calc.answers import compare
    from calc.order import order

    path, rest = _first(words, "Name the rig file.")
    other, rest = _first(rest, "Name the other rig file too, behind the first.")
    (own,) = _named(rest, ("--springs",))
    springs = tables.assortment_springs() if own is None else _own_springs(own)
    rigs = [_rig(one) for one in (path, other)]
    names = [rig.name or Path(one).stem for rig, one in zip(rigs, (path, other), strict=True)]
    here, there = (order.order(rig, springs) for rig in rigs)
    found = compare.compared(here, there, (names[0], names[1] if names[1] != names[0] else f"{names[1]}, the other"))
    return compare.compared_data(found), compare.compared_text(found), DONE


def _named(words: Sequence[str], names: Sequence[str]) -> list[str | None]:
    """Return the values of named options, each at most once and followed by its value."""
    found: dict[str, str] = {}
    rest = list(words)
    while rest:
        name = rest.pop(0)
        if name not in names or name in found or not rest:
            raise RequestError(
                f"“{' '.join(words)}” is not understood; there is only {' and '.join(names)}, with a value."
            )
        found[name] = rest.pop(0)
    return [found.get(name) for name in names]


def _quote_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    from calc.answers import quote as quote_answers
    from calc.quote import file as quote

    path, rest = _first(words, "Name the quote file.")
    _no_more(rest)
    read = quote.read_quote(_file(path))
    return quote_answers.quote_data(read), quote_answers.quote_text(read), DONE


def _prove_command(words: Sequence[str], _stdin: TextIO) -> tuple[Any, str, int]:
    from calc.answers import prove
    from calc.rig.readings import read_measurements

    path, rest = _first(words, "Name the rig file.")
    measured, rest = _first(rest, "Name the measurements file too, behind the rig file.")
    springs, own = tables.assortment_springs(), _option(rest, "--springs")
    if own is not None:
        springs = _own_springs(own)
    rig, proofs = _rig(path), read_measurements(_file(measured))
    return prove.answer_data(rig, springs, proofs), prove.answer_text(rig, springs, proofs), DONE


_COMMANDS: dict[str, Callable[[Sequence[str], TextIO], tuple[Any, str, int]]] = {
    "steps": _steps_command,
    "step": _step_command,
    "choose": _choose_command,
    "sheet": _sheet_command,
    "compare": _compare_command,
    "quote": _quote_command,
    "prove": _prove_command,
}


def _first(words: Sequence[str], missing: str) -> tuple[str, Sequence[str]]:
    if not words:
        raise RequestError(missing)
    return words[0], words[1:]


def _option(words: Sequence[str], name: str) -> str | None:
    if not words:
        return None
    if len(words) == 2 and words[0] == name:
        return words[1]
    raise RequestError(f"“{' '.join(words)}” is not understood; there is only {name} FILE.")


def _no_more(words: Sequence[str]) -> None:
    if words:
        raise RequestError(f"“{' '.join(words)}” is not understood.")


def _bytes(path: str) -> bytes:
    try:
        with Path(path).open("rb") as file:
            return file.read(LARGEST_REQUEST + 1)
    except OSError as problem:
        raise RequestError(f"{path} cannot be read: {problem.strerror}.") from None


def _write(path: str, text: str) -> None:
    try:
        Path(path).write_text(text, encoding="utf-8")
    except OSError as problem:
        raise RequestError(f"{path} cannot be written: {problem.strerror}.") from None


def _file(path: str) -> str:
    try:
        return _bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RequestError(f"{path} is not a text file.") from None


def _json_object(text: str, where: str) -> dict[str, Any]:
    if len(text) > LARGEST_REQUEST:
        raise RequestError(f"{where} holds more than the handbook reads at once.")
    try:
        found = read_json(text)
    except ValueError:
        raise RequestError(
            f'{where} is not JSON. A step takes an object, such as {{"spring_rate": "250 lb/in"}}.'
        ) from None
    if not isinstance(found, dict):
        raise RequestError(f'{where} is not a JSON object, such as {{"spring_rate": "250 lb/in"}}.')
    return found
