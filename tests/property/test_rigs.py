"""The rigs that other tests try: the same ones for the same number, legal, and of every kind that they promise."""

from __future__ import annotations

import random
from collections import Counter

from hypothesis import given, settings

from calc.rig.entries import AXLES
from calc.rig.file import rig_from_data, rig_to_data, write_rig
from calc.rig.rig import Rig
from tests.conftest import long_run
from tests.property.rigs import mutated_rig, mutated_rigs


def test_a_number_makes_one_rig() -> None:
    first, again, other = (mutated_rig(random.Random(number)) for number in (5, 5, 6))
    assert first == again
    assert first != other


@given(rig=mutated_rigs())
@settings(max_examples=long_run(20, 500))
def test_what_is_made_is_legal_and_can_be_kept(rig: Rig) -> None:
    assert rig_from_data(rig_to_data(rig)) == rig
    assert write_rig(rig)


def test_a_hundred_rigs_hold_every_kind_that_is_promised() -> None:
    seen: Counter[str] = Counter()
    for number in range(100):
        rig = mutated_rig(random.Random(number))
        places = [item.behind_front_axle for case in rig.load_cases for item in case.items if item.carried == "sprung"]
        seen["an item without its place"] += None in places
        seen["no value"] += not rig.values
        seen["a proof"] += bool(rig.proofs)
        seen["a plus-minus of what is not entered"] += bool(rig.doubts)
        seen["a plus-minus of its own"] += any(entry.plus_minus is not None for entry in rig.values.values())
        seen["no load case"] += not rig.load_cases
        for axle in AXLES:
            seen["independent"] += rig.independent(axle)
            seen["travel pairs"] += bool(rig.pairs(axle))
            seen["a ratio"] += rig.get(f"{axle}.motion_ratio") is not None
            seen["eyes"] += rig.get(f"{axle}.upper_mount_base") is not None
            seen["a lean"] += rig.get(f"{axle}.lean") is not None
    assert min(seen.values()) >= 2, seen
