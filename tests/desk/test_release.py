"""A release: from a clean tree only, whole, with checksums and the changes of its version."""

from __future__ import annotations

import hashlib
import subprocess
import zipfile
from pathlib import Path

import pytest

from calc.desk import build, release

PROJECT = '"""A package."""\n\n__version__ = "{}"\n'
CHANGES = "# Changes\n\n## 0.2\n\n- Second.\n\n## 0.1\n\n- First.\n"


def git(root: Path, *words: str) -> None:
    who = ("-c", "user.name=Someone", "-c", "user.email=someone@example.org")
    subprocess.run(["git", "-C", str(root), *who, *words], check=True, capture_output=True)


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    root = tmp_path / "clone"
    (root / "docs").mkdir(parents=True)
    (root / "calc").mkdir()
    (root / "calc" / "__init__.py").write_text(PROJECT.format("0.2.0"), "utf-8")
    (root / "docs" / "changes.md").write_text(CHANGES, "utf-8")
    git(root, "init")
    git(root, "add", ".")
    git(root, "commit", "-m", "All of it")
    return root


def built(place: Path) -> Path:
    site = place / "site"
    (site / "downloads").mkdir(parents=True, exist_ok=True)
    (site / "index.html").write_text("<p>Read me.</p>", "utf-8")
    (site / build.ZIP).write_bytes(b"the copy for a folder")
    return site


def made(tree: Path, tmp_path: Path) -> Path:
    return release.release(root=tree, target=tmp_path / "out", built=lambda: built(tmp_path))


def test_the_folder_holds_site_copy_changes_and_true_checksums(tree: Path, tmp_path: Path) -> None:
    folder = made(tree, tmp_path)
    name = "spring-and-damper-handbook-0.2.0"
    assert folder.name == name
    files = {f"{name}-site.zip", f"{name}-offline.zip", "changes.md"}
    assert {path.name for path in folder.iterdir()} == files | {"SHA256SUMS"}
    listed = dict(reversed(line.split("  ")) for line in (folder / "SHA256SUMS").read_text("utf-8").splitlines())
    assert listed == {file: hashlib.sha256((folder / file).read_bytes()).hexdigest() for file in files}
    assert (folder / f"{name}-offline.zip").read_bytes() == b"the copy for a folder"
    with zipfile.ZipFile(folder / f"{name}-site.zip") as packed:
        assert packed.read("spring-and-damper-handbook/index.html") == b"<p>Read me.</p>"
    assert (folder / "changes.md").read_text("utf-8") == "# 0.2.0\n\n- Second.\n"


def test_made_again_it_is_the_same_and_alone(tree: Path, tmp_path: Path) -> None:
    first = (made(tree, tmp_path) / "SHA256SUMS").read_text("utf-8")
    second = made(tree, tmp_path)
    assert (second / "SHA256SUMS").read_text("utf-8") == first
    assert list(second.parent.iterdir()) == [second]


@pytest.mark.parametrize("name", ["docs/changes.md", "new.txt"])
def test_a_tree_that_differs_from_its_commit_is_refused(name: str, tree: Path, tmp_path: Path) -> None:
    (tree / name).write_text(f"{CHANGES}more", "utf-8")
    with pytest.raises(release.ReleaseError) as refused:
        made(tree, tmp_path)
    assert str(refused.value) == f"The tree differs from its last commit ({name}): commit or remove that first."
    assert not (tmp_path / "out").exists()


def test_a_build_that_changes_the_tree_is_refused(tree: Path, tmp_path: Path) -> None:
    def careless() -> Path:
        (tree / "left-over.txt").write_text("", "utf-8")
        return built(tmp_path)

    with pytest.raises(release.ReleaseError, match=r"\(left-over\.txt\)"):
        release.release(root=tree, target=tmp_path / "out", built=careless)


def test_a_version_without_its_changes_is_refused(tree: Path, tmp_path: Path) -> None:
    (tree / "calc" / "__init__.py").write_text(PROJECT.format("0.3.0"), "utf-8")
    git(tree, "commit", "-am", "Next")
    with pytest.raises(release.ReleaseError) as refused:
        made(tree, tmp_path)
    assert str(refused.value) == "docs/changes.md says nothing of version 0.3.0: add what changed under “## 0.3”."


def test_a_folder_that_is_no_clone_is_refused(tree: Path, tmp_path: Path) -> None:
    (tree / ".git").rename(tmp_path / "elsewhere")
    with pytest.raises(release.ReleaseError) as refused:
        made(tree, tmp_path)
    assert str(refused.value) == "This folder is no clone, so nothing tells whether it is what was committed."


def test_this_tree_has_the_changes_of_its_version() -> None:
    assert release.changes(release.ROOT, release.version()).startswith(f"# {release.version()}\n")
