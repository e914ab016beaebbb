"""What is measured in this interpreter: the import, the search, and the rig at rest, in processor time.

What they are measured against stands with the tests, which hold the same programs to the same answers.
"""

from __future__ import annotations

import importlib
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, TypeVar

import numpy as np

from calc.desk import environment, rest_balance
from calc.desk.bench.budgets import Budget, Row, figure, spread
from calc.desk.places import ROOT
from calc.errors import HandbookError
from calc.ride import _rest
from calc.ride._rest_energy import Energy
from calc.search.choose import choose

IMPORT = Budget(name="import", what="Import of calc in CPython, beyond numpy", limit=50.0, unit="ms")
SEARCH = Budget(
    name="search",
    what="Search of 1,000,000 candidate sets, in CPython",
    limit=1_000_000.0,
    unit="sets/s",
    at_least=True,
)
LOOP = Budget(name="loop", what="Search against a plain Python loop over the same sets", limit=300.0, at_least=True)
LINEAR = Budget(
    name="linear", what="Time per set of the largest search, against one of 100,000 sets, in CPython", limit=1.25
)
MEMORY = Budget(
    name="memory", what="Peak memory of the largest search, against one of 100,000 sets, in CPython", limit=1.25
)
REST = Budget(
    name="rest", what="The rig at rest, many solved together, against scipy's root", limit=20.0, at_least=True
)

_IMPORTING = """
import time
import numpy
began = time.process_time()
import calc.bridge
bridge = time.process_time()
import calc.sheet.step_sheet
import calc.spring.stack
print((bridge - began) * 1000, (time.process_time() - bridge) * 1000)
"""


Answer = TypeVar("Answer")


class BenchError(HandbookError):
    """Something answered wrongly while it was measured, so its speed says nothing."""


def imported(*, rounds: int) -> Row:
    """Measure the import of the bridge, behind which each step is imported when it is asked for."""
    samples, pages = [], []
    with tempfile.TemporaryDirectory() as kept:
        # From bytecode, as on any second run, wherever this machine keeps it and whether it does.
        surroundings = {**environment.variables(), "PYTHONPYCACHEPREFIX": kept}
        surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
        for turn in range(rounds + 1):
            command = [sys.executable, "-c", _IMPORTING]
            done = subprocess.run(command, cwd=ROOT, env=surroundings, capture_output=True, text=True, check=True)
            if turn:
                bridge, page = map(float, done.stdout.split())
                samples.append(bridge)
                pages.append(page)
    return Row(
        budget=IMPORT,
        measured=statistics.median(samples),
        against=(
            f"Time from numpy imported to calc.bridge imported: {spread(samples)}; "
            f"what the first step page takes besides: {spread(pages)}."
        ),
        samples=tuple(samples),
    )


def searched(*, rounds: int, springs: int) -> Row:
    """Measure the search of one axle over every single and every pair of a list."""
    oracle = _search_oracle()
    generator = np.random.default_rng(7)
    problem, listed = oracle.random_problem(generator), oracle.assortment(oracle.random_rows(generator, springs))
    samples = []
    tried = 0
    for _ in range(rounds):
        took, found = _timed(lambda: choose(problem, listed))
        tried = found.tried
        samples.append(tried / took)
    return Row(
        budget=SEARCH,
        measured=statistics.median(samples),
        against=f"{tried:,} sets of {springs:,} springs in {figure(tried / statistics.median(samples), 's')}.",
        samples=tuple(samples),
    )


def grown(*, sizes: Sequence[int]) -> Iterator[Row]:
    """Measure searches of more and more sets, the last against the second: the first does not fill one chunk.

    Memory is what Python and numpy hold at most beyond the list itself, in a run of its own, because counting takes time.
    """
    oracle = _search_oracle()
    problem = oracle.random_problem(np.random.default_rng(7))
    each, peaks, told = [], [], []
    for size in sizes:
        # Every single spring, and every pair of two.
        listed = oracle.assortment(oracle.random_rows(np.random.default_rng(7), round(size**0.5)))
        took, found = _timed(partial(choose, problem, listed))
        tracemalloc.start()
        choose(problem, listed)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        each.append(took / found.tried)
        peaks.append(float(peak))
        told.append(f"{found.tried:,} sets {figure(took, 's')}, {figure(peak / 1e6, 'MB')}")
    against = f"{'; '.join(told)}."
    for budget, samples in ((LINEAR, each), (MEMORY, peaks)):
        yield Row(budget=budget, measured=samples[-1] / samples[1], against=against, samples=tuple(samples))


def looped(*, rounds: int, springs: int) -> Row:
    """Measure the same search by the plain loop of the tests, set by set; both must come to the same counts."""
    oracle = _search_oracle()
    generator = np.random.default_rng(4)
    problem, rows = oracle.random_problem(generator), oracle.random_rows(generator, springs)
    listed = oracle.assortment(rows)
    many = oracle.assortment(oracle.random_rows(generator, 40 * springs))
    ratios = []
    for _ in range(rounds):
        slow, (working, rejected) = _timed(lambda: oracle.plain_choice(problem, rows))
        found = choose(problem, listed)
        if (found.working, dict(found.rejected)) != (working, rejected):
            raise BenchError("The search and the plain loop disagree on the same sets, so their speeds say nothing.")
        fast, large = _timed(lambda: choose(problem, many))
        ratios.append((slow / found.tried) / (fast / large.tried))
    return Row(
        budget=LOOP,
        measured=statistics.median(ratios),
        against=(
            f"Time per set of {large.tried:,} sets searched together, against the tests' loop over {found.tried:,} sets, "
            f"which finds each balance with scipy's brentq: {figure(slow / found.tried * 1000, 'ms')} per set. "
            "Both counted the same sets as working and the same first reason for each rejection."
        ),
        samples=tuple(ratios),
    )


def rested(*, rounds: int, rigs: int) -> Row:
    """Measure the rig at rest in several load cases, all together, against scipy's root on the balance of free bodies."""
    oracle = importlib.import_module("tests.ride.test_rest")
    fleet = [vehicle for kind in oracle.KINDS.values() for vehicle in oracle._fleet(kind, rigs)]
    given = oracle._rigs(fleet)
    begin = Energy.of(given, given.count).start()
    # Both begin at the same place: the one that the solve takes by itself.
    starts = [oracle._unknowns(vehicle, begin[place]) for place, vehicle in enumerate(fleet)]
    # What the first use of either imports is not its speed.
    rest_balance.root(fleet[0], starts[0])
    _rest.solve(given)
    ratios, left_ours, left_theirs, converged = [], 0.0, 0.0, 0
    for _ in range(rounds):
        ours, rest = _timed(lambda: _rest.solve(given))
        theirs, answers = _timed(
            lambda: [rest_balance.root(vehicle, start) for vehicle, start in zip(fleet, starts, strict=True)]
        )
        ratios.append(theirs / ours)
        converged = sum(bool(answer.success) for answer in answers)
        for place, (vehicle, answer) in enumerate(zip(fleet, answers, strict=True)):
            if answer.success and rest.status[place] == _rest.STANDS:
                left_theirs = max(left_theirs, _unbalanced(vehicle, answer.x) / vehicle.sprung)
                own = _unbalanced(vehicle, oracle._unknowns(vehicle, rest.state[place]))
                left_ours = max(left_ours, own / vehicle.sprung)
    return Row(
        budget=REST,
        measured=statistics.median(ratios),
        against=(
            f"{len(fleet):,} load cases solved together, {figure(ours / len(fleet) * 1000, 'ms')} each; scipy's root "
            f"(hybr) on the same, one by one from the same starts, {figure(theirs / len(fleet) * 1000, 'ms')} each, "
            f"of which {converged:,} converged. Largest force left over, as a share of the sprung weight: "
            f"ours {left_ours:.0e}, scipy's {left_theirs:.0e}."
        ),
        samples=tuple(ratios),
    )


def _unbalanced(vehicle: rest_balance.Vehicle, unknowns: Any) -> float:
    return max(abs(value) for value in rest_balance.unbalanced(vehicle, unknowns))


def _search_oracle() -> Any:
    return importlib.import_module("tests.search.test_choose")


def _timed(work: Callable[[], Answer]) -> tuple[float, Answer]:
    began = time.process_time()
    answer = work()
    return time.process_time() - began, answer
