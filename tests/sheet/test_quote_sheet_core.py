"""The quote page as text: fifteen entries at most, every entry's message beside it, and nothing a reader types as markup."""

from __future__ import annotations

import html
import json
import re

import pytest

from calc import bridge
from calc.quantity import METRIC, SHOP
from calc.quote.file import example, quote_from, read_quote, write_quote
from calc.quote.lines import judge
from calc.sheet.quote import MOST_ENTRIES, answer, declared, quote

HOSTILE = "<img src=x onerror=alert(1)>\"'&"
EXAMPLE = {
    name: SHOP.entry(example().values()[name], item.quantity, name)
    for name, item in declared().items()
    if name in example().values()
}


def text_of(markup: str) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", markup))).replace("\u00a0", " ")


def asked(fields, units=None, do="quote"):
    request = {"do": do, "fields": fields, "typed": list(fields), "units": units or {"system": "shop", "fields": {}}}
    return json.loads(bridge.call(json.dumps(request)))


def test_the_page_has_at_most_fifteen_entries_and_each_has_its_place():
    page = quote()
    names = re.findall(r'<input [^>]*name="([^"]+)"', page)
    assert len(names) == len(set(names)) <= MOST_ENTRIES == 15
    assert names == list(declared())
    assert page.count("<select") == page.count("<textarea") == 0
    for name in names:
        assert page.count(f'data-unit-of="{name}"') == page.count(f'data-error-of="{name}"') == 1
        assert re.search(rf'<label for="quote-{name.replace(".", "-")}"', page)


def test_the_page_comes_with_the_example_and_its_whole_answer():
    page = quote()
    assert page.startswith('<div class="calc"><calc-form data-do="quote" data-clears-example>')
    assert "example</span> A quote for Wren, invented" in page
    assert "14 entries" in page
    for line in judge(example()):
        assert html.escape(line.title) in page
        assert html.escape(line.text) in page
    assert "Copy the seven questions" in page
    assert "Nothing you type leaves this device." in page


def test_the_page_says_what_a_promised_rise_comes_to_with_another_damper():
    told = text_of(quote())
    assert "add the rise along the damper and the old damper’s collapsed length, and subtract the new damper’s" in told
    assert "A set with a helper spring on top has no entry here" in told


def test_the_live_answer_to_the_example_is_what_was_built():
    live = asked(EXAMPLE)
    page = quote()
    for region in ("results", "findings", "questions", "count"):
        assert live["regions"][region] in page
    assert live["regions"]["whose"] == "Your quote"
    assert live["problem"] is None


def test_a_blank_form_says_what_to_type():
    live = asked({})
    assert live["regions"]["count"] == "No entries"
    assert live["regions"]["results"] == ""
    assert text_of(live["regions"]["findings"]).strip() == (
        "Nothing is entered yet. Type the axle weights, and the main rate and the damper stroke of each axle: "
        "the lines come as you type."
    )
    assert text_of(live["regions"]["questions"]).strip() == "No questions yet."
    assert all(item["error"] is None for item in live["fields"].values())


def test_one_axle_alone_is_answered_and_the_other_is_told_as_empty():
    live = asked({"rear.axle_mass": "2752", "rear.main_rate": "400", "rear.damper_stroke": "14"})
    told = text_of(live["regions"]["findings"])
    assert "Rear: carries the rig" in told
    assert "Front: nothing is entered yet." in told
    assert "Front: carries" not in told


def test_an_entry_that_cannot_be_read_has_its_message_and_the_rest_is_answered():
    live = asked({**EXAMPLE, "front.main_rate": "stiff"})
    error = live["fields"]["front.main_rate"]["error"]
    assert error == {
        "problem": "Main rate: “stiff” is not a number. Enter a number such as 3.5 or 3 1/2.",
        "allowed": "Allowed: from 5.7\u00a0lb/in to 5,710.1\u00a0lb/in.",
        "typical": "Typical: 450.0\u00a0lb/in.",
    }
    told = text_of(live["regions"]["findings"])
    assert "Not checked: main rate cannot be read" in told
    assert "Waits for" not in told
    assert "Rear: bump travel left, full" in told
    assert [name for name, item in live["fields"].items() if item["error"]] == ["front.main_rate"]
    assert re.search(r"<b>\d+</b> waits?</li>", live["regions"]["results"])


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("6,125 kg", "Front axle: “6,125 kg” can be read in two ways. Enter 6125 or 6.125."),
        ("-3", "Front axle must be above 0 lb (got −3 lb)."),
        ("3023 psi", "Front axle: “psi” is not a unit of this value. Allowed: lb, kg, t, slug."),
        (HOSTILE, f"Front axle: “{' '.join(HOSTILE.split())}” is not a number. Enter a number such as 3.5 or 3 1/2."),
    ],
)
def test_what_is_typed_wrong_is_told_whole(typed, problem):
    live = asked({**EXAMPLE, "front.axle_mass": typed})
    assert live["fields"]["front.axle_mass"]["error"]["problem"].replace("\u00a0", " ") == problem


def test_a_contradiction_is_told_beside_its_entry():
    live = asked({**EXAMPLE, "rear.axle_mass_full": "2000"})
    assert live["fields"]["rear.axle_mass_full"]["error"]["problem"].replace("\u00a0", " ") == (
        "The full weight, 2,000 lb, is less than the weight as weighed, 2,752 lb."
    )
    assert "Rear: carries the rig" in text_of(live["regions"]["findings"])


def test_rubbish_everywhere_is_only_ever_text():
    live = asked(dict.fromkeys(declared(), HOSTILE))
    painted = "".join(live["regions"].values())
    assert "<img" not in painted
    assert live["problem"] is None
    assert all(item["error"] for item in live["fields"].values())
    assert not any(word in painted for word in ("NaN", "Traceback", "None"))


def test_units_convert_and_change_no_verdict():
    to = {"system": "metric", "fields": {}}
    request = {"do": "convert", "of": "quote", "fields": EXAMPLE, "units": {"system": "shop", "fields": {}}, "to": to}
    converted = json.loads(bridge.call(json.dumps(request)))
    assert converted["units"]["front.main_rate"] == "N/mm"
    assert converted["values"]["front.damper_stroke"] == "304.8"
    shop, metric = asked(EXAMPLE), asked(converted["values"], to)
    verdicts = [re.findall(r'class="verdict">.*?</p>', one["regions"]["findings"]) for one in (shop, metric)]
    assert verdicts[0] == verdicts[1]
    assert metric["fields"]["front.main_rate"]["unit"] == "N/mm"
    assert " mm " in text_of(metric["regions"]["findings"])
    assert not re.search(r"\d in\b", text_of(metric["regions"]["findings"]))


def test_a_unit_may_be_typed():
    live = answer({**EXAMPLE, "front.main_rate": "78.8 N/mm"}, frozenset({"front.main_rate"}), METRIC)
    assert live["fields"]["front.main_rate"]["error"] is None


def test_the_copied_text_is_the_numbered_list():
    region = asked(EXAMPLE)["regions"]["questions"]
    copied = html.unescape(re.search(r'data-copy="([^"]*)"', region)[1]).split("\n")
    listed = [html.unescape(item) for item in re.findall(r"<li>(.*?)</li>", region)]
    assert copied == [f"{number}. {item}" for number, item in enumerate(listed, 1)]
    assert len(copied) == 7


def test_every_line_carries_mark_word_and_sentence():
    findings = asked(EXAMPLE)["regions"]["findings"]
    sections = re.findall(r"<section>(.*?)</section>", findings)
    assert len(sections) == len(judge(example()))
    for section in sections:
        state = re.search(r'href="#hb-(\w+)"', section)[1]
        words = text_of(section)
        word = {"holds": "Holds in every", "unchecked": "Depends on", "fails": "Fails in every"}[state]
        assert word in words


def test_a_saved_quote_is_read_back_as_the_same_entries():
    request = {"do": "quote", "fields": EXAMPLE, "typed": list(EXAMPLE), "units": {"system": "shop", "fields": {}}}
    saved = json.loads(bridge.call(json.dumps({**request, "action": "save"})))["save"]
    assert (saved["name"], saved["kind"]) == ("quote.json", "application/json")
    assert judge(read_quote(saved["text"])) == judge(example())
    opened = json.loads(bridge.call(json.dumps({**request, "fields": {}, "file": saved["text"]})))
    assert opened["values"] == EXAMPLE
    assert opened["note"] == ""


def test_a_quote_file_that_says_more_than_the_page_asks_is_opened_and_that_is_said():
    more = write_quote(quote_from({"front.main_rate": 7e4, "front.ring_gap": 0.1, "rear.ring_gap": 0.1}))
    request = {"do": "quote", "fields": {}, "typed": [], "file": more}
    opened = json.loads(bridge.call(json.dumps(request)))
    assert list(opened["values"]) == ["front.main_rate"]
    assert opened["note"].startswith("This page has no entry for what the file says of ")
    assert "is not a quote file" in json.loads(bridge.call(json.dumps({**request, "file": "{}"})))["problem"]
