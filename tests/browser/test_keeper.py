"""The hosted site kept on the reader's device: without signal, after a new build, and in the middle of an upload.

The browser is told that an invented host name is this machine, because a site on the machine itself is never
answered from what is kept while its server is up.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Error, Page

from calc.desk import browser as finder
from calc.desk import bundle
from tests.browser import standin

HOST = "handbook.example"
PAGES = {name: standin.page(f"Page {name}, first build.") for name in ("index.html", "two.html", "404.html")}
NEXT = {name: html.replace("first", "second") for name, html in PAGES.items()}


class Host:
    """A host that can go away and come back, and a browser to which it is one on the net."""

    def __init__(self, root: Path, chromium: Browser) -> None:
        self.root = root
        self.up = ExitStack()
        self.port = self.up.enter_context(standin.served(root))
        self.origin = f"http://{HOST}:{self.port}"
        self.browser = chromium.browser_type.launch(
            executable_path=str(finder.find()),
            args=[
                "--no-sandbox",
                "--disable-gpu",
                f"--host-resolver-rules=MAP {HOST} 127.0.0.1",
                f"--unsafely-treat-insecure-origin-as-secure={self.origin}",
            ],
        )

    def goes_down(self) -> None:
        self.up.close()

    def comes_back(self) -> None:
        self.up.close()
        self.up.enter_context(standin.served(self.root, self.port))


class Hosted:
    """A site on the host, in a folder of its own, and somebody who visits it with an empty profile."""

    def __init__(self, made: standin.StandIn, host: Host, folder: str) -> None:
        self.made = made
        self.host = host
        self.site = made.host(host.root / folder / "where", PAGES)
        bundle.keeper(self.site, sources=made.sources)
        self.base = f"{host.origin}/{folder}/where/"
        self.context = host.browser.new_context()
        self.page = self.context.new_page()
        self.uploaded = time.time()

    def goes_down(self) -> None:
        self.host.goes_down()

    def renewed(self, pages: dict[str, str], *, keeper: bool = True) -> None:
        """Put another build into the place of the one that is there, as if it were uploaded a minute later.

        A plain host tells whole seconds apart and no less: two uploads within one would be the same to a browser.
        """
        self.made.host(self.site, pages)
        if keeper:
            bundle.keeper(self.site, sources=self.made.sources)
        self.uploaded += 60.0
        for file in self.site.rglob("*"):
            if file.is_file():
                os.utime(file, (self.uploaded, self.uploaded))

    def visited(self, name: str = "", page: Page | None = None) -> str:
        page = page or self.page
        page.goto(self.base + name)
        return page.inner_text("p")

    def kept(self) -> str:
        """Register the keeper and wait until it keeps the pages."""
        return self.page.evaluate(
            "async () => { handbook.keepPages(); return (await navigator.serviceWorker.ready).scope }"
        )

    def stored(self) -> list[str]:
        """What is kept, by address within the site."""
        keys = self.page.evaluate(
            """async () => {
              const found = [];
              for (const name of await caches.keys())
                for (const request of await (await caches.open(name)).keys()) found.push(request.url);
              return found;
            }"""
        )
        return sorted(re.sub(r"\?.*", "", key.removeprefix(self.base)) for key in keys)

    def alone(self) -> None:
        """Wait until the keeper knows that a closed page is closed: the browser tells it a moment later."""
        keeper = self.context.service_workers[0]
        count = "async () => (await self.clients.matchAll({ type: 'window' })).length"
        for _ in range(100):
            if keeper.evaluate(count) <= 1:
                return
            self.page.wait_for_timeout(50)
        raise AssertionError("the keeper still counts a page that is closed")

    def newer_waits(self) -> None:
        """Let the browser look for a newer build, and wait until it is kept whole."""
        self.page.evaluate(
            """async () => {
              const known = await navigator.serviceWorker.ready;
              await known.update();
              const come = known.installing ?? known.waiting;
              await new Promise((resolve) => {
                const look = () => come.state === "installed" && resolve();
                come.addEventListener("statechange", look);
                look();
              });
            }"""
        )


@pytest.fixture(scope="module")
def road(tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[Host]:
    found = Host(tmp_path_factory.mktemp("host"), chromium)
    yield found
    found.browser.close()
    found.up.close()


@pytest.fixture
def hosted(made: standin.StandIn, road: Host, tmp_path: Path) -> Iterator[Hosted]:
    found = Hosted(made, road, tmp_path.name)
    yield found
    found.context.close()
    shutil.rmtree(found.site)
    road.comes_back()


# Another runtime than the one that this visit has, which answers on from its memory.
ANEW = {
    "shared": "const key = 'spring-damper-handbook:worker'; localStorage[key] = localStorage[key].replace(/\\d+$/, '99')",
    "its own": "delete window.SharedWorker",
}


def ask(page: Page, **request: Any) -> Any:
    return page.evaluate("request => handbook.ask(request)", request)


def test_pages_are_read_without_signal_after_one_visit(hosted: Hosted) -> None:
    hosted.visited()
    assert hosted.kept() == hosted.base
    hosted.goes_down()
    assert hosted.visited() == "Page index.html, first build."
    assert hosted.visited("two.html?h=word#place") == "Page two.html, first build."
    assert hosted.visited("nowhere.html") == "Page 404.html, first build."


@pytest.mark.parametrize("worker", ANEW)
def test_the_calculator_is_kept_only_once_it_was_used(worker: str, hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    assert not [name for name in hosted.stored() if "/runtime/" in name]
    first = ask(hosted.page, do="which")
    # Keeping goes on by itself behind the first answer; asking for it again waits for its end.
    assert hosted.page.evaluate("handbook.keepCalculator()") is None
    runtime = {f"assets/calc/runtime/{path.name}" for path in hosted.made.prepared.iterdir()}
    assert runtime <= set(hosted.stored())
    hosted.goes_down()
    hosted.context.add_init_script(ANEW[worker])
    hosted.visited("two.html")
    second = ask(hosted.page, do="which")
    assert "answer" in second
    assert second != first
    assert ask(hosted.page, do="table") == {"answer": {"rows": 3}}


def test_the_reader_may_keep_all_of_it_unused(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    told = hosted.page.evaluate(
        """async () => {
          const told = [];
          const unkept = await handbook.keepCalculator((loaded, total) => told.push([loaded, total]));
          return { unkept, told };
        }"""
    )
    count = len(list(hosted.made.prepared.iterdir()))
    assert told == {"unkept": None, "told": [[at, count] for at in range(1, count + 1)]}
    hosted.goes_down()
    hosted.visited()
    assert ask(hosted.page, do="add", numbers=[5, 5]) == {"answer": {"sum": 10.0}}


OFFER = '<p data-keep hidden><button type="button">Keep</button> <span role="status"></span></p>'
OFFERING = {**PAGES, "index.html": PAGES["index.html"].replace("<script", f"{OFFER}<script")}
ALL_KEPT = "The whole handbook is kept on this device."


def not_kept(why: str) -> str:
    return f"Not all of it could be kept: {why}. What was kept before is still there. Try again later."


def asked_to_keep(page: Page, answer: str) -> None:
    """Press the button and wait for what it says at the end."""
    page.get_by_role("button", name="Keep").click()
    page.get_by_text(answer, exact=True).wait_for()


def test_the_page_offers_to_keep_all_of_it(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    hosted.visited()
    assert not hosted.page.locator("[data-keep]").is_visible()
    hosted.kept()
    asked_to_keep(hosted.page, ALL_KEPT)
    assert any("/runtime/" in name for name in hosted.stored())


def test_the_offer_says_when_it_could_not_keep(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    (hosted.site / bundle.KEEPER).unlink()
    hosted.visited()
    hosted.page.evaluate("handbook.keepPages()")
    asked_to_keep(hosted.page, not_kept("this browser keeps nothing for this site"))
    assert hosted.page.get_by_role("button", name="Keep").is_enabled()


def test_a_page_that_is_missing_is_named_and_may_come_later(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    page, content = hosted.site / "two.html", OFFERING["two.html"]
    written = page.read_bytes()
    page.unlink()
    hosted.visited()
    hosted.page.evaluate("handbook.keepPages()")
    asked_to_keep(hosted.page, not_kept("two.html is missing from the site"))
    page.write_text(content.replace("first", "wrong"), "utf-8")
    asked_to_keep(hosted.page, not_kept("two.html is not the file that this handbook was built with"))
    page.write_bytes(written)
    asked_to_keep(hosted.page, ALL_KEPT)
    hosted.goes_down()
    assert hosted.visited("two.html") == "Page two.html, first build."


def test_a_part_of_the_calculator_that_is_altered_is_named_and_the_rest_is_kept(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    name = "assets/calc/runtime/numpy.zip"
    written = (hosted.site / name).read_bytes()
    (hosted.site / name).write_bytes(written[:-1])
    hosted.visited()
    hosted.kept()
    asked_to_keep(hosted.page, not_kept(f"{name} is not the file that this handbook was built with"))
    runtime = {f"assets/calc/runtime/{path.name}" for path in hosted.made.prepared.iterdir()}
    assert {kept for kept in hosted.stored() if "/runtime/" in kept} == runtime - {name}
    (hosted.site / name).write_bytes(written)
    asked_to_keep(hosted.page, ALL_KEPT)


def test_what_an_earlier_build_keeps_stays_where_the_next_one_lacks_a_page(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    hosted.visited()
    hosted.kept()
    asked_to_keep(hosted.page, ALL_KEPT)
    hosted.renewed({name: html.replace("first", "second") for name, html in OFFERING.items()})
    (hosted.site / "two.html").unlink()
    hosted.visited()
    hosted.page.evaluate("navigator.serviceWorker.ready.then((known) => known.update()).catch(() => {})")
    hosted.goes_down()
    assert hosted.visited("two.html") == "Page two.html, first build."
    assert ask(hosted.page, do="add", numbers=[5, 5]) == {"answer": {"sum": 10.0}}


def test_a_keeper_that_never_answers_is_not_waited_for(hosted: Hosted) -> None:
    hosted.renewed(OFFERING)
    (hosted.site / bundle.KEEPER).write_text("self.onmessage = () => {};", "utf-8")
    hosted.page.clock.install()
    hosted.visited()
    hosted.kept()
    hosted.page.get_by_role("button", name="Keep").click()
    hosted.page.wait_for_timeout(500)
    hosted.page.clock.fast_forward(60_000)
    hosted.page.get_by_text(not_kept("the browser gave no answer"), exact=True).wait_for()
    assert hosted.page.get_by_role("button", name="Keep").is_enabled()


def test_keeping_says_when_it_could_not(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    hosted.goes_down()
    assert hosted.page.evaluate("handbook.keepCalculator()")["why"] == "unreachable"


def test_a_new_build_takes_over_at_the_next_page(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    before = set(hosted.stored())
    hosted.renewed(NEXT)
    hosted.newer_waits()
    assert hosted.page.inner_text("p") == "Page index.html, first build."
    hosted.page.goto(hosted.base + "two.html")
    hosted.page.get_by_text("Page two.html, second build.").wait_for()
    assert set(hosted.stored()) == before, "what the old build had kept is gone"
    hosted.goes_down()
    assert hosted.visited() == "Page index.html, second build."


def test_pages_of_two_builds_never_mix_while_two_are_open(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    other = hosted.context.new_page()
    hosted.visited("two.html", other)
    hosted.renewed(NEXT)
    hosted.newer_waits()
    assert hosted.visited("two.html") == "Page two.html, first build."
    other.close()
    hosted.alone()
    hosted.page.goto(hosted.base)
    hosted.page.get_by_text("Page index.html, second build.").wait_for()


def test_a_site_in_the_middle_of_an_upload_is_not_kept(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    hosted.renewed(NEXT)
    (hosted.site / "two.html").write_text(PAGES["two.html"], "utf-8")
    state = hosted.page.evaluate(
        """async () => {
          const known = await navigator.serviceWorker.ready;
          await known.update();
          const come = known.installing ?? known.waiting;
          return new Promise((resolve) => {
            const look = () => ["installed", "redundant"].includes(come.state) && resolve(come.state);
            come.addEventListener("statechange", look);
            look();
          });
        }"""
    )
    assert state == "redundant"
    assert hosted.visited() == "Page index.html, first build."


def test_on_this_machine_the_server_is_asked_first(hosted: Hosted) -> None:
    hosted.base = hosted.base.replace(HOST, "127.0.0.1")
    hosted.visited()
    hosted.kept()
    hosted.visited()
    hosted.renewed(NEXT, keeper=False)
    assert hosted.visited() == "Page index.html, second build."
    hosted.renewed(PAGES, keeper=False)
    hosted.goes_down()
    assert hosted.visited() == "Page index.html, first build."


def test_without_the_keeper_there_is_nothing_without_signal(hosted: Hosted) -> None:
    hosted.visited()
    hosted.goes_down()
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        hosted.visited("two.html")


def test_the_site_can_be_put_on_a_home_screen(hosted: Hosted) -> None:
    hosted.visited()
    hosted.kept()
    address = hosted.page.evaluate("document.querySelector('link[rel=manifest]').href")
    assert address == hosted.base + "manifest.webmanifest"
    told = json.loads(hosted.page.evaluate("address => fetch(address).then((answer) => answer.text())", address))
    assert told["name"] == "Spring and Damper Handbook"


def test_a_copy_in_a_folder_registers_nothing(made: standin.StandIn, tmp_path: Path, chromium: Browser) -> None:
    site = made.folder(tmp_path, {"index.html": standin.page()})
    context = chromium.new_context()
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto((site / "index.html").as_uri())
    page.evaluate("handbook.keepPages()")
    assert page.evaluate("handbook.keepCalculator()") == {"path": "", "why": "refused"}
    assert page.evaluate("document.querySelector('link[rel=manifest]')") is None
    assert said == []
    context.close()
