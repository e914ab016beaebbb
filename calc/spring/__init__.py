"""Coil springs, alone and stacked."""
