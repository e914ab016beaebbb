"""Every page as a reader meets it: on a host under a path, and from a folder.

Nothing leaves the origin, the console stays clean, no page is wider than its screen, and axe finds nothing of
levels A and AA in either theme. Each page is visited once through each door, and what one visit can tell is asked in it.
"""

from __future__ import annotations

import json
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
    """What a reader met on one page; its looks, how far it is wider than screens and what axe finds, on the host alone."""

    headings: int
    unpack: bool
    wrong: list[str]
    over: dict[int, float]
    violations: dict[str, list[tuple[str, list[str]]]]


@pytest.fixture(scope="module", params=["host", "folder"])
def met(request: pytest.FixtureRequest, chromium: Browser, names: list[str], axe: str) -> Iterator[dict[str, Met]]:
    """What a reader meets on each page, by its name."""
    base = base_of(request.param, request)
    # The folder's pages have the same content and are laid out by the same style sheets.
    looks = axe if request.param == "host" else ""
    context = chromium.new_context()
    page = context.new_page()
    wrong = watched(page, base)
    yield {name: meet(page, base + name, wrong, looks) for name in names}
    context.close()


def meet(page: Page, address: str, wrong: list[str], axe: str) -> Met:
    """Visit a page; with `axe`, look at it too, in each width and theme."""
    # A page that is being left is not laid out anew.
    page.goto("about:blank")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": WIDTHS[0], "height": 900})
    wrong.clear()
    page.goto(address)
    page.evaluate(SETTLED)
    found = Met(
        headings=page.locator("h1").count(),
        unpack=page.locator(".hb-unpack").is_visible(),
        wrong=list(wrong),
        over={},
        violations={},
    )
    if axe:
        page.evaluate("document.querySelectorAll('article details').forEach((part) => { part.open = true; })")
        found.violations = violations(page, axe)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            found.over[width] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return found


@pytest.mark.browser
def test_every_page_is_quiet_and_asks_nobody_else(met: dict[str, Met], names: list[str]) -> None:
    assert {name: page.wrong for name, page in met.items() if page.wrong} == {}
    assert [name for name, page in met.items() if page.headings != 1 or page.unpack] == []
    assert list(met) == names != []


@pytest.mark.browser
@pytest.mark.parametrize("met", ["host"], indirect=True, scope="module")
def test_no_page_is_wider_than_its_screen(met: dict[str, Met]) -> None:
    for name, page in met.items():
        assert tuple(page.over) == WIDTHS
        assert {width: over for width, over in page.over.items() if over > 0} == {}, name


@pytest.mark.browser
@pytest.mark.parametrize("met", ["host"], indirect=True, scope="module")
@pytest.mark.parametrize("theme", SCHEMES)
def test_axe_finds_nothing_of_levels_a_and_aa(met: dict[str, Met], theme: str) -> None:
    for name, page in met.items():
        assert page.violations[theme] == [], name


# A defect of each kind that a visit looks for; a color may be a defect in one theme alone.
DEFECTS = """
<div style="width: 1000px; height: 1px"></div>
<input>
<p style="color: #bbb">Pale</p>
<p style="color: #444">Dark</p>
<math style="color: #bbb"><mi>x</mi><mo>+</mo><mi>y</mi></math>
<math><mi>x</mi><mo style="color: #bbb">+</mo></math>
<img alt="" src="http://127.0.0.1:9/elsewhere.png">
<h1>Another heading</h1>
"""


@pytest.mark.browser
def test_a_visit_sees_each_kind_of_defect(chromium: Browser, host: str, axe: str) -> None:
    # Without the page's policy, which would keep the image away.
    context = chromium.new_context(bypass_csp=True)
    page = context.new_page()
    wrong = watched(page, host)
    page.add_init_script(
        f"""addEventListener("DOMContentLoaded", () => {{
          document.querySelector("article").insertAdjacentHTML("beforeend", {json.dumps(DEFECTS)});
          console.warn("A warning");
          setTimeout(() => {{ throw new Error("A mistake"); }});
        }});"""
    )
    found = meet(page, host + "safety.html", wrong, axe)
    context.close()
    assert found.headings == 2
    for said in ("A warning", "A mistake", "http://127.0.0.1:9/elsewhere.png"):
        assert any(said in each for each in found.wrong), said
    assert [width for width, over in found.over.items() if over > 0] == [820, 390, 320]
    odd = ("a sign unlike its equation", 1)
    told = {theme: {(rule, len(nodes)) for rule, nodes in told} for theme, told in found.violations.items()}
    assert told == {"light": {("color-contrast", 2), ("label", 1), odd}, "dark": {("color-contrast", 1), odd}}


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
