"""The parts of an answer as HTML."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from calc.answer.parts import Grid


def table(found: Grid, kind: str = "") -> str:
    """Return a table, its notes beneath it; on a phone each cell says its own heading. `kind` is a class of its own."""
    caption = f"<caption>{escape(found.caption)}</caption>" if found.caption else ""
    heads = "".join(
        f'<th scope="col"{" class=n" if index else ""}>{escape(head)}</th>' for index, head in enumerate(found.heads)
    )
    rows = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(
            f'<td class="n" data-label="{escape(head)}">{escape(cell)}</td>'
            for head, cell in zip(found.heads[1:], row[1:], strict=True)
        )
        + "</tr>"
        for row in found.rows
    )
    notes = "".join(f'<p class="hb-note">{escape(note)}</p>' for note in found.notes)
    printed = f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>" if found.rows else ""
    whole = f'<table class="hb-table hb-table--fold{f" {kind}" if kind else ""}">{caption}{printed}' if printed else ""
    return whole + notes


# The class of a column: a number, a text, a sentence that takes a line of its own on a phone.
NUMBER, TEXT, WIDE = "n", "", "wide"


def rows_table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    labels: Sequence[str] = (),
    kinds: Sequence[str] = (),
    caption: str = "",
    kind: str = "",
) -> str:
    """Return a table whose cells are markup; the first of a row is its heading.

    On a phone each cell says its own heading, or the shorter one of `labels`. `kinds` are the classes of the columns behind
    the first, numbers where none are given; `kind` is one of the table's own.
    """
    kinds, labels = kinds or (NUMBER,) * (len(heads) - 1), labels or heads[1:]
    told = "".join(
        f'<th scope="col"{_class(each if each == NUMBER else TEXT)}>{escape(head)}</th>'
        for each, head in zip((TEXT, *kinds), heads, strict=True)
    )
    beside = [
        "" if each == WIDE else f' data-label="{escape(label)}"' for each, label in zip(kinds, labels, strict=True)
    ]
    body = "".join(
        f'<tr><th scope="row">{row[0]}</th>'
        + "".join(
            f"<td{_class(each)}{said}>{cell}</td>" for each, said, cell in zip(kinds, beside, row[1:], strict=True)
        )
        + "</tr>"
        for row in rows
    )
    above = f"<caption>{escape(caption)}</caption>" if caption else ""
    return (
        f'<table class="hb-table hb-table--fold{f" {kind}" if kind else ""}">{above}<thead><tr>{told}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )


def _class(kind: str) -> str:
    return f' class="{kind}"' if kind else ""
