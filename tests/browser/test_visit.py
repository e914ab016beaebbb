"""One calculator for all pages of a visit: shared, joined late, left behind when it hangs, and done without.

The stand-in tells which runtime answers, so that a second boot shows by its name and not by the time it takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser import standin

pytestmark = pytest.mark.browser

HUNG = (
    "The calculator gave no answer for 5 seconds and was started again. What you typed is kept. "
    "Change a value to try again."
)
REFUSING = """Object.defineProperty(window, "SharedWorker", {
  value: class { constructor() { throw new DOMException("no", "SecurityError"); } },
});"""
FAILING = """Object.defineProperty(window, "SharedWorker", {
  value: class extends EventTarget {
    port = new MessageChannel().port1;
    constructor() { super(); setTimeout(() => this.onerror(new Event("error", { cancelable: true }))); }
  },
});"""
WITHOUT_STORAGE = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("no", "SecurityError"); },
});"""


class Visit:
    """One reader's browser, with as many pages of one site as wanted."""

    def __init__(self, context: BrowserContext, base: str) -> None:
        self.context = context
        self.base = base
        self.console: list[str] = []
        # Names of files that the host holds back until their event is set.
        self.held: dict[str, Event] = {}

    def page(self, name: str = "index.html", before: str = "") -> Page:
        page = self.context.new_page()
        if before:
            page.add_init_script(before)
        page.on("console", lambda said: self.console.append(said.text))
        page.on("pageerror", lambda error: self.console.append(str(error)))
        page.goto(self.base + name)
        return page


@contextmanager
def visiting(made: standin.StandIn, root: Path, chromium: Browser) -> Iterator[Visit]:
    made.host(root / "some" / "where", {name: standin.page(name) for name in ("index.html", "two.html")})
    context = chromium.new_context()
    found = Visit(context, "")
    with standin.served(root, held=found.held) as port:
        found.base = f"http://127.0.0.1:{port}/some/where/"
        yield found
        context.close()
        for gate in found.held.values():
            gate.set()
    assert found.console == []


@pytest.fixture
def visit(made: standin.StandIn, tmp_path: Path, chromium: Browser) -> Iterator[Visit]:
    with visiting(made, tmp_path, chromium) as found:
        yield found


@pytest.fixture(scope="module")
def long_visit(made: standin.StandIn, tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[Visit]:
    with visiting(made, tmp_path_factory.mktemp("visit"), chromium) as found:
        which(found.page())
        yield found


@pytest.fixture
def going_on(long_visit: Visit) -> Iterator[Visit]:
    """A visit whose calculator is up since an earlier test, for tests that leave it up: none of them costs a boot."""
    first, *others = long_visit.context.pages
    yield long_visit
    for page in long_visit.context.pages:
        if page is not first:
            page.close()
    assert not others


def ask(page: Page, **request: Any) -> Any:
    return page.evaluate("request => handbook.ask(request)", request)


def which(page: Page) -> str:
    said = ask(page, do="which")
    assert "answer" in said, said
    return str(said["answer"]["runtime"])


def until(page: Page, holds: str) -> None:
    """Wait until an expression holds; the page's policy lets nothing but the test itself evaluate one."""
    for _ in range(1500):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(20)
    raise AssertionError(f"it never held: {holds}")


def notes(page: Page) -> set[str]:
    return {status["note"] for status in page.evaluate("handbook.heard")} - {""}


def test_the_next_pages_of_a_visit_need_no_second_boot(visit: Visit) -> None:
    page = visit.page()
    first = which(page)
    page.goto(visit.base + "two.html")
    assert which(page) == first
    # Nothing was loaded again, so nothing was said of loading.
    assert {status["sentence"] for status in page.evaluate("handbook.heard")} == {"", "The calculator is ready."}
    page.reload()
    assert which(page) == first
    page.close()
    assert which(visit.page("two.html")) == first


def test_two_pages_at_once_get_each_their_own_answers(going_on: Visit) -> None:
    one, two = going_on.page(), going_on.page("two.html")
    assert which(one) == which(two)
    # Both number their asks from the beginning.
    pages = {one: 1000, two: 2000}
    for page, start in pages.items():
        page.evaluate(
            "start => { window.sums = Promise.all([...Array(50).keys()].map("
            "(n) => handbook.ask({ do: 'add', numbers: [start, n] }))) }",
            start,
        )
    for page, start in pages.items():
        assert page.evaluate("sums") == [{"answer": {"sum": float(start + n)}} for n in range(50)]


def test_long_work_of_one_page_does_not_keep_the_other_waiting(going_on: Visit) -> None:
    one, two = going_on.page(), going_on.page("two.html")
    one.evaluate("window.work = handbook.long({ upto: 1e9 }, { stopAt: 0 }); undefined")
    assert two.evaluate("handbook.long({ upto: 20 })")["end"] == {"answer": {"counted": 20}}
    before = ask(two, do="counted")["answer"]["slices"]
    assert ask(two, do="add", numbers=[1, 2]) == {"answer": {"sum": 3.0}}
    two.wait_for_timeout(50)
    assert ask(two, do="counted")["answer"]["slices"] > before, "the long work of the other page was broken off"
    assert which(one) == which(two)


def test_the_long_work_of_a_page_that_is_left_ends(going_on: Visit) -> None:
    one, two = going_on.page(), going_on.page("two.html")
    one.evaluate("window.work = handbook.long({ upto: 1e9 }); undefined")
    until(two, "handbook.ask({ do: 'counted' }).then(({ answer }) => answer.slices > 0)")
    one.goto(going_on.base + "two.html")
    counts: list[int] = []
    for _ in range(50):
        counts.append(ask(two, do="counted")["answer"]["slices"])
        if counts[-2:-1] == counts[-1:]:
            break
        two.wait_for_timeout(50)
    assert counts[-2] == counts[-1], "it goes on without the page that wanted it"
    assert which(one) == which(two)


@pytest.mark.parametrize("storage", ["", WITHOUT_STORAGE], ids=["storage", "no storage"])
def test_a_worker_that_hung_on_the_page_before_is_left_behind(storage: str, visit: Visit) -> None:
    if storage:
        visit.context.add_init_script(storage)
    page = visit.page()
    first = which(page)
    page.evaluate("handbook.ask({ do: 'hang' }); undefined")
    page.goto(visit.base + "two.html")
    assert ask(page, do="add", numbers=[7, 7]) == {"answer": {"sum": 14.0}}
    assert notes(page) == {HUNG}
    assert page.evaluate("handbook.heard").pop()["note"] == "", "an answer came, and the trouble is still told"
    second = which(page)
    assert second != first
    if not storage:
        # Whoever comes later does not meet the one that hangs.
        later = visit.page()
        assert which(later) == second
        assert notes(later) == set()


def test_a_hang_is_told_to_the_page_whose_ask_it_was_and_the_others_move_on_with_it(visit: Visit) -> None:
    one, two, idle = visit.page(), visit.page("two.html"), visit.page("two.html")
    first = which(one)
    assert which(two) == which(idle) == first
    one.evaluate("window.hanging = handbook.ask({ do: 'hang' }); undefined")
    assert ask(two, do="add", numbers=[3, 4]) == {"answer": {"sum": 7.0}}
    assert one.evaluate("hanging") == {"code": "hung", "sentence": HUNG, "detail": ""}
    assert which(one) == which(two) != first
    assert which(idle) == which(one)
    assert notes(idle) == set(), "this page had no part in it"


def test_a_worker_that_cannot_go_on_ends_for_every_page(visit: Visit) -> None:
    one, two = visit.page(), visit.page("two.html")
    first = which(one)
    assert which(two) == first
    assert ask(one, do="memory")["code"] == "memory"
    assert which(two) == which(one) != first
    assert notes(two) == set()


def test_a_page_that_joins_during_the_boot_hears_how_far_it_is(visit: Visit) -> None:
    visit.held["numpy.zip"] = gate = Event()
    one = visit.page()
    one.evaluate("handbook.boot()")
    loaded = "handbook.heard.some(({ state, loaded, total }) => state === 'loading' && 0 < loaded && loaded < total)"
    until(one, loaded)
    two = visit.page("two.html")
    two.evaluate("handbook.boot()")
    until(two, loaded)
    assert two.evaluate("handbook.heard").pop()["sentence"].startswith("Loading the calculator: ")
    gate.set()
    assert which(one) == which(two)
    assert [page.evaluate("handbook.heard").pop()["state"] for page in (one, two)] == ["ready", "ready"]


def test_a_slow_start_is_no_hang(visit: Visit) -> None:
    visit.held["numpy.zip"] = gate = Event()
    one = visit.page()
    one.evaluate("handbook.boot()")
    one.goto(visit.base + "two.html")
    one.evaluate("window.sum = handbook.ask({ do: 'add', numbers: [1, 1] }); undefined")
    one.wait_for_timeout(7000)
    gate.set()
    assert one.evaluate("sum") == {"answer": {"sum": 2.0}}
    assert notes(one) == set()


@pytest.mark.parametrize(
    "script",
    ["delete window.SharedWorker", REFUSING, FAILING],
    ids=["there is none", "it is refused", "it does not start"],
)
def test_where_no_worker_can_be_shared_each_page_has_its_own(script: str, going_on: Visit) -> None:
    page = going_on.page(before=script)
    own = which(page)
    assert which(page) == own
    assert own != which(going_on.context.pages[0])


def test_a_boot_that_failed_on_one_page_is_tried_anew_on_the_next(visit: Visit, tmp_path: Path) -> None:
    path = tmp_path / "some/where/assets/calc/runtime/calc.zip"
    kept = path.read_bytes()
    path.unlink()
    page = visit.page()
    assert ask(page, do="which")["code"] == "missing"
    path.write_bytes(kept)
    page.goto(visit.base + "two.html")
    assert which(page)
    # The browser itself tells of the file that is not there.
    visit.console = [said for said in visit.console if "404" not in said]
