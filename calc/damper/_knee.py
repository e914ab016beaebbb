"""The force of a damper with a knee, as the speed that counts: past the knee it grows by its share."""

from typing import Any

import numpy as np


def bent(speed: Any, knee: Any, slope: Any) -> Any:
    """Return the speed by which a coefficient is multiplied to give the force.

    >>> float(bent(0.3, 0.2, 0.5))
    0.25
    """
    return np.minimum(speed, knee) + slope * np.maximum(speed - knee, 0.0)
