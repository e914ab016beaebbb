"""The commands of the front door: their words, their help, and which module does the work of each."""

from __future__ import annotations

import argparse
import difflib
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import NoReturn

from calc.desk import environment
from calc.errors import HandbookError

DONE, FAILED, BAD_INPUT, NOT_READY, STOPPED = 0, 1, 2, 3, 130

PROGRAM = "python3 -m calc"
ABOUT = """\
The Spring and Damper Handbook: choose coil springs and dampers for an off-road
4x4 after a weight change.
"""
NOTES = f"""\
Start with `{PROGRAM} serve`, which shows the handbook in your browser.
`{PROGRAM} COMMAND --help` tells more about one command.
The first run makes an environment in .handbook/ and fetches what is pinned in
data/pins/; later runs start at once and need no network.
"""

Body = Callable[[argparse.Namespace, list[str]], int]


class Parser(argparse.ArgumentParser):
    """Reads a command's words; a wrong word gets one sentence instead of a screen of usage."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where to read more, and stop with the code for bad input."""
        self.exit(BAD_INPUT, f"{self.prog}: {message}; `{self.prog} --help` tells more.\n")


def run(arguments: Sequence[str]) -> int:
    """Do what the words after ``python3 -m calc`` ask for and return the exit code.

    0: done. 1: it failed, or a check did. 2: the words or the input are wrong.
    3: this machine lacks something that the handbook cannot bring.
    """
    _open_streams()
    parser, names = _parser()
    words = list(arguments)
    if not words:
        parser.print_help()
        return DONE
    if not words[0].startswith("-") and words[0] not in names:
        near = difflib.get_close_matches(words[0], names, n=1)
        meant = f"did you mean `{near[0]}`? " if near else ""
        print(
            f"There is no command “{words[0]}”: {meant}`{PROGRAM}` lists the commands.",
            file=sys.stderr,
        )
        return BAD_INPUT
    own, rest = _split(words)
    try:
        options, unknown = parser.parse_known_args(own)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BAD_INPUT
    if (unknown or rest) and not options.takes_more:
        wrong = " ".join([*unknown, *rest])
        print(
            f"{PROGRAM} {words[0]}: unknown “{wrong}”; `{PROGRAM} {words[0]} --help` tells what it takes.",
            file=sys.stderr,
        )
        return BAD_INPUT
    passed_on = words[1:] if options.takes_more == "all" else [*unknown, *rest]
    return _carry_out(options, words, passed_on)


def _open_streams() -> None:
    """Give a command that was started with a closed standard stream an empty one: what it opens must not take its place."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        if getattr(sys, name) is None:
            empty = os.open(os.devnull, os.O_RDWR)
            if empty == number:
                os.set_inheritable(empty, True)
            else:
                os.dup2(empty, number)
                os.close(empty)
            setattr(sys, name, open(number, mode, encoding="utf-8", closefd=False))  # noqa: SIM115  it has no path


def _split(words: list[str]) -> tuple[list[str], list[str]]:
    """The words before a ``--`` and those after it, which argparse reads differently in each version."""
    if "--" not in words:
        return words, []
    place = words.index("--")
    return words[:place], words[place + 1 :]


def _carry_out(options: argparse.Namespace, words: list[str], passed_on: list[str]) -> int:
    body: Body = options.body
    try:
        environment.prepare(*options.groups)
        if not environment.is_inside():
            return environment.enter(words)
        code = body(options, passed_on)
        # Here, where it can still be told, and not when the interpreter ends.
        sys.stdout.flush()
        return code
    except environment.NotReadyError as problem:
        print(problem, file=sys.stderr)
        return NOT_READY
    except HandbookError as problem:
        print(problem, file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        # Whoever read the answer has stopped reading.
        _drop_output()
        return DONE
    except OSError as problem:
        # A folder that this user may not write, a full disk, a file that is gone.
        where = f" {problem.filename}" if problem.filename else " what it writes"
        print(
            f"`{PROGRAM} {words[0]}` cannot go on with{where}: {problem.strerror or problem}. "
            "Make room there, or let this user read and write it, and run it again.",
            file=sys.stderr,
        )
        _drop_output()
        return FAILED
    except KeyboardInterrupt:
        return STOPPED


def _drop_output() -> None:
    """Let nothing more be written: the interpreter must not fail on flushing the rest."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _parser() -> tuple[Parser, list[str]]:
    # Over 60 lines: the one declaration of all commands, a call each.
    shape = partial(argparse.RawDescriptionHelpFormatter, width=80, max_help_position=20)
    parser = Parser(prog=PROGRAM, description=ABOUT, epilog=NOTES, formatter_class=shape, allow_abbrev=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    names: list[str] = []

    def command(
        name: str, purpose: str, body: Body, *, tests: bool = False, takes_more: str = "", more: str = ""
    ) -> Parser:
        """Add one command; its body also gets the words not known here ("rest"), or "all" its words."""
        names.append(name)
        own = commands.add_parser(
            name,
            help=purpose,
            description=f"{purpose[0].upper()}{purpose[1:]}.\n{more}",
            formatter_class=shape,
            allow_abbrev=False,
        )
        own.set_defaults(body=body, groups=("site", "test") if tests else ("site",), takes_more=takes_more)
        return own

    own = command("serve", "build the handbook and show it in your browser", _serve)
    own.add_argument("--port", type=_port, default=8000, help="serve at this port (default 8000)")
    _add_runtime(own)
    own = command("build", "build the site and print the folder it is in", _build)
    own.add_argument(
        "--offline", action="store_true", help="build the one that is opened from a folder, without a server"
    )
    _add_runtime(own)
    own = command(
        "test",
        "check the code and run every test",
        _test,
        tests=True,
        takes_more="rest",
        more="\nOther words go to pytest: `test tests/desk`, `test -- -k stack`.\n",
    )
    own.add_argument("--quick", action="store_true", help="leave the tests in a browser out")
    own.add_argument(
        "--long", action="store_true", help="try many more cases wherever a test tries some; it takes hours"
    )
    _add_runtime(own)
    command(
        "shots",
        "take a picture of every page, both widths and themes, and on paper",
        partial(_module, "calc.desk.shots"),
        tests=True,
        takes_more="all",
    )
    command(
        "bench",
        "measure every budget of speed and size, each against something of the same run",
        partial(_module, "calc.desk.bench.command"),
        tests=True,
        takes_more="all",
        more="\n--json writes JSON; --quick leaves the browser out; --rounds N measures N times.\n",
    )
    command(
        "release",
        "make the site and its offline copy, with checksums, from a clean tree",
        partial(_module, "calc.desk.release"),
        takes_more="all",
    )
    command(
        "answers",
        "write the example rig's whole answer as text",
        partial(_module, "calc.desk.answers"),
        takes_more="all",
    )
    command(
        "house",
        "draw which room of the code needs which",
        partial(_module, "calc.desk.house"),
        takes_more="all",
        more="\n--write puts the drawing into DEVELOPERS.md.\n",
    )
    own = command("steps", "list every step: inputs, results, source", partial(_bridge, "steps"))
    _add_json(own)
    own = command(
        "step",
        "work one step",
        partial(_bridge, "step"),
        takes_more="all",
        more="\nThe inputs are read as a JSON object from standard input, numbers in SI or text\n"
        'with a unit: {"spring_rate": "250 lb/in", ...}.\n',
    )
    own.add_argument("name", metavar="NAME", help="the step, as `steps` lists it")
    _add_json(own)
    own = command(
        "choose",
        "choose springs for a rig, ranked, with the reasons",
        partial(_bridge, "choose"),
        takes_more="all",
        more="\n--springs LIST.csv takes your own spring list. --dampers [LIST.csv] chooses the\n"
        "damper too, from your own list or from the handbook's invented one.\n",
    )
    own.add_argument("rig", metavar="RIG.json", help="a rig file, as the rig page saves it")
    _add_json(own)
    own = command(
        "sheet",
        "the build sheet of a rig: what to order, how to set it, what it will do",
        partial(_bridge, "sheet"),
        takes_more="all",
        more="\n--springs LIST.csv takes your own spring list, --csv writes a table for a\n"
        "spreadsheet, --date YYYY-MM-DD is printed on the sheet in place of today.\n"
        "--order writes the rig file with this order recorded in it, --order-to FILE\n"
        "writes it to that file; from then on sheet and prove go by what was ordered.\n",
    )
    own.add_argument("rig", metavar="RIG.json", help="a rig file, as the rig page saves it")
    _add_json(own)
    own = command(
        "compare",
        "two rigs side by side: what was entered differently, and what it comes to",
        partial(_bridge, "compare"),
        takes_more="all",
        more="\n--springs LIST.csv takes your own spring list.\n",
    )
    own.add_argument("rig", metavar="RIG.json", help="a rig file, as the rig page saves it")
    own.add_argument("other", metavar="OTHER.json", help="the rig file to set beside it")
    _add_json(own)
    own = command("quote", "check a shop's quote, line by line", partial(_bridge, "quote"), takes_more="all")
    own.add_argument("quote", metavar="QUOTE.json", help="a quote file, as the quote page saves it")
    _add_json(own)
    own = command(
        "prove",
        "check the built rig: true loads and rates, and what to turn",
        partial(_bridge, "prove"),
        takes_more="all",
    )
    own.add_argument("rig", metavar="RIG.json", help="a rig file, as the rig page saves it")
    own.add_argument("measured", metavar="MEASURED.json", help="what was measured, as data/rigs/wren-measured.json")
    _add_json(own)
    return parser, names


def _add_json(parser: Parser) -> None:
    parser.add_argument("--json", action="store_true", help="write JSON for a program, not text for a person")
    parser.add_argument(
        "--progress", action="store_true", help="tell on standard error that long work goes on, in a file or pipe too"
    )


def _add_runtime(parser: Parser) -> None:
    parser.add_argument(
        "--runtime-from",
        metavar="PATH",
        help="take the browser's Python from this folder or archive of an earlier release, without a network",
    )


def _take_runtime(options: argparse.Namespace) -> None:
    # In the surroundings, so that every program started from here finds it too.
    if options.runtime_from:
        os.environ["HANDBOOK_RUNTIME"] = str(Path(options.runtime_from).resolve())


def _port(text: str) -> int:
    number = int(text) if text.isdecimal() else 0
    if not 1 <= number <= 65535:
        raise argparse.ArgumentTypeError(f"“{text}” is no port, which is a number from 1 to 65535")
    return number


def _serve(options: argparse.Namespace, _words: list[str]) -> int:
    _take_runtime(options)
    importlib.import_module("calc.desk.build").serve(options.port)
    return DONE


def _build(options: argparse.Namespace, _words: list[str]) -> int:
    _take_runtime(options)
    build = importlib.import_module("calc.desk.build")
    made = build.build(options.offline)
    print(made)
    if options.offline:
        print(build.packed(made))
    return DONE


def _test(options: argparse.Namespace, words: list[str]) -> int:
    _take_runtime(options)
    return int(importlib.import_module("calc.desk.check").check(words, quick=options.quick, long=options.long))


def _module(module: str, _options: argparse.Namespace, words: list[str]) -> int:
    return int(importlib.import_module(module).main(words) or DONE)


def _bridge(name: str, options: argparse.Namespace, words: list[str]) -> int:
    given = [word for word in ("--json", "--progress") if getattr(options, word[2:])] if name == "steps" else words
    return int(importlib.import_module("calc.terminal").command(name, given, sys.stdin, sys.stdout))
