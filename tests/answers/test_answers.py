"""The kept answers are those that the code gives now: a change of an answer is a change of this file, to be read."""

from calc.desk import answers


def test_the_kept_answers_are_todays() -> None:
    kept = answers.KEPT.read_text(encoding="utf-8")
    assert kept == answers.text(), "run `python3 -m calc answers --write`, and read the difference"


def test_no_line_is_wider_than_a_terminal_or_holds_what_is_no_number() -> None:
    for line in answers.text().splitlines():
        assert len(line) <= 80, line
        assert "nan" not in line.split()
        assert "{" not in line
