"""The worker alone, over http under a path prefix and from a folder: starting, answering, and every failure.

The site is a stand-in page with a stand-in `calc` (tests/browser/stub); client, worker, runtime and the
page's policy are the real ones.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from playwright.sync_api import Browser, Page

from tests.browser import standin

PREFIX = "some/where"


@pytest.fixture(scope="module")
def log() -> list[str]:
    """The path of each request to the host: a browser's driver does not see what a shared worker asks for."""
    return []


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, log: list[str]) -> Iterator[tuple[Path, str]]:
    """A folder that a static host serves, and its address."""
    root = tmp_path_factory.mktemp("served")
    with standin.served(root, log=log) as port:
        yield root, f"http://127.0.0.1:{port}/"


@pytest.fixture(scope="module")
def whole_site(made: standin.StandIn, served: tuple[Path, str]) -> Path:
    return made.host(served[0] / PREFIX, {"index.html": standin.page()})


@pytest.fixture(scope="module")
def whole_folder(made: standin.StandIn, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made.folder(tmp_path_factory.mktemp("copy of a handbook"), {"index.html": standin.page()})


@pytest.fixture
def hosted(whole_site: Path, served: tuple[Path, str]) -> Iterator[Path]:
    """A copy of the site for a test that spoils it."""
    with TemporaryDirectory(dir=served[0]) as place:
        yield Path(shutil.copytree(whole_site, Path(place) / "site"))


@pytest.fixture
def server(hosted: Path, served: tuple[Path, str]) -> str:
    return served[1] + hosted.relative_to(served[0]).as_posix() + "/"


@pytest.fixture
def folder(whole_folder: Path, tmp_path: Path) -> Path:
    """A copy of the folder for a test that spoils it."""
    return Path(shutil.copytree(whole_folder, tmp_path / "copy"))


class Watched:
    """A page together with what it wrote on the console and what it requested."""

    def __init__(self, page: Page, log: list[str]) -> None:
        self.page = page
        self.log = log
        self.console: list[str] = []
        self.requests: list[str] = []
        page.on("console", lambda message: self.console.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: self.console.append(f"error: {error}"))
        page.on("request", lambda request: self.requests.append(request.url))

    def ask(self, **request: object) -> dict:
        return self.page.evaluate("request => handbook.ask(request)", request)

    def long(self, request: dict, **when: int) -> dict:
        return self.page.evaluate("([request, when]) => handbook.long(request, when)", [request, when])

    def requested(self, part: str) -> bool:
        return any(part in url.rpartition("/")[2] for url in [*self.requests, *self.log])

    def heard(self) -> list[dict]:
        return self.page.evaluate("handbook.heard")


@pytest.fixture
def watched(chromium: Browser, log: list[str]) -> Iterator[Watched]:
    context = chromium.new_context()
    log.clear()
    yield Watched(context.new_page(), log)
    context.close()


@pytest.fixture(scope="module")
def address(whole_site: Path, served: tuple[Path, str]) -> str:
    """The address of the whole site."""
    return served[1] + whole_site.relative_to(served[0]).as_posix() + "/"


@pytest.fixture(scope="module", params=["hosted", "folder"])
def home(request: pytest.FixtureRequest) -> str:
    """The address of either home."""
    if request.param == "hosted":
        hosted: str = request.getfixturevalue("address")
        return hosted
    folder: Path = request.getfixturevalue("whole_folder")
    return (folder / "index.html").as_uri()


@pytest.fixture
def opened(home: str, watched: Watched) -> Watched:
    """A page of either home, nothing touched yet."""
    watched.page.goto(home)
    return watched


@pytest.fixture(scope="module")
def kept_running(home: str, chromium: Browser, log: list[str]) -> Iterator[Watched]:
    context = chromium.new_context()
    found = Watched(context.new_page(), log)
    found.page.goto(home)
    assert found.ask(do="add", numbers=[1]) == {"answer": {"sum": 1.0}}
    yield found
    context.close()


@pytest.fixture
def running(kept_running: Watched) -> Watched:
    """A page whose calculator is up already, for tests after which it is as it was: none of them costs a boot."""
    kept_running.page.evaluate("handbook.heard.length = 0")
    kept_running.console.clear()
    kept_running.requests.clear()
    return kept_running


def test_a_page_that_is_only_read_loads_nothing(opened: Watched) -> None:
    assert [Path(url).name for url in opened.requests][-1] == "handbook.js"
    assert len(opened.requests) == 2
    assert not opened.requested("worker.js")
    assert opened.heard() == [{"state": "asleep", "sentence": "", "loaded": 0, "total": 0, "note": ""}]


def test_answers_tells_how_far_it_is_and_loads_no_more_than_it_needs(opened: Watched) -> None:
    assert opened.ask(do="add", numbers=[0.1, 0.2]) == {"answer": {"sum": 0.1 + 0.2}}
    heard = opened.heard()
    loading = [status for status in heard if status["state"] == "loading" and status["total"] > 1]
    assert loading, "no word of progress"
    assert all(0 <= status["loaded"] <= status["total"] for status in loading)
    assert loading[-1]["sentence"].startswith("Loading the calculator: ")
    assert heard[-1]["state"] == "ready"
    assert heard[-1]["sentence"] == "The calculator is ready."
    # Whoever listens only now hears how it stands at once.
    assert opened.page.evaluate("handbook.late()") == heard[-1]
    assert opened.console == []
    own = opened.page.url.rpartition("/")[0]
    assert [url for url in opened.requests if not url.startswith((own, "blob:"))] == []
    if own.startswith("http"):
        files = [path for path in opened.log if "/runtime/" in path]
        assert len(files) == 6
        assert all("?v=" in path for path in files), "a runtime file does not carry its hash in its address"
    # Pandas is loaded only when an answer needs it.
    assert not opened.requested("pandas")
    assert opened.ask(do="table") == {"answer": {"rows": 3}}
    assert opened.requested("pandas")
    assert opened.long({"upto": 2, "table": True})["end"] == {"answer": {"counted": 2}}
    assert opened.console == []


def test_boots_ahead_of_the_first_ask(address: str, watched: Watched) -> None:
    watched.page.goto(address)
    watched.page.evaluate("handbook.boot()")
    assert watched.page.evaluate("handbook.settled()")["state"] == "ready"
    assert watched.ask(do="add", numbers=[2, 3]) == {"answer": {"sum": 5.0}}


def test_an_ask_for_a_package_that_is_not_there_fails_alone(running: Watched) -> None:
    failed = running.ask(do="impossible")
    assert failed["code"] == "fault"
    assert "(it asked for scipy)" in failed["sentence"]
    assert running.ask(do="add", numbers=[4]) == {"answer": {"sum": 4.0}}


def test_long_work_tells_progress_and_lets_asks_in_between(running: Watched) -> None:
    told = running.long({"upto": 300}, askAt=10)
    assert told["end"] == {"answer": {"counted": 300}}
    assert told["progress"] == list(range(1, 301))
    assert told["between"][0]["said"] == {"answer": {"sum": 3.0}}
    assert told["between"][0]["at"] < 300, "the ask waited for the end of the long work"


def test_long_work_stops_when_told(running: Watched) -> None:
    told = running.long({"upto": 10**9}, stopAt=5)
    assert told["end"] == {"code": "stopped", "sentence": "Stopped.", "detail": ""}
    assert 5 <= len(told["progress"]) < 1000
    assert running.ask(do="add", numbers=[1, 1]) == {"answer": {"sum": 2.0}}


def test_a_hang_opens_a_new_worker_and_says_so(opened: Watched) -> None:
    opened.ask(do="add", numbers=[1])
    sentence = (
        "The calculator gave no answer for 5 seconds and was started again. What you typed is kept. "
        "Change a value to try again."
    )
    both = opened.page.evaluate("Promise.all([handbook.ask({do: 'hang'}), handbook.ask({do: 'add', numbers: [7, 7]})])")
    assert both[0] == {"code": "hung", "sentence": sentence, "detail": ""}
    # What only waited behind the hang is asked again by itself.
    assert both[1] == {"answer": {"sum": 14.0}}
    assert next(status["note"] for status in opened.heard() if status["note"]) == sentence
    assert opened.heard()[-1]["note"] == ""


def test_work_that_says_it_is_alive_is_waited_for(running: Watched) -> None:
    """Longer than what is taken for a hang, in one stretch that answers nothing."""
    first = running.ask(do="which")
    running.page.evaluate(
        """() => { window.both = Promise.all(
          [handbook.ask({do: 'slow', seconds: 8}), handbook.ask({do: 'add', numbers: [7, 7]})]); }"""
    )
    if running.page.url.startswith("http"):
        # A page that comes in the middle of it waits as well.
        other = running.page.context.new_page()
        other.goto(running.page.url)
        assert other.evaluate("handbook.ask({do: 'which'})") == first, "it opened a worker of its own"
        other.close()
    assert running.page.evaluate("both") == [{"answer": {"worked": 8}}, {"answer": {"sum": 14.0}}]
    assert not [status["note"] for status in running.heard() if status["note"]]
    assert running.ask(do="which") == first


def test_work_that_was_alive_and_then_hangs_is_replaced(address: str, watched: Watched) -> None:
    watched.page.goto(address)
    first = watched.ask(do="which")
    assert watched.ask(do="slow", seconds=2, hangs=True)["code"] == "hung"
    assert watched.ask(do="which") != first


def test_a_fault_of_the_program_is_told_and_the_worker_goes_on(running: Watched) -> None:
    failed = running.ask(do="fault")
    assert failed["code"] == "fault"
    assert failed["sentence"] == (
        "The calculator could not answer this, by a fault of its own (ZeroDivisionError: by zero). "
        "What you typed is kept. Change a value to try again."
    )
    assert running.ask(do="add", numbers=[1, 1]) == {"answer": {"sum": 2.0}}


def test_too_little_memory_is_told(address: str, watched: Watched) -> None:
    watched.page.goto(address)
    failed = watched.ask(do="memory")
    assert failed["code"] == "memory"
    assert failed["sentence"] == (
        "There is not enough memory for this calculation. What you typed is kept. "
        "Close other tabs or programs and change a value to try again."
    )
    assert watched.ask(do="add", numbers=[1, 1]) == {"answer": {"sum": 2.0}}


def test_the_worker_reaches_nothing_but_its_own_site(running: Watched) -> None:
    told = running.ask(do="outside", address="http://127.0.0.1:9/")["answer"]
    assert sorted(told) == ["EventSource", "WebSocket", "Worker", "XMLHttpRequest"]
    assert all(f"{name} is closed in the calculator." in said for name, said in told.items())
    assert not [url for url in running.requests if ":9/" in url]


def spoil(path: Path) -> str:
    """Change one byte, keep the length; return the hash of what is there now."""
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    return hashlib.sha256(content).hexdigest()


def test_a_changed_file_is_refused_with_its_name_and_hashes(hosted: Path, server: str, watched: Watched) -> None:
    path = hosted / "assets/calc/runtime/numpy.zip"
    expected = hashlib.sha256(path.read_bytes()).hexdigest()
    found = spoil(path)
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "hash"
    assert failed["sentence"] == (
        "The file numpy.zip is not the one this handbook was built with, so nothing of it was used: "
        f"expected sha256 {expected}, found {found}. The worked examples on this page are still right. "
        "Reload the page; if that does not help, publish or unpack the whole folder again."
    )
    assert watched.heard()[-1]["state"] == "failed"
    assert watched.heard()[-1]["sentence"] == failed["sentence"]


def test_a_file_cut_short_is_refused(hosted: Path, server: str, watched: Watched) -> None:
    path = hosted / "assets/calc/runtime/calc.zip"
    whole = path.read_bytes()
    path.write_bytes(whole[:-10])
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "hash"
    assert f"expected {len(whole)} bytes, found {len(whole) - 10} bytes" in failed["sentence"]


@pytest.mark.parametrize("name", ["pyodide.asm.wasm", "stdlib.zip", "calc.zip"])
def test_a_missing_file_is_named(name: str, hosted: Path, server: str, watched: Watched) -> None:
    (hosted / "assets/calc/runtime" / name).unlink()
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "missing"
    assert failed["sentence"] == (
        f"The file {name} is missing from this copy of the handbook (the server answered 404), "
        "so nothing can be computed live. The worked examples on this page are still right. "
        "Publish or unpack the whole folder again."
    )


def test_a_missing_package_ends_only_the_ask_that_needs_it(hosted: Path, server: str, watched: Watched) -> None:
    (hosted / "assets/calc/runtime/pandas.zip").unlink()
    watched.page.goto(server)
    failed = watched.ask(do="table")
    assert failed["code"] == "missing"
    assert "pandas.zip" in failed["sentence"]
    assert watched.ask(do="add", numbers=[1, 2]) == {"answer": {"sum": 3.0}}


def test_a_missing_script_in_a_folder_is_named(folder: Path, watched: Watched) -> None:
    (folder / "assets/calc/offline.js").unlink()
    watched.page.goto((folder / "index.html").as_uri())
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "missing"
    assert "offline.js" in failed["sentence"]
    assert "unpack the whole folder first" in failed["sentence"]


def test_a_changed_script_in_a_folder_is_refused(folder: Path, watched: Watched) -> None:
    path = folder / "assets/calc/offline.js"
    text = path.read_text("utf-8")
    # One letter in the middle of the longest line, which is a zip's base64.
    at = text.index('"calc.zip"') + 200
    path.write_text(text[:at] + ("A" if text[at] != "A" else "B") + text[at + 1 :], "utf-8")
    watched.page.goto((folder / "index.html").as_uri())
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "hash"
    assert "calc.zip" in failed["sentence"]


def test_a_missing_worker_is_told(hosted: Path, server: str, watched: Watched) -> None:
    (hosted / "assets/calc/worker.js").unlink()
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "refused"
    assert failed["sentence"] == (
        "The browser did not start the calculator's worker: its file worker.js is missing, or workers are blocked. "
        "The worked examples on this page are still right. Reload the page; if that does not help, "
        "use another browser."
    )


def test_a_browser_without_workers_is_told(opened: Watched) -> None:
    opened.page.evaluate("delete window.Worker; delete window.SharedWorker")
    assert opened.ask(do="add", numbers=[1])["code"] == "refused"


def test_a_shared_worker_that_never_speaks_gives_way_to_one_of_its_own(server: str, watched: Watched) -> None:
    """Met in a browser under load: neither a message nor an error ever came."""
    watched.page.clock.install()
    watched.page.goto(server)
    mute = "() => { window.SharedWorker = class { constructor() { this.port = new MessageChannel().port1; } }; }"
    watched.page.evaluate(mute)
    watched.page.evaluate("() => { window.sum = handbook.ask({do: 'add', numbers: [1, 2]}); }")
    watched.page.clock.run_for(25_000)
    assert watched.page.evaluate("sum") == {"answer": {"sum": 3.0}}


def test_a_browser_without_webassembly_is_told(hosted: Path, server: str, watched: Watched) -> None:
    worker = hosted / "assets/calc/worker.js"
    worker.write_text("delete globalThis.WebAssembly;" + worker.read_text("utf-8"), "utf-8")
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "webassembly"
    assert failed["sentence"] == (
        "This browser has WebAssembly switched off, and the calculator runs on it. "
        "The worked examples on this page are still right. "
        "Switch it on (a lockdown mode may hold it off), or use another browser."
    )


def test_a_worker_of_another_build_is_refused(hosted: Path, server: str, watched: Watched) -> None:
    worker = hosted / "assets/calc/worker.js"
    text = worker.read_text("utf-8")
    page = (hosted / "assets/calc/handbook.js").read_text("utf-8")
    build = next(part for part in page.split('"') if len(part) == 16 and part in text)
    worker.write_text(text.replace(build, "0" * 16), "utf-8")
    watched.page.goto(server)
    failed = watched.ask(do="add", numbers=[1])
    assert failed["code"] == "build"
    assert failed["sentence"] == (
        "The handbook was renewed while this page was open. Reload the page; what you typed in the rig is kept."
    )


def test_a_failure_is_tried_again_when_the_file_is_back(hosted: Path, server: str, watched: Watched) -> None:
    path = hosted / "assets/calc/runtime/calc.zip"
    kept = path.read_bytes()
    path.unlink()
    watched.page.clock.install()
    watched.page.goto(server)
    assert watched.ask(do="add", numbers=[1])["code"] == "missing"
    path.write_bytes(kept)
    # For a few seconds the same sentence stands, so that typing does not load everything at each letter.
    assert watched.ask(do="add", numbers=[1])["code"] == "missing"
    watched.page.clock.fast_forward(5500)
    assert watched.ask(do="add", numbers=[1]) == {"answer": {"sum": 1.0}}
