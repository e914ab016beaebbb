"""A rig that is ready to be ordered, and an entry of it that cannot be read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.test_rig import SLIP, enter, open_all, price_list
from tests.browser.test_whole_job import MOUNTS

pytestmark = pytest.mark.browser

BUMP = "front.wanted_bump"
RUBBISH = "4 1/"


def test_nothing_is_ready_to_order_while_an_entry_cannot_be_read(reader: Callable[..., Any]) -> None:
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
    ready = page.locator('[data-region="head-12"]')
    expect(ready).to_contain_text("Ready to order", timeout=60_000)

    me.fill(BUMP, RUBBISH)
    expect(ready).not_to_contain_text("Ready to order")
    # Without the wish nothing is chosen, so there is no build sheet to print, and the page says why.
    page.emulate_media(media="print")
    expect(page.locator('[data-region="order"]')).to_be_empty()
    expect(page.locator('[data-region="estimate"]')).to_contain_text("cannot be read")
    page.emulate_media(media="screen")

    page = me.visit("rig.html")
    me.settled()
    open_all(page)
    expect(page.locator(f'[name="{BUMP}"]')).to_have_value(RUBBISH)
    expect(page.locator(f'[data-error-of="{BUMP}"]')).to_be_visible()
    expect(ready).not_to_contain_text("Ready to order")

    me.fill(BUMP, "4.5")
    expect(ready).to_contain_text("Ready to order", timeout=60_000)
    expect(page.locator(f'[data-error-of="{BUMP}"]')).to_be_hidden()
