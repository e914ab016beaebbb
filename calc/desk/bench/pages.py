"""What a page weighs: everything a reader fetches for it beyond what the theme shares among all its sites' pages."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from calc.desk.bench.budgets import Budget, Row, figure

SIZE = Budget(name="page", what="The heaviest page without the runtime, compressed", limit=60.0, unit="KB")

# The theme's own style sheets, scripts and search; ours lie in assets/calc and assets/vendor.
_THEME = re.compile(r"assets/(stylesheets|javascripts|images)/")
_FETCHED = re.compile(r'<(?:script|img|link rel="(?:stylesheet|icon)")[^>]*\s(?:src|href)="([^"#?]+)[^"]*"')
_FONTS = re.compile(r"url\([\"']?([^\"')#?]+\.woff2)")
# Compressed already.
_PACKED = (".woff2", ".png", ".zip")


def weighed(site: Path) -> Row:
    """Weigh every page of a built site with its style sheet, script and fonts, text compressed by gzip."""
    weights = {page.relative_to(site).as_posix(): weight(page, site) for page in sorted(site.rglob("*.html"))}
    heaviest = max(weights, key=lambda name: sum(weights[name].values()))
    parts = weights[heaviest]
    largest = ", ".join(
        f"{name} {figure(size / 1000)}" for name, size in sorted(parts.items(), key=lambda item: -item[1])[:5]
    )
    return Row(
        budget=SIZE,
        measured=sum(parts.values()) / 1000,
        against=f"{heaviest}, of {len(weights)} pages, gzip: {largest} KB.",
        samples=tuple(sum(each.values()) / 1000 for each in weights.values()),
    )


def weight(page: Path, site: Path) -> dict[str, int]:
    """Return the compressed size of a page and of each file of ours that it fetches, by name."""
    text = page.read_text("utf-8")
    found = {page}
    for address in _FETCHED.findall(text):
        path = (page.parent / address).resolve()
        if path.is_file() and path.is_relative_to(site.resolve()):
            found.add(site / path.relative_to(site.resolve()))
    for sheet in [path for path in found if path.suffix == ".css"]:
        if _theirs(sheet, site):
            continue
        for address in _FONTS.findall(sheet.read_text("utf-8")):
            # A font comes only with what is set in it.
            if "<math" in text:
                found.add(site / (sheet.parent / address).resolve().relative_to(site.resolve()))
    return {
        path.relative_to(site).as_posix(): compressed(path) for path in found if not _theirs(path, site) or path == page
    }


def _theirs(path: Path, site: Path) -> bool:
    return bool(_THEME.match(path.relative_to(site).as_posix()))


def compressed(path: Path) -> int:
    """Return a file's size as a host sends it."""
    content = path.read_bytes()
    return len(content) if path.suffix in _PACKED else len(gzip.compress(content, 9, mtime=0))
