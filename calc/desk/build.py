"""Builds the site, the copy that works from a folder, and serves the site while it is being written."""

from __future__ import annotations

import http.server
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path

from calc.desk import archive, bundle, bytecode, environment, licences, vendor
from calc.desk.places import HANDBOOK, ROOT
from calc.errors import HandbookError

SITE = "site"
OFFLINE = "offline"
ZIP = "downloads/handbook-offline.zip"
WATCHED = ("calc", "docs", "data", "mkdocs.yml")
# A fixed moment instead of now, so that two builds of the same clone are the same files.
MOMENT = "946684800"

TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".zip": "application/zip",
}


class BuildError(HandbookError):
    """The site cannot be built; the message holds what MkDocs said."""


def build(offline: bool, home: Path = HANDBOOK) -> Path:
    """Build the site and its offline copy in `home`, and return the folder of the one that was asked for.

    The old site stays whole until the new one is finished.
    Raises BuildError when a page cannot be made, and what the runtime raises when its files cannot be had.
    """
    # The runtime first: it may have to be fetched, which is the one part that can take long.
    answering = bundle.files(environment.say)
    home.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=home, prefix="building-") as place:
        made, folder = Path(place) / SITE, Path(place) / OFFLINE
        _run_mkdocs(made)
        write(vendor.files(path.read_text("utf-8") for path in sorted(made.rglob("*.html"))), made)
        write(bundle.styles(), made)
        archive.unpack(made, folder)
        write(bundle.folder_files(), folder)
        write(answering, made)
        archive.pack(folder, made / ZIP)
        bundle.keeper(made)
        licences.verify(made)
        licences.verify(folder)
        _replace(folder, home / OFFLINE)
        _replace(made, home / SITE)
    return home / (OFFLINE if offline else SITE)


def packed(made: Path) -> Path:
    """Return where the zip of the offline copy is, from the folder of either copy that was built."""
    return made.parent / SITE / ZIP


def _run_mkdocs(target: Path) -> None:
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", str(target)]
    surroundings = {**environment.variables(), "NO_MKDOCS_2_WARNING": "1", "SOURCE_DATE_EPOCH": MOMENT}
    done = subprocess.run(command, cwd=ROOT, env=surroundings, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BuildError(f"The site was not built.\n{done.stdout}{done.stderr}".rstrip())
    # They list absolute addresses, and a site that works under any address has none.
    for name in ("sitemap.xml", "sitemap.xml.gz"):
        (target / name).unlink(missing_ok=True)


def write(files: Mapping[str, str | Path], target: Path) -> None:
    """Write texts, and copy files, at their addresses below a folder."""
    for address, content in files.items():
        place = target / address
        if isinstance(content, Path):
            bytecode.put(content, place)
        else:
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(content, "utf-8")


def _replace(made: Path, place: Path) -> None:
    """Put a finished folder where the old one was; the old one goes away with the folder of this build."""
    if place.exists():
        place.replace(made.with_name(f"{made.name}-before"))
    made.replace(place)


class Handler(http.server.SimpleHTTPRequestHandler):
    """Serves the site with the right types; the browser asks each time whether a file has changed."""

    extensions_map = {**http.server.SimpleHTTPRequestHandler.extensions_map, **TYPES}  # noqa: RUF012  as its base has it

    def end_headers(self) -> None:
        """Let nothing be used again unasked."""
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the base names it so
        """Stay quiet: the one line that matters is the address."""


class Server(http.server.ThreadingHTTPServer):
    """A server that does not complain when a reader leaves in the middle of a file."""

    daemon_threads = True
    # On some systems a second server would otherwise share the port and answer at random.
    allow_reuse_address = os.name != "nt"

    def handle_error(self, request: object, client_address: object) -> None:
        """Say nothing of a closed connection, and everything of a real mistake."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)  # type: ignore[arg-type]


def serve(port: int) -> None:
    """Build the site, serve it on this machine, and build it anew whenever a source changes; ends on Ctrl-C.

    Prints one line with the address on standard output. A busy port is left alone and the next free one taken.
    """
    build(False)
    server = _server(port)
    found = server.server_address[1]
    if found != port:
        environment.say(f"Port {port} is busy, so this is served at {found}.")
    print(f"The handbook is at http://127.0.0.1:{found}/ (Ctrl-C ends it).", flush=True)
    threading.Thread(target=_watch, daemon=True).start()
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        print(file=sys.stderr)
    finally:
        server.server_close()


def _server(port: int) -> Server:
    problem: OSError | None = None
    for tried in range(port, min(port + 50, 65536)):
        try:
            return Server(("127.0.0.1", tried), partial(Handler, directory=str(HANDBOOK / SITE)))
        except OSError as error:
            problem = error
    raise BuildError(f"No port from {port} on is free ({problem}). Name another one with --port.")


def _watch() -> None:
    seen = _state()
    while True:
        time.sleep(0.5)
        now = _state()
        if now == seen:
            continue
        # Editors write a file in several moves: wait until a look finds nothing new.
        while now != seen:
            seen = now
            time.sleep(0.2)
            now = _state()
        environment.say("A source changed; building anew.")
        started = time.monotonic()
        # In a process of its own, which sees the changed package.
        done = subprocess.run(
            [sys.executable, "-m", "calc", "build"],
            cwd=ROOT,
            env=environment.variables(),
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            environment.say(f"{done.stderr.strip()}\nThe site from before is still served.")
        else:
            environment.say(f"Built in {time.monotonic() - started:.1f} s.")


def _state() -> dict[str, int]:
    return {str(path): path.stat().st_mtime_ns for path in _sources() if path.is_file()}


def _sources() -> Iterator[Path]:
    for name in WATCHED:
        place = ROOT / name
        if place.is_file():
            yield place
        else:
            yield from (path for path in place.rglob("*") if "__pycache__" not in path.parts)
