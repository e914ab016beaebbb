"""The rig page: the whole rig once, in the order of the job, and what each part of the job says."""

from calc.sheet.rig.entries import declared
from calc.sheet.rig.page import answer, rewritten, rig
from calc.sheet.rig.slices import choose_slices, damper_slices, doubt_slices

__all__ = ["answer", "choose_slices", "damper_slices", "declared", "doubt_slices", "rewritten", "rig"]
