"""Physical constants. A constant without a source does not construct."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Constant:
    """A value with its SI unit and the place where it is fixed; `dimension` counts kilogram, meter, second and kelvin."""

    symbol: str
    label: str
    value: float
    unit: str
    dimension: tuple[int, int, int, int]
    source: str

    def __post_init__(self) -> None:
        if not self.source:
            raise ValueError(f"The constant {self.label} needs a source.")


STANDARD_GRAVITY = Constant(
    symbol="g",
    label="Standard gravity",
    value=9.80665,
    unit="m/s²",
    dimension=(0, 1, -2, 0),
    source="3rd General Conference on Weights and Measures, 1901; NIST SP 811 (2008), appendix B.8. Exact.",
)
STANDARD_ATMOSPHERE = Constant(
    symbol="p_atm",
    label="Standard atmosphere",
    value=101_325.0,
    unit="Pa",
    dimension=(1, -1, -2, 0),
    source="10th General Conference on Weights and Measures, 1954; NIST SP 811 (2008), appendix B.8. Exact.",
)

REFERENCE_WAVENUMBER = Constant(
    symbol="n_0",
    label="Reference waves per length",
    value=0.1,
    unit="1/m",
    dimension=(0, -1, 0, 0),
    source="ISO 8608, Mechanical vibration: road surface profiles; from memory. Exact.",
)
SMOOTH_ROAD = Constant(
    symbol="G_A",
    label="Roughness of class A, geometric mean",
    value=16e-6,
    unit="m³",
    dimension=(0, 3, 0, 0),
    source="ISO 8608, Mechanical vibration: road surface profiles, geometric mean at the reference; from memory.",
)

GRAVITY = STANDARD_GRAVITY.value
ATMOSPHERE = STANDARD_ATMOSPHERE.value
WAVENUMBER = REFERENCE_WAVENUMBER.value
SMOOTHNESS = SMOOTH_ROAD.value

# The names that an equation may use without declaring them.
NAMED = {
    "gravity": STANDARD_GRAVITY,
    "atmosphere": STANDARD_ATMOSPHERE,
    "wavenumber": REFERENCE_WAVENUMBER,
    "smoothness": SMOOTH_ROAD,
}
