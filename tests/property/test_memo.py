"""An answer depends on what is asked and on nothing that was asked before: every door, warm and cold, byte for byte."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from calc import bridge, memo, terminal
from calc.quantity import Choice, Quantity
from calc.rig.entries import keys
from calc.rig.file import rig_from_data, rig_to_data, wren
from calc.sheet.rig import lists
from calc.tables import decode, read_spring_list
from tests.conftest import long_run

ROOT = Path(__file__).parents[2]
Rig = dict[str, Any]


def base() -> Rig:
    """Wren with something of everything that a rig can hold."""
    rig = rig_to_data(wren())
    rig["values"]["front.tire_rate"]["plus_minus"] = 20e3
    rig["values"]["rank_level"] = {"value": 1.0, "origin": "measured"}
    rig["changes"] = [{"name": "Winch", "mass": 40.0, "carried": "sprung", "behind_front_axle": -0.4}]
    rig["doubts"] = {"rear.tire_rate": 15e3}
    rig["proofs"] = json.loads((ROOT / "data" / "rigs" / "wren-measured.json").read_text(encoding="utf-8"))["proofs"][
        :1
    ]
    # Two loads in one place: what the one loses the other can gain, and no sum of theirs tells.
    place = {"carried": "sprung", "behind_front_axle": 2.0, "left_of_center": 0.0}
    rig["load_cases"][1]["items"] += [{"name": "Box", "mass": 30.0, **place}, {"name": "Crate", "mass": 50.0, **place}]
    return json.loads(json.dumps(rig))


def changes() -> Iterator[tuple[str, Callable[[Rig], None]]]:
    """Every kind of thing that a rig holds, changed by itself."""

    def at(*path: Any, value: Any) -> Callable[[Rig], None]:
        def change(rig: Rig) -> None:
            inner = rig
            for name in path[:-1]:
                inner = inner[name]
            inner[path[-1]] = value

        return change

    rig = base()
    items = ("load_cases", 1, "items")

    def share_out(rig: Rig) -> None:
        rig["load_cases"][1]["items"][-2]["mass"], rig["load_cases"][1]["items"][-1]["mass"] = 40.0, 40.0

    yield "two loads share out their weight", share_out
    yield "the plus-minus of the other axle's track", at("values", "rear.track", "plus_minus", value=0.05)
    yield "the label of a load", at(*items, 2, "name", value="Trunk")
    yield "the place of a load", at(*items, 0, "behind_front_axle", value=1.5)
    yield "the side of a load", at(*items, 0, "left_of_center", value=0.3)
    yield "what carries a load", at(*items, 1, "carried", value="rear axle")
    yield "the label of a load case", at("load_cases", 1, "label", value="Crew, and <tools>")
    yield "the height of a load case", at("load_cases", 2, "center_of_gravity_height", value=0.9)
    yield "a load case less", lambda rig: rig["load_cases"].pop()
    pairs = [{"wheel_height": 0.40 + 0.05 * n, "damper_length": 0.55 + 0.047 * n} for n in range(6)]
    yield "travel pairs", at("travel_pairs", "front", value=pairs)
    yield "a change", at("changes", 0, "mass", value=41.0)
    yield "a doubt", at("doubts", "rear.tire_rate", value=30e3)
    yield "a proof", at("proofs", 0, "note", value="Read again")
    yield "no proof", lambda rig: rig.pop("proofs")
    yield "the name", at("name", value="Wren, the second")
    yield "the note", at("note", value="Another note")
    yield "the order of the values", lambda rig: rig.update(values=dict(reversed(rig["values"].items())))
    yield "a zero below zero", at("values", "front.unsprung_left_of_center", "value", value=-0.0)
    for key, entry in rig["values"].items():
        declared = keys()[key].is_a
        if isinstance(declared, Quantity):
            near = next(
                value
                for share in (1.001, 0.999, 1.02)
                if declared.low <= (value := entry["value"] * share + 1e-6) <= declared.high
            )
            yield f"{key}, value", at("values", key, "value", value=near)
            yield f"{key}, plus-minus", at("values", key, "plus_minus", value=abs(entry["value"]) * 0.021 + 1e-5)
        elif isinstance(declared, Choice):
            other = next(option.value for option in declared.options if option.value != entry["value"])
            yield f"{key}, value", at("values", key, "value", value=other)
        elif key == "reference_case":
            yield f"{key}, value", at("values", key, "value", value="full")
        else:
            yield f"{key}, value", at("values", key, "value", value=f"{entry['value']} more")
        yield f"{key}, origin", at("values", key, "origin", value="measured")
        yield f"{key}, left out", lambda rig, key=key: rig["values"].pop(key)


CHANGES = list(changes())


@pytest.fixture
def doors(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Callable[[Rig], str]]]:
    """Every door that answers for a rig, on a short list, so that a search takes no time."""
    rows = (ROOT / "data" / "assortments" / "springs.csv").read_text(encoding="utf-8").splitlines()
    chosen = [row for row in rows[1:] if row.split(",")[0] in _working()]
    (tmp_path / "springs.csv").write_text("\n".join([rows[0], *chosen]) + "\n", encoding="utf-8")
    springs = read_spring_list(decode((tmp_path / "springs.csv").read_bytes())).springs
    monkeypatch.setattr(lists, "handbook_springs", lambda: springs)
    monkeypatch.setitem(vars(lists.OWN_SPRINGS), "handbook", lambda: springs)
    dampers = (ROOT / "data" / "assortments" / "dampers.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "dampers.csv").write_text("\n".join(dampers[:3]) + "\n", encoding="utf-8")
    (tmp_path / "base.json").write_text(json.dumps(base()), encoding="utf-8")

    def told(name: str, *words: str) -> Callable[[Rig], str]:
        def ask(rig: Rig) -> str:
            path = tmp_path / "rig.json"
            path.write_text(json.dumps(rig), encoding="utf-8")
            out = io.StringIO()
            given = [name, str(path), *(word.format(here=tmp_path) for word in words)]
            code = terminal.command(name, given[1:], io.StringIO(), out)
            return f"{code}\n{out.getvalue()}"

        return ask

    def page(do: str, **more: Any) -> Callable[[Rig], str]:
        return lambda rig: bridge.call(json.dumps({"do": do, "rig": rig, "fields": {}, "typed": [], **more}))

    own = ("--springs", "{here}/springs.csv")
    metric = {"units": {"system": "metric", "fields": {"wheelbase": "in"}}}
    memo.forget()
    yield {
        "page": page("rig"),
        "choose": told("choose", *own, "--json"),
        "page, metric": page("rig", **metric),
        "prove page": page("prove", proof=0, open=True),
        "sheet": told("sheet", *own, "--date", "2026-05-02"),
        "prove": told("prove", str(ROOT / "data" / "rigs" / "wren-measured.json"), *own),
        "compare": told("compare", "{here}/base.json", *own, "--json"),
        "prove page, metric": page("prove", proof=0, open=True, **metric),
        "dampers": told("choose", *own, "--dampers", "{here}/dampers.csv", "--json"),
    }
    memo.forget()


def _working() -> set[str]:
    """Springs of which some sets work at both ends."""
    from calc.order.order import order

    made = order(wren(), lists.handbook_springs())
    return {
        made.springs.part[index]
        for item in made.axles
        if item.choice is not None
        for one in item.choice.ranked[:3]
        for index in one.springs()
    }


def test_whatever_was_asked_before_every_door_answers_alike(doors: dict[str, Callable[[Rig], str]]) -> None:
    """A rig that differs in one thing is asked first; then the base must be answered as if nothing had been asked."""
    whole = long_run(0, 1)
    names = list(doors)
    cold: dict[str, str] = {}
    for name, ask in doors.items():
        memo.forget()
        cold[name] = ask(base())
        assert cold[name] == ask(base()), f"{name}: asked twice"
    # Each kind of thing at some door, and all of them at every door in the long run.
    first = [place for place, (what, _) in enumerate(CHANGES) if "," not in what or place < 18]
    some = [*first, *range(len(first), len(CHANGES), 71)]
    for turn, place in enumerate(range(len(CHANGES)) if whole else some):
        what, change = CHANGES[place]
        rig = deepcopy(base())
        change(rig)
        rig_from_data(rig)
        fixed = ("choose", "page") if place < 2 else ()
        for name in names if whole else fixed or (names[turn % len(names)],):
            memo.forget()
            doors[name](rig)
            assert doors[name](base()) == cold[name], f"{name}: after {what}"


def test_other_units_before_change_nothing(doors: dict[str, Callable[[Rig], str]]) -> None:
    for one, other in (("page", "page, metric"), ("prove page", "prove page, metric")):
        memo.forget()
        cold = doors[one](base())
        memo.forget()
        doors[other](base())
        assert doors[one](base()) == cold


def test_a_quote_is_answered_alike_after_another(tmp_path: Path) -> None:
    quote = json.loads((ROOT / "data" / "rigs" / "quote.json").read_text(encoding="utf-8"))

    def ask() -> str:
        out = io.StringIO()
        (tmp_path / "quote.json").write_text(json.dumps(quote), encoding="utf-8")
        assert terminal.command("quote", [str(tmp_path / "quote.json"), "--json"], io.StringIO(), out) == 0
        return out.getvalue()

    memo.forget()
    cold = ask()
    quote["values"]["front.axle_mass"] = "3050 lb"
    other = ask()
    quote["values"]["front.axle_mass"] = "3023 lb"
    assert other != cold
    assert ask() == cold


def test_what_is_kept_is_told_apart_by_everything_that_was_read() -> None:
    kept: memo.Memo[int] = memo.Memo(room=2)
    made: list[int] = []

    def make() -> int:
        made.append(len(made))
        return len(made)

    assert [kept.of("a", 1.0, make=make), kept.of("a", 1.0, make=make), kept.of("a", 2.0, make=make)] == [1, 1, 2]
    # The third drops the oldest: there is room for two.
    assert [kept.of("b", make=make), kept.of("a", 1.0, make=make)] == [3, 4]
    memo.forget()
    assert kept.of("b", make=make) == 5


def test_only_what_was_looked_at_is_compared() -> None:
    kept: memo.Memo[float] = memo.Memo()

    def made(values: dict[str, float]) -> float:
        return kept.looking("front", values=values, make=lambda looked: looked.get("a", 0.0) + looked.get("b", 0.0))

    assert made({"a": 1.0, "c": 5.0}) == 1.0
    assert kept.find("front", values={"a": 1.0, "c": 6.0}) == 1.0
    # What was looked for and not there counts: it may be there now.
    assert kept.find("front", values={"a": 1.0, "b": 2.0}) is None
    assert kept.find("front", values={"a": 1.5}) is None

    every: memo.Memo[float] = memo.Memo()
    assert every.looking(values={"a": 1.0}, make=lambda looked: sum(looked.values())) == 1.0
    assert every.find(values={"a": 1.0, "b": 0.0}) is None
