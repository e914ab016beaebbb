"""A browser that has a third of a processor gets its answers: none of them is taken for a hang."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from calc.desk import browser as finder
from tests.browser.conftest import Reader
from tests.browser.held import held_to_a_third
from tests.browser.test_prove import HEIGHTS

pytestmark = pytest.mark.browser

PATIENCE = 240_000  # ms: what must come may come late here


@pytest.fixture
def slow_reader(chromium: Browser, host: str, tmp_path: Path) -> Iterator[Reader]:
    """A reader whose whole browser is held to a third; its processes are known by the folder of its profile."""
    profile = tmp_path / "profile-of-a-slow-machine"
    context = chromium.browser_type.launch_persistent_context(
        profile,
        executable_path=str(finder.find()),
        args=["--no-sandbox", "--disable-gpu"],
        service_workers="block",
        viewport={"width": 1440, "height": 900},
    )
    me = Reader(context, host)
    context.set_default_timeout(PATIENCE)
    with held_to_a_third(str(profile)):
        yield me
    context.close()
    assert not me.wrong


def one_worker(me: Reader) -> bool:
    """Whether the page has been with one worker all the time, and was told of nothing that went wrong."""
    status = " ".join(me.page.locator('[data-region="status"]').all_inner_texts())
    return bool(me.page.evaluate("workers") == 1) and "started again" not in status


def test_every_page_answers_with_a_third_of_a_processor(slow_reader: Reader) -> None:
    me = slow_reader
    me.visit("index.html")
    me.fill("front.axle_mass_before", "2600")
    me.fill("front.axle_mass_after", "3000")
    assert "× 0.88 to 1.51" in me.region("results")
    assert one_worker(me)

    me.visit("steps/rescaled_rate.html")
    me.fill("axle_mass_after", "3500")
    # (3500 - 755) / (2453 - 546), by hand
    assert "1.439" in me.region("results")
    assert one_worker(me)

    me.visit("rig.html")
    me.page.get_by_role("button", name="Open Wren, the example").click()
    expect(me.page.locator("[data-kept-rigs]")).to_contain_text("Wren", timeout=PATIENCE)
    me.settled()
    assert " front, " in me.region("head-6")
    assert one_worker(me)

    me.visit("prove.html")
    expect(me.page.locator('[data-region="whose"]')).to_contain_text("Wren", timeout=PATIENCE)
    me.settled()
    for place, (low, high) in enumerate(HEIGHTS):
        me.page.locator(f'[name="first.{place}.after_pushed_down"]').fill(low)
        me.page.locator(f'[name="first.{place}.after_lifted"]').fill(high)
    me.settled()
    assert "Turn the left front up 1.5 turns" in me.region("head-2")
    assert one_worker(me)
