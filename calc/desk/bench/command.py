"""`python3 -m calc bench`: measure every budget, print the table, or JSON with `--json`."""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import tempfile
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from calc.desk import build, environment
from calc.desk.bench import interpreter, pages, visit
from calc.desk.bench.budgets import Row, table


def main(words: Sequence[str]) -> int:
    """Measure and print; a budget that is missed is told and is no failure, because another machine may meet it."""
    parser = argparse.ArgumentParser(prog="python3 -m calc bench", allow_abbrev=False)
    parser.add_argument("--json", action="store_true", help="write JSON for a program, not a table for a person")
    parser.add_argument(
        "--rounds", type=int, default=5, help="how often each is measured; the median counts (default 5)"
    )
    parser.add_argument("--quick", action="store_true", help="leave out what needs a browser")
    options = parser.parse_args(list(words))
    rounds = max(options.rounds, 1)
    before = _load()
    rows = list(_all(rounds, quick=options.quick))
    machine = [
        f"Measured {datetime.now(UTC):%Y-%m-%d %H:%M} UTC on {os.cpu_count()} processors, "
        f"Python {platform.python_version()}.",
        f"Load of the machine: {before} before, {_load()} after; browser figures suffer from any other load.",
    ]
    if options.json:
        data = {"machine": machine, "rounds": rounds, "rows": [row.data() for row in rows]}
        sys.stdout.write(json.dumps(data, indent=2, sort_keys=True, allow_nan=False) + "\n")
    else:
        sys.stdout.write(table(rows, machine))
    return 0


def _all(rounds: int, *, quick: bool) -> Iterator[Row]:
    yield _told(interpreter.imported(rounds=2 * rounds))
    yield _told(interpreter.searched(rounds=min(rounds, 3), springs=1000))
    for row in interpreter.grown(
        sizes=(10_000, 100_000, 1_000_000) if quick else (10_000, 100_000, 1_000_000, 10_000_000)
    ):
        yield _told(row)
    yield _told(interpreter.looped(rounds=min(rounds, 3), springs=14))
    yield _told(interpreter.rested(rounds=min(rounds, 3), rigs=200))
    if quick:
        return
    site = build.build(False)
    yield _told(pages.weighed(site))
    with tempfile.TemporaryDirectory() as place, visit.opened(Path(place), site) as bench:
        for row in bench.first_answers(rounds=rounds):
            yield _told(row)
        yield _told(bench.edits(times=10 * rounds))
        yield _told(bench.chain(times=4 * rounds))
        yield _told(bench.search(lists=(70, 220, 1000)))


def _told(row: Row) -> Row:
    environment.say(f"{row.budget.what}: {'met' if row.met else 'missed'}.")
    return row


def _load() -> str:
    # Windows does not count it.
    return f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
