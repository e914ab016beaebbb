"""What a terminal and a program get: nothing that a terminal would obey, what is wrong apart from the answer, no traceback."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from typing import Any

import pytest

from calc import terminal
from calc.rig.file import rig_to_data, wren
from calc.rig.rig import Rig
from calc.tables import DATA

ESCAPE = "\x1b[2J\x9b31m\x7f\u202e\ud800\r"
OBEYED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202e\ud800-\udfff]")
HUGE = 10**400


def asked(name: str, words: list[str], given: str = "") -> tuple[int, str]:
    out = io.StringIO()
    return terminal.command(name, words, io.StringIO(given), out), out.getvalue()


def kept(folder: Path, data: Any, name: str = "rig.json") -> str:
    place = folder / name
    place.write_text(json.dumps(data), encoding="utf-8")
    return str(place)


def blank(**more: Any) -> dict[str, Any]:
    return {**rig_to_data(Rig()), **more}


def test_what_a_terminal_would_obey_is_printed_as_its_number(tmp_path: Path) -> None:
    rig = kept(tmp_path, blank(name=f"Wren{ESCAPE}", load_cases=[{"name": "a", "label": f"Label{ESCAPE}"}]))
    code, text = asked("choose", [rig])
    assert code == 0
    assert "Wren" in text
    assert "\\x1b[2J" in text
    assert OBEYED.search(text) is None
    code, text = asked("choose", [rig, "--json"])
    assert code == 0
    assert OBEYED.search(text) is None
    assert json.loads(text)["rig"] == f"Wren{ESCAPE}"


def test_a_quote_prints_no_such_character_either(tmp_path: Path) -> None:
    data = json.loads((DATA / "rigs" / "quote.json").read_text("utf-8"))
    code, text = asked("quote", [kept(tmp_path, {**data, "name": ESCAPE, "note": ESCAPE})])
    assert code == 0
    assert OBEYED.search(text) is None


def test_what_is_wrong_never_stands_in_the_file_of_an_answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, text = asked("sheet", [kept(tmp_path, blank()), "--csv"])
    assert (code, text) == (2, "")
    assert "There is no build sheet yet" in capsys.readouterr().err
    code, text = asked("sheet", [kept(tmp_path, blank()), "--json"])
    assert code == 2
    assert "There is no build sheet yet" in json.loads(text)["errors"][0]["message"]


def test_what_a_rig_file_has_beyond_what_is_known_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = blank(
        values={"wheel_base": {"value": 2.8}, "wheelbase": {"value": 2.8, "unit": "m"}},
        load_case=[],
        doubts={"front.lien": 0.1},
        travel_pairs={"middle": []},
    )
    code, text = asked("choose", [kept(tmp_path, data), "--json"])
    assert code == 0
    assert json.loads(text)
    told = capsys.readouterr().err
    for name in ("wheel_base", "load_case", "front.lien", "middle"):
        assert f"“{name}”" in told
    assert "“unit” in value “wheelbase”" in told
    assert asked("choose", [kept(tmp_path, blank())])[0] == 0
    assert capsys.readouterr().err == ""


def test_what_is_not_known_is_told_inside_load_cases_and_measurements_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = blank(
        load_cases=[{"name": "crew", "high": 1.0, "items": [{"mass": 80.0, "mas": 8.0}]}],
        proofs=[{"date": "2026-05-02", "states": [{"corners": {"left_front": {"after_lift": 0.6}, "front": {}}}]}],
    )
    assert asked("choose", [kept(tmp_path, data)])[0] == 0
    told = capsys.readouterr().err
    for name in ("“high” in load case 1", "“mas” in load case 1, item 1", "“front” in measurement 1, state 1, corners"):
        assert name in told
    assert "“after_lift” in measurement 1, state 1, corners, left front" in told


def test_wrens_own_file_holds_nothing_unknown(capsys: pytest.CaptureFixture[str]) -> None:
    assert wren().ignored == ()
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("number", [HUGE, -HUGE, 1e300], ids=["huge", "minus huge", "1e300"])
@pytest.mark.parametrize(
    "change",
    [
        lambda rig, number: rig["values"].update({"wheelbase": {"value": number}}),
        lambda rig, number: rig["values"].update({"wheelbase": {"value": 2.8, "plus_minus": abs(number)}}),
        lambda rig, number: rig["doubts"].update({"wheelbase": abs(number)}),
        lambda rig, number: rig["load_cases"].append({"name": "a", "items": [{"mass": number}]}),
        lambda rig, number: rig["travel_pairs"].update({"front": [{"wheel_height": number, "damper_length": 0.6}]}),
        lambda rig, number: rig.update(proofs=[{"date": "2026-05-02", "reading_doubt": number}]),
    ],
)
def test_a_number_that_no_rig_can_have_is_a_sentence(
    change: Any, number: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = blank(doubts={})
    change(data, number)
    assert asked("choose", [kept(tmp_path, data)])[0] == 2
    told = capsys.readouterr().err
    assert told.rstrip().endswith(".")
    assert "Traceback" not in told


def test_such_numbers_are_a_sentence_in_every_other_file_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    quote = {"format": "spring and damper quote", "version": 1, "values": {"front.axle_mass": HUGE}}
    assert asked("quote", [kept(tmp_path, quote)])[0] == 2
    measured = {"format": "spring and damper measurements", "version": 1, "proofs": [{"reading_doubt": HUGE}]}
    assert asked("prove", [kept(tmp_path, blank()), kept(tmp_path, measured, "m.json")])[0] == 2
    code, text = asked("step", ["unsprung", "--json"], json.dumps({"axle_mass": HUGE, "unsprung_mass": 100}))
    assert code == 2
    assert json.loads(text)["errors"][0]["field"] == "axle_mass"
    assert "Traceback" not in capsys.readouterr().err
