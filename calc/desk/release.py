"""`python3 -m calc release`: the site and its offline copy from a clean tree, in one folder, with checksums."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from calc.desk import archive, build
from calc.desk.places import HANDBOOK, ROOT, sha256
from calc.errors import HandbookError

RELEASES = HANDBOOK / "release"
SUMS = "SHA256SUMS"
CHANGES = Path("docs") / "changes.md"
VERSIONED = Path("calc") / "__init__.py"


class ReleaseError(HandbookError):
    """A tree that is not to be released as it is; the message says what to do first."""


def main(words: Sequence[str]) -> int:
    """Make the release of the tree's version and print its folder."""
    if words:
        raise ReleaseError(f"release takes no words, and was given “{' '.join(words)}”.")
    print(release())
    return 0


def release(
    *,
    root: Path = ROOT,
    target: Path = RELEASES,
    built: Callable[[], Path] = lambda: build.build(False),
) -> Path:
    """Make a release in a folder of `target` named by the version, in place of one of the same version.

    `built` builds the site. Raises ReleaseError when the tree differs from its last commit, or when the list of changes
    has nothing of the version.
    """
    name = f"{archive.TOP}-{version(root)}"
    said = changes(root, version(root))
    _refuse_dirty(root)
    site = built()
    # Building must not have changed what is released.
    _refuse_dirty(root)
    target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target) as place:
        made = Path(place) / name
        made.mkdir()
        archive.pack(site, made / f"{name}-site.zip")
        shutil.copyfile(site / build.ZIP, made / f"{name}-offline.zip")
        (made / "changes.md").write_text(said, "utf-8")
        lines = [f"{sha256(path)}  {path.name}\n" for path in sorted(made.iterdir())]
        (made / SUMS).write_text("".join(lines), "utf-8")
        if (target / name).exists():
            (target / name).replace(Path(place) / "before")
        made.replace(target / name)
    return target / name


def version(root: Path = ROOT) -> str:
    """Return the version, which stands in calc/__init__.py and nowhere else: a printed sheet tells it too.

    Raises ReleaseError when it does not stand there.
    """
    found = re.search(r'^__version__ = "([^"]+)"$', (root / VERSIONED).read_text("utf-8"), re.MULTILINE)
    if found is None:
        raise ReleaseError(f"{VERSIONED.as_posix()} does not say the version.")
    return found[1]


def changes(root: Path, of: str) -> str:
    """Return what docs/changes.md says of a version; a patch of a version is under the version's own heading.

    Raises ReleaseError when it says nothing.
    """
    text = (root / CHANGES).read_text("utf-8")
    short = re.sub(r"\.0$", "", of)
    found = re.search(rf"^## {re.escape(short)}\n(.+?)(?=^## |\Z)", text, re.M | re.S)
    if found is None or not found[1].strip():
        raise ReleaseError(f"{CHANGES.as_posix()} says nothing of version {of}: add what changed under “## {short}”.")
    return f"# {of}\n\n{found[1].strip()}\n"


def _refuse_dirty(root: Path) -> None:
    if shutil.which("git") is None:
        raise ReleaseError("git is not installed, so nothing tells whether this tree is what was committed.")
    done = subprocess.run(
        ["git", "-C", str(root), "status", "--porcelain"], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise ReleaseError("This folder is no clone, so nothing tells whether it is what was committed.")
    changed = done.stdout.splitlines()
    if changed:
        shown = ", ".join(line[3:] for line in changed[:5]) + (" and more" if len(changed) > 5 else "")
        raise ReleaseError(f"The tree differs from its last commit ({shown}): commit or remove that first.")
