"""Bundle the page's scripts and lay out everything that answers: scripts, worker, runtime, and what keeps the site.

The sources in docs/assets/calc/ are modules. A page opened from a folder can load no module,
so the build makes one classic script of them, and of the worker both kinds.
Every build carries a hash of all that answers, by which page and worker know that they belong together.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from calc.desk import bytecode, npm, runtime
from calc.desk.places import PREPARED, SOURCES, sha256
from calc.errors import HandbookError

ASSETS = "assets/calc"
# A page has one of these: only a page whose form keeps what is entered needs what keeps it, half of the second.
PAGE = "handbook.js"
KEPT_PAGE = "kept.js"
KEEPING = re.compile(r'<calc-form data-do="(?:rig|prove|quote)"')
WORKER = "worker.js"
STYLE = "handbook.css"
KEEPER = "service-worker.js"
APP = "manifest.webmanifest"
OFFLINE = "offline.js"
# Loaded after the others and only by a page that reads tables, so from a folder they are a script of their own.
LATER = ("pandas.zip",)
# These shrink by gzip; the zips are compressed already.
PACKED = (".mjs", ".wasm")
# What the keeper does not keep: downloads, and itself.
NOT_KEPT = ("downloads/", KEEPER, f"{ASSETS}/runtime/")

ESBUILD = ("--bundle", "--minify", "--charset=utf8", "--target=es2022", "--legal-comments=none", "--log-level=warning")

Content = str | Path


class BundleError(HandbookError):
    """The scripts cannot be bundled; the message holds what the bundler said."""


def files(
    progress: runtime.Progress | None = None,
    *,
    prepared: Path | None = None,
    sources: Path = SOURCES,
    kept: Path = PREPARED,
) -> dict[str, Content]:
    """Return what a hosted site needs, by its address on the site: a text, or where the file lies.

    The modules of docs/assets/calc/ are not among them: nothing on a page loads them.
    """
    runs = prepared or bytecode.prepare(progress)
    made = scripts(runs, sources=sources, kept=kept)
    return {
        **{f"{ASSETS}/{name}": made / name for name in (PAGE, KEPT_PAGE)},
        f"{ASSETS}/{WORKER}": made / "worker.module.js",
        **{f"{ASSETS}/runtime/{path.name}": path for path in sorted(runs.iterdir())},
        APP: app(),
    }


def folder_files(
    *,
    prepared: Path | None = None,
    sources: Path = SOURCES,
    kept: Path = PREPARED,
) -> dict[str, Content]:
    """Return what a copy opened from a folder needs instead: the same bytes inside classic scripts.

    Such a copy has no use for what `hosted_only` names.
    """
    runs = prepared or bytecode.prepare()
    made = scripts(runs, sources=sources, kept=kept)
    whole = {WORKER: (made / "worker.classic.js").read_text("utf-8")}
    later: dict[str, str] = {}
    for path in sorted(runs.iterdir()):
        if path.name == bytecode.MANIFEST:
            continue
        content = path.read_bytes()
        name = path.name
        if path.suffix in PACKED:
            name, content = f"{name}.gz", _gzip(content)
        (later if name in LATER else whole)[name] = base64.b64encode(content).decode("ascii")
    return {
        **{f"{ASSETS}/{name}": made / name for name in (PAGE, KEPT_PAGE)},
        f"{ASSETS}/{OFFLINE}": _holder(whole),
        **{f"{ASSETS}/offline-{Path(name).stem}.js": _holder({name: text}) for name, text in later.items()},
    }


def with_script(html: str) -> str:
    """Return a page with the script that its forms need.

    >>> with_script('<calc-form data-do="prove"></calc-form><script src="assets/calc/handbook.js"></script>')
    '<calc-form data-do="prove"></calc-form><script src="assets/calc/kept.js"></script>'
    """
    return html.replace(f"{ASSETS}/{PAGE}", f"{ASSETS}/{KEPT_PAGE}") if KEEPING.search(html) else html


def styles(*, sources: Path = SOURCES) -> dict[str, Content]:
    """Return the style sheet without what only its authors read; every page waits for it."""
    try:
        text = npm.script("esbuild", "bin/esbuild", str(sources / STYLE), "--minify", "--charset=utf8")
    except npm.NpmError as error:
        raise BundleError(f"The style sheet {STYLE} cannot be read.\n{error}") from error
    return {f"{ASSETS}/{STYLE}": text}


def hosted_only(address: str) -> bool:
    """Tell whether a file of the hosted site has no place in a copy opened from a folder.

    >>> hosted_only("assets/calc/runtime/numpy.zip"), hosted_only("index.html")
    (True, False)
    """
    return address in (f"{ASSETS}/{WORKER}", APP, KEEPER) or address.startswith(f"{ASSETS}/runtime/")


def keeper(site: Path, *, sources: Path = SOURCES) -> Path:
    """Write the service worker of a finished hosted site, with the hash of every file of it, and return its path.

    Nothing in the site may change afterwards: a file that does not match its hash is not kept.
    """
    listed: dict[str, dict[str, str]] = {"pages": {}, "runtime": {}}
    for path in sorted(site.rglob("*")):
        address = path.relative_to(site).as_posix()
        if path.is_file() and address.startswith(f"{ASSETS}/runtime/"):
            listed["runtime"][address] = sha256(path)[:16]
        elif path.is_file() and not address.startswith(NOT_KEPT):
            listed["pages"][address] = sha256(path)[:16]
    made = site / KEEPER
    _esbuild(sources / KEEPER, made, "iife", {"HANDBOOK_KEPT": listed})
    return made


def app() -> str:
    """Return the web manifest: the site as something that can be put on a tablet's home screen."""
    return json.dumps(
        {
            "name": "Spring and Damper Handbook",
            "short_name": "Springs",
            "description": "Choose coil springs and dampers after a weight change.",
            "lang": "en-US",
            "start_url": "index.html",
            "scope": "./",
            "display": "standalone",
            "background_color": "#ffffff",
            "theme_color": "#91391a",
            "icons": [{"src": f"{ASSETS}/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"}],
        },
        indent=1,
    )


def scripts(prepared: Path, *, sources: Path = SOURCES, kept: Path = PREPARED) -> Path:
    """Return a folder with the bundled scripts of one build, made where missing.

    Raises BundleError when a source does not bundle.
    """
    manifest = json.loads((prepared / bytecode.MANIFEST).read_text("utf-8"))
    build = build_hash(prepared, sources)
    home = kept / "scripts" / build
    if home.is_dir():
        return home
    home.parent.mkdir(parents=True, exist_ok=True)
    said = {"HANDBOOK_BUILD": build, "HANDBOOK_RUNTIME": manifest}
    with tempfile.TemporaryDirectory(dir=home.parent) as folder:
        made = Path(folder) / "made"
        made.mkdir()
        for name in (PAGE, KEPT_PAGE):
            _esbuild(sources / name, made / name, "iife", said)
        _esbuild(sources / WORKER, made / "worker.module.js", "esm", said)
        _esbuild(sources / WORKER, made / "worker.classic.js", "iife", said)
        bytecode.settle(made, home)
    return home


def build_hash(prepared: Path, sources: Path = SOURCES) -> str:
    """Return the hash of everything that answers: the runtime, `calc` with its data, and the scripts."""
    total = hashlib.sha256((prepared / bytecode.MANIFEST).read_bytes())
    for path in (*_modules(sources), npm.LOCK, Path(__file__)):
        total.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return total.hexdigest()[:16]


def _modules(sources: Path) -> Iterable[Path]:
    return sorted(path for path in sources.glob("*.js"))


def _esbuild(entry: Path, target: Path, kind: str, said: Mapping[str, object]) -> None:
    defined = [f"--define:{name}={json.dumps(value)}" for name, value in said.items()]
    try:
        npm.script("esbuild", "bin/esbuild", str(entry), f"--outfile={target}", f"--format={kind}", *ESBUILD, *defined)
    except npm.NpmError as error:
        raise BundleError(f"The script {entry.name} does not bundle.\n{error}") from error


def _holder(held: Mapping[str, str]) -> str:
    lines = [f"HANDBOOK_OFFLINE[{json.dumps(name)}]={json.dumps(text)};" for name, text in held.items()]
    return "\n".join(["globalThis.HANDBOOK_OFFLINE??={};", *lines, ""])


def _gzip(content: bytes) -> bytes:
    return gzip.compress(content, 9, mtime=0)
