"""Every page of the built site: what it must hold, and what it must not reach for."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from calc.desk import csp, font, vendor
from calc.desk.bench import pages as weighing

# Names of namespaces, which are never fetched.
NAMESPACES = ("http://www.w3.org/",)
# In the theme's own script, each behind something that no page here has (mermaid fences, a repository address,
# a browser without ResizeObserver); the browser tests watch that none of them is asked for.
IN_THE_THEME = (
    "https://bit.ly/2s3ChXG",  # in a warning that the search prints to a developer
    "https://unpkg.com/",
    "https://api.github.com/",
    "https://gitlab.com/",
    "https://${",
    "https://github.com",
)
LOADS = {
    "script": "src",
    "img": "src",
    "iframe": "src",
    "link": "href",
    "source": "src",
    "use": "href",
    "form": "action",
}
BUDGET = 60_000


class Read(HTMLParser):
    """What the tests ask of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.links: list[str] = []
        self.ids: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, list[str]] = {"h1": [], "title": []}
        self.math: list[tuple[str, str]] = []
        self._open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.append((tag, given))
        if LOADS.get(tag) in given:
            self.loads.append(given[LOADS[tag]] or "")
        if tag == "a" and given.get("href") is not None:
            self.links.append(given["href"] or "")
        if given.get("id"):
            self.ids.append(given["id"] or "")
        if tag in self.texts:
            self.texts[tag].append("")
        if tag not in {"meta", "link", "input", "br", "hr", "img", "source", "wbr"}:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self._open:
            while self._open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        for tag in self.texts:
            if tag in self._open:
                self.texts[tag][-1] += data
        if "math" in self._open and data.strip():
            self.math.append((self._open[-1], data.strip()))


def pages(site: Path) -> dict[str, str]:
    return {
        path.relative_to(site).as_posix(): path.read_text("utf-8")
        for path in sorted(site.rglob("*.html"))
        if path.name != "404.html"
    }


def test_every_page_has_one_title_and_one_heading(site: Path) -> None:
    titles: dict[str, str] = {}
    for name, html in pages(site).items():
        read = Read(html)
        # The first title is the page's own; the others belong to its drawings.
        assert read.texts["title"][0].strip(), name
        assert len(read.texts["h1"]) == 1, (name, read.texts["h1"])
        assert read.texts["h1"][0].strip(), name
        titles[name] = read.texts["title"][0].strip()
    assert len(set(titles.values())) == len(titles), titles


def test_every_page_says_unpack_first_when_its_style_sheet_is_missing(site: Path) -> None:
    style = (site / "assets/calc/handbook.css").read_text("utf-8")
    assert re.search(r"\.hb-unpack[^{]*\{display:none\}", style)
    for name, html in pages(site).items():
        assert html.count('<p class="hb-unpack"><strong>Unpack the whole folder first.</strong>') == 1, name


def test_no_identifier_stands_twice_on_a_page(site: Path) -> None:
    for name, html in pages(site).items():
        ids = Read(html).ids
        assert sorted(set(ids)) == sorted(ids), (name, sorted(one for one in ids if ids.count(one) > 1))


def test_nothing_is_loaded_from_elsewhere(site: Path) -> None:
    for name, html in pages(site).items():
        for address in Read(html).loads:
            parts = urlsplit(address)
            assert not parts.scheme, (name, address)
            assert not parts.netloc, (name, address)
            assert not address.startswith("/"), f"{name}: {address} only works at the top of a host"
    for path in site.rglob("*.css"):
        for address in re.findall(r"url\(\s*[\"']?([^\"')]+)|@import\s+[\"']([^\"']+)", path.read_text("utf-8")):
            found = "".join(address)
            assert found.startswith(("data:", "#")) or not urlsplit(found).netloc, (path.name, found)


def test_scripts_name_no_other_host(site: Path) -> None:
    for path in site.rglob("*.js"):
        if path.name.startswith("lunr") or "/lunr/" in path.as_posix():
            continue
        allowed = IN_THE_THEME if path.name.startswith(("bundle.", "search.")) else ()
        script = re.sub(r"/\*[!*\n].*?\*/", "", path.read_text("utf-8"), flags=re.S)  # whose it is, and its licence
        for address in re.findall(r"https?://[^\s\"'`)]{3,}", script):
            fine = address.startswith((*NAMESPACES, *allowed)) or urlsplit(address).hostname == "runtime.invalid"
            assert fine, (path.relative_to(site).as_posix(), address)


def test_every_link_inside_the_site_leads_somewhere(site: Path) -> None:
    ids = {name: set(Read(html).ids) for name, html in pages(site).items()}
    for name, html in pages(site).items():
        for link in Read(html).links:
            parts = urlsplit(link)
            if parts.scheme in ("http", "https", "mailto") or link == "":
                continue
            assert not link.startswith("/"), f"{name}: {link} only works at the top of a host"
            target = (site / name).parent / unquote(parts.path) if parts.path else site / name
            target = target.resolve()
            assert target.is_file(), f"{name} links to {link}, which is not there"
            anchor = unquote(parts.fragment)
            if anchor and target.suffix == ".html" and not anchor.startswith("__"):
                assert anchor in ids[target.relative_to(site.resolve()).as_posix()], f"{name} links to {link}"


@pytest.mark.parametrize("variant", ["site", "folder"])
def test_every_page_carries_its_policy_before_all_that_it_governs(variant: str, request: pytest.FixtureRequest) -> None:
    place: Path = request.getfixturevalue(variant)
    directives, frames = (csp.HOSTED, ()) if variant == "site" else (csp.FOLDER, (vendor.frame_script(),))
    for path in sorted(place.rglob("*.html")):
        html = path.read_text("utf-8")
        name = path.relative_to(place).as_posix()
        scripts, refused = csp.read(html)
        assert refused == [], name
        policies = re.findall(r'<meta http-equiv="Content-Security-Policy" content="([^"]+)">', html)
        assert policies == [csp.policy(html, directives, scripts=frames)], name
        for script in scripts:
            assert csp.source_hash(script) in policies[0], name
        assert "unsafe-inline" not in policies[0]
        assert "'unsafe-eval'" not in policies[0]
        before = html[: html.index("Content-Security-Policy")]
        assert not re.search(r"<(script|link|style|img)\b", before), name


def test_a_page_is_light(site: Path) -> None:
    """A page with what of ours a reader fetches for it, compressed: a font only where something is set in it."""
    for name in pages(site):
        weight = sum(weighing.weight(site / name, site).values())
        limit = BUDGET * 2 if name == "licences.html" else BUDGET  # the licences' full texts are what that page is for
        assert weight <= limit, f"{name}: {weight} bytes"


def test_every_sign_of_every_equation_is_in_the_font(site: Path) -> None:
    covered = font.covers(site / "assets/vendor/stix-two-math.woff2")
    invisible = {"\u2061", "\u2062", "\u2063"}  # function application, times, comma: they have no shape
    for name, html in pages(site).items():
        for tag, text in Read(html).math:
            missing = set(text) - covered - invisible
            if tag == "mi" and len(text) == 1:
                missing = {font.ITALIC.get(text, text)} - covered
            assert not missing, f"{name}: <{tag}>{text}</{tag}> needs {missing}"


def test_a_measuring_list_has_a_line_for_every_letter_of_its_drawing(site: Path) -> None:
    """The list's own letters count its lines, so one line more or less puts a wrong name to every letter after it."""
    seen = 0
    for page in sorted((site / "steps").glob("*.html")):
        part = re.search(r'<div class="hb-measure">(.*?)<h2 id="work-it-out', page.read_text("utf-8"), re.S)
        if part is None:
            continue
        seen += 1
        letters = set(re.findall(r"<text[^>]*>(?:<tspan[^>]*>)?([A-Z])(?:</tspan>|</text>)", part[1]))
        lines = re.findall(r"<li>\s*(?:<p>)?<strong>", part[1])
        assert sorted(letters) == [chr(ord("A") + place) for place in range(len(lines))], page.name
    assert seen > 20
