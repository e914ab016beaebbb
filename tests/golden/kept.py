"""What is kept of the answers: Wren's and the blank rig's in full, in shop units, and a line for each of all others.

A line holds a digest of the text. Of data it holds a digest of everything but its fractions, and one number from all
of them: their logarithmic sizes, each with a weight of its own, added up. Another processor rounds the last bits of a
fraction in another way, which a digest of rounded fractions would tell now and then, and this sum never does; it tells
a fraction that changed by a millionth.
"""

from __future__ import annotations

import difflib
import hashlib
import json
import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.golden.doors import ASKS, HEAVY, LIGHT, SHOP, Answer, Ask, answers, without_drawings
from tests.golden.rigs import BLANK, WREN, Case, case, names

ROOT = Path(__file__).parents[2]
KEPT = Path(__file__).parent / "kept"
LINES = KEPT / "lines.txt"
# Every answer's text in full, for a difference line by line: never committed.
FULL = ROOT / ".handbook" / "goldens"
IN_FULL = (WREN, BLANK)
COMMAND = "python -m tests.golden"
# A fraction this small counts by its size, a larger one by its logarithm.
_SMALL = 1e-3
_CLOSE = 1e-6
_HEAD = """\
A line for each answer that the tests ask and that is not kept in full: rig, door, units, digest, and of data the sum
of its fractions (tests/golden/kept.py). `python -m tests.golden --write` makes it anew; DEVELOPERS.md tells how to
see what changed.
"""


def asked(name: str) -> tuple[Ask, ...]:
    """Return what the tests ask of a rig: everything of those kept in full, one heavy and one light thing of the others.

    So each is asked of two or more rigs. Everything of every rig is what `--long` asks.
    """
    if name in IN_FULL:
        return ASKS
    place = names().index(name)
    return (HEAVY[place % len(HEAVY)], LIGHT[place % len(LIGHT)])


def is_full(name: str, answer: Answer) -> bool:
    """Tell whether an answer is kept as a text to be read, and not as a line."""
    return name in IN_FULL and answer.system == SHOP


def file_of(answer: Answer) -> str:
    """Return the name of the file that an answer is kept in.

    >>> file_of(Answer(door="choose --json", system="shop", data={}))
    'choose-json.shop.json'
    """
    stem = "-".join(answer.door.replace(",", "").replace("--", "").split())
    return f"{stem}.{answer.system}.{'json' if answer.is_data else 'txt'}"


def text_of(answer: Answer) -> str:
    """Return an answer as the text that is read: of data nine figures, one item a line."""
    if not answer.is_data:
        return answer.text
    return json.dumps(_rounded(answer.data), sort_keys=True, ensure_ascii=False, indent=1) + "\n"


def _rounded(data: Any) -> Any:
    if isinstance(data, float):
        return float(f"{data:.9g}") if abs(data) > 1e-10 else 0.0
    if isinstance(data, dict):
        return {key: _rounded(value) for key, value in data.items()}
    return [_rounded(value) for value in data] if isinstance(data, list) else data


def line_of(name: str, answer: Answer) -> str:
    """Return the line that is kept of an answer."""
    if not answer.is_data:
        return f"{name} | {answer.name} | {_digest(answer.text)}"
    fractions: list[float] = []
    bare = json.dumps(_without_fractions(answer.data, fractions), sort_keys=True, ensure_ascii=False)
    return f"{name} | {answer.name} | {_digest(bare)} | {_sum(fractions):.8f}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def _without_fractions(data: Any, found: list[float]) -> Any:
    if isinstance(data, float):
        found.append(data)
        return "a fraction"
    if isinstance(data, dict):
        return {key: _without_fractions(data[key], found) for key in sorted(data)}
    return [_without_fractions(value, found) for value in data] if isinstance(data, list) else data


def _sum(fractions: list[float]) -> float:
    golden = (math.sqrt(5) - 1) / 2
    return math.fsum(
        (1 + place * golden % 1) * math.asinh(value / _SMALL) for place, value in enumerate(fractions, start=1)
    )


def same_line(kept: str, now: str) -> bool:
    """Tell whether two lines say the same: digests to the letter, sums to a millionth."""
    one, other = kept.split(" | "), now.split(" | ")
    if one[:3] != other[:3] or len(one) != len(other):
        return False
    return len(one) == 3 or abs(float(one[3]) - float(other[3])) <= _CLOSE


def lines() -> Mapping[str, list[str]]:
    """Return the kept lines by the rig's name."""
    found: dict[str, list[str]] = {}
    for line in LINES.read_text(encoding="utf-8").split("\n\n")[1].splitlines():
        found.setdefault(line.split(" | ")[0], []).append(line)
    return found


# --- comparing --------------------------------------------------------------------------------------------------------


def differences(kept: Path, answer: Answer) -> list[str]:
    """Return the lines in which an answer differs from its kept file; none where they say the same."""
    if not kept.is_file():
        return [f"{kept.name} is not kept"]
    before = kept.read_text(encoding="utf-8")
    if answer.is_data:
        return list(_data_differences(json.loads(before), answer.data, ""))
    now = without_drawings(answer.text)
    return list(difflib.unified_diff(before.splitlines(), now.splitlines(), "kept", "now", n=1, lineterm=""))


def _data_differences(kept: Any, now: Any, place: str) -> Iterator[str]:
    if isinstance(kept, dict) and isinstance(now, dict):
        for key in sorted({*kept, *now}):
            if key in kept and key in now:
                yield from _data_differences(kept[key], now[key], f"{place}.{key}")
            else:
                yield f"{place}.{key}: {'no longer there' if key in kept else 'new'}"
    elif isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        for index, (before, after) in enumerate(zip(kept, now, strict=True)):
            yield from _data_differences(before, after, f"{place}[{index}]")
    elif isinstance(kept, float) and isinstance(now, float):
        if not math.isclose(kept, now, rel_tol=1e-6, abs_tol=1e-9):
            yield f"{place}: {kept!r} is now {now!r}"
    elif kept != now or type(kept) is not type(now):
        yield f"{place}: {kept!r} is now {now!r}"


# --- writing ----------------------------------------------------------------------------------------------------------


def write() -> None:
    """Keep today's answers, those that the tests ask."""
    told = []
    for name in names():
        found = list(answers(case(name), asked(name)))
        if name in IN_FULL:
            _write_kept(KEPT / name, [answer for answer in found if is_full(name, answer)])
        told += [line_of(name, answer) for answer in found if not is_full(name, answer)]
        write_full(case(name), found)
    LINES.write_text(f"{_HEAD}\n" + "\n".join(told) + "\n", encoding="utf-8")


def _write_kept(folder: Path, found: list[Answer]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for answer in found:
        (folder / file_of(answer)).write_text(without_drawings(text_of(answer)), encoding="utf-8")


def write_full(of: Case, found: list[Answer]) -> None:
    """Write answers in full into the folder that is never committed."""
    folder = FULL / of.name
    folder.mkdir(parents=True, exist_ok=True)
    for answer in found:
        (folder / file_of(answer)).write_text(text_of(answer), encoding="utf-8")
