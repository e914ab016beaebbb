"""Weighing, splitting and changing the weight of a rig."""
