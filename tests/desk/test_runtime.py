"""The browser's Python is taken from anywhere, and only as what its pins say."""

from __future__ import annotations

import hashlib
import os
import shutil
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest

from calc.desk import commands, runtime
from calc.desk.runtime import Member, Pins, RuntimeFetchError, SourceClosedError


@pytest.fixture(scope="module")
def official() -> dict[str, Path]:
    return runtime.fetch()


@pytest.fixture(autouse=True)
def _only_what_a_test_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("HANDBOOK_RUNTIME", raising=False)


def closed(_: Pins, _missing: Sequence[Member]) -> runtime.Found:
    raise SourceClosedError("it is closed.")
    yield


def from_files(files: dict[str, Path]) -> runtime.Source:
    def source(_: Pins, missing: Sequence[Member]) -> runtime.Found:
        for member in missing:
            yield member, files[member.name].read_bytes()

    return source


def test_the_pins_are_those_of_the_official_lock_of_314_0_3() -> None:
    """Hashes read from pyodide-lock.json in the npm package pyodide 314.0.3 (read, 2026)."""
    told = {member.name.split("-")[0]: member.sha256 for member in runtime.pins().members if member.kind == "wheel"}
    assert told == {
        "numpy": "0cad9c1b91f0082e4f959bc0e0bf5835a2efbba6ab3b1e9d1fe6e7e564cca98e",
        "pandas": "51475a2026084c3b600566658fffc95efc5a71593472ab8a561d92a504a15a3e",
        "python_dateutil": "e0dad39eec43965d30ef0dbe870617bd5a7ca795c65fda722a7ab2bbd2b747e3",
        "six": "c6681057bd87fdec57e811b8e4007bad38deea284052817fa400d542c6423e2d",
    }


def test_fetched_files_are_kept_by_their_hash(official: dict[str, Path], tmp_path: Path) -> None:
    said: list[str] = []
    found = runtime.fetch(said.append, cache=tmp_path, sources=[("a shelf", from_files(official))])
    assert found.keys() == official.keys()
    for member in runtime.pins().members:
        path = found[member.name]
        assert path == tmp_path / member.sha256 / member.name
        assert path.stat().st_size == member.size
        assert hashlib.sha256(path.read_bytes()).hexdigest() == member.sha256
    assert said[0] == "Fetching the browser's Python from a shelf (20.7 MB)."
    # The second time nothing is asked.
    assert runtime.fetch(cache=tmp_path, sources=[("nobody", closed)]) == found


def test_a_source_that_is_closed_is_passed_over(official: dict[str, Path], tmp_path: Path) -> None:
    said: list[str] = []
    runtime.fetch(said.append, cache=tmp_path, sources=[("here", closed), ("there", from_files(official))])
    assert "Not from here: it is closed." in said


def test_a_wrong_file_is_refused_by_name_with_both_hashes(official: dict[str, Path], tmp_path: Path) -> None:
    spoiled = tmp_path / "pyodide.mjs"
    spoiled.write_bytes(official["pyodide.mjs"].read_bytes() + b"\n")
    expected = hashlib.sha256(official["pyodide.mjs"].read_bytes()).hexdigest()
    found = hashlib.sha256(spoiled.read_bytes()).hexdigest()
    cache = tmp_path / "cache"
    with pytest.raises(RuntimeFetchError) as refused:
        runtime.fetch(cache=cache, sources=[("a shelf", from_files({**official, "pyodide.mjs": spoiled}))])
    assert str(refused.value) == (
        f"pyodide.mjs is not the official file: expected sha256 {expected}, found {found}. "
        "Nothing of it was used. Try another network, or give the file with --runtime-from PATH."
    )
    assert not list(cache.rglob("pyodide.mjs"))


def test_a_damaged_file_in_the_cache_is_fetched_again(official: dict[str, Path], tmp_path: Path) -> None:
    runtime.fetch(cache=tmp_path, sources=[("a shelf", from_files(official))])
    member = runtime.pins().members[0]
    runtime.place(member, tmp_path).write_bytes(b"damaged")
    said: list[str] = []
    found = runtime.fetch(said.append, cache=tmp_path, sources=[("a shelf", from_files(official))])
    assert f"{member.name} in the cache is damaged: it is fetched again." in said
    assert hashlib.sha256(found[member.name].read_bytes()).hexdigest() == member.sha256


def test_without_any_source_one_sentence_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(RuntimeFetchError) as missing:
        runtime.fetch(cache=tmp_path, sources=[("nobody", closed)])
    names = ", ".join(member.name for member in runtime.pins().members)
    assert str(missing.value) == (
        f"The browser's Python could not be fetched ({names} missing): connect to the network once, "
        "or give a folder or archive that holds these files with --runtime-from PATH."
    )


def archived(official: dict[str, Path], path: Path) -> Path:
    """A release that also holds a prepared file under an official name, which must not be taken."""
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("release/assets/calc/runtime/pyodide.mjs", b"something else")
        for name, file in official.items():
            archive.write(file, f"release/official/{name}")
    return path


def test_an_earlier_release_is_enough_without_a_network(official: dict[str, Path], tmp_path: Path) -> None:
    release = archived(official, tmp_path / "release.zip")
    found = runtime.fetch(cache=tmp_path / "cache", earlier=release, sources=[("nobody", closed)])
    assert found.keys() == official.keys()


def test_a_folder_may_be_named_by_the_surroundings(
    official: dict[str, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    for file in official.values():
        shutil.copy(file, shelf)
    monkeypatch.setenv("HANDBOOK_RUNTIME", str(shelf))
    found = runtime.fetch(cache=tmp_path / "cache", sources=[("nobody", closed)])
    assert found.keys() == official.keys()


def test_an_earlier_release_that_is_no_archive_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "release.txt"
    text.write_text("no archive", "utf-8")
    with pytest.raises(RuntimeFetchError) as refused:
        runtime.fetch(cache=tmp_path / "cache", earlier=text, sources=[])
    assert str(refused.value) == (
        f"{text} is neither a folder nor a zip archive: give one that holds the official files."
    )


def test_no_pin_or_source_names_a_package_registry() -> None:
    text = Path(runtime.__file__).read_text("utf-8") + (runtime.PINS / "runtime.toml").read_text("utf-8")
    addresses = {part.split("/")[0] for part in text.split("https://")[1:]}
    assert addresses == {"cdn.jsdelivr.net"}, "only the official distribution has an address"


@pytest.mark.parametrize("words", [["serve"], ["build"], ["test"]])
def test_a_command_hands_the_earlier_release_on(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HANDBOOK_RUNTIME", "")
    seen: list[str] = []

    def note(*_words: object, **_named: object) -> int:
        seen.append(os.environ["HANDBOOK_RUNTIME"])
        return 0

    monkeypatch.setattr(f"calc.desk.{'check.check' if words == ['test'] else f'build.{words[0]}'}", note)
    monkeypatch.setattr("calc.desk.environment.is_inside", lambda: True)
    monkeypatch.setattr("calc.desk.environment.prepare", lambda *_groups: None)
    commands.run([*words, "--runtime-from", str(tmp_path)])
    assert seen == [str(tmp_path.resolve())]
