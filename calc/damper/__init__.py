"""Dampers: damping, gas, length and stops."""
