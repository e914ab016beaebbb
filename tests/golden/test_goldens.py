"""Every door answers as it is kept: what the house is redrawn for shows in no answer, or in a difference that is read."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.golden import kept
from tests.golden.doors import ASKS, Answer, answers
from tests.golden.rigs import NUMBERS, case, names

HOW = (
    "See .handbook/goldens after `python -m tests.golden` on both commits (DEVELOPERS.md, “Goldens”); "
    "if every difference is meant, `python -m tests.golden --write` keeps it."
)


@pytest.mark.parametrize("name", names())
def test_each_answer_is_as_it_is_kept(name: str) -> None:
    folder = kept.KEPT / name
    told: dict[str, list[str]] = {}
    wanted = iter(kept.lines()[name])
    for answer in answers(case(name), kept.asked(name)):
        if kept.is_full(name, answer):
            told[answer.name] = kept.differences(folder / kept.file_of(answer), answer)[:20]
        else:
            before, now = next(wanted, "nothing"), kept.line_of(name, answer)
            told[answer.name] = [] if kept.same_line(before, now) else [f"-{before}", f"+{now}"]
    changed = {door: lines for door, lines in told.items() if lines}
    shown = "\n".join(line for door, lines in changed.items() for line in (f"{door}:", *lines))
    assert not changed, f"{name} is answered otherwise at: {'; '.join(changed)}. {HOW}\n{shown}"
    assert list(wanted) == [], f"{name} has fewer answers than are kept. {HOW}"


def test_nothing_is_kept_that_nobody_asks() -> None:
    assert set(kept.lines()) == set(names())
    for name in kept.IN_FULL:
        shop = {path.name for path in (kept.KEPT / name).iterdir()}
        assert shop == {path.name for path in (kept.KEPT / kept.BLANK).iterdir()}
        assert len(shop) == 19
        assert all(".shop." in file for file in shop)


def test_every_door_is_asked_of_two_rigs_besides_those_in_full() -> None:
    asked = Counter(ask.name for name in names()[2:] for ask in kept.asked(name))
    assert set(asked) == {ask.name for ask in ASKS}
    assert min(asked.values()) >= 2


def test_a_line_tells_a_change_of_a_millionth_and_no_last_bit() -> None:
    data = {"a": [1.5, 0.25, 3e7], "b": {"c": 0.0, "d": "text", "e": 4}}

    def line(**changes: object) -> str:
        return kept.line_of("rig", Answer(door="choose --json", system="shop", data={**data, **changes}))

    last_bits = [1.5 * (1 + 3e-14), 0.25 * (1 - 3e-14), 3e7 * (1 + 3e-14)]
    assert kept.same_line(line(), line(a=last_bits))
    assert kept.same_line(line(), line(b={"c": 1e-13, "d": "text", "e": 4}))
    for other in (
        *({"a": [1.5 * (1 + 2e-6), 0.25, 3e7]}, {"a": [1.5, 0.25, 3e7 * (1 + 2e-6)]}, {"a": [0.25, 1.5, 3e7]}),
        *({"b": {"c": 0.0, "d": "words", "e": 4}}, {"b": {"c": 0.0, "d": "text", "e": 5}}, {"f": None}),
    ):
        assert not kept.same_line(line(), line(**other))


def test_a_difference_of_data_names_its_place() -> None:
    path = kept.KEPT / "wren" / "quote.shop.txt"
    answer = Answer(door="quote", system="shop", text=path.read_text(encoding="utf-8").replace("fails", "holds", 1))
    assert any(line.startswith("-") and "fails" in line for line in kept.differences(path, answer))
    assert list(kept._data_differences({"a": [1.0, 2]}, {"a": [1.1, 2], "b": None}, "")) == [
        ".a[0]: 1.0 is now 1.1",
        ".b: new",
    ]


def test_the_rigs_hold_what_a_rig_can_hold() -> None:
    """Most can be built, the last four are mutated, and among them is one of each kind."""
    rigs = [case(f"rig-{number:02d}").rig for number in NUMBERS]
    assert [rig["name"] for rig in rigs[:16]] == [f"Rig {number}" for number in range(1, 17)]
    entered = Counter(key.split(".")[-1] for rig in rigs[:16] for key in rig["values"])
    for name in ("motion_ratio", "upper_mount_base", "ride_height", "bar_roll_stiffness", "wanted_height_change"):
        assert entered[name] >= 2, name
    assert entered["lean"] < 32
    assert all(sum(bool(rig.get(part)) for rig in rigs[:16]) >= 2 for part in ("proofs", "doubts", "travel_pairs"))
    assert {len(rig["load_cases"]) for rig in rigs[:16]} == {2, 3, 4}
