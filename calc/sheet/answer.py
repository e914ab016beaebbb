"""The parts of an answer as HTML."""

from __future__ import annotations

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
