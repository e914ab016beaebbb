"""The engineering of the Spring and Damper Handbook: weights to springs and dampers, in SI units."""
