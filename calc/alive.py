"""Word from within long work that it goes on, so that whoever waits for it does not take it for a hang.

Whatever may take longer than a moment calls `beat`; a page's worker and a terminal `listen` to it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic
from typing import TextIO

# Seconds between two words. A page waits ten times as long before it takes a worker for one that hangs.
EVERY = 0.5

Hook = Callable[[], object]


class _Ear:
    """Who listens, how often, when it last heard something, and whether it is just being told."""

    hook: Hook | None = None
    every: float = EVERY
    heard: float = 0.0
    told: bool = False


_ear = _Ear()


def beat() -> None:
    """Say that the work goes on. Costs next to nothing where nobody listens or the last word is fresh."""
    # What is called may import something itself, which beats.
    if _ear.hook is None or _ear.told:
        return
    now = monotonic()
    if now - _ear.heard < _ear.every:
        return
    _ear.heard, _ear.told = now, True
    try:
        _ear.hook()
    finally:
        _ear.told = False


class _Imports:
    """Finds nothing, and beats at each module that is about to be imported.

    A finder needs no base class; that of the standard library would bring thirty modules into every page's first import.
    """

    def find_spec(self, *_asked: object) -> None:
        """Leave the module to the finders that come after."""
        beat()


_imports = _Imports()


def listen(hook: Hook | None, *, every: float = EVERY) -> None:
    """Let this be called while work goes on, at most once in so many seconds; None ends it.

    >>> words = []
    >>> listen(lambda: words.append("alive"), every=0.0)
    >>> beat()
    >>> listen(None)
    >>> beat()
    >>> words
    ['alive']
    """
    _ear.hook, _ear.every, _ear.heard = hook, every, monotonic() if every else 0.0
    if _imports in sys.meta_path:
        sys.meta_path.remove(_imports)
    if hook is not None:
        sys.meta_path.insert(0, _imports)


@contextmanager
def shown(stream: TextIO, *, always: bool = False) -> Iterator[None]:
    """Show on a terminal how long the work has been going on, from its first second on, and wipe that out at the end.

    A stream that is no terminal gets it as lines, and only where that is asked for.
    """
    wipes = stream.isatty()
    if not (wipes or always):
        yield
        return
    begun, longest = monotonic(), 0

    def write() -> None:
        nonlocal longest
        text = f"Still at work: {monotonic() - begun:.0f} s"
        longest = max(longest, len(text))
        stream.write(f"\r{text}" if wipes else f"{text}\n")
        stream.flush()

    listen(write, every=1.0)
    try:
        yield
    finally:
        listen(None)
        if wipes and longest:
            stream.write(f"\r{' ' * longest}\r")
            stream.flush()
