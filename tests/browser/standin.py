"""A small site around the real worker and its client, with a page script and a `calc` that stand in for the real ones."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread
from typing import Any

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
        for name in (bundle.PAGE, bundle.KEPT_PAGE):
            shutil.copy(STUB / "handbook.js", sources / name)
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
    """A static host without any special header, which notes what it is asked for and may hold a file back."""

    def __init__(self, *args: Any, log: list[str], held: Mapping[str, Event], **more: Any) -> None:
        self.log, self.held = log, held
        super().__init__(*args, **more)

    def do_GET(self) -> None:
        self.log.append(self.path)
        gate = self.held.get(self.path.partition("?")[0].rpartition("/")[2])
        if gate:
            gate.wait(60)
        super().do_GET()

    def copyfile(self, source: Any, outputfile: Any) -> None:
        with suppress(ConnectionError):  # the page was left while a file came
            super().copyfile(source, outputfile)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the base names it so
        pass


@contextmanager
def served(
    root: Path, port: int = 0, *, log: list[str] | None = None, held: Mapping[str, Event] | None = None
) -> Iterator[int]:
    """Serve a folder on this machine; gives the port.

    `log` gets the path of each request, whoever in the browser makes it; a file named in `held` waits for its event.
    """
    handler = partial(Quiet, directory=str(root), log=[] if log is None else log, held={} if held is None else held)
    server = ThreadingHTTPServer(("127.0.0.1", port), handler)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
