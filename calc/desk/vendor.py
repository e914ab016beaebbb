"""The few files of others that a page loads, taken from their packages and fitted to this site."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

from calc.desk import font, npm
from calc.desk.places import CACHE
from calc.errors import HandbookError

KEEP_WORKER = "// The search's stand-in replaces Worker in a folder; the calculators need the browser's own.\nwindow.NativeWorker = window.Worker;\n"

# The stand-in writes the worker's address into an inline script, which no policy could allow by its hash.
# The address only serves to tell whose error it was, and there is one worker.
FITTED = (('{filename:"${e}",error}', '{filename:"worker",error}'), ("r===`${this.url}`", 'r==="worker"'))


class VendorError(HandbookError):
    """A package of another maker is not as this handbook knows it."""


def search_shim() -> str:
    """Return the script that lets the search run from a folder, where a browser opens no worker from a file.

    Raises VendorError when the package has changed.
    """
    path = npm.modules() / "iframe-worker" / "shim" / "index.js"
    text = path.read_text("utf-8")
    for found, fitted in FITTED:
        if text.count(found) != 1:
            raise VendorError(f"iframe-worker no longer contains {found!r}: look at its new version before using it.")
        text = text.replace(found, fitted)
    return text


@lru_cache(maxsize=1)
def frame_script() -> str:
    """Return the inline script that the search's stand-in writes into its frame, for the policy's hash."""
    text = search_shim()
    start = text.index("<html><body><script>") + len("<html><body><script>")
    inside = text[start : text.index("<\\/script>", start)]
    for name in ("c", "d"):
        begin = text.index(f"function {name}(")
        inside = inside.replace("${" + name + "}", text[begin : _closing(text, begin) + 1])
    if "${" in inside:
        raise VendorError("iframe-worker writes a script into its frame that depends on more than its own text.")
    return inside


def _closing(text: str, begin: int) -> int:
    depth = 0
    for place in range(text.index("{", begin), len(text)):
        depth += {"{": 1, "}": -1}.get(text[place], 0)
        if depth == 0:
            return place
    raise VendorError("iframe-worker holds a function without an end.")


def math_font(signs: Iterable[str]) -> Path:
    """Return the equation font cut to these signs, made once for each source and set of signs."""
    source = npm.modules() / "@fontsource" / "stix-two-math" / "files" / "stix-two-math-latin-400-normal.woff2"
    recipe = source.read_bytes() + Path(font.__file__).read_bytes() + "".join(sorted(signs)).encode()
    kept = CACHE / "font" / (hashlib.sha256(recipe).hexdigest()[:32] + ".woff2")
    if not kept.is_file():
        kept.parent.mkdir(parents=True, exist_ok=True)
        made = kept.with_suffix(".part")
        made.write_bytes(font.cut(source, signs))
        made.replace(kept)
    return kept


def files(pages: Iterable[str]) -> dict[str, str | Path]:
    """Return every vendored file by its address on the site: its text, or where it lies.

    `pages` are the HTML of the site's pages, whose equations say what the font must hold.
    """
    used = frozenset[str]().union(*(font.signs(html) for html in pages))
    return {
        "assets/vendor/keep-worker.js": KEEP_WORKER,
        "assets/vendor/iframe-worker-shim.js": search_shim(),
        "assets/vendor/stix-two-math.woff2": math_font(used),
    }
