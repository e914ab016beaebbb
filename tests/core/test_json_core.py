"""JSON of strangers: read as it stands, and a file of brackets alone is refused before it can end the browser's Python."""

import json

import pytest

from calc import bridge
from calc.errors import DataError
from calc.json_text import read_json
from calc.rig.file import read_rig


@pytest.mark.parametrize(
    "value",
    [
        {"a": [1, 2.5, None, True, "text"]},
        "[[[[" * 40,
        {'quoted " and \\': "[" * 200, "b": "\\\\"},
        [[[[[[[[[["ten deep"]]]]]]]]]],
        [{"many": []} for _ in range(200)],
    ],
)
def test_what_is_json_is_read_as_the_standard_library_reads_it(value):
    text = json.dumps(value)
    assert read_json(text) == value
    assert read_json(json.dumps(value, indent=2, ensure_ascii=False)) == value


@pytest.mark.parametrize("text", ["[" * 50 + "]" * 50, '{"a":' * 50 + "1" + "}" * 50])
def test_what_is_just_shallow_enough_is_read(text):
    assert read_json(text) == json.loads(text)


@pytest.mark.parametrize("text", ["[" * 51 + "]" * 51, "[" * 100_000, '{"a":' * 20_000, '["\\"]", ' + "[" * 60])
def test_what_nests_deeper_is_refused(text):
    with pytest.raises(ValueError, match=r"^The JSON nests too deeply\.$"):
        read_json(text)


@pytest.mark.parametrize("text", ["", "{", "]", '"open', "[1,]", "nothing"])
def test_what_is_no_json_is_refused(text):
    with pytest.raises(ValueError, match="line 1"):
        read_json(text)


def test_a_rig_file_and_a_request_of_brackets_are_told_in_a_sentence():
    with pytest.raises(DataError) as caught:
        read_rig("[" * 100_000)
    assert str(caught.value) == "This is not a rig file: it is not JSON, or it is damaged. Nothing was changed."
    assert json.loads(bridge.call("[" * 100_000))["problem"] == "The request is not JSON."
