"""Physical constants. A constant without a source does not construct."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Constant:
    """A value with its unit and the place where it is fixed."""

    symbol: str
    label: str
    value: float
    unit: str
    source: str

    def __post_init__(self) -> None:
        if not self.source:
            raise ValueError(f"The constant {self.label} needs a source.")


STANDARD_GRAVITY = Constant(
    symbol="g",
    label="Standard gravity",
    value=9.80665,
    unit="m/s²",
    source="3rd General Conference on Weights and Measures, 1901; NIST SP 811 (2008), appendix B.8. Exact.",
)
STANDARD_ATMOSPHERE = Constant(
    symbol="p_atm",
    label="Standard atmosphere",
    value=101_325.0,
    unit="Pa",
    source="10th General Conference on Weights and Measures, 1954; NIST SP 811 (2008), appendix B.8. Exact.",
)

GRAVITY = STANDARD_GRAVITY.value
ATMOSPHERE = STANDARD_ATMOSPHERE.value

# The names that an equation may use without declaring them.
NAMED = {"gravity": STANDARD_GRAVITY, "atmosphere": STANDARD_ATMOSPHERE}
