"""Every page as a reader meets it: on a host under a path, and from a folder.

Nothing leaves the origin, the console stays clean, no page is wider than its screen, and axe finds nothing of
levels A and AA in either theme.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from calc.desk import npm

RULES = {
    "light": {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], "resultTypes": ["violations"]},
    # The other theme changes colors and nothing else, so only the rules that look at colors are asked again.
    "dark": {"runOnly": ["color-contrast", "link-in-text-block"], "resultTypes": ["violations"]},
}
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


@pytest.mark.browser
@pytest.mark.parametrize("where", ["host", "folder"])
def test_every_page_is_quiet_and_asks_nobody_else(
    where: str, chromium: Browser, names: list[str], request: pytest.FixtureRequest
) -> None:
    base = base_of(where, request)
    page = chromium.new_page()
    wrong = watched(page, base)
    for name in names:
        page.goto(base + name)
        page.evaluate(SETTLED)
        assert page.locator("h1").count() == 1, name
        assert not page.locator(".hb-unpack").is_visible(), name
        assert wrong == [], name
    page.close()


@pytest.mark.browser
def test_no_page_is_wider_than_its_screen(chromium: Browser, host: str, names: list[str]) -> None:
    page = chromium.new_page()
    for name in names:
        page.goto(host + name)
        page.evaluate("document.querySelectorAll('article details').forEach((one) => { one.open = true; })")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert over <= 0, f"{name} at {width}: {over} px too wide"
    page.close()


@pytest.mark.browser
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_of_levels_a_and_aa(theme: str, chromium: Browser, host: str, names: list[str]) -> None:
    axe = (npm.modules() / "axe-core" / "axe.min.js").read_text("utf-8")
    context = chromium.new_context(color_scheme="dark" if theme == "dark" else "light")
    page = context.new_page()
    for name in names:
        page.goto(host + name)
        scheme = page.evaluate("document.body.dataset.mdColorScheme")
        assert scheme == ("slate" if theme == "dark" else "default"), name
        page.evaluate("document.querySelectorAll('article details').forEach((one) => { one.open = true; })")
        page.evaluate(axe)
        found = page.evaluate(f"axe.run(document, {json.dumps(RULES[theme])})")
        told = [(one["id"], [node["html"][:200] for node in one["nodes"]]) for one in found["violations"]]
        assert told == [], name
    context.close()


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
