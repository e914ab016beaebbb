"""A reader's own list on the rig page, of whatever it is: proposed, confirmed, and kept in memory while the page is open."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from html import escape
from typing import Any, Generic, Protocol, TypeVar

from calc.errors import DataError
from calc.order.findings import count
from calc.quantity import Option, Quantity
from calc.sheet import form
from calc.tables import MOST_BYTES, CellError, Column, Dampers, Layout, Springs, to_the_end

# So many rows are read again within an answer when other columns are chosen; more are read in slices.
AT_ONCE = 2_000
TOO_LARGE = f"This list is too large ({MOST_BYTES // 1_000_000} MB is the limit)."
_MOST_TOLD = 40
_NONE = ""

Goods = TypeVar("Goods", Springs, Dampers)


class Read(Protocol):
    """What the reader of either list gives: how its columns were understood, and the cells that cannot be used."""

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings of the list."""

    @property
    def proposal(self) -> Mapping[str, Column]:
        """The columns as they are understood."""

    @property
    def unused(self) -> tuple[str, ...]:
        """The headings of what is not used."""

    @property
    def errors(self) -> tuple[CellError, ...]:
        """The first of the cells that cannot be used."""

    @property
    def error_count(self) -> int:
        """How many cells cannot be used."""

    @property
    def row_count(self) -> int:
        """How many rows there are."""

    @property
    def problem(self) -> str:
        """Why no row can be read before the columns are settled."""


Listed = TypeVar("Listed", bound=Read)


@dataclass(frozen=True, kw_only=True)
class Held(Generic[Listed]):
    """A list as the reader brought it, and what was read."""

    text: str
    listed: Listed


@dataclass(frozen=True, kw_only=True)
class Listing(Generic[Goods]):
    """Which list the page goes by, and what it shows and keeps of the reader's own."""

    goods: Goods
    key: str = ""
    html: str = ""
    state: Mapping[str, Any] | None = None
    wanted: bool = False
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class Kind(Generic[Listed, Goods]):
    """One of the lists that a reader may bring.

    `key` names it in a request, in an answer, in the fields of the proposal, and as the region where it stands.
    `labels` name the columns of words that the reader may settle. `told` says that the handbook's own is in use.
    """

    key: str
    layout: Layout
    labels: Mapping[str, str]
    slices: Callable[[str, Mapping[str, Column] | None], Generator[tuple[int, int], None, Listed]]
    goods: Callable[[Listed], Goods]
    handbook: Callable[[], Goods]
    told: Callable[[], str]
    # One worker serves one reader: the last list is kept, and a page that has another sends its text again.
    held: dict[str, Held[Listed]] = field(default_factory=dict)

    def listing(self, request: Mapping[str, Any], fields: Mapping[str, str], typed: frozenset[str]) -> Listing[Goods]:
        """Return the list in use for a request.

        The request holds the list's text once, then its id, whether it is used, and its columns.
        """
        state, text = self._brought(request)
        if text is not None:
            use = state.get("use") is True and state.get("id") == _id(text)
            return self._read(text, _columns(state.get("columns")), use=use)
        identity = state.get("id")
        if not isinstance(identity, str) or not identity:
            return self._example("")
        held = self.held.get(identity)
        if held is None:
            return replace(self._example(""), wanted=True, state=dict(state))
        if any(name.startswith(f"{self.key}.") for name in typed):
            changed = self._chosen(held.listed, fields)
            if _told(changed) != _told(held.listed.proposal):
                if held.listed.row_count > AT_ONCE:
                    shown = self._shown(identity, held, use=False)
                    return replace(shown, wanted=True, state={"id": identity, "use": False, "columns": _told(changed)})
                return self._read(held.text, changed, use=False)
        return self._shown(identity, held, use=state.get("use") is True)

    def reading(self, request: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
        """Read a list in slices: progress after each; the end holds what the page keeps and shows of the list.

        The request holds the list's text, and its state where its columns were settled or it was in use before.
        """
        state, text = self._brought(request)
        if text is None:
            yield self._unread("There is no list to read.")
            return
        if len(text) > MOST_BYTES:
            yield self._unread(TOO_LARGE)
            return
        parts = self.slices(text, _columns(state.get("columns")))
        try:
            while True:
                done, total = next(parts)
                sentence = f"Reading your list: {done:,} of {total:,} rows."
                yield {"progress": {"done": done, "total": total, "text": sentence}}
        except DataError as problem:
            yield self._unread(str(problem))
        except StopIteration as end:
            identity = self._hold(text, end.value)
            shown = self._shown(
                identity, self.held[identity], use=state.get("use") is True and state.get("id") == identity
            )
            # The fields of a list that stood there before must not settle the columns of this one.
            regions = {self.key: shown.html}
            yield {"done": {self.key: dict(shown.state or {}), "regions": regions, "problem": None}}

    def brings(self, request: Mapping[str, Any]) -> bool:
        """Tell whether a request brings the text of such a list."""
        return f"{self.key}_text" in request

    def _brought(self, request: Mapping[str, Any]) -> tuple[Mapping[str, Any], str | None]:
        own, text = request.get(self.key), request.get(f"{self.key}_text")
        return own if isinstance(own, dict) else {}, text if isinstance(text, str) else None

    def _unread(self, problem: str) -> dict[str, Any]:
        return {"done": {self.key: None, "regions": {self.key: self._example(problem).html}, "problem": problem}}

    def _hold(self, text: str, listed: Listed) -> str:
        identity = _id(text)
        self.held.clear()
        self.held[identity] = Held(text=text, listed=listed)
        return identity

    def _example(self, problem: str) -> Listing[Goods]:
        error = f'<p class="hb-error">{escape(problem)}</p>' if problem else ""
        return Listing(goods=self.handbook(), html=self.told() + error, problem=problem)

    def _read(self, text: str, columns: Mapping[str, Column] | None, *, use: bool) -> Listing[Goods]:
        if len(text) > MOST_BYTES:
            return self._example(TOO_LARGE)
        try:
            listed = to_the_end(self.slices(text, columns))
        except DataError as problem:
            return self._example(str(problem))
        identity = self._hold(text, listed)
        return self._shown(identity, self.held[identity], use=use)

    def _shown(self, identity: str, held: Held[Listed], *, use: bool) -> Listing[Goods]:
        own = self.goods(held.listed)
        used = use and len(own) > 0
        columns = _told(held.listed.proposal)
        return Listing(
            goods=own if used else self.handbook(),
            key=f"{identity} {columns}" if used else "",
            html=self._html(held.listed, len(own), used=used),
            state={"id": identity, "use": used, "columns": columns},
        )

    def _chosen(self, listed: Listed, fields: Mapping[str, str]) -> dict[str, Column]:
        """Return the columns as the reader set them on the page."""
        found: dict[str, Column] = {}
        numbers: Mapping[str, Quantity] = self.layout.numbers
        for name in (*self.labels, *numbers):
            place = fields.get(f"{self.key}.{name}.column", _NONE)
            if not place.isdecimal() or not 0 <= int(place) < len(listed.headings):
                continue
            unit = ""
            if name in numbers:
                kind = numbers[name].kind
                symbols = [each.symbol for each in kind.units()]
                own = fields.get(f"{self.key}.{name}.unit", "")
                unit = own if own in symbols else kind.shop.symbol
            found[name] = Column(index=int(place), unit=unit, heading=listed.headings[int(place)], stated=True)
        return found

    # --- what the page shows ----------------------------------------------------------------------------------------

    def _html(self, listed: Listed, good: int, *, used: bool) -> str:
        goods = count(good, self.layout.noun)
        if used:
            told = f"<p>In use: your list, {goods}.</p>"
            act = self._button("drop", "Go back to the handbook’s list")
        elif good:
            told = (
                f"<p>Read: {good:,} of {count(listed.row_count, 'row')}. "
                f"Look whether columns and units are understood, then take them.{_asked(listed)}</p>"
            )
            act = f"{self._button('use', f'Use {goods}', 'hb-button')} {self._button('drop', 'Leave it')}"
        else:
            problem = listed.problem or "No row of this list can be used as its columns are understood."
            told = f'<p class="hb-error">{escape(problem)}{_asked(listed)}</p>'
            act = self._button("drop", "Leave it")
        return f"{told}{self._proposal(listed)}{errors_table(listed.errors, listed.error_count)}<p>{act}</p>"

    def _button(self, act: str, text: str, look: str = "hb-more") -> str:
        return f'<button type="button" class="{look}" data-rig-do="list-{act}" data-rig-of="{self.key}">{text}</button>'

    def _proposal(self, listed: Listed) -> str:
        rows = "".join(self._proposed(name, listed) for name in (*self.labels, *self.layout.numbers))
        unused = f'<p class="hb-note">Not used: {escape(", ".join(listed.unused[:20]))}.</p>' if listed.unused else ""
        return (
            '<div class="hb-rows"><table class="hb-table hb-table--narrow"><thead><tr><th scope="col">What</th>'
            '<th scope="col">Column of your list</th><th scope="col">Unit</th></tr></thead>'
            f"<tbody>{rows}</tbody></table></div>{unused}"
        )

    def _proposed(self, name: str, listed: Listed) -> str:
        column = listed.proposal.get(name)
        quantity: Quantity | None = self.layout.numbers.get(name)
        label = escape(quantity.label if quantity else self.labels[name])
        field_name = f"{self.key}.{name}"
        columns = [Option(_NONE, "none")]
        for index, heading in enumerate(listed.headings[:100]):
            columns.append(Option(str(index), heading[:60] or f"column {index + 1}"))
        options = form.options(columns, str(column.index) if column else _NONE)
        chosen = f'<select name="{field_name}.column" aria-label="Column of {label.lower()}">{options}</select>'
        unit = ""
        if quantity is not None:
            units = [each.symbol for each in quantity.kind.units()]
            if any(units):
                own = column.unit if column else quantity.kind.shop.symbol
                choices = form.options((Option(symbol, symbol) for symbol in units), own)
                unit = f'<select name="{field_name}.unit" aria-label="Unit of {label.lower()}">{choices}</select>'
                if column and not column.stated:
                    unit += ' <span class="hb-origin hb-origin--assumed">assumed</span>'
        return f'<tr><th scope="row">{label}</th><td>{chosen}</td><td>{unit}</td></tr>'


def _id(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


def _told(columns: Mapping[str, Column]) -> dict[str, Any]:
    return {name: {"index": column.index, "unit": column.unit} for name, column in sorted(columns.items())}


def _columns(data: Any) -> Mapping[str, Column] | None:
    if not isinstance(data, dict) or not data:
        return None
    found = {}
    for name, column in data.items():
        index = column.get("index") if isinstance(column, dict) else None
        if isinstance(index, int) and not isinstance(index, bool):
            found[str(name)] = Column(index=index, unit=str(column.get("unit", "")), stated=True)
    return found


def _asked(listed: Read) -> str:
    """Return what the reader is asked about units that stand nowhere: they are guessed by the size of the numbers."""
    guessed = [f"“{column.heading[:60]}”" for column in listed.proposal.values() if column.unit and not column.stated]
    return f" The unit is given nowhere in {escape(', '.join(guessed))}: choose it." if guessed else ""


def errors_table(errors: Sequence[CellError], total: int) -> str:
    """Return the cells of a list that cannot be used, by row and column; nothing where all can."""
    if not errors:
        return ""
    rows = "".join(
        f'<tr><td class="n">{error.row}</td><td>{escape(error.column)}</td>'
        f"<td>{escape(error.problem)} {escape(error.allowed)}</td></tr>"
        for error in errors[:_MOST_TOLD]
    )
    more = total - min(len(errors), _MOST_TOLD)
    rest = f'<p class="hb-note">And {more:,} more.</p>' if more else ""
    return (
        f'<details class="hb-open" open><summary>{count(total, "cell")} cannot be used</summary>'
        '<table class="hb-table"><thead><tr><th scope="col" class="n">Row</th><th scope="col">Column</th>'
        f'<th scope="col">What is wrong</th></tr></thead><tbody>{rows}</tbody></table>{rest}</details>'
    )
