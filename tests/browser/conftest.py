"""A real browser on the built site, over http under a path and from a folder."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any, ClassVar
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from calc.desk import browser as finder
from calc.desk import npm
from tests.browser import standin

# A stand-in for the package that a worker runs; collected first, it would stand in for the tests' own too.
collect_ignore = ["stub"]
PREFIX = "some/path"
# How long a page may take is measured by `bench`; a test on a busy machine only waits for what must come.
expect.set_options(timeout=30_000)
# The tests' browser cannot register a service worker, which its driver says in the console.
BLOCKED = "Service Worker registration blocked by Playwright"

DESK = {"width": 1440, "height": 900}
# What any page can be given; everything else belongs to a profile.
LOOKS = ("viewport", "reduced_motion")

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
RULES = {
    "light": {"runOnly": LEVELS, "resultTypes": ["violations"]},
    # The other theme changes colors and nothing else, so only the rules that look at colors are asked again.
    "dark": {"runOnly": ["color-contrast", "link-in-text-block"], "resultTypes": ["violations"]},
}
SCHEMES = {"light": "default", "dark": "slate"}

# Joins every calculator that is up, so that it stays up; its lock tells the name, and the name its build.
HOLD = """async () => {
  window.joined ??= new Map();
  for (const { name } of (await navigator.locks.query()).held) {
    const [handbook, build] = name.split("-");
    if (handbook !== "handbook" || joined.has(name)) continue;
    const address = new URL(`assets/calc/worker.js?v=${build}`, location.href);
    joined.set(name, new SharedWorker(address, { type: "module", name, extendedLifetime: true }));
  }
}"""

# Counts what the page asks its worker, the second part of an answer not counted, and the workers that it opens.
COUNTING = """
(() => {
  window.asked = 0;
  window.workers = 0;
  for (const { prototype } of [Worker, MessagePort]) {
    const { postMessage } = prototype;
    prototype.postMessage = function (message, ...more) {
      if (message?.kind === "ask" && !message.text.includes('"part":"rest"')) window.asked += 1;
      if (message?.kind === "hello") window.workers += 1;
      return postMessage.call(this, message, ...more);
    };
  }
  const frame = () => new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
  window.settled = async () => {
    for (let calm = 0; calm < 3; calm = document.querySelector("calc-form[aria-busy]") ? 0 : calm + 1) await frame();
  };
})();
"""


class Quiet(SimpleHTTPRequestHandler):
    """A static host without any special header, and without the files that a test withholds."""

    withheld: ClassVar[set[str]] = set()

    def send_head(self) -> Any:
        if Path(urlsplit(self.path).path).name in self.withheld:
            return self.send_error(HTTPStatus.NOT_FOUND)
        return super().send_head()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the base names it so
        pass

    def copyfile(self, source: Any, outputfile: Any) -> None:
        with suppress(ConnectionError):  # the page was left while a file came
            super().copyfile(source, outputfile)


# Every sign of an equation is an element, more than half of all elements of the handbook. One that has no attribute which
# a rule looks at can break none but that of contrast, and axe decides nothing about a text of one letter. So each equation
# is judged as one text, and a sign in another color than its equation's is told.
FOLD = """() => {
  const named = /^(aria-|id$|role$|lang$|style$|tabindex$|href$)/;
  const odd = [];
  window.unfolded = [...document.querySelectorAll("math")].map((math) => [math, [...math.childNodes]]);
  for (const [math] of unfolded) {
    const { color, fontSize } = getComputedStyle(math);
    const signs = [...math.querySelectorAll("*")];
    const plain = (sign) => {
      const look = getComputedStyle(sign);
      return look.color === color && look.backgroundColor === "rgba(0, 0, 0, 0)" && look.opacity === "1" &&
        ![...sign.attributes].some(({ name }) => named.test(name));
    };
    // A large text may have less contrast than the small signs in it.
    if (!signs.every(plain) || parseFloat(fontSize) >= 24) odd.push(math.outerHTML.slice(0, 200));
    const text = document.createElementNS(math.namespaceURI, "mtext");
    text.textContent = math.textContent;
    math.replaceChildren(text);
  }
  return odd;
}"""
UNFOLD = "() => { for (const [math, signs] of unfolded) math.replaceChildren(...signs); }"
# Contrast takes two thirds of the time, and a page has few looks of text: the same color, size and weight on the same
# backgrounds. Of each look the first text is judged, the second, third, fifth, ninth and so on: some lie in a drawing where
# axe cannot decide.
JUDGED = "data-judged"
MARK_JUDGED = f"""() => {{
  const judged = new Map();
  const visit = (element, around) => {{
    const of = getComputedStyle(element);
    if (of.display === "none" || of.visibility === "hidden") return;
    const ground = [of.backgroundColor, of.backgroundImage, of.opacity, of.filter, of.mixBlendMode, of.position, of.clip,
      of.clipPath, element.matches(":disabled, [aria-disabled=true]")].join();
    const here = around.endsWith(ground) ? around : `${{around}} ${{ground}}`;
    const text = [...element.childNodes].map((part) => (part.nodeType === Node.TEXT_NODE ? part.data.trim() : "")).join("");
    if (text || element.matches("input, select, textarea")) {{
      const look = [here, of.color, of.fontSize, of.fontWeight, of.textShadow, text ? "" : element.type, text.length === 1].join();
      const alike = judged.get(look) ?? 0;
      judged.set(look, alike + 1);
      element.toggleAttribute("{JUDGED}", (alike & (alike - 1)) === 0);
    }}
    for (const child of element.children) visit(child, here);
  }};
  for (const element of document.querySelectorAll("[{JUDGED}]")) element.removeAttribute("{JUDGED}");
  visit(document.documentElement, "");
  axe.configure({{ rules: [{{ id: "color-contrast", selector: "[{JUDGED}]" }}] }});
}}"""


def violations(page: Page, axe: str) -> dict[str, list[tuple[str, list[str]]]]:
    """What axe finds of levels A and AA on a page in each theme, with the beginning of each element.

    The page is left in the dark theme.
    """
    page.evaluate(axe)
    found = {}
    for theme, scheme in SCHEMES.items():
        page.emulate_media(color_scheme=theme)
        expect(page.locator("body")).to_have_attribute("data-md-color-scheme", scheme)
        # A color on its way to another is neither.
        page.evaluate("Promise.allSettled(document.getAnimations().map(({ finished }) => finished))")
        odd = page.evaluate(FOLD)
        page.evaluate(MARK_JUDGED)
        told = page.evaluate(f"axe.run(document, {json.dumps(RULES[theme])})")["violations"]
        page.evaluate(UNFOLD)
        found[theme] = [(rule["id"], [node["html"][:200] for node in rule["nodes"]]) for rule in told]
        found[theme] += [("a sign unlike its equation", odd)] if odd else []
    return found


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(finder.find()), args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def host(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    root = tmp_path_factory.mktemp("host")
    place = root / PREFIX
    place.parent.mkdir(parents=True)
    place.symlink_to(site, target_is_directory=True)
    # A browser looks for it at the root of a host where it is shown a file that names no icon.
    (root / "favicon.ico").touch()
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(root)))
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/{PREFIX}/"
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> standin.StandIn:
    return standin.StandIn.make(tmp_path_factory.mktemp("standin"))


@pytest.fixture
def withheld() -> Iterator[set[str]]:
    """File names that the host does not have; the driver's own interception can leave a shared worker waiting."""
    yield Quiet.withheld
    Quiet.withheld.clear()


@pytest.fixture(scope="session")
def axe() -> str:
    return (npm.modules() / "axe-core" / "axe.min.js").read_text("utf-8")


class Reader:
    """Someone who reads the handbook in one browser profile, and everything that went wrong for them."""

    def __init__(self, context: BrowserContext, base: str, **looks: Any) -> None:
        self.context = context
        self.base = base
        self.pages: list[Page] = []
        self.wrong: list[str] = []
        self.forgiven: tuple[str, ...] = (BLOCKED,)
        context.set_default_timeout(30_000)
        context.on("page", self._watch)
        self.page = context.new_page()
        if "viewport" in looks:
            self.page.set_viewport_size(looks.pop("viewport"))
        if looks:
            self.page.emulate_media(**looks)

    def leaves(self) -> None:
        """Close every page of this reader; what others open in the same profile is no concern of theirs."""
        self.context.remove_listener("page", self._watch)
        for page in self.pages:
            page.close()

    def _watch(self, page: Page) -> None:
        self.pages.append(page)
        page.add_init_script(COUNTING)
        page.on("console", lambda said: self._note(said.text) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: self._note(str(error)))
        own = (self.base, "data:", "blob:")
        page.on("request", lambda asked: None if asked.url.startswith(own) else self._note(f"asked {asked.url}"))

    def _note(self, text: str) -> None:
        if not any(known in text for known in self.forgiven):
            self.wrong.append(text)

    def visit(self, name: str, page: Page | None = None) -> Page:
        """Open a page of the handbook."""
        page = page or self.page
        page.goto(self.base + name)
        return page

    def settled(self, page: Page | None = None) -> None:
        """Wait until everything that was asked is answered and painted."""
        (page or self.page).evaluate("settled()")

    def fill(self, name: str, text: str, form: str = "calc-form >> nth=0") -> None:
        """Type into a field and wait for the answer."""
        self.page.locator(form).locator(f'[name="{name}"]').fill(text)
        self.settled()

    def violations(self, axe: str) -> list[tuple[str, list[str]]]:
        """What axe finds on the page as it stands, in the light theme and then in the dark one."""
        return [found for of_theme in violations(self.page, axe).values() for found in of_theme]

    def region(self, name: str, form: str = "calc-form >> nth=0") -> str:
        """Return a region's text on one line, its no-break spaces as plain ones."""
        text = self.page.locator(form).locator(f'[data-region="{name}"]').inner_text()
        return " ".join(text.split())


class Profile:
    """A browser profile whose calculator stays up, for tests that need none of their own, one after the other.

    A boot of the calculator takes longer than most tests. Here only the first reader's pages wait for one: a page
    stays open that joins the visit's shared worker. Whoever comes next finds the storage empty.
    """

    def __init__(self, chromium: Browser, base: str, **options: Any) -> None:
        self.context = chromium.new_context(service_workers="block", viewport=DESK, **options)
        self.holder = self.context.new_page()
        self.holder.goto(f"{base}safety.html")

    def clean(self) -> None:
        """Forget what a reader left behind."""
        self.context.clear_cookies()
        self.context.clear_permissions()
        self.holder.evaluate("localStorage.clear()")

    def hold(self) -> None:
        """Keep the worker that the reader's pages have: no page of theirs may be closed before."""
        self.holder.evaluate(HOLD)


@pytest.fixture(scope="session")
def profiles(chromium: Browser, host: str) -> Iterator[Callable[..., Profile]]:
    """Lend profiles, those that are there already first; whoever gives one back puts it into `free`."""
    free: dict[str, list[Profile]] = defaultdict(list)
    made: list[Profile] = []

    def lend(**options: Any) -> tuple[Profile, list[Profile]]:
        place = free[repr(sorted(options.items()))]
        if not place:
            made.append(Profile(chromium, host, **options))
            place.append(made[-1])
        return place.pop(), place

    yield lend
    for each in made:
        each.context.close()


@pytest.fixture
def reader(
    chromium: Browser, profiles: Callable[..., tuple[Profile, list[Profile]]], request: pytest.FixtureRequest
) -> Iterator[Callable[..., Reader]]:
    """Make readers; at the end of the test none of them may have met anything wrong.

    Each has a profile without anything kept. With `alone` it is a new one, in which the calculator was never up: for
    tests of how it comes up, and for those that leave the profile otherwise than they found it. So it is in a folder.
    """
    made: list[Reader] = []
    failed = request.session.testsfailed
    ends: list[Callable[[], None]] = []

    def make(where: str = "host", *, alone: bool = False, **options: Any) -> Reader:
        looks = {name: options.pop(name) for name in LOOKS if name in options}
        if where == "host" and not alone:
            profile, free = profiles(**options)
            profile.clean()
            found = Reader(profile.context, request.getfixturevalue("host"), **looks)

            def back() -> None:
                sound = not found.wrong and request.session.testsfailed == failed
                if sound:
                    profile.hold()
                found.leaves()
                if sound:
                    free.append(profile)

            ends.append(back)
        else:
            base = (
                request.getfixturevalue("host") if where == "host" else f"{request.getfixturevalue('folder').as_uri()}/"
            )
            context = chromium.new_context(service_workers="block", viewport=DESK, **options)
            found = Reader(context, base, **looks)
            ends.append(context.close)
        made.append(found)
        return found

    yield make
    wrong = [each.wrong for each in made]
    for end in ends:
        end()
    assert not any(wrong), wrong
