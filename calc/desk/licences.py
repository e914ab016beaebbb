"""What the handbook ships of others, under which terms, with the texts.

A text is read from the package that is shipped, at build; where a package carries none it is kept in docs/licences/.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from importlib import metadata
from pathlib import Path, PurePosixPath

from calc.desk import npm, runtime
from calc.desk.places import ROOT
from calc.errors import HandbookError

KEPT = ROOT / "docs" / "licences"
LICENCE_WORDS = ("licen", "copying", "copyright")

# Which of each group stands on a page, with the name of its licence.
PYTHON_PACKAGES = {"mkdocs-material": "MIT", "mkdocs": "BSD 2-Clause"}
NPM_PACKAGES = {"iframe-worker": "MIT", "temml": "MIT", "@fontsource/stix-two-math": "SIL Open Font License 1.1"}
WHEELS = {
    "numpy": "BSD 3-Clause, and those of the parts it contains",
    "pandas": "BSD 3-Clause",
    "python_dateutil": "Apache 2.0 and BSD 3-Clause",
    "six": "MIT",
}
IN_THE_THEME = {
    "clipboard": "MIT",
    "escape-html": "MIT",
    "focus-visible": "W3C Software and Document License",
    "lunr": "MIT",
    "rxjs": "Apache 2.0",
    "tslib": "0BSD",
}
NAMES = {
    "mkdocs-material": "Material for MkDocs",
    "mkdocs": "MkDocs",
    "@fontsource/stix-two-math": "STIX Two Math",
    "temml": "Temml",
    "python_dateutil": "dateutil",
}
ROLES = {
    "mkdocs-material": "the theme: style sheets, scripts, icons",
    "mkdocs": "made the pages",
    "iframe-worker": "lets the search run from a folder; two lines of it were fitted to this site's policy",
    "temml": "made the equations in the prose; none of its code is shipped",
    "@fontsource/stix-two-math": "the equation font, cut to the signs in use",
}

ICONS = "Material Design Icons"
# What of others is in which file of the site or of the copy for a folder, and which files hold nothing of others.
PYODIDE = ("Pyodide",)
STANDARD_LIBRARY = ("CPython",)
TABLES = ("pandas", "python_dateutil", "six")
FILES: Mapping[str, tuple[str, ...]] = {
    "*.html": ("mkdocs", "mkdocs-material", ICONS, "temml"),
    "assets/javascripts/bundle.*.js*": ("mkdocs-material", *(name for name in IN_THE_THEME if name != "lunr")),
    "assets/javascripts/workers/search.*.js*": ("mkdocs-material", "lunr"),
    "assets/stylesheets/*.css*": ("mkdocs-material",),
    "assets/images/favicon.png": ("mkdocs-material",),
    "assets/vendor/iframe-worker-shim.js": ("iframe-worker",),
    "assets/vendor/stix-two-math.woff2": ("@fontsource/stix-two-math",),
    "assets/calc/runtime/pyodide*.mjs": PYODIDE,
    "assets/calc/runtime/pyodide*.wasm": (*PYODIDE, *STANDARD_LIBRARY),
    "assets/calc/runtime/stdlib.zip": STANDARD_LIBRARY,
    "assets/calc/runtime/numpy.zip": ("numpy",),
    "assets/calc/runtime/pandas.zip": TABLES,
    "assets/calc/offline.js": (*PYODIDE, *STANDARD_LIBRARY, "numpy"),
    "assets/calc/offline-pandas.js": TABLES,
}
OWN = (
    "assets/calc/*.css",
    "assets/calc/*.csv",
    "assets/calc/*.js",
    "assets/calc/*.png",
    "assets/calc/*.svg",
    "assets/calc/runtime/calc.zip",
    "assets/calc/runtime/runtime.json",
    "assets/vendor/keep-worker.js",
    "search/search_index.js*",
    "manifest.webmanifest",
    "service-worker.js",
    "downloads/handbook-offline.zip",
)


class LicenceError(HandbookError):
    """A shipped part comes without the text of its licence, or a shipped file belongs to no part."""


@dataclass(frozen=True)
class Shipped:
    """One part of others that the handbook ships."""

    name: str
    version: str
    licence: str
    role: str
    text: str


def shipped() -> tuple[Shipped, ...]:
    """Return every part of others with its licence text. Raises LicenceError when a text is missing."""
    return (*_python_packages(), *_theme_parts(), *_npm_packages(), *_browser_python())


def _python_packages() -> Iterator[Shipped]:
    for name, licence in PYTHON_PACKAGES.items():
        files = [file for file in metadata.files(name) or [] if _is_licence(file.as_posix(), "dist-info")]
        text = "\n\n".join(Path(str(file.locate())).read_text("utf-8") for file in files)
        yield _one(name, metadata.version(name), licence, text)


def _theme_parts() -> Iterator[Shipped]:
    for name, licence in IN_THE_THEME.items():
        role = "part of the theme's scripts, in the version that the theme bundles"
        yield Shipped(name, "", licence, role, _kept(name))
    icons = str(metadata.distribution("mkdocs-material").locate_file("material/templates/.icons/material/LICENSE"))
    role = "the icons of the header, as the theme brings them"
    yield Shipped(ICONS, "", "Apache 2.0", role, Path(icons).read_text("utf-8"))


def _npm_packages() -> Iterator[Shipped]:
    for name, licence in NPM_PACKAGES.items():
        folder = npm.modules() / name
        version = json.loads((folder / "package.json").read_text("utf-8"))["version"]
        text = "\n\n".join(path.read_text("utf-8") for path in sorted(folder.glob("LICENSE*")))
        yield _one(name, version, licence, text)


def _browser_python() -> Iterator[Shipped]:
    pinned = runtime.pins()
    files = runtime.fetch()
    role = "runs Python in the browser; its bytes are unchanged"
    yield Shipped("Pyodide", pinned.version, "Mozilla Public License 2.0", role, _kept("pyodide"))
    role = "the language and its standard library, compiled; modules that no page uses are left out"
    yield Shipped("CPython", pinned.python, "Python Software Foundation License 2", role, _kept("cpython"))
    for name, licence in WHEELS.items():
        path = next((path for file, path in files.items() if file.startswith(f"{name}-")), None)
        if path is None:
            raise LicenceError(f"The browser's Python has no wheel of {name}: bring calc/desk/licences.py up to date.")
        with zipfile.ZipFile(path) as wheel:
            inside = [entry for entry in sorted(wheel.namelist()) if _is_licence(entry, ".dist-info/")]
            text = "\n\n".join(wheel.read(entry).decode("utf-8") for entry in inside)
        role = "part of the browser's Python, compiled; tests and tools are left out"
        yield _one(name, path.name.split("-")[1], licence, text, role)


def _one(name: str, version: str, licence: str, text: str, role: str = "") -> Shipped:
    if not text.strip():
        raise LicenceError(f"The package {name} {version} carries no license text: keep one in docs/licences/.")
    return Shipped(NAMES.get(name, name), version, licence, role or ROLES[name], text)


def _is_licence(path: str, inside: str) -> bool:
    return inside in path and any(word in path.rpartition("/")[2].lower() for word in LICENCE_WORDS)


def _kept(name: str) -> str:
    return (KEPT / f"{name}.txt").read_text("utf-8")


def holds(address: str) -> tuple[str, ...] | None:
    """Return the names of what a shipped file holds of others, or None for a file that nobody has listed.

    >>> holds("assets/calc/runtime/numpy.zip"), holds("assets/calc/handbook.js"), holds("assets/more.js")
    (('numpy',), (), None)
    """
    place = PurePosixPath(address)
    listed = [
        tuple(NAMES.get(name, name) for name in names) for pattern, names in FILES.items() if place.match(pattern)
    ]
    if listed:
        return listed[0]
    return () if any(place.match(pattern) for pattern in OWN) else None


def verify(folder: Path) -> None:
    """Hold a finished site or its copy for a folder against the list. Raises LicenceError for a file that is not on it."""
    addresses = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    strange = [address for address in addresses if holds(address) is None]
    if strange:
        raise LicenceError(
            f"Nothing says whose {', '.join(strange)} {'is' if len(strange) == 1 else 'are'}: "
            "leave out what the site does not need, or list it with its license in calc/desk/licences.py."
        )


def page() -> str:
    """Return the list of shipped parts, each with its licence text to open."""
    return "".join(
        _entry(f"{one.name} {one.version}".strip(), f"{one.licence}: {one.role}", one.text) for one in shipped()
    )


def _entry(head: str, about: str, text: str) -> str:
    return (
        f'<details class="hb-open"><summary>{escape(head)}</summary>'
        f'<p>{escape(about)}.</p><pre class="hb-text" tabindex="0">{escape(text.strip())}</pre></details>'
    )
