"""One step of the job: a function and what is said about it.

Nothing in here knows a vehicle. A step is a module in one of the rooms; it holds one typed, keyword-only function in SI
and beneath it `STEP = Step(...)`. Everything else (form, messages, working, findings, tests, practice) is read from those.
"""
# Over 400 lines: a step is declared, run and judged; apart, a rig would walk to and fro between three modules.

from __future__ import annotations

import importlib
import math
import pkgutil
import re
from collections.abc import Callable, Collection, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from calc import alive, formula, units
from calc.errors import ContradictionError, FieldError, HandbookError, InputError, UnknownNameError
from calc.quantity import (
    SHOP,
    Choice,
    Declared,
    Display,
    Quantity,
    Table,
    Text,
    declared_parameters,
    declared_results,
    join_unit,
)

if TYPE_CHECKING:
    from calc.chart import Chart

ROOMS = ("weight", "geometry", "spring", "damper", "ride")

State = Literal["holds", "close", "fails", "not checked"]
Origin = Literal["example", "assumed", "measured", "derived"]
Values = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where a statement comes from: a key of data/sources.toml, the place in it, and how it was read.

    `flag` is "read", "secondary" (quoted by another source), "memory", "practice" (common practice, no source)
    or "derivation" (worked out on the page).
    """

    key: str
    where: str = ""
    flag: Literal["read", "secondary", "memory", "practice", "derivation"] = "memory"


PRACTICE = Source(key="common_practice", flag="practice")


@dataclass(frozen=True, kw_only=True)
class Equation:
    """One line of the working: a result (or a name on the way to it) and the text that gives it.

    `when` is a condition in the same language; a line whose condition is false is left out.
    `quantity` declares a name on the way that is neither an input nor a result.
    """

    result: str
    text: str
    note: str = ""
    when: str = ""
    quantity: Quantity | None = None


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """What inputs must not say together: where `when` is true, `field` is refused.

    `when` is an equation-language text of inputs, of names that the step's equations give and of `given`; where one of
    them is not known, nothing is refused.
    `problem` and `allowed` may hold `{name}` for all of these, which is printed in the reader's units.
    `given` are names that only this refusal has, each with its text and its quantity.
    With `absent` the field is refused only where it is empty, and told as missing if there is no `problem`.
    """

    field: str
    when: str
    problem: str = ""
    allowed: str = ""
    given: tuple[Equation, ...] = ()
    absent: bool = False


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One checked statement: it holds, is close, fails, or was not checked and needs something."""

    rule: str
    state: State
    text: str
    value: float | None = None
    limit: float | None = None


@dataclass(frozen=True, kw_only=True)
class Check:
    """A rule: a value against limits, or a condition, with a sentence for each outcome.

    `value` names an input or a result, or is an equation-language text whose quantity `of` declares; `at_least` and
    `at_most` are names or SI numbers, which count `times` another text where that is given.
    Instead of these, `condition` is an equation-language text that must be true; it holds no limit in numbers.
    `source` says who gives the number that judges.
    The sentences may hold `{name}`, which is printed in the reader's units, `{value}`, and the limit that judged as
    `{limit}`; `{at_least}`, `{at_most}` and `{limits}` (both) print the declared ones, `{share}` and `{factor}` the
    number that counts `times` something, and `{limit_doubt}` its plus-minus, where it has one. A limit stands nowhere
    else: no sentence has it in digits.
    `margin` (SI) makes a value inside that distance of the limit close, as its own plus-minus and that of the limit do.
    `warns` is for a rule whose breach is a caution and not a failure: its worst state is close.
    `needs` names what must be known besides; whatever is missing turns the finding to "not checked",
    with `unchecked` (or the rule's name) as its sentence.
    `when` is a condition on the inputs: a rule that does not apply is left out, which is not the same as not checked.
    """

    rule: str
    holds: str
    fails: str
    close: str = ""
    value: str = ""
    of: Quantity | None = None
    at_least: str | float | None = None
    at_most: str | float | None = None
    times: str = ""
    source: Source | None = None
    condition: str = ""
    margin: float = 0.0
    warns: bool = False
    needs: tuple[str, ...] = ()
    unchecked: str = ""
    when: str = ""

    def names(self) -> tuple[str, ...]:
        """Return every name that the rule needs."""
        limits = tuple(limit for limit in (self.at_least, self.at_most) if isinstance(limit, str))
        judged, *others = (formula.names(text) if text else () for text in (self.value, self.times, self.condition))
        return (*judged, *limits, *self.needs, *(name for names in others for name in names))


@dataclass(frozen=True, kw_only=True)
class Example:
    """Inputs (SI, or texts with a unit) that the page shows, and the results to expect, with who says so.

    `expected` holds results as texts with units ("160.7 lb/in") or SI numbers, each with its tolerance in that unit.
    """

    inputs: Mapping[str, Any]
    expected: Mapping[str, tuple[Any, float]]
    source: Source
    name: str = "Wren"


@dataclass(frozen=True, kw_only=True)
class Practice:
    """A practice problem: a text with `{name}` for the inputs that are varied, and the result that is asked for.

    Each input of `vary` is drawn between these shares of its value in the example: `spread`.
    `astray` holds wrong ways to the answer, each an equation-language text: none of them is taken for right.
    `instead` holds inputs, in SI, that are otherwise than in the example, and that the text says in words.
    """

    text: str
    asks: str
    vary: tuple[str, ...]
    spread: tuple[float, float] = (0.75, 1.30)
    astray: tuple[str, ...] = ()
    instead: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Step:
    """What is said about one function: all that a page, a test or a form needs beyond its signature."""

    function: Callable[..., Any]
    title: str
    question: str
    job: str
    sources: tuple[Source, ...]
    example: Example
    equations: tuple[Equation, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    checks: tuple[Check, ...] = ()
    practice: tuple[Practice, ...] = ()
    chart: Callable[[Values, Display], Chart] | None = None
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    main: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()

    @cached_property
    def name(self) -> str:
        """The step's name: that of its module."""
        return self.function.__module__.rpartition(".")[2]

    @cached_property
    def room(self) -> str:
        """The room that the step stands in."""
        return self.function.__module__.split(".")[-2]

    @cached_property
    def inputs(self) -> Mapping[str, Declared]:
        """The declared inputs, in order."""
        return declared_parameters(self.function)

    @cached_property
    def results(self) -> Mapping[str, Declared]:
        """The declared results, in order."""
        return declared_results(self.function)

    @cached_property
    def main_results(self) -> tuple[str, ...]:
        """The results that are printed largest."""
        return self.main or tuple(self.results)[:3]

    def quantity(self, name: str) -> Quantity:
        """Return the declared quantity of an input, a result or a name on the way. Raises UnknownNameError."""
        found = self._on_the_way.get(name)
        if found is not None:
            return found
        declared = self.inputs.get(name) or self.results.get(name)
        if declared is not None:
            return declared.quantity
        raise UnknownNameError(f"The step {self.name} knows no quantity {name!r}.")

    @cached_property
    def _on_the_way(self) -> Mapping[str, Quantity]:
        """The quantities of the names that are neither inputs nor results."""
        found: dict[str, Quantity] = {}
        for item in (*self.equations, *(item for refusal in self.refusals for item in refusal.given)):
            if item.quantity is not None and item.result not in self.inputs and item.result not in self.results:
                found.setdefault(item.result, item.quantity)
        return found

    @cached_property
    def _lines(self) -> Mapping[str, tuple[formula.Line, ...]]:
        """The equations that give each name, those of the refusals too."""
        found: dict[str, tuple[formula.Line, ...]] = {}
        for item in (*self.equations, *(item for refusal in self.refusals for item in refusal.given)):
            found[item.result] = (*found.get(item.result, ()), (item.text, item.when))
        return found

    def refuse(self, given: Values) -> None:
        """Raise the first refusal that these inputs meet, a function's `locals()`; of arrays, where any element does.

        Raises ContradictionError.
        """
        known = formula.OnTheWay(self._lines, given)
        for refusal in self.refusals:
            if refusal.absent and refusal.field in known:
                continue
            try:
                met = formula.evaluate(refusal.when, known)
            except UnknownNameError:
                continue
            if _any(met) and not refusal.problem:
                raise self.quantity(refusal.field).missing(refusal.field)
            if _any(met):
                names = dict.fromkeys(_NAMED.findall(refusal.problem + refusal.allowed))
                values = {name: (known[name], self.quantity(name)) for name in names}
                refuse(met, refusal.field, refusal.problem, refusal.allowed, **values)

    def example_inputs(self) -> dict[str, Any]:
        """Return the example's inputs in SI, ready for the function."""
        return {name: _example_value(self.inputs[name], value) for name, value in self.example.inputs.items()}


def _example_value(declared: Declared, value: Any) -> Any:
    from calc.quantity import read

    if isinstance(declared.is_a, Table):
        columns = declared.is_a.columns()
        return tuple(
            declared.is_a.row(**{name: _example_value(columns[name], cell) for name, cell in row.items()})
            for row in value
        )
    if isinstance(declared.is_a, Quantity) and isinstance(value, str):
        return read(value, declared.is_a, declared.name)
    return value


# --- finding steps --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def step_names() -> Mapping[str, str]:
    """Return the module of every step, by the step's name, in the order of the rooms.

    A module whose name begins with an underscore is a helper of its room, not a step.
    """
    found: dict[str, str] = {}
    for room in ROOMS:
        package = importlib.import_module(f"calc.{room}")
        for module in sorted(item.name for item in pkgutil.iter_modules(package.__path__)):
            if not module.startswith("_"):
                found[module] = f"calc.{room}.{module}"
    return found


def find(name: str) -> Step:
    """Return the step with this name; only its own module is imported. Raises UnknownNameError."""
    module = step_names().get(name)
    if module is None:
        raise UnknownNameError(f"There is no step called “{name}”. The steps are: {', '.join(step_names())}.")
    step: Step = importlib.import_module(module).STEP
    return step


def all_steps() -> tuple[Step, ...]:
    """Return every step, in the order of the job."""
    return tuple(sorted((find(name) for name in step_names()), key=lambda step: (_job_order(step.job), step.name)))


def _job_order(job: str) -> tuple[int, str]:
    digits = "".join(ch for ch in job if ch.isdigit())
    return int(digits or 99), job


# --- refusing, for one value and for arrays ----------------------------------------------------------------------

_ONE_ANSWER = (bool, np.bool_)


def _any(condition: Any) -> bool:
    """Whether a condition holds, or does for any element of an array."""
    # numpy takes ten times as long to find out that one value is no array.
    return bool(condition) if isinstance(condition, _ONE_ANSWER) else bool(np.any(condition))


def refuse(condition: Any, field: str, problem: str, allowed: str = "", **values: tuple[Any, Quantity]) -> None:
    """Refuse inputs that contradict each other: of arrays, where any element is refused.

    `problem` and `allowed` may hold `{name}` for each of `values`, a pair of the value and its quantity;
    for arrays the first refused element is told.
    Raises ContradictionError.
    """
    if not _any(condition):
        return
    first = np.unravel_index(int(np.argmax(condition)), np.shape(condition)) if np.ndim(condition) else ()
    told = {
        name: (float(np.broadcast_to(value, np.shape(condition))[first]), quantity)
        for name, (value, quantity) in values.items()
    }
    raise ContradictionError(field, problem, allowed=allowed, values=told)


# --- running one step --------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Known:
    """A value with where it came from and its plus-minus."""

    value: Any
    origin: Origin
    plus_minus: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What one run of a step gave: values by name (inputs and results), their plus-minus, and the findings."""

    step: Step
    values: Values
    plus_minus: Mapping[str, float]
    findings: tuple[Finding, ...]
    assumed: frozenset[str] = frozenset()


def run(step: Step, inputs: Values, plus_minus: Mapping[str, float] | None = None, display: Display = SHOP) -> Outcome:
    """Run a step on single values in SI.

    `plus_minus` gives the uncertainty (k = 2) of inputs; what it leaves out takes the quantity's own.
    Raises InputError with every field that is missing, outside its limits or contradicts another.

    >>> outcome = run(find("rescaled_rate"), dict(axle_mass_before=1000.0, unsprung_mass_before=300.0,
    ...     axle_mass_after=1210.0, unsprung_mass_after=300.0))
    >>> round(outcome.values["load_ratio"], 3)
    1.3
    """
    values = checked(step, inputs)
    found = _worked_out(step, values)
    [uncertain] = _plus_minus(step, [(values, found, plus_minus or {})])
    return _outcome(step, inputs, found, uncertain, display)


def run_each(
    step: Step, many: Sequence[tuple[Values, Mapping[str, float]]], display: Display = SHOP
) -> list[Outcome | None]:
    """Return what `run` gives for several inputs with their plus-minus, None where it refuses: moved all together.

    >>> light, heavy = (dict(axle_mass=mass, unsprung_mass=160.0) for mass in (500.0, 600.0))
    >>> [found.values["sprung_mass"] for found in run_each(find("unsprung"), [(light, {}), (heavy, {})]) if found]
    [340.0, 440.0]
    """
    known: dict[int, tuple[Values, Values, Mapping[str, float]]] = {}
    for place, (inputs, plus_minus) in enumerate(many):
        try:
            values = checked(step, inputs)
            known[place] = values, _worked_out(step, values), plus_minus
        except InputError:
            continue
    uncertain = dict(zip(known, _plus_minus(step, list(known.values())), strict=True))
    return [
        _outcome(step, inputs, known[place][1], uncertain[place], display) if place in known else None
        for place, (inputs, _) in enumerate(many)
    ]


def _outcome(step: Step, inputs: Values, found: Values, uncertain: Mapping[str, float], display: Display) -> Outcome:
    outcome = Outcome(step=step, values=found, plus_minus=uncertain, findings=(), assumed=_taken(step, inputs))
    return replace(outcome, findings=judge(outcome, display))


def _taken(step: Step, inputs: Values) -> frozenset[str]:
    """Return the inputs that nobody gave and for which a stated value is assumed."""
    return frozenset(
        name
        for name, declared in step.inputs.items()
        if inputs.get(name) is None and isinstance(declared.is_a, Quantity) and declared.is_a.assumed is not None
    )


def values_of(step: Step, inputs: Values) -> dict[str, Any]:
    """Return what `run` gives as values, where neither plus-minus nor findings are asked for; raises what it raises.

    >>> values_of(find("unsprung"), dict(axle_mass=500.0, unsprung_mass=160.0))["sprung_mass"]
    340.0
    """
    return _worked_out(step, checked(step, inputs))


def _worked_out(step: Step, values: Values) -> dict[str, Any]:
    alive.beat()
    try:
        with np.errstate(all="ignore"):
            results = _by_name(step.function(**values))
    except FieldError as error:
        raise InputError([error]) from None
    except ArithmeticError:
        raise InputError([FieldError("", _NOT_FINITE)]) from None
    beyond = [_beyond(step, name, value) for name, value in results.items()]
    if wrong := [error for error in beyond if error is not None]:
        raise InputError(wrong)
    return {**values, **results}


def _beyond(step: Step, name: str, value: Any) -> FieldError | None:
    """Return the error for a result outside the limits of its own quantity, which names the entries to check."""
    quantity = step.results[name].is_a
    if not isinstance(quantity, Quantity) or value is None or quantity.holds(value):
        return None
    made_from = _made_from(step, name) or frozenset(step.inputs)
    entries = [_lower_first(item.is_a.label) for key, item in step.inputs.items() if key in made_from]
    return quantity.impossible(value, f"Check: {'; '.join(entries[:_MOST_ENTRIES])}.")


# So many entries a reader looks through.
_MOST_ENTRIES = 9


def _made_from(step: Step, result: str) -> frozenset[str]:
    """Return the inputs that a result's equations lead back to."""
    found: set[str] = set()
    waiting = {result}
    while waiting:
        name = waiting.pop()
        needed = {part for item in step.equations if item.result == name for part in formula.names(item.text)}
        waiting |= needed - found
        found |= needed
    return frozenset(found & set(step.inputs))


@dataclass(frozen=True, kw_only=True)
class Attempt:
    """What could be worked out from what was given, and what is wrong with the rest."""

    outcome: Outcome
    errors: tuple[FieldError, ...]


def attempt(
    step: Step,
    inputs: Values,
    plus_minus: Mapping[str, float] | None = None,
    display: Display = SHOP,
    unreadable: Collection[str] = (),
) -> Attempt:
    """Run a step as far as its inputs allow: never raises for what a reader entered.

    A field that cannot be used is left out with its error; every result whose equations do not need it still comes,
    and a finding that needs it turns to "not checked". So does one that is `unreadable`: no default takes its place.
    """
    errors: tuple[FieldError, ...] = ()
    try:
        if not unreadable:
            return Attempt(outcome=run(step, inputs, plus_minus, display), errors=())
        checked(step, inputs)
    except InputError as problem:
        errors = problem.errors
    usable = {name: value for name, value in inputs.items() if name in step.inputs and value is not None}
    for error in errors:
        usable.pop(error.field.partition(".")[0], None)
    values = _as_far_as_known(step, usable, unreadable)
    partial = Outcome(
        step=step,
        values=values,
        plus_minus={},
        findings=(),
        assumed=_taken(step, {**usable, **dict.fromkeys(unreadable, "")}),
    )
    return Attempt(outcome=replace(partial, findings=judge(partial, display)), errors=errors)


def _as_far_as_known(step: Step, usable: Values, unreadable: Collection[str]) -> dict[str, Any]:
    values: dict[str, Any] = dict.fromkeys((*step.inputs, *step.results))
    for name, declared in step.inputs.items():
        if name in usable:
            values[name] = usable[name]
        elif declared.optional and name not in unreadable:
            values[name] = declared.default
    for equation in step.equations:
        needed = (*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ()))
        if any(not isinstance(values.get(name), (float, int, str)) for name in needed):
            continue
        if equation.when and not formula.evaluate(equation.when, values):
            continue
        try:
            with np.errstate(all="ignore"):
                value = _plain(formula.evaluate(equation.text, values))
            if equation.result not in step.results or _beyond(step, equation.result, value) is None:
                values[equation.result] = value
        except (FieldError, ArithmeticError):
            continue
    return values


def checked(step: Step, inputs: Values) -> dict[str, Any]:
    """Return the inputs with defaults filled in, each inside its limits. Raises InputError with all that is wrong."""
    errors: list[FieldError] = []
    values: dict[str, Any] = {}
    unknown = [name for name in inputs if name not in step.inputs]
    errors += [FieldError(name, f"“{name}” is not an input of {step.title.lower()}.") for name in unknown]
    for name, declared in step.inputs.items():
        value = inputs.get(name)
        try:
            values[name] = _checked(declared, value)
        except FieldError as error:
            errors.append(error)
    if errors:
        raise InputError(errors)
    return values


def _checked(declared: Declared, value: Any) -> Any:
    name, is_a = declared.name, declared.is_a
    if value is None:
        if declared.optional:
            return declared.default
        if isinstance(is_a, Quantity) and is_a.assumed is not None:
            return is_a.assumed
        raise (
            is_a.missing(name)
            if isinstance(is_a, (Quantity, Choice))
            else FieldError(name, f"{is_a.label} is missing.")
        )
    if isinstance(is_a, Table):
        return _checked_rows(is_a, value, name)
    if isinstance(is_a, Quantity):
        return is_a.check(value, name)
    if isinstance(value, str):
        return is_a.check(value, name)
    raise FieldError(name, f"{is_a.label} is not a text.")


def _checked_rows(table: Table, rows: Sequence[Any], name: str) -> tuple[Any, ...]:
    if not table.least <= len(rows) <= table.most:
        raise FieldError(
            name,
            f"{table.label}: {len(rows)} rows are filled in.",
            allowed=f"Allowed: {table.least} to {table.most} rows.",
        )
    for index, row in enumerate(rows):
        for column, declared in table.columns().items():
            cell = getattr(row, column)
            if isinstance(declared.is_a, (Quantity, Choice, Text)) and cell is not None:
                declared.is_a.check(cell, f"{name}.{index}.{column}")
    return tuple(rows)


_NOT_FINITE = "These values together give no finite answer. Check the largest and the smallest of them."


def _by_name(results: Any) -> dict[str, Any]:
    return {item.name: _plain(getattr(results, item.name)) for item in fields(results)}


def _plain(value: Any) -> Any:
    """Turn numpy scalars to plain floats, and refuse what is not finite: no result may ever print as NaN."""
    if value is None or isinstance(value, (str, tuple)):
        return value
    # A root of something negative is a complex number in plain Python.
    if isinstance(value, complex) or not math.isfinite(value):
        raise FieldError("", _NOT_FINITE)
    return float(value)


def _plus_minus(step: Step, many: Sequence[tuple[Values, Values, Mapping[str, float]]]) -> list[dict[str, float]]:
    """First order: each uncertain input is moved up and down, the changes are added in squares.

    Given are the values, what they gave, and the uncertainty that is told, of one run or of several.
    """
    moves = [list(_moves(step, values, given)) for values, _, given in many]
    ends = iter(after_moves(step, [end for some in moves for _, _, *both in some for end in both]))
    return [
        _summed(step, found, [(place, size, next(ends), next(ends)) for place, size, _, _ in some])
        for some, (_, found, _) in zip(moves, many, strict=True)
    ]


def _summed(
    step: Step, found: Values, moved: Sequence[tuple[str, float, Values | None, Values | None]]
) -> dict[str, float]:
    squares = {name: 0.0 for name, declared in step.results.items() if isinstance(declared.is_a, Quantity)}
    numbers = [name for name in squares if found[name] is not None]
    uncertain: dict[str, float] = {}
    for place, size, up, down in moved:
        uncertain[place] = size
        runs = [run for run in (up, down) if run is not None]
        for name in numbers:
            ends = [run[name] for run in runs if run[name] is not None]
            if ends:
                change = (ends[0] - ends[1]) / 2 if len(ends) == 2 else ends[0] - found[name]
                squares[name] += change**2
    return {**uncertain, **{name: math.sqrt(square) for name, square in squares.items()}}


def _moves(
    step: Step, values: Values, given: Mapping[str, float]
) -> Iterable[tuple[str, float, Values | None, Values | None]]:
    """Yield each uncertain input with its size, and the values with it moved up and down as far as its limits let it."""
    for name, declared in step.inputs.items():
        value = values[name]
        if isinstance(declared.is_a, Quantity) and value is not None:
            size = given.get(name, declared.is_a.uncertainty(value))
            if size > 0:
                up, down = (end if declared.is_a.accepts(end) else None for end in (value + size, value - size))
                yield name, size, _with(values, name, up), _with(values, name, down)
        elif isinstance(declared.is_a, Table):
            for index, row in enumerate(value):
                for column, inner in declared.is_a.columns().items():
                    cell = getattr(row, column)
                    if not isinstance(inner.is_a, Quantity) or cell is None:
                        continue
                    place = f"{name}.{index}.{column}"
                    size = given.get(place, inner.is_a.uncertainty(cell))
                    if size > 0:
                        up, down = (
                            _with_cell(value, index, column, end) if inner.is_a.accepts(end) else None
                            for end in (cell + size, cell - size)
                        )
                        yield place, size, _with(values, name, up), _with(values, name, down)


def _with(values: Values, name: str, value: Any) -> Values | None:
    return None if value is None else {**values, name: value}


def _with_cell(rows: tuple[Any, ...], index: int, column: str, value: float) -> tuple[Any, ...]:
    return (*rows[:index], replace(rows[index], **{column: value}), *rows[index + 1 :])


def after_moves(step: Step, moves: Sequence[Values | None]) -> list[dict[str, Any] | None]:
    """Return a step's results for several sets of values at once, None for a set that it refuses.

    A step takes arrays, so all sets that share their tables go through it together; what it refuses together is asked
    for one by one.
    """
    results: list[dict[str, Any] | None] = [None] * len(moves)
    alike: dict[tuple[int, ...], list[tuple[int, Values]]] = {}
    for place, values in enumerate(moves):
        if values is not None:
            kept = tuple([id(value) for value in values.values() if not isinstance(value, float)])
            alike.setdefault(kept, []).append((place, values))
    for group in alike.values():
        given = [values for _, values in group]
        together = _together(step, given)
        for index, (place, values) in enumerate(group):
            results[place] = _moved(step, values) if together is None else together[index]
    return results


_FLOATS = frozenset((float, np.float64))


def _together(step: Step, moves: Sequence[Values]) -> list[dict[str, Any]] | None:
    """Return the results of all sets by one call with arrays, or None where that is not what one by one would give."""
    columns: dict[str, Any] = {}
    for name in moves[0] if len(moves) > 1 else ():
        column = [values[name] for values in moves]
        moved = column.count(column[0]) < len(column)
        if moved and not _FLOATS.issuperset(map(type, column)):
            return None
        columns[name] = np.array(column) if moved else column[0]
    if not columns:
        return None
    try:
        with np.errstate(all="ignore"):
            results = step.function(**columns)
    except (HandbookError, ArithmeticError, ValueError):
        return None
    values = {item.name: getattr(results, item.name) for item in fields(results)}
    numbers = {
        name: np.asarray(value)
        for name, value in values.items()
        if value is not None and not isinstance(value, (str, tuple))
    }
    if any(each.dtype.kind not in "fiu" or each.shape not in ((), (len(moves),)) for each in numbers.values()):
        return None
    table = np.empty((len(moves), len(numbers)))
    for place, each in enumerate(numbers.values()):
        table[:, place] = each
    if not np.isfinite(table).all():
        return None
    return [values | dict(zip(numbers, row, strict=True)) for row in table.tolist()]


def _moved(step: Step, values: Values | None) -> dict[str, Any] | None:
    # An input moved by its uncertainty may leave its limits or contradict another: that side then says nothing.
    if values is None:
        return None
    try:
        with np.errstate(all="ignore"):
            return _by_name(step.function(**values))
    except (HandbookError, ArithmeticError, ValueError):
        return None


# --- findings -------------------------------------------------------------------------------------------------------


def judge(outcome: Outcome, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return the step's findings for these values, in the order of the rules that apply."""
    step = outcome.step

    def missing(name: str) -> tuple[str, ...]:
        return _absent_inputs(step, name, outcome.values)

    return tuple(
        check_finding(check, outcome.values, outcome.plus_minus, step.quantity, display, missing, outcome.assumed)
        for check in step.checks
        if not _left_out(check, outcome.values)
    )


def _absent_inputs(step: Step, name: str, values: Values, on_the_way: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return the inputs that are absent and keep a name from being known; the name itself when it is an input.

    Two results may need each other, where they are found together: `on_the_way` are those that led here.
    """
    if name in step.inputs:
        return (name,)
    way = (*on_the_way, name)
    found: dict[str, None] = {}
    for equation in step.equations:
        if equation.result == name and not _left_out(equation, values):
            for needed in formula.names(equation.text):
                if values.get(needed) is None and needed not in way:
                    found.update(dict.fromkeys(_absent_inputs(step, needed, values, way)))
    if name not in step.results:
        # A name on the way is never kept: it is known where all that it needs is.
        return tuple(found)
    required = (key for key, declared in step.inputs.items() if values.get(key) is None and not declared.optional)
    return tuple(found) or tuple(required) or (name,)


def _left_out(item: Equation | Check, values: Values) -> bool:
    """Whether a line's or a rule's own condition leaves it out; a part of it that cannot be judged yet does not."""
    parts = formula.conditions(item.when) if item.when else ()
    known = (part for part in parts if all(values.get(name) is not None for name in formula.names(part)))
    return not all(formula.evaluate(part, values) for part in known)


def check_finding(
    check: Check,
    values: Values,
    plus_minus: Mapping[str, float],
    quantity: Callable[[str], Quantity],
    display: Display = SHOP,
    missing: Callable[[str], tuple[str, ...]] = lambda name: (name,),
    assumed: Container[str] = (),
) -> Finding:
    """Judge one rule. A rule that misses an input is "not checked" and says what it needs.

    `missing` tells which entries keep a name from being known; what is judged on an `assumed` value says so.
    """
    # Over 60 lines: one rule is judged, and each sentence may print whatever was found before it.

    def needs(absent: Iterable[str]) -> Finding:
        entries = dict.fromkeys(entry for name in absent for entry in missing(name))
        needed = " and ".join(_lower_first(_label(quantity, name)) for name in entries)
        sentence = check.unchecked or check.rule[:1].upper() + check.rule[1:]
        return Finding(rule=check.rule, state="not checked", text=f"{sentence.rstrip('.:; ')}: needs {needed}.")

    def told(
        state: State, text: str, shown: Mapping[str, str], value: float | None = None, limit: float | None = None
    ) -> Finding:
        if untold := _untold(text, values, shown):
            return needs(untold)
        sentence = _sentence(text, values, quantity, display, shown) + _assumptions(
            [name for name in names if name in assumed], values, quantity, display
        )
        return Finding(rule=check.rule, state=state, text=sentence, value=value, limit=limit)

    names = tuple(dict.fromkeys(check.names()))
    absent = [name for name in names if values.get(name) is None]
    if absent:
        return needs(absent)
    if check.condition:
        true = bool(formula.evaluate(check.condition, values))
        return told("holds" if true else "close" if check.warns else "fails", check.holds if true else check.fails, {})
    value = _worth(check.value, values)
    own = check.of or quantity(check.value)
    sides = _sides(check, values)
    slack, limit, number = min(
        ((value - side if low else side - value, side, number) for low, side, number in sides), key=lambda one: one[0]
    )
    # Equal to the last bit or nearly: rounding inside the machine must not decide a state.
    slack = 0.0 if abs(slack) <= 1e-9 * max(abs(value), abs(limit), abs(own.typical)) else slack
    # A limit that was worked out, or measured, is off by something too.
    of_limit = max(
        (plus_minus.get(name, 0.0) for name in (check.at_least, check.at_most) if isinstance(name, str)), default=0.0
    ) * (_worth(check.times, values) if check.times else 1.0)
    doubt = max(check.margin, math.hypot(plus_minus.get(check.value, 0.0), of_limit))
    if abs(slack) <= doubt and doubt > 0:
        state: State = "close"
    else:
        state = "holds" if slack >= 0 else "close" if check.warns else "fails"
    words = {
        "holds": check.holds,
        "close": check.close or (check.holds if slack >= 0 else check.fails),
        "fails": check.fails,
    }
    beyond = state == "close" and check.warns and slack < -doubt
    decimals = display.apart(value, limit, own, check.value)
    shown = {
        "value": display.text(value, own, check.value, decimals),
        "limit": display.limit(limit, own, check.value, decimals),
        "doubt": display.plus_minus(plus_minus.get(check.value, 0.0), own, check.value),
        "limit_doubt": f"\u00a0±\u00a0{display.plus_minus(of_limit, own, check.value)}" if of_limit > 0.0 else "",
        "share": join_unit(f"{100 * number:g}", "%"),
        "factor": f"{number:g}",
        **display.limits({"at_least" if low else "at_most": side for low, side, _ in sides}, own, check.value),
    }
    return told(state, check.fails if beyond else words[state], shown, value, limit)


def _worth(what: str | float, values: Values) -> float:
    if isinstance(what, str):
        return float(values[what] if what in values else formula.evaluate(what, values))
    return float(what)


def _sides(check: Check, values: Values) -> list[tuple[bool, float, float]]:
    """Return each limit: whether it is the lower one, its value, and the declared number."""
    times = _worth(check.times, values) if check.times else 1.0
    return [
        (low, _worth(limit, values) * times, _worth(limit, values))
        for low, limit in ((True, check.at_least), (False, check.at_most))
        if limit is not None
    ]


def _assumptions(names: Sequence[str], values: Values, quantity: Callable[[str], Quantity], display: Display) -> str:
    """Return the sentence that names what was assumed, with its value."""
    if not names:
        return ""
    listed = (
        f"{_lower_first(quantity(name).label)}, {display.plain(values[name], quantity(name), name)}" for name in names
    )
    return f" Assumed: {'; '.join(listed)}."


def _label(quantity: Callable[[str], Quantity], name: str) -> str:
    try:
        return quantity(name).label
    except (UnknownNameError, TypeError):
        return name.replace("_", " ")


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


_NAMED = re.compile(r"\{(\w+)\}")


def _sentence(
    template: str,
    values: Values,
    quantity: Callable[[str], Quantity],
    display: Display,
    shown: Mapping[str, str],
) -> str:
    def printed(match: re.Match[str]) -> str:
        name = match[1]
        value: Any = values.get(name)
        if name in shown:
            return shown[name]
        return value if isinstance(value, str) else display.text(float(value), quantity(name), name)

    # A plus-minus never stands alone on a line.
    return _NAMED.sub(printed, template.replace("± {doubt}", f"±{units.NO_BREAK}{{doubt}}"))


def _untold(template: str, values: Values, shown: Container[str]) -> list[str]:
    """Return the names that a sentence would print and that are not known."""
    return [name for name in _NAMED.findall(template) if name not in shown and values.get(name) is None]
