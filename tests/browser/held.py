"""Holds a browser to a share of a processor: its whole tree of processes, renderers and workers included.

The driver can slow a page's own thread only, and a quota of the system needs rights that a test has not. So the processes
are stopped and let go on, over and over, from a thread beside the test.
"""

from __future__ import annotations

import os
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread

# Seconds that the tree runs and that it is stopped, over and over: a third.
RUNS, STOPS = 0.1, 0.2
# Rounds after which processes that have come meanwhile are looked for.
LOOK = 3


def tree(word: str) -> set[int]:
    """The processes that carry a word in their command, and all that came from them."""
    parents: dict[int, int] = {}
    found: set[int] = set()
    listed = subprocess.run(["ps", "-A", "-o", "pid=,ppid=,args="], capture_output=True, text=True, check=True)
    for line in listed.stdout.splitlines():
        pid, parent, command = (*line.split(maxsplit=2), "")[:3]
        parents[int(pid)] = int(parent)
        if word in command:
            found.add(int(pid))
    more = found
    while more:
        more = {pid for pid, parent in parents.items() if parent in found} - found
        found |= more
    return found - {os.getpid()}


def _say(pids: set[int], what: signal.Signals) -> None:
    for pid in pids:
        with suppress(ProcessLookupError):
            os.kill(pid, what)


@contextmanager
def held_to_a_third(word: str) -> Iterator[None]:
    """Hold the processes that carry a word in their command, and what comes from them, to a third of the time."""
    ended = Event()

    def hold() -> None:
        pids: set[int] = set()
        rounds = 0
        while not ended.is_set():
            pids = tree(word) if rounds % LOOK == 0 else pids
            rounds += 1
            _say(pids, signal.SIGSTOP)
            ended.wait(STOPS)
            _say(pids, signal.SIGCONT)
            ended.wait(RUNS)

    thread = Thread(target=hold, daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()
        _say(tree(word), signal.SIGCONT)
