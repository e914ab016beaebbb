"""Every page as a reader meets it: on a host under a path, and from a folder.

Nothing leaves the origin, the console stays clean, no page is wider than its screen, and axe finds nothing of
levels A and AA in either theme.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import SCHEMES, violations

# Everything that a page starts by itself has been started.
SETTLED = "new Promise((done) => requestIdleCallback(() => setTimeout(done, 100), { timeout: 3000 }))"
WIDTHS = (1440, 820, 390, 320)


@pytest.fixture(scope="module")
def names(site: Path) -> list[str]:
    found = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))
    return [name for name in found if name != "404.html"]


def watched(page: Page, base: str) -> list[str]:
    """Collect what a page must not do: speak in the console, fail, or ask another origin."""
    wrong: list[str] = []
    page.on("console", lambda said: wrong.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    own = (base, "data:", "blob:")
    page.on("request", lambda asked: None if asked.url.startswith(own) else wrong.append(asked.url))
    # A page that is left while the calculator loads breaks that off, which is no failure.
    broken_off = "net::ERR_ABORTED"
    page.on(
        "requestfailed", lambda asked: None if asked.failure == broken_off else wrong.append(f"failed: {asked.url}")
    )
    return wrong


def base_of(where: str, request: pytest.FixtureRequest) -> str:
    if where == "host":
        address: str = request.getfixturevalue("host")
        return address
    folder: Path = request.getfixturevalue("folder")
    return folder.as_uri() + "/"


@dataclass
class Met:
    """What a reader met on one page."""

    headings: int
    unpack: bool
    wrong: list[str]
    scheme: str
    over: dict[int, float]
    violations: list[tuple[str, list[str]]]


# Every page is opened once in each theme: on the host in the light one, from the folder in the dark one.
THEMES = {"host": "light", "folder": "dark"}


@pytest.fixture(scope="module", params=THEMES)
def met(
    request: pytest.FixtureRequest, chromium: Browser, names: list[str], axe: str
) -> Iterator[tuple[str, dict[str, Met]]]:
    """Where the pages are, and what a reader meets on each of them."""
    where: str = request.param
    base, theme = base_of(where, request), THEMES[where]
    context = chromium.new_context(color_scheme="dark" if theme == "dark" else "light")
    page = context.new_page()
    wrong = watched(page, base)
    yield where, {name: meet(page, base + name, theme, axe, wrong) for name in names}
    context.close()


def meet(page: Page, address: str, theme: str, axe: str, wrong: list[str]) -> Met:
    wrong.clear()
    page.goto(address)
    page.evaluate(SETTLED)
    headings, unpack = page.locator("h1").count(), page.locator(".hb-unpack").is_visible()
    said = list(wrong)
    page.evaluate("document.querySelectorAll('article details').forEach((one) => { one.open = true; })")
    over: dict[int, float] = {}
    # The folder's pages are laid out by the same style sheets.
    for width in WIDTHS if theme == "light" else ():
        page.set_viewport_size({"width": width, "height": 900})
        over[width] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.set_viewport_size({"width": 1280, "height": 720})
    return Met(
        headings=headings,
        unpack=unpack,
        wrong=said,
        scheme=page.evaluate("document.body.dataset.mdColorScheme"),
        over=over,
        violations=violations(page, axe, theme),
    )


@pytest.mark.browser
def test_every_page_is_quiet_and_asks_nobody_else(met: tuple[str, dict[str, Met]], names: list[str]) -> None:
    _, pages = met
    assert {name: page.wrong for name, page in pages.items() if page.wrong} == {}
    assert [name for name, page in pages.items() if page.headings != 1 or page.unpack] == []
    assert list(pages) == names != []


@pytest.mark.browser
@pytest.mark.parametrize("met", ["host"], indirect=True, scope="module")
def test_no_page_is_wider_than_its_screen(met: tuple[str, dict[str, Met]]) -> None:
    _, pages = met
    for name, page in pages.items():
        assert tuple(page.over) == WIDTHS
        assert {width: over for width, over in page.over.items() if over > 0} == {}, name


@pytest.mark.browser
def test_axe_finds_nothing_of_levels_a_and_aa(met: tuple[str, dict[str, Met]]) -> None:
    where, pages = met
    for name, page in pages.items():
        assert page.scheme == SCHEMES[THEMES[where]], name
        assert page.violations == [], name


@pytest.mark.browser
@pytest.mark.parametrize("where", ["host", "folder"])
def test_the_search_finds_a_page(where: str, chromium: Browser, request: pytest.FixtureRequest) -> None:
    base = base_of(where, request)
    page = chromium.new_page(viewport={"width": 1440, "height": 900})
    wrong = watched(page, base)
    page.goto(base + "prove.html")
    page.locator(".md-search__input").click()
    page.keyboard.type("chocks")
    link = page.locator('.md-search-result__link[href*="safety.html"]').first
    link.wait_for()
    link.click()
    page.wait_for_url("**/safety.html*")
    assert wrong == []
    page.close()


@pytest.mark.browser
def test_a_missing_address_leads_back(chromium: Browser, host: str) -> None:
    page = chromium.new_page()
    page.goto(host + "404.html")
    page.get_by_role("link", name="First page of this folder").click()
    assert page.title() == "Spring and Damper Handbook"
    page.close()


@pytest.mark.browser
def test_the_keyboard_reaches_the_content_first(chromium: Browser, host: str) -> None:
    """The first stop is the way past the header, and what has the focus shows it."""
    page = chromium.new_page()
    page.goto(host + "steps/index.html")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.matches('.md-skip')")
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") != ""
    page.locator("article a").first.focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.close()
