"""What takes long on the rig page, in slices: progress after each, what the page shows last."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calc.errors import DataError, Needs
from calc.order.order import completed, order, task
from calc.quantity import Display
from calc.rig.entries import AXLES
from calc.rig.rig import Rig
from calc.search.choose import slices
from calc.search.problem import Choice
from calc.sheet.rig import dampers, doubt, entries, lists
from calc.sheet.rig.page import answered, kept_of, made_choices, searches

Slices = Iterator[dict[str, Any]]


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """A request whose rig could be read."""

    request: Mapping[str, Any]
    fields: Mapping[str, str]
    typed: frozenset[str]
    display: Display
    kept: Rig
    read: Rig


def choose_slices(request: Mapping[str, Any], fields: Mapping[str, str], display: Display) -> Slices:
    """Search every axle in slices: progress after each, the whole answer last."""
    return _sliced(_choose, request, fields, display)


def damper_slices(request: Mapping[str, Any], fields: Mapping[str, str], display: Display) -> Slices:
    """Try every damper of the list in use in slices: progress after each, the part last."""
    return _sliced(_try_dampers, request, fields, display)


def doubt_slices(request: Mapping[str, Any], fields: Mapping[str, str], display: Display) -> Slices:
    """Work out how sure the choice is, in slices: progress after each, that part of the page last."""
    return _sliced(_doubt, request, fields, display)


def _sliced(
    work: Callable[[_Asked], Slices], request: Mapping[str, Any], fields: Mapping[str, str], display: Display
) -> Slices:
    typed = frozenset(str(item) for item in request.get("typed", []) if isinstance(item, str))
    try:
        kept = kept_of(request, display)
    except DataError as problem:
        yield {"done": {"problem": str(problem)}}
        return
    read, _ = entries.read_entries(kept, fields, typed, display)
    yield from work(_Asked(request=request, fields=fields, typed=typed, display=display, kept=kept, read=read))


def _choose(asked: _Asked) -> Slices:
    listed = lists.listing(asked.request, asked.fields, asked.typed)
    full = completed(asked.read)
    for axle in AXLES:
        try:
            problem = task(full, axle)
        except Needs:
            continue
        if searches.find(problem, listed.key) is not None:
            continue
        for part in slices(problem, listed.goods):
            if isinstance(part, Choice):
                searches.keep(part, problem, listed.key)
            else:
                done, total = part
                yield _progress(done, total, f"Searching the {axle}: {done:,} of {total:,} sets.")
    yield {"done": answered(asked.kept, asked.request, asked.fields, asked.typed, asked.display, at_once=False)}


def _try_dampers(asked: _Asked) -> Slices:
    listed = lists.listing(asked.request, asked.fields, asked.typed)
    tried = lists.OWN_DAMPERS.listing(asked.request, asked.fields, asked.typed)
    if tried.wanted:
        told = "Your list is being read again. Try it when it is read."
        yield {"done": {"dampers": tried.state, "want_dampers": True, "problem": told}}
        return
    for part in dampers.found_slices(asked.read, listed.goods, asked.display, tried.goods):
        if isinstance(part, str):
            yield {"done": {"regions": {"dampers": tried.html + part}, "problem": None}}
        else:
            progress, axle = part
            sentence = f"Trying {progress.part} at the {axle}: {progress.done} of {progress.total} dampers done."
            yield _progress(progress.done, progress.total, sentence)


def _doubt(asked: _Asked) -> Slices:
    listed = lists.listing(asked.request, asked.fields, asked.typed)
    choices, _ = made_choices(asked.read, listed, at_once=True)
    yield from doubt.slices(order(asked.read, listed.goods, choices, asked.display), asked.display)


def _progress(done: int, total: int, sentence: str) -> dict[str, Any]:
    return {"progress": {"done": done, "total": total, "text": sentence}}
