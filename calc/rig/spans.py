"""What stands in for a value that nobody has measured yet: a span, told with every answer that rests on it.

Common practice, no source: each is wide enough for light and heavy rigs with solid axles and large tires.
"""

UNSPRUNG_SHARE = (0.15, 0.35)
TIRE_RATE = (200e3, 350e3)
MOTION_RATIO = (0.85, 1.0)


def unsprung_percent() -> str:
    """Return the span of the unsprung share, in words.

    >>> unsprung_percent()
    '15 to 35 %'
    """
    low, high = (f"{share * 100:.0f}" for share in UNSPRUNG_SHARE)
    return f"{low} to {high} %"
