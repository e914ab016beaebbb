"""The words of the commands, what each calls, and what a person reads when a word is wrong."""

import ast
import errno
import io
import json
import os
import runpy
import subprocess
import sys
import types
from pathlib import Path

import pytest

import calc.__main__
from calc.desk import commands, environment
from calc.desk.environment import NotReadyError
from calc.desk.places import ROOT
from calc.errors import HandbookError

NAMES = [
    *("serve", "build", "test", "shots", "bench", "release", "answers", "house"),
    *("steps", "step", "choose", "sheet", "compare", "quote", "prove"),
]


@pytest.fixture
def inside(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """Pretend that the environment is ready and entered; tells which groups of pins were asked for."""
    asked: list[tuple[str, ...]] = []
    monkeypatch.setattr(environment, "prepare", lambda *groups: asked.append(groups))
    monkeypatch.setattr(environment, "is_inside", lambda: True)
    return asked


def stand_in(monkeypatch: pytest.MonkeyPatch, name: str, **members: object) -> None:
    module = types.ModuleType(name)
    vars(module).update(members)
    monkeypatch.setitem(sys.modules, name, module)


@pytest.mark.parametrize("version", [(2, 7), (3, 6), (3, 10), (3, 15), (4, 0)])
def test_another_python_gets_one_sentence(version: tuple[int, int], capsys: pytest.CaptureFixture[str]) -> None:
    assert calc.__main__.main(["steps"], version) == 3
    assert capsys.readouterr().err == (
        f"The handbook runs on Python 3.11 to 3.14, and this is {version[0]}.{version[1]}: "
        "run the command with one of those, for example `python3.11 -m calc`.\n"
    )


@pytest.mark.parametrize("version", [(3, 11), (3, 12), (3, 13), (3, 14)])
def test_a_supported_python_goes_on(version: tuple[int, int], capsys: pytest.CaptureFixture[str]) -> None:
    assert calc.__main__.main([], version) == 0
    assert capsys.readouterr().out.startswith("usage: python3 -m calc")


def test_an_old_python_can_read_the_front_door() -> None:
    for file in (ROOT / "calc" / "__main__.py", ROOT / "calc" / "__init__.py"):
        ast.parse(file.read_text(encoding="utf-8"), feature_version=(3, 5))


def test_everything_before_the_environment_is_standard_library() -> None:
    program = (
        "import sys; sys.path.insert(0, sys.argv[1]); import calc.__main__, calc.desk.commands; "
        "print(*{name.partition('.')[0] for name in sys.modules})"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", program, str(ROOT)], capture_output=True, text=True, check=True
    )
    assert set(done.stdout.split()) - set(sys.stdlib_module_names) == {"calc", "__main__"}


def test_help_lists_every_command_within_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.run([]) == 0
    bare = capsys.readouterr().out
    assert commands.run(["--help"]) == 0
    assert capsys.readouterr().out == bare
    listed = [line.split()[0] for line in bare.splitlines() if line.startswith("    ") and line[4] != " "]
    assert listed == NAMES


@pytest.mark.parametrize("words", [[], *([name, "--help"] for name in NAMES)])
def test_help_fits_80_columns(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.run(words) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert max(map(len, shown.out.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ["chose", "rig.json"],
            "There is no command “chose”: did you mean `choose`? `python3 -m calc` lists the commands.",
        ),
        (["xyzzy"], "There is no command “xyzzy”: `python3 -m calc` lists the commands."),
        (
            ["build", "--ofline"],
            "python3 -m calc build: unknown “--ofline”; `python3 -m calc build --help` tells what it takes.",
        ),
        (
            ["steps", "--", "more"],
            "python3 -m calc steps: unknown “more”; `python3 -m calc steps --help` tells what it takes.",
        ),
        (
            ["serve", "--port", "70000"],
            "python3 -m calc serve: argument --port: “70000” is no port, which is a number from 1 to 65535; "
            "`python3 -m calc serve --help` tells more.",
        ),
        (
            ["step"],
            "python3 -m calc step: the following arguments are required: NAME; "
            "`python3 -m calc step --help` tells more.",
        ),
    ],
)
def test_a_wrong_word_gets_one_sentence(
    words: list[str], sentence: str, capsys: pytest.CaptureFixture[str], inside: list[tuple[str, ...]]
) -> None:
    assert commands.run(words) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == sentence + "\n"
    assert inside == []


def test_serve_and_build(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], inside: list[tuple[str, ...]]
) -> None:
    called: list[object] = []

    def build(offline: bool) -> Path:
        called.append(offline)
        return Path("made")

    stand_in(monkeypatch, "calc.desk.build", build=build, packed=lambda made: f"{made}.zip", serve=called.append)
    assert [commands.run(words) for words in (["build"], ["build", "--offline"])] == [0, 0]
    assert capsys.readouterr().out == "made\nmade\nmade.zip\n"
    assert [commands.run(words) for words in (["serve"], ["serve", "--port", "8123"])] == [0, 0]
    assert called == [False, True, 8000, 8123]
    assert inside == [("site",)] * 4


def test_words_that_a_command_passes_on(monkeypatch: pytest.MonkeyPatch, inside: list[tuple[str, ...]]) -> None:
    called: list[object] = []

    def check(words: list[str], *, quick: bool, long: bool) -> int:
        called.append((words, quick, long))
        return 1

    stand_in(monkeypatch, "calc.desk.check", check=check)
    stand_in(monkeypatch, "calc.desk.shots", main=called.append)
    assert commands.run(["test"]) == 1
    assert commands.run(["test", "--quick", "tests/desk", "--", "-k", "stack", "--quick"]) == 1
    assert commands.run(["test", "--long"]) == 1
    assert commands.run(["shots", "--page", "home"]) == 0
    quick = (["tests/desk", "-k", "stack", "--quick"], True, False)
    assert called == [([], False, False), quick, ([], False, True), ["--page", "home"]]
    assert inside == [("site", "test")] * 4


@pytest.mark.parametrize(
    "words",
    [
        ["steps"],
        ["steps", "--json"],
        ["step", "stack", "--json"],
        ["choose", "rig.json", "--json"],
        ["choose", "--springs", "own.csv", "rig.json"],
        ["quote", "quote.json"],
        ["sheet", "rig.json", "--csv", "--date", "2026-11-25"],
        ["compare", "rig.json", "other.json"],
        ["prove", "rig.json", "measured.json", "--json"],
    ],
)
def test_the_machine_door_gets_its_words_as_typed(
    words: list[str], monkeypatch: pytest.MonkeyPatch, inside: list[tuple[str, ...]]
) -> None:
    called: list[object] = []

    def command(name: str, rest: list[str], stdin: io.TextIOBase, stdout: io.TextIOBase) -> int:
        called.append((name, rest, stdin is sys.stdin, stdout is sys.stdout))
        return 2

    stand_in(monkeypatch, "calc.terminal", command=command)
    assert commands.run(words) == 2
    assert called == [(words[0], words[1:], True, True)]
    assert inside == [("site",)]


def test_outside_the_environment_the_same_words_are_run_inside(monkeypatch: pytest.MonkeyPatch) -> None:
    entered: list[list[str]] = []

    def enter(words: list[str]) -> int:
        entered.append(words)
        return 7

    monkeypatch.setattr(environment, "prepare", lambda *_groups: None)
    monkeypatch.setattr(environment, "is_inside", lambda: False)
    monkeypatch.setattr(environment, "enter", enter)
    assert commands.run(["test", "--quick", "--", "-k", "stack"]) == 7
    assert entered == [["test", "--quick", "--", "-k", "stack"]]


@pytest.mark.parametrize(("problem", "code"), [(NotReadyError("Do this."), 3), (HandbookError("Do that."), 1)])
def test_a_known_trouble_is_one_sentence(
    problem: Exception, code: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def prepare(*_groups: str) -> None:
        raise problem

    monkeypatch.setattr(environment, "prepare", prepare)
    assert commands.run(["serve"]) == code
    assert capsys.readouterr().err == f"{problem}\n"


@pytest.mark.usefixtures("inside")
def test_stopping_by_keyboard_shows_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def serve(_port: int) -> None:
        raise KeyboardInterrupt

    stand_in(monkeypatch, "calc.desk.build", serve=serve)
    assert commands.run(["serve"]) == 130
    assert capsys.readouterr() == ("", "")


def test_a_reader_that_stops_reading_gets_no_traceback(tmp_path: Path) -> None:
    program = (
        "import sys, types; from calc.desk import commands, environment; "
        "environment.prepare = lambda *groups: None; environment.is_inside = lambda: True; "
        "door = types.ModuleType('calc.terminal'); "
        "door.command = lambda name, words, stdin, stdout: [stdout.write('x' * 100_000) for _ in range(9)] and 0; "
        "sys.modules['calc.terminal'] = door; sys.exit(commands.run(['steps']))"
    )
    reading, writing = os.pipe()
    os.close(reading)
    with (tmp_path / "errors").open("w+", encoding="utf-8") as errors:
        try:
            done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, stdout=writing, stderr=errors, check=False)
        finally:
            os.close(writing)
        errors.seek(0)
        assert (done.returncode, errors.read()) == (0, "")


def test_continuous_integration_calls_the_test_command() -> None:
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert lines[-1] == "python3 -m calc test"


def test_the_record_of_a_finished_environment_is_plain_json() -> None:
    record = json.loads((environment.ENVIRONMENT / "installed.json").read_text(encoding="utf-8"))
    assert {"site", "test"} <= set(record)


def test_a_stop_before_the_command_is_reached_is_quiet(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_words: list[str]) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(commands, "run", stopped)
    monkeypatch.setattr(sys, "argv", ["calc", "steps"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(ROOT / "calc" / "__main__.py"), run_name="__main__")
    assert ended.value.code == 130
    assert capsys.readouterr() == ("", "")


@pytest.mark.parametrize(
    "problem",
    [
        PermissionError(errno.EACCES, "Permission denied", "/there/site"),
        OSError(errno.ENOSPC, "No space left on device"),
    ],
)
def test_a_folder_that_cannot_be_written_and_a_full_disk_are_a_sentence(problem: OSError) -> None:
    program = (
        "import sys, types; from calc.desk import commands, environment\n"
        "environment.prepare = lambda *groups: None; environment.is_inside = lambda: True\n"
        f"def build(offline): raise OSError(*{(problem.errno, problem.strerror, problem.filename)})\n"
        "door = types.ModuleType('calc.desk.build'); door.build = build; sys.modules['calc.desk.build'] = door\n"
        "import calc.desk; calc.desk.build = door\n"
        "sys.exit(commands.run(['build']))"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (1, "")
    assert "`python3 -m calc build` cannot go on with" in done.stderr
    assert str(problem.strerror) in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("closed", [(0, 1), (0,), (1,), (2,), (0, 1, 2)])
def test_a_closed_standard_stream_is_an_empty_one(closed: tuple[int, ...], tmp_path: Path) -> None:
    """What the command opens must not take the place of the closed one: a file would hold the answer."""
    opened = tmp_path / "opened"
    code = (
        f"import os; [os.close(number) for number in {closed}]\n"
        "import subprocess, sys\n"
        f"for number, name in enumerate(('stdin', 'stdout', 'stderr')):\n"
        f"    if number in {closed}: setattr(sys, name, None)\n"
        "import types; from calc.desk import commands, environment\n"
        "environment.prepare = lambda *groups: None; environment.is_inside = lambda: True\n"
        "def command(name, words, stdin, stdout):\n"
        f"    file = open({str(opened)!r}, 'w')\n"
        "    file.write(str(file.fileno())); file.flush()\n"
        "    stdout.write(stdin.read() + 'answer'); sys.stderr.write('told')\n"
        "    return 0\n"
        "door = types.ModuleType('calc.terminal'); door.command = command; sys.modules['calc.terminal'] = door\n"
        "sys.exit(commands.run(['steps']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False, input="asked "
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout == ("" if 1 in closed else "answer" if 0 in closed else "asked answer")
    assert done.stderr == ("" if 2 in closed else "told")
    assert int(opened.read_text("utf-8")) > 2
