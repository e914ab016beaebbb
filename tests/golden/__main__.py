"""`python -m tests.golden`: write every answer in full into .handbook/goldens, for a difference line by line.

--write  keeps today's answers too: tests/golden/kept, those that the tests ask
--long   asks every door of every rig, in some minutes, and keeps nothing
NAME ... asks every door of these rigs alone (wren, blank, rig-01 to rig-20), and keeps nothing
"""

from __future__ import annotations

import sys

from tests.golden import kept
from tests.golden.doors import ASKS, answers
from tests.golden.rigs import case, names


def main(words: list[str]) -> int:
    """Do what the words ask for; 2 for words that are not understood."""
    chosen = [word for word in words if word in names()]
    if words == ["--write"]:
        kept.write()
    elif not words or words == ["--long"] or words == chosen:
        for name in chosen or names():
            kept.write_full(case(name), list(answers(case(name), ASKS if words else kept.asked(name))))
    else:
        sys.stderr.write(f"“{' '.join(words)}” is not understood.\n{__doc__}")
        return 2
    sys.stdout.write(f"Every answer stands in {kept.FULL.relative_to(kept.ROOT)}.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
