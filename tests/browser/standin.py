"""A small site around the real worker and its client, with a page script and a `calc` that stand in for the real ones."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

from calc.desk import bundle, bytecode, csp
from calc.desk.places import SOURCES

STUB = Path(__file__).parent / "stub"


def page(text: str = "Read me.") -> str:
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Stand-in</title><link rel="icon" href="data:,"></head>
<body><p>{text}</p><script src="assets/calc/handbook.js"></script></body></html>
"""


@dataclass(frozen=True)
class StandIn:
    """The prepared runtime around the stand-in, and the sources with its page script."""

    prepared: Path
    sources: Path
    kept: Path

    @classmethod
    def make(cls, place: Path) -> StandIn:
        kept, sources = place / "kept", place / "sources"
        sources.mkdir()
        # All parts but `calc` are those of the real site, so they are not compiled again.
        bytecode.prepare()
        shutil.copytree(bytecode.PREPARED / "parts", kept / "parts")
        for path in SOURCES.glob("*.js"):
            shutil.copy(path, sources)
        shutil.copy(STUB / "handbook.js", sources)
        prepared = bytecode.prepare(package=STUB / "calc", data=STUB / "data", kept=kept)
        return cls(prepared, sources, kept)

    def host(self, site: Path, pages: Mapping[str, str]) -> Path:
        """Write a site for a host, without its keeper."""
        files = bundle.files(prepared=self.prepared, sources=self.sources, kept=self.kept)
        return _write(site, files, {name: csp.protect(html, csp.HOSTED) for name, html in pages.items()})

    def folder(self, site: Path, pages: Mapping[str, str]) -> Path:
        """Write a copy that opens from a folder."""
        files = bundle.folder_files(prepared=self.prepared, sources=self.sources, kept=self.kept)
        return _write(site, files, {name: csp.protect(html, csp.FOLDER) for name, html in pages.items()})


def _write(site: Path, files: Mapping[str, str | Path], pages: Mapping[str, str]) -> Path:
    for address, content in {**files, **pages}.items():
        place = site / address
        place.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, Path):
            shutil.copyfile(content, place)
        else:
            place.write_text(content, "utf-8")
    return site


class Quiet(SimpleHTTPRequestHandler):
    """A static host without any special header."""

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the base names it so
        pass


@contextmanager
def served(root: Path, port: int = 0) -> Iterator[int]:
    """Serve a folder on this machine; gives the port."""
    server = ThreadingHTTPServer(("127.0.0.1", port), partial(Quiet, directory=str(root)))
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
