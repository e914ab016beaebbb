"""Wren's order on the handbook's springs: worked out once for all tests that only look at it."""

from __future__ import annotations

from functools import cache

from calc.order.order import Order, order
from calc.rig.file import wren
from calc.tables import assortment_springs


@cache
def wrens_order() -> Order:
    """Return the order as it is with nothing asked otherwise. Nobody changes it: it is frozen."""
    return order(wren(), assortment_springs())
