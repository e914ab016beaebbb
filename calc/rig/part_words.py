"""How a part and a setting are named on page, paper, terminal and in data: once each."""

from __future__ import annotations

from calc import vocabulary
from calc.quantity import Display

# The settings of a corner, the damper hanging free.
PRELOAD, PRELOAD_TURNS = "Preload, past just seated", "Preload, turns"
ADJUSTER, ADJUSTER_TURNS = "Adjuster, from backed off", "Total turns from fully backed off (check)"
THREAD_LEFT = "Thread left below the adjuster"
RING_GAP = "Ring gap, down to the divider"
RING_BELOW_SEAT = "Spring seat to underside of ring"
STRAP = "Limit strap, eye to eye, slack"


def rate_number(rate: float, display: Display) -> str:
    """Return a spring's rate as parts are told apart by it: no decimals that say nothing, and none too few.

    >>> from calc.quantity import METRIC, SHOP
    >>> rate_number(43781.7, SHOP), rate_number(43781.7, METRIC), rate_number(45000.0, METRIC), rate_number(44000.0, SHOP)
    ('250', '43.78', '45', '251.2')
    """
    return _printed(rate, display)[0]


def rate_text(rate: float, display: Display) -> str:
    r"""Return a spring's rate with its unit.

    >>> from calc.quantity import SHOP
    >>> rate_text(43781.7, SHOP)
    '250\xa0lb/in'
    """
    return _printed(rate, display)[1]


def _printed(rate: float, display: Display) -> tuple[str, str]:
    of, finest = vocabulary.spring_rate, 2 if display.system == "metric" else 1
    whole, fine = (display.number(rate, of, decimals=places) for places in (0, finest))
    decimals = 0 if float(fine.replace(",", "")) == float(whole.replace(",", "")) else finest
    return display.number(rate, of, decimals=decimals), display.text(rate, of, decimals=decimals)
