"""The one door between the package and a page: JSON text in, JSON text out.

`call` answers one request; `begin` starts work that is long and hands it out in slices, so that a page can be answered
in between and the work can be stopped. Neither ever raises: what goes wrong comes back as a sentence.
`listen` takes what is called from within an answer while it is worked out, so that nobody takes it for a hang.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from calc.alive import listen as listen
from calc.errors import HandbookError, NumberError
from calc.json_text import read_json
from calc.quantity import Declared, Display, Quantity, place, read_in_unit
from calc.step import find

LARGEST_REQUEST = 8_000_000
_MOST_FIELDS = 5_000
_LONGEST_FIELD = 400


class RequestError(HandbookError):
    """A request that the bridge does not understand."""


def dumps(answer: Any) -> str:
    """Return JSON text: sorted, finite, the same everywhere."""
    return json.dumps(answer, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def call(text: str) -> str:
    """Answer one request of a page.

    >>> json.loads(call('{"do": "juggle"}'))["problem"]
    'The handbook has no answer to “juggle”.'
    """
    try:
        return dumps(_answer(_request(text)))
    except HandbookError as problem:
        return dumps({"problem": str(problem)})


def begin(text: str) -> Slices:
    """Start long work. Every slice takes well under 100 ms."""
    try:
        return Slices(_long(_request(text)))
    except HandbookError as problem:
        return Slices(iter([{"done": {"problem": str(problem)}}]))


class Slices:
    """Long work in progress."""

    def __init__(self, parts: Iterator[dict[str, Any]]) -> None:
        self._parts = parts

    def next(self) -> str:
        """Do one slice; return `{"progress": ...}` or, at the end, `{"done": ...}`."""
        try:
            return dumps(next(self._parts))
        except StopIteration:
            return dumps({"done": {"problem": "This work has ended."}})
        except HandbookError as problem:
            return dumps({"done": {"problem": str(problem)}})


def _request(text: str) -> dict[str, Any]:
    if len(text) > LARGEST_REQUEST:
        raise RequestError("This is more than the handbook reads at once.")
    try:
        request = read_json(text)
    except ValueError:
        raise RequestError("The request is not JSON.") from None
    if not isinstance(request, dict) or not isinstance(request.get("do"), str):
        raise RequestError("The request does not say what to do.")
    return request


def fields_of(request: Mapping[str, Any]) -> dict[str, str]:
    """Return the typed texts of a request, bounded in number and length."""
    fields = request.get("fields", {})
    if not isinstance(fields, dict) or len(fields) > _MOST_FIELDS:
        raise RequestError("The request's fields cannot be read.")
    return {str(name)[:200]: str(value)[:_LONGEST_FIELD] for name, value in fields.items() if value is not None}


def display_of(units: Any) -> Display:
    """Return the reader's units from a request; what it does not say is in shop units."""
    if not isinstance(units, dict):
        return Display()
    system = "metric" if units.get("system") == "metric" else "shop"
    chosen = units.get("fields", {})
    own = {str(name): str(unit) for name, unit in chosen.items()} if isinstance(chosen, dict) else {}
    return Display(system, own)


def _answer(request: Mapping[str, Any]) -> dict[str, Any]:
    do, name = request["do"], str(request.get("name", ""))
    fields, display = fields_of(request), display_of(request.get("units"))
    typed = frozenset(str(item) for item in request.get("typed", []) if isinstance(item, str))
    match do:
        case "step":
            from calc.sheet import step_sheet

            return step_sheet.answer(name, fields, typed, display, str(request.get("part", "")))
        case "practice":
            from calc.sheet import practice_sheet

            return practice_sheet.answer(name, fields, display, request.get("next") is True)
        case "convert":
            return _convert(str(request.get("of", "")), name, request, fields, display)
        case "home":
            from calc.sheet import home

            return dict(home.answer(fields, typed, display))
        case "rig":
            from calc.sheet import rig

            return dict(rig.answer(request, fields, typed, display))
        case "quote":
            from calc.sheet import quote

            return dict(quote.answer(fields, typed, display, file=request.get("file"), action=request.get("action")))
        case "prove":
            from calc.sheet import prove

            return dict(prove.answer(request, fields, typed, display))
    raise RequestError(f"The handbook has no answer to “{do}”.")


def _long(request: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    if request["do"] == "choose":
        from calc.sheet import rig

        return iter(rig.choose_slices(request, fields_of(request), display_of(request.get("units"))))
    if request["do"] == "dampers":
        from calc.sheet import rig

        return iter(rig.damper_slices(request, fields_of(request), display_of(request.get("units"))))
    if request["do"] == "doubt":
        from calc.sheet import rig

        return iter(rig.doubt_slices(request, fields_of(request), display_of(request.get("units"))))
    if request["do"] == "list":
        from calc.sheet.rig import lists

        return iter(lists.reading(request))
    raise RequestError(f"The handbook has no long work called “{request['do']}”.")


# --- units ---------------------------------------------------------------------------------------------------------------


def _convert(of: str, name: str, request: Mapping[str, Any], fields: Mapping[str, str], old: Display) -> dict[str, Any]:
    """Turn what stands in the fields from one display to another; what cannot be read stays as it is."""
    new = display_of(request.get("to"))
    values: dict[str, str] = {}
    symbols: dict[str, str] = {}
    for key, declared in _declared(of, name, fields).items():
        quantity = declared.is_a
        if not isinstance(quantity, Quantity):
            continue
        symbols[place(key)] = new.unit(quantity, key).symbol
        if key in fields:
            values[key] = _converted(fields[key], quantity, key, old, new)
        doubt = f"{key}.plus_minus"
        if doubt in fields:
            values[doubt] = _converted_doubt(fields[doubt], quantity, key, old, new)
    if of == "rig":
        from calc.sheet import rig

        # What the page wrote is written anew from what is kept: turned as it stands, it would be rounded twice.
        values |= rig.rewritten(request, fields, old, new)
    return {"values": values, "units": symbols, "problem": None}


def _converted(text: str, quantity: Quantity, name: str, old: Display, new: Display) -> str:
    """Return a typed number in the new unit, as a page writes it into an entry: so what was kept is still known by it."""
    from calc import units

    try:
        number, chosen = read_in_unit(text, quantity, name, old)
    except HandbookError:
        return _of_its_unit(text, quantity, name, old, new)
    if new.unit(quantity, name) == chosen == old.unit(quantity, name):
        return text
    return _written(text, lambda: new.entry(units.to_si(number, chosen), quantity, name))


def _converted_doubt(text: str, quantity: Quantity, name: str, old: Display, new: Display) -> str:
    """Return a typed plus-minus in the new unit: a difference."""
    from calc import units

    try:
        number, chosen = read_in_unit(text, quantity, name, old)
    except HandbookError:
        return _of_its_unit(text, quantity, name, old, new)
    wanted = new.unit(quantity, name)
    if wanted == chosen == old.unit(quantity, name):
        return text
    return _written(text, lambda: units.format_entry(float(f"{number * chosen.factor / wanted.factor:.6g}")))


def _written(text: str, write: Callable[[], str]) -> str:
    """Return what is written, or the text as it stands where that is no number that can be printed."""
    try:
        return write()
    except (NumberError, OverflowError, ValueError):
        return text


def _of_its_unit(text: str, quantity: Quantity, name: str, old: Display, new: Display) -> str:
    """Return a text that cannot be read yet: a number without a unit keeps the unit that it was typed in."""
    from calc import units

    unit = old.unit(quantity, name)
    try:
        bare = not units.read_typed(text).unit
    except NumberError:
        return text
    return f"{text.strip()} {unit.symbol}" if bare and unit.symbol and unit != new.unit(quantity, name) else text


def _declared(of: str, name: str, fields: Mapping[str, str]) -> dict[str, Declared]:
    """Return the declaration of every field that a page has."""
    match of:
        case "step":
            from calc.sheet import form

            return form.on_page(find(name).inputs, fields)
        case "practice":
            item = find(name)
            asked = item.quantity(item.practice[0].asks) if item.practice else None
            return {"answer": Declared(name="answer", is_a=asked, optional=True)} if asked else {}
        case "home":
            from calc.sheet import home

            return dict(home.declared())
        case "rig":
            from calc.sheet import rig

            return dict(rig.declared(fields))
        case "quote":
            from calc.sheet import quote

            return dict(quote.declared())
        case "prove":
            from calc.sheet import prove_form

            return dict(prove_form.declared())
    raise RequestError(f"The handbook has no page called “{of}”.")
