"""The bar above a rig: which rig is open, undo, file and link. The page's script brings it to life."""

from __future__ import annotations

_BUTTONS = (
    ("undo", "Undo"),
    ("save", "Save to a file"),
    ("open", "Open a file"),
    ("link", "Make a link"),
    ("new", "New rig"),
    ("wren", "Open Wren, the example"),
    ("remove", "Remove"),
)


def bar() -> str:
    """Return the bar, hidden until the script can do what it offers. It stands outside of the rig's form."""
    buttons = "".join(
        f'<button type="button" class="hb-more" data-kept-do="{name}">{label}</button>' for name, label in _BUTTONS
    )
    return (
        '<div class="hb-kept" data-kept hidden>'
        '<p class="hb-kept__which"><label for="kept-rigs">Rig</label><select id="kept-rigs" data-kept-rigs></select>'
        '<span class="hb-note" data-region="kept"></span></p>'
        f'<p class="hb-kept__does">{buttons}</p>'
        '<input type="file" accept=".json,application/json" aria-label="Rig file" hidden>'
        '<input type="text" class="hb-kept__link" readonly hidden data-kept-link aria-label="Link that holds the rig">'
        '<div class="hb-kept__question" data-kept-question role="group" aria-label="Question" hidden><p></p>'
        '<button type="button" class="hb-more" data-kept-do="yes"></button>'
        '<button type="button" class="hb-more" data-kept-do="no"></button></div>'
        '<p class="hb-status" data-region="kept-said" role="status"></p></div>'
    )
