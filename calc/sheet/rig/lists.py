"""The lists that a reader may bring to the rig page: springs, and dampers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from calc.damper_list import DAMPERS, DamperList, damper_list_slices
from calc.order.findings import count
from calc.sheet.rig.own_list import Kind, Listing
from calc.tables import (
    SPRINGS,
    Dampers,
    SpringList,
    Springs,
    assortment_dampers,
    assortment_springs,
    spring_list_slices,
)


@lru_cache(maxsize=1)
def handbook_springs() -> Springs:
    """Return the handbook's own invented assortment."""
    return assortment_springs()


@lru_cache(maxsize=1)
def handbook_dampers() -> Dampers:
    """Return the handbook's own invented dampers."""
    return assortment_dampers()


def _told() -> str:
    springs = count(len(handbook_springs()), "spring")
    return f'<p class="hb-note">In use: the handbook’s invented list, {springs}. Nobody sells them.</p>'


OWN_SPRINGS: Kind[SpringList, Springs] = Kind(
    key="list",
    layout=SPRINGS,
    labels={"part": "Part code", "use": "Use: helper or not"},
    slices=lambda text, columns: spring_list_slices(text, columns=columns),
    goods=lambda listed: listed.springs,
    handbook=handbook_springs,
    told=_told,
)
OWN_DAMPERS: Kind[DamperList, Dampers] = Kind(
    key="dampers",
    layout=DAMPERS,
    labels={"part": "Part code", "note": "Note"},
    slices=lambda text, columns: damper_list_slices(text, columns=columns),
    goods=lambda listed: listed.dampers,
    handbook=handbook_dampers,
    # The page says of the handbook's own what it is, beside the button that tries it.
    told=lambda: "",
)


def listing(request: Mapping[str, Any], fields: Mapping[str, str], typed: frozenset[str]) -> Listing[Springs]:
    """Return the spring list in use for a request."""
    return OWN_SPRINGS.listing(request, fields, typed)


def reading(request: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Read the list that a request brings in slices: progress after each, and what the page keeps of it last."""
    return OWN_DAMPERS.reading(request) if OWN_DAMPERS.brings(request) else OWN_SPRINGS.reading(request)
