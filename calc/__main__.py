"""The front door: ``python3 -m calc COMMAND``, from a clone, on a bare CPython.

This file must also be readable by a Python that is too old for the rest, so that it can say so.
"""

import sys

OLDEST = (3, 11)
NEWEST = (3, 14)


def main(arguments: "list[str]", version: "tuple[int, int]") -> int:
    """Run one command and return its exit code: 0 done, 1 failed, 2 bad input, 3 machine not ready."""
    if not OLDEST <= version <= NEWEST:
        sys.stderr.write(
            "The handbook runs on Python {}.{} to {}.{}, and this is {}.{}: "
            "run the command with one of those, for example `python{}.{} -m calc`.\n".format(
                *OLDEST, *NEWEST, *version, *OLDEST
            )
        )
        return 3
    from calc.desk import commands

    return commands.run(arguments)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:], (sys.version_info[0], sys.version_info[1])))
    except KeyboardInterrupt:
        # Ended before the command itself was reached, which ends quietly too.
        sys.exit(130)
