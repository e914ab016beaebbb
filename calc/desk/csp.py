"""The content security policy of a page: as strict as its home allows, in the page itself.

A static host may send no headers, so each page carries its policy as a `meta` element, put before anything
that it governs. There are two variants, because a page opened from a folder has no origin of its own.
"""

from __future__ import annotations

import base64
import hashlib
from html.parser import HTMLParser

HOSTED = {
    "default-src": ["'none'"],
    # WebAssembly may compile, which is what runs Python; JavaScript still may not be made from text.
    "script-src": ["'self'", "'wasm-unsafe-eval'"],
    "style-src": ["'self'"],
    # The theme's icons are masks written as data addresses in its style sheet.
    "img-src": ["'self'", "data:"],
    "font-src": ["'self'"],
    "connect-src": ["'self'"],
    "worker-src": ["'self'"],
    "manifest-src": ["'self'"],
    "base-uri": ["'none'"],
    "form-action": ["'none'"],
}

# From a folder every file is its own origin, so the scheme is named beside 'self'.
# The worker and Python are made from bytes in a script, hence the blob addresses.
FOLDER = {
    "default-src": ["'none'"],
    "script-src": ["'self'", "file:", "blob:", "'wasm-unsafe-eval'"],
    "style-src": ["'self'", "file:"],
    "img-src": ["'self'", "file:", "data:"],
    "font-src": ["'self'", "file:"],
    "worker-src": ["blob:"],
    "base-uri": ["'none'"],
    "form-action": ["'none'"],
}

MARK = '<meta charset="utf-8">'
JAVASCRIPT_TYPES = ("", "module", "text/javascript", "application/javascript")


class _Inline(HTMLParser):
    """Collects what a strict policy has to know or to refuse."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.scripts: list[str] = []
        self.refused: list[str] = []
        self._open = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style":
            self.refused.append("a style element")
        for name in given:
            if name == "style" or name.startswith("on"):
                self.refused.append(f"the attribute {name} on <{tag}>")
        if tag == "script" and "src" not in given and (given.get("type") or "") in JAVASCRIPT_TYPES:
            self._open = True
            self.scripts.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            self._open = False

    def handle_data(self, data: str) -> None:
        if self._open:
            self.scripts[-1] += data


def read(html: str) -> tuple[list[str], list[str]]:
    """Return a page's inline scripts, and what the policy would refuse in it.

    >>> read('<p style="color: red">a</p><script>go()</script>')
    (['go()'], ['the attribute style on <p>'])
    """
    parser = _Inline()
    parser.feed(html)
    parser.close()
    return parser.scripts, parser.refused


def source_hash(script: str) -> str:
    """Return the source expression that allows exactly this inline script.

    The example is the one of the W3C's Content Security Policy Level 2, section 4.2.5 (from memory).

    >>> source_hash("alert('Hello, world.');")
    "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
    """
    digest = hashlib.sha256(script.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def policy(html: str, directives: dict[str, list[str]], *, scripts: tuple[str, ...] = ()) -> str:
    """Return the policy of one page: the directives, with the hashes of its inline scripts.

    `scripts` are further inline scripts, which the page's own code writes into a frame.
    """
    inline, _ = read(html)
    hashes = sorted({source_hash(script) for script in (*inline, *scripts)})
    parts = []
    for name, sources in directives.items():
        parts.append(" ".join([name, *sources, *(hashes if name == "script-src" else [])]))
    return "; ".join(parts)


def element(text: str) -> str:
    """Return the element that carries a policy."""
    return f'<meta http-equiv="Content-Security-Policy" content="{text}">'


def protect(html: str, directives: dict[str, list[str]], *, scripts: tuple[str, ...] = ()) -> str:
    """Return the page with its policy right behind the charset, before all that it governs.

    A policy that is already there is replaced. Raises ValueError when the page has no charset element.
    """
    head, mark, rest = html.partition(MARK)
    if not mark:
        raise ValueError(f"the page has no {MARK}, so its policy has no place")
    start = '\n<meta http-equiv="Content-Security-Policy"'
    if rest.startswith(start):
        rest = rest[rest.index(">") + 1 :]
    return head + mark + "\n" + element(policy(html, directives, scripts=scripts)) + rest
