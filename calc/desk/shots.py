"""Takes a picture of every page: two widths, two themes, and on paper. Tells each page that is wider than its screen."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from calc.desk import browser, build, environment
from calc.desk.places import HANDBOOK, ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SHOTS = HANDBOOK / "shots"
README_PICTURE = ROOT / "docs" / "assets" / "calc" / "handbook.png"
WIDTHS = (1440, 390)
THEMES = ("light", "dark")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


def main(words: Sequence[str]) -> int:
    """Take the pictures; with page names, of those pages only; with `--readme`, the README's one picture.

    Returns 1 when a page is wider than its screen.
    """
    site = build.build(offline=False)
    pages = sorted(page.relative_to(site).as_posix() for page in site.rglob("*.html") if page.name != "404.html")
    wanted = [word for word in words if not word.startswith("--")]
    chosen = [page for page in pages if not wanted or any(word in page for word in wanted)]
    with served(site) as address, opened() as program:
        if "--readme" in words:
            _readme(program, address)
            return 0
        shutil.rmtree(SHOTS, ignore_errors=True)
        wide = [line for page in chosen for line in _page(program, address, page)]
    for line in wide:
        environment.say(line)
    environment.say(f"{len(chosen)} pages are in {SHOTS}.")
    return 1 if wide else 0


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder while the block runs; gives its address."""
    server = build.Server(("127.0.0.1", 0), partial(build.Handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def opened() -> Iterator[Browser]:
    """Open a browser without a window while the block runs."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        program = play.chromium.launch(executable_path=str(browser.find()), args=ARGUMENTS)
        try:
            yield program
        finally:
            program.close()


def _page(program: Browser, address: str, page: str) -> Iterator[str]:
    name = page.removesuffix(".html").replace("/", "-")
    environment.say(page)
    for width in WIDTHS:
        for theme in THEMES:
            context = program.new_context(
                viewport={"width": width, "height": 900},
                color_scheme="dark" if theme == "dark" else "light",
                service_workers="block",
            )
            sheet = context.new_page()
            sheet.goto(address + page)
            sheet.evaluate("document.fonts.ready")
            sheet.screenshot(path=str(SHOTS / f"{name}-{width}-{theme}.png"), full_page=True)
            wider = _overflow(sheet)
            if wider > 0 and theme == "light":
                yield f"{page} is {wider} px wider than a screen of {width} px."
            if width == WIDTHS[0] and theme == "light":
                sheet.pdf(path=str(SHOTS / f"{name}-paper.pdf"), format="A4", prefer_css_page_size=True)
            context.close()


def _overflow(sheet: Page) -> int:
    return int(sheet.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def _readme(program: Browser, address: str) -> None:
    context = program.new_context(
        viewport={"width": 1200, "height": 760}, color_scheme="light", service_workers="block"
    )
    sheet = context.new_page()
    sheet.goto(address + "index.html")
    sheet.evaluate("document.fonts.ready")
    README_PICTURE.parent.mkdir(parents=True, exist_ok=True)
    sheet.screenshot(path=str(README_PICTURE))
    environment.say(f"The picture is {README_PICTURE.relative_to(ROOT)}.")
