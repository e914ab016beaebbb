"""The engineering of the Spring and Damper Handbook: weights to springs and dampers, in SI units."""

__version__ = "0.2.0"
