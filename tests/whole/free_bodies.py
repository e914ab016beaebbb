"""A rig's entries as free bodies: what the rest solve is compared with."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from calc.desk import rest_balance as balance
from calc.rig.entries import AXLES
from calc.rig.loads import corner_masses
from calc.rig.rig import LoadCase, Rig

GRAVITY = 9.80665


def vehicle_of(
    rig: Rig, case: LoadCase, springs: Mapping[str, Mapping[str, float | None]] | None = None
) -> balance.Vehicle:
    """A rig for the balance, straight from its entries, on its old springs or on given ones, by axle."""

    def of(axle: str, name: str) -> float:
        return float(rig.get(f"{axle}.{name}"))

    masses = corner_masses(rig, case)
    assert masses is not None
    left, right = (np.array([masses[f"{side}_{axle}"] for axle in AXLES]) for side in ("left", "right"))
    unsprung = np.array([of(axle, "unsprung_mass") for axle in AXLES])
    offset = np.array([of(axle, "unsprung_left_of_center") for axle in AXLES])
    track = np.array([of(axle, "track") for axle in AXLES])
    total = left.sum() + right.sum()
    sprung = total - unsprung.sum()
    behind = float(rig.get("wheelbase")) * (left[1] + right[1] - unsprung[1]) / sprung
    ends = []
    for place, axle in enumerate(AXLES):
        own: Any = {
            "tender_rate": of(axle, "old_tender_rate"),
            "main_rate": of(axle, "old_main_rate"),
            "preload": of(axle, "old_preload"),
            "ring_gap": None,
        }
        if springs is not None:
            own = springs[axle]
        area = math.pi / 4 * of(axle, "rod_diameter") ** 2
        corner = balance.Corner(
            tire_rate=of(axle, "tire_rate"),
            **own,
            extended=of(axle, "damper_extended"),
            strap=0.0,
            pad_touch=of(axle, "damper_stroke") - of(axle, "pad_touch_before_collapsed"),
            pad_rate=float(rig.get(f"{axle}.pad_rate") or 1e5),
            pad_solid_force=rig.get(f"{axle}.pad_solid_force"),
            pad_solid=of(axle, "damper_stroke") - of(axle, "solid_before_collapsed"),
            gas_pressure=of(axle, "gas_pressure"),
            gas_volume=of(axle, "gas_volume"),
            rod_area=area,
        )
        ends.append(
            balance.End(
                independent=rig.get(f"{axle}.axle_kind") == "independent",
                ahead=behind if place == 0 else behind - float(rig.get("wheelbase")),
                track=of(axle, "track"),
                unsprung=unsprung[place] * GRAVITY,
                unsprung_left=of(axle, "unsprung_left_of_center"),
                unsprung_height=of(axle, "tire_loaded_radius"),
                roll_center=of(axle, "roll_center_height"),
                bar=float(rig.get(f"{axle}.bar_roll_stiffness") or 0.0),
                base=of(axle, "mount_base"),
                mount_height=of(axle, "mount_height"),
                lean=of(axle, "lean"),
                eye_length=of(axle, "damper_length"),
                motion_ratio=float(rig.get(f"{axle}.motion_ratio") or 1.0),
                ratio_slope=float(rig.get(f"{axle}.motion_ratio_slope") or 0.0),
                corners=(corner, corner),
            )
        )
    height = case.center_of_gravity_height
    assert height is not None
    return balance.Vehicle(
        sprung=sprung * GRAVITY,
        sprung_left=(((left - right) * track / 2).sum() - (unsprung * offset).sum()) / sprung,
        sprung_height=(total * height - (unsprung * 0.44).sum()) / sprung,
        ends=(ends[0], ends[1]),
    )
