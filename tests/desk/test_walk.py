"""The rigs that a browser keeps, walked at random: the page's real scripts against a model of what a person expects.

Two tabs, several rigs, and answers that come at any later moment or never. The scripts run in Node, in the little document
of `walk/`; what Python would answer is a small rig worked out from the request. After each step storage, both pages and
their undo equal the model.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import settings, strategies
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule, run_state_machine_as_test

from calc.desk import environment, npm
from calc.desk.places import SOURCES
from tests.conftest import long_run

WALK = Path(__file__).parent / "walk"
EXAMPLE = {"name": "Wren", "a": "1", "b": "2", "n": 0}
BLANK = {"name": "", "a": "", "b": "", "n": 0}
FIELDS = ("name", "a", "b")
Rig = dict[str, Any]
MOST = 5


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page's scripts with another calculator behind them, as one file."""
    folder = tmp_path_factory.mktemp("walk")
    for path in SOURCES.glob("*.js"):
        shutil.copy(path, folder)
    for name in ("client.js", "page.js"):
        shutil.copy(WALK / name, folder)
    made = folder / "made.js"
    npm.script("esbuild", "bin/esbuild", str(folder / "page.js"), f"--outfile={made}", "--bundle", "--format=iife")
    return made


class Browser:
    """Node with the scripts in it."""

    def __init__(self, script: Path) -> None:
        self.process = subprocess.Popen(
            [str(environment.node()), "--no-warnings", str(WALK / "walk.mjs"), str(script)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def do(self, tab: int, op: str, *args: Any) -> dict[str, Any]:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({"tab": tab, "op": op, "args": args}) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        assert line, "the walk ended by an error of its scripts"
        state: dict[str, Any] = json.loads(line)
        return state

    def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(30)


@pytest.fixture(scope="module")
def browser(script: Path) -> Iterator[Browser]:
    made = Browser(script)
    yield made
    made.close()


# --- what a person expects -----------------------------------------------------------------------------------------------


@dataclass
class Kept:
    """The browser's storage: rigs by a handle, in the order in which they came; and which was open last."""

    rigs: dict[int, Rig] = field(default_factory=dict)
    current: int | None = None
    handles: int = 0

    def fresh(self) -> int:
        self.handles += 1
        return self.handles


@dataclass
class Search:
    """Long work: `mark` is what it was begun for, `rig` what it found; None while it waits for the form."""

    sheet: int
    mark: tuple[Any, ...] | None = None


@dataclass
class Flight:
    """An ask under way. It is about these changes of this sheet; `rest` is the second part of an answer."""

    rest: bool
    loading: bool
    action: bool
    rig: Rig
    valid: bool = True
    lost: bool = False


class Page:
    """One tab as a person sees it: what was typed counts for the rig in which it was typed, whenever answers come."""

    def __init__(self, kept: Kept) -> None:
        self.kept = kept
        self.open = kept.current if kept.current in kept.rigs else kept.fresh()
        self.known = kept.rigs.get(self.open)
        self.undo: list[tuple[Rig | None, str]] = []
        self.fields = dict.fromkeys(FIELDS, "")
        self.says = ""
        self.typed: set[str] = set()
        self.edited = ""
        self.action = self.loading = self.owed = self.waiting = self.failed = False
        self.flight: Flight | None = None
        self.later: list[Callable[[], None]] = []
        self.question: tuple[str, int, Rig, Rig | None] | None = None
        self.search: Search | None = None
        self.sheet = self.changes = self.revision = 0
        self.brings = 0
        if self.known:
            self.load()

    # what is in the storage

    @property
    def rig(self) -> Rig | None:
        return self.kept.rigs.get(self.open)

    def write(self) -> None:
        self.kept.current = self.open if self.open in self.kept.rigs else None
        self.known = self.rig

    def put(self, rig: Rig) -> None:
        self.kept.rigs[self.open] = rig
        self.revision += 1
        self.write()

    def turn_to(self, handle: int) -> None:
        self.open, self.undo = handle, []
        self.revision += 1
        self.write()

    def keep(self, rig: Rig, edit: str) -> None:
        if rig == self.rig:
            return
        if not edit or not self.undo or self.undo[-1][1] != edit:
            self.undo.append((self.rig, edit))
        self.put(rig)

    def hear(self) -> None:
        """Another tab has kept something."""
        before, was = self.known, self.open
        if before and not self.rig:
            self.open = self.kept.current if self.kept.current in self.kept.rigs else self.kept.fresh()
        self.known = self.rig
        if was != self.open or before != self.known:
            self.revision += 1
            self.undo = []
            self.load()

    # asking

    def load(self) -> None:
        self.typed, self.edited, self.action, self.owed = set(), "", False, False
        self.sheet += 1
        self.review()
        self.loading = True
        if self.flight:
            self.flight.lost = True
        self.want()
        self.turn()

    def reopen(self) -> None:
        self.question = None
        self.load()

    def want(self) -> None:
        self.waiting = True
        if self.flight:
            self.flight.valid = False
        else:
            self.send()

    def send(self) -> None:
        self.waiting = self.failed = False
        self.flight = Flight(rest=False, loading=self.loading, action=self.action, rig=self.asked())
        # What a button does is done with the numbers that are on their way, once they are there.
        if not self.loading:
            self.action = False

    def asked(self) -> Rig:
        if self.loading:
            return dict(self.rig or BLANK)
        count = (self.rig or BLANK)["n"] + (1 if self.action else 0)
        return {**self.fields, "n": count}

    def turn(self) -> None:
        """What waited for the last change to be kept happens now, in its order."""
        while self.later and not self.owed:
            self.later.pop(0)()
        search = self.search
        if search and search.mark is None and not self.owed and not (self.loading and (self.flight or self.waiting)):
            if self.loading or search.sheet != self.sheet:
                self.search = None
            else:
                search.mark = self.mark()

    def when_kept(self, act: Callable[[], None]) -> None:
        if self.owed:
            self.later.append(act)
        else:
            act()

    def mark(self) -> tuple[Any, ...]:
        return self.open, self.sheet, self.changes, self.revision

    def review(self) -> None:
        """A search that is about something else is stopped."""
        search = self.search
        if search and (search.sheet != self.sheet if search.mark is None else search.mark != self.mark()):
            self.search = None

    def end(self) -> None:
        """The answer that is under way comes."""
        flight, self.flight = self.flight, None
        assert flight is not None
        if flight.rest:
            if self.waiting:
                self.send()
            return
        if not flight.valid:
            if not flight.lost:
                self.action |= flight.action
            self.waiting = True
            self.send()
            return
        if flight.loading:
            self.loading = False
            for name in set(FIELDS) - self.typed:
                self.fields[name] = flight.rig[name]
        elif self.rig or flight.rig != BLANK:
            self.keep(flight.rig, self.edited)
        self.says = told(flight.rig)
        self.flight = Flight(rest=True, loading=False, action=False, rig=flight.rig)
        self.review()
        if flight.loading and (self.typed or self.action):
            self.want()
        else:
            self.owed = False
        self.turn()

    def fail(self) -> None:
        """The calculator gives no answer."""
        self.flight = None
        self.failed = True
        if self.waiting:
            self.send()
        else:
            self.owed = False
            self.turn()

    # what a person does

    def type(self, name: str, text: str) -> None:
        self.fields[name] = text
        self.typed.add(name)
        self.edited = name
        self.changes += 1
        self.review()
        self.owed = True
        self.want()

    def more(self) -> None:
        self.action, self.edited, self.owed = True, "", True
        self.want()

    def new(self) -> None:
        def act() -> None:
            self.turn_to(self.kept.fresh())
            self.reopen()

        self.when_kept(act)

    def choose(self, handle: int) -> None:
        def act() -> None:
            if handle in self.kept.rigs:
                self.turn_to(handle)
                self.reopen()

        self.when_kept(act)

    def take_back(self) -> None:
        def act() -> None:
            if self.undo:
                before, _ = self.undo.pop()
                if before is None:
                    self.kept.rigs.pop(self.open)
                    self.revision += 1
                    self.write()
                else:
                    self.put(before)
            self.reopen()

        self.when_kept(act)

    def remove(self) -> None:
        def act() -> None:
            if self.rig:
                self.question = ("remove", self.open, self.rig, None)

        self.when_kept(act)

    def yes(self) -> None:
        assert self.question is not None
        (kind, handle, held, brought), self.question = self.question, None

        def act() -> None:
            if self.kept.rigs.get(handle) != held:
                return
            if kind == "replace" and brought:
                self.turn_to(handle)
                self.keep(brought, "")
                self.reopen()
                return
            del self.kept.rigs[handle]
            if handle != self.open:
                self.write()
            else:
                self.turn_to(next(iter(self.kept.rigs), None) or self.kept.fresh())
                self.reopen()

        self.when_kept(act)

    def no(self) -> None:
        assert self.question is not None
        (kind, _, _, brought), self.question = self.question, None
        if kind == "replace" and brought:
            self.when_kept(lambda: self.add(brought))

    def add(self, rig: Rig) -> None:
        self.turn_to(self.kept.fresh())
        self.put(dict(rig))
        self.reopen()

    def bring(self) -> None:
        """The example is read."""
        self.brings -= 1

        def act() -> None:
            same = next((one for one, rig in self.kept.rigs.items() if rig == EXAMPLE), None)
            there = next((one for one, rig in self.kept.rigs.items() if rig["name"] == EXAMPLE["name"]), None)
            if same is not None:
                self.turn_to(same)
                self.reopen()
            elif there is None:
                self.add(EXAMPLE)
            else:
                self.question = ("replace", there, self.kept.rigs[there], EXAMPLE)

        self.when_kept(act)

    def press_search(self) -> None:
        if self.search:
            self.search = None
        else:
            self.search = Search(sheet=self.sheet)
            self.turn()

    def found(self) -> None:
        """The search comes to its end. What stood in the fields when it began is kept with what it found."""
        self.search = None
        if self.rig or self.asked() != BLANK:
            self.keep({**self.fields, "n": (self.rig or BLANK)["n"]}, self.edited)
        self.says = told({**self.fields, "n": (self.rig or BLANK)["n"]})


def told(rig: Rig) -> str:
    return "/".join(str(rig[name]) for name in (*FIELDS, "n"))


class Walk(RuleBasedStateMachine):
    """Anything that a reader can do, in either tab, with answers that come when they come."""

    browser: ClassVar[Browser]
    tabs: ClassVar[strategies.SearchStrategy[int]] = strategies.integers(0, 1)

    @initialize()
    def begin(self) -> None:
        self.kept = Kept()
        self.pages = [Page(self.kept), Page(self.kept)]
        # Searches that were begun, by tab, in their order: the ones that were stopped may end as well.
        self.longs: list[list[Search]] = [[], []]
        self.compare(self.browser.do(0, "begin", 2))

    def step(self, tab: int, op: str, *args: Any) -> None:
        state = self.browser.do(tab, op, *args)
        # The other tab hears of what was kept before anybody does the next thing.
        for _ in range(4):
            for page in self.pages:
                if page.known != page.rig:
                    page.hear()
        for longs, page in zip(self.longs, self.pages, strict=True):
            if page.search and page.search.mark and page.search not in longs:
                longs.append(page.search)
        self.compare(state)

    def compare(self, state: dict[str, Any]) -> None:
        assert state["rigs"] == list(self.kept.rigs.values())
        handles = list(self.kept.rigs)
        for page, seen in zip(self.pages, state["tabs"], strict=True):
            # Whoever chooses another rig before the last change is kept sees the choice at once.
            assert page.later or seen["open"] == (handles.index(page.open) if page.open in handles else -1)
            assert seen["undo"] == bool(page.undo)
            assert (seen["question"] is None) == (page.question is None), seen["question"]
            assert seen["asks"] == (1 if page.flight else 0)
            assert (seen["search"] == "Stop") == (page.search is not None)
            if not page.loading:
                assert seen["fields"] == page.fields
            if not page.flight and not page.waiting and not page.failed:
                assert (seen["says"], seen["order"]) == (page.says, page.says)

    @rule(tab=tabs, name=strategies.sampled_from(FIELDS), text=strategies.sampled_from(["", "1", "2", "Wren"]))
    def type(self, tab: int, name: str, text: str) -> None:
        self.pages[tab].type(name, text)
        self.step(tab, "type", name, text)

    @rule(tab=tabs)
    def add_a_load_case(self, tab: int) -> None:
        self.pages[tab].more()
        self.step(tab, "more")

    @rule(tab=tabs)
    @precondition(lambda self: any(page.flight for page in self.pages))
    def an_answer_comes(self, tab: int) -> None:
        tab = tab if self.pages[tab].flight else 1 - tab
        self.pages[tab].end()
        self.step(tab, "end")

    @rule(tab=tabs)
    def all_answers_come(self, tab: int) -> None:
        while self.pages[tab].flight:
            self.pages[tab].end()
            self.step(tab, "end")

    @rule(tab=tabs)
    @precondition(lambda self: any(page.flight and not page.flight.rest for page in self.pages))
    def no_answer_comes(self, tab: int) -> None:
        flight = self.pages[tab].flight
        tab = tab if flight and not flight.rest else 1 - tab
        flight = self.pages[tab].flight
        if flight and not flight.rest:
            self.pages[tab].fail()
            self.step(tab, "fail")

    @rule(tab=tabs)
    @precondition(lambda self: len(self.kept.rigs) < MOST)
    def new_rig(self, tab: int) -> None:
        self.pages[tab].new()
        self.step(tab, "press", "new")

    @rule(tab=tabs, place=strategies.integers(0, MOST))
    @precondition(lambda self: len(self.kept.rigs) > 1)
    def choose_another(self, tab: int, place: int) -> None:
        handles = list(self.kept.rigs)
        place %= len(handles)
        if handles[place] != self.pages[tab].open:
            self.pages[tab].choose(handles[place])
            self.step(tab, "choose", place)

    @rule(tab=tabs)
    def undo(self, tab: int) -> None:
        if self.pages[tab].undo:
            self.pages[tab].take_back()
            self.step(tab, "press", "undo")

    @rule(tab=tabs)
    def ask_to_remove(self, tab: int) -> None:
        if self.pages[tab].rig:
            self.pages[tab].remove()
            self.step(tab, "press", "remove")

    @rule(tab=tabs, agreed=strategies.booleans())
    @precondition(lambda self: any(page.question for page in self.pages))
    def answer_the_question(self, tab: int, agreed: bool) -> None:
        tab = tab if self.pages[tab].question else 1 - tab
        (self.pages[tab].yes if agreed else self.pages[tab].no)()
        self.step(tab, "press", "yes" if agreed else "no")

    @rule(tab=tabs)
    @precondition(lambda self: len(self.kept.rigs) < MOST)
    def open_the_example(self, tab: int) -> None:
        self.pages[tab].brings += 1
        self.step(tab, "press", "wren")

    @rule(tab=tabs)
    def the_example_comes(self, tab: int) -> None:
        if self.pages[tab].brings:
            self.pages[tab].bring()
            self.step(tab, "bring")

    @rule(tab=tabs)
    def press_search(self, tab: int) -> None:
        self.pages[tab].press_search()
        self.step(tab, "search")

    @rule(tab=tabs, place=strategies.integers(0, 20))
    def a_search_ends(self, tab: int, place: int) -> None:
        if self.longs[tab]:
            place %= len(self.longs[tab])
            search = self.longs[tab].pop(place)
            if search is self.pages[tab].search:
                self.pages[tab].found()
            self.step(tab, "finish", place)

    @rule(tab=tabs)
    def reload(self, tab: int) -> None:
        self.pages[tab] = Page(self.kept)
        self.longs[tab] = []
        self.step(tab, "reload")


def test_storage_page_and_undo_hold_what_a_person_expects(browser: Browser) -> None:
    class Here(Walk):
        pass

    Here.browser = browser
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        Here,
        settings=settings(max_examples=long_run(25, 3_000), stateful_step_count=40),
    )


# --- nothing stale ---------------------------------------------------------------------------------------------------------


def typed(browser: Browser) -> None:
    browser.do(0, "begin", 1)
    for op in (("type", "a", "1"), ("end",), ("end",)):
        [seen] = browser.do(0, *op)["tabs"]
    assert (seen["says"], seen["order"], seen["stale"]) == ("/1//0", "/1//0", False)
    browser.do(0, "type", "a", "2")


@pytest.mark.parametrize(("ends", "why"), [("refuse", "No."), ("fail", "No answer.")])
def test_a_second_part_that_fails_leaves_nothing_of_earlier_values(ends: str, why: str, browser: Browser) -> None:
    typed(browser)
    browser.do(0, "end")
    [seen] = browser.do(0, ends)["tabs"]
    assert (seen["says"], seen["order"]) == ("/2//0", f"Not worked out for what you typed. {why}")
    # The next values have their second part again, the same as before among them.
    browser.do(0, "type", "a", "1")
    browser.do(0, "end")
    [seen] = browser.do(0, "end")["tabs"]
    assert (seen["says"], seen["order"]) == ("/1//0", "/1//0")


@pytest.mark.parametrize(("ends", "why"), [("refuse", "No."), ("fail", "No answer.")])
def test_an_answer_that_is_a_sentence_alone_marks_what_stands_there(ends: str, why: str, browser: Browser) -> None:
    typed(browser)
    [seen] = browser.do(0, ends)["tabs"]
    assert seen["stale"]
    assert seen["status"] == f"{why} The results shown are not for what you typed."
    browser.do(0, "type", "a", "3")
    [seen] = browser.do(0, "end")["tabs"]
    assert (seen["stale"], seen["says"], seen["status"]) == (False, "/3//0", "")


def test_while_an_answer_lets_wait_what_stands_there_is_marked(browser: Browser) -> None:
    """The walk's clock has always run: whatever waits, waits long."""
    typed(browser)
    [seen] = browser.do(0, "type", "a", "3")["tabs"]
    assert (seen["stale"], seen["status"]) == (True, "Working it out.")
    browser.do(0, "end")
    [seen] = browser.do(0, "end")["tabs"]
    assert (seen["stale"], seen["status"]) == (False, "")
