"""The builder's whole way: a blank rig, the printed build sheet, and back from the floor with measured heights."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import expect

from calc.order.order import order
from calc.prove.built import model_of, of_order
from calc.prove.model import COUNT
from calc.rig.entries import AS_WEIGHED, CORNERS
from calc.rig.file import rig_from_data
from calc.rig.readings import CornerReading, Proof, State
from calc.rig.rig import Rig
from calc.tables import read_spring_list
from tests.browser.test_rig import SLIP, enter, open_all, price_list

pytestmark = pytest.mark.browser

INCH = 0.0254
# What the whole rig solved asks for besides the scale slip and the damper.
MOUNTS = {
    "front.mount_base": "39.4",
    "rear.mount_base": "40.2",
    "front.mount_height": "15.7",
    "rear.mount_height": "16.5",
    "front.roll_center_height": "20.9",
    "rear.roll_center_height": "23.6",
}
SHORT = 1.5  # turns that the left front adjuster was left short of the build sheet


def heights(rig: Rig) -> list[float]:
    """What a tape reads at the four corners, the left front adjuster short by its turns, as the order's own rig stands."""
    springs = read_spring_list(price_list()).springs
    somewhere = State(corners={corner: CornerReading(after_lifted=0.6) for corner in CORNERS})
    found = model_of(of_order(order(rig, springs)), Proof(date="2026-11-25", case=AS_WEIGHED, states=(somewhere,)))
    assert isinstance(found, tuple)
    truth = np.zeros(COUNT)
    # A spring that stands shorter by what the adjuster lacks.
    truth[4] = -SHORT * INCH / 12
    return [float(one) / INCH for one in found[0].outputs(truth[None], 0).height[0]]


def test_from_a_blank_rig_to_the_printed_sheet_and_back_to_what_to_turn(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit("rig.html")
    open_all(page)
    for name, text in {**SLIP, **MOUNTS}.items():
        enter(page, name, text)
    me.settled()
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "ours.csv", "mimeType": "text/csv", "buffer": price_list().encode()}]
    )
    me.settled()
    page.get_by_role("button", name="Use 56 springs").click()
    me.settled()
    assert me.region("head-12").startswith("Ready to order")
    sheet = me.region("order")
    assert "do not order" not in sheet
    assert "Prove it on the ground" in sheet
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) == 2
    page.get_by_role("button", name="Order this").click()
    me.settled()
    assert me.region("head-12").startswith("Ordered on ")
    page.get_by_role("button", name="Undo").click()
    me.settled()
    assert me.region("head-12").startswith("Ready to order")
    page.get_by_role("button", name="Order this").click()
    me.settled()
    day = re.findall(r"Ordered on (\S+), handbook", page.locator("calc-form").first.inner_text())[0]
    kept = json.loads(page.evaluate("localStorage['spring-damper-handbook:rigs']"))
    assert [one["date"] for one in next(iter(kept["rigs"].values()))["ordered"]] == [day]
    read = heights(rig_from_data(next(iter(kept["rigs"].values()))))

    me.visit("prove.html")
    me.settled()
    expect(page.locator("calc-form")).to_contain_text(f"Compared with the order of {day}")
    expected = re.findall(r"Left front (\d+\.\d\d) in", sheet)[-1]
    expect(page.locator(".hb-measuring")).to_contain_text(expected)
    for place, height in enumerate(read):
        page.locator(f'[name="first.{place}.after_pushed_down"]').fill(f"{height - 0.06:.2f}")
        page.locator(f'[name="first.{place}.after_lifted"]').fill(f"{height + 0.06:.2f}")
    me.settled()
    assert f"Turn the left front up {SHORT} turns" in me.region("head-2")
