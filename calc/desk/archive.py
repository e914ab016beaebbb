"""The copy of the site that opens from a folder, and its zip."""

from __future__ import annotations

import re
import shutil
import zipfile
from pathlib import Path

from calc.desk import csp, vendor
from calc.errors import HandbookError

TOP = "spring-and-damper-handbook"
# What only a host can use: the download of this copy itself, and the error page that no folder asks for.
LEFT_OUT = ("downloads", "404.html")
HOSTED_ONLY = re.compile(
    r"[ \t]*<(?:link data-hosted\b[^>]*>|(?P<tag>li|p) data-hosted\b[^>]*>.*?</(?P=tag)>)\n?", re.S
)
MOMENT = (1980, 1, 1, 0, 0, 0)


class ArchiveError(HandbookError):
    """The offline copy cannot be made."""


def unpack(site: Path, target: Path) -> None:
    """Write the copy of a built site that works from a folder, by double-click, on a machine without a network."""
    left_out = {site / name for name in LEFT_OUT}
    for path in sorted(site.rglob("*")):
        if path.is_dir() or path in left_out or left_out & set(path.parents):
            continue
        place = target / path.relative_to(site)
        place.parent.mkdir(parents=True, exist_ok=True)
        if path.suffix == ".html":
            place.write_text(page(path.read_text("utf-8")), "utf-8")
        else:
            shutil.copyfile(path, place)


def page(html: str) -> str:
    """Return a page fitted to a folder: its policy for files, and nothing in it that needs a host."""
    return csp.protect(HOSTED_ONLY.sub("", html), csp.FOLDER, scripts=(vendor.frame_script(),))


def pack(folder: Path, target: Path) -> None:
    """Zip a folder into `target`, under one top folder; the same files give the same bytes.

    Raises ArchiveError when there is nothing to pack.
    """
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    if not files:
        raise ArchiveError(f"{folder} is empty: there is nothing to pack.")
    target.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for path in files:
            entry = zipfile.ZipInfo(f"{TOP}/{path.relative_to(folder).as_posix()}", date_time=MOMENT)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Unix, wherever it was built: the field tells systems how to read the permissions.
            entry.create_system = 3
            packed.writestr(entry, path.read_bytes())
