"""Drawings: letters match the list beside them, text stays apart and inside, results are to scale."""

from __future__ import annotations

import itertools
import math
import re
from importlib import import_module
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from calc.chart.lettering import text_width
from calc.chart.placing import Box, text_box
from calc.desk.measuring import draw
from calc.drawing.axle_plan import Axle, PlanError, axle_plan
from calc.drawing.build import build
from calc.errors import UnknownNameError

# The numbered list beside each drawing on a step's page, which the style sheet letters.
BESIDE = re.compile(r"^```calc drawing ?(?P<name>\w*)\n```\n\n<div markdown>\n\n(?P<list>.*?)^</div>", re.M | re.S)


def listed() -> dict[str, int]:
    """How many things are to be measured in each drawing, by what stands beside it."""
    found: dict[str, int] = {}
    for page in sorted((Path(__file__).parents[2] / "docs" / "steps").glob("*.md")):
        for block in BESIDE.finditer(page.read_text("utf-8")):
            many = len(re.findall(r"^\d+\. ", block["list"], re.M))
            assert found.setdefault(block["name"] or page.stem, many) == many, page
    return found


LETTERS = listed()
CLASSES = {"part", "wire", "core", "back", "dim", "hair", "guide", "t", "t2", "tb", "ta", "solid", "mass", "halo"}
CLASSES |= {"curve", "dot"}


def plan(**changes) -> str:
    given = {
        "key": "rig",
        "title": "Plan view to scale",
        "description": "Loads at the tires and center of gravity.",
        "wheelbase": 2.85,
        "front": Axle(1.64, "1,516", "1,507", 1.0),
        "rear": Axle(1.66, "1,343", "1,409", 1.02),
        "center_behind_front": 1.359,
        "center_left": -0.008,
        "wheelbase_text": "112.2\u00a0in",
        "center_text": "53.5\u00a0in",
        "side_text": "0.3\u00a0in right",
        "scale_length": 1.016,
        "scale_text": "40\u00a0in",
    }
    return axle_plan(**(given | changes))


def bench(**changes) -> str:
    given = {
        "key": "front",
        "title": "Front coil-over",
        "description": "As set on the bench.",
        "preload": "1.25\u00a0in",
        "ring_gap": "4.86\u00a0in",
        "tender": "250 lb/in, 10 in",
        "main": "450 lb/in, 14 in",
    }
    return build(**(given | changes))


PICTURES = {name: draw(name) for name in LETTERS} | {
    "plan": plan(),
    "plan in newtons": plan(
        front=Axle(1.64, "6,744\u00a0N", "6,703\u00a0N", 1.0), rear=Axle(1.66, "5,974\u00a0N", "6,267\u00a0N", 1.02)
    ),
    "plan with its weight far forward": plan(center_behind_front=0.2, center_left=0.1),
    "plan with its weight far back": plan(center_behind_front=2.75, center_left=-0.2),
    "short plan": plan(wheelbase=1.9, center_behind_front=0.9),
    "long plan": plan(wheelbase=4.0, center_behind_front=2.2),
    "bench": bench(),
    "bench in metric": bench(
        preload="31.8\u00a0mm", ring_gap="123.4\u00a0mm", tender="43.78 N/mm, 254.0 mm", main="78.81 N/mm, 355.6 mm"
    ),
    "bench, one spring": bench(tender=None, ring_gap=None),
    "bench, no ring": bench(ring_gap=None),
}


def words(element: ET.Element) -> str:
    return "".join(element.itertext())


def labels(picture: str) -> list[tuple[str, Box]]:
    """Each text with its box; a letter with its caption is two runs of different type in one line."""
    found = []
    for element in ET.fromstring(picture).iter("text"):
        style = element.get("class", "").split()[0]
        x, y, anchor = float(element.get("x", "")), float(element.get("y", "")), element.get("text-anchor", "start")
        content = words(element)
        box = text_box(x, y, content, style, anchor)
        runs = list(element.iter("tspan"))
        if runs:
            width = sum(text_width(words(run), "ta") + text_width(run.tail or "", style) for run in runs)
            left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
            box = Box(left, box.top, left + width, box.bottom)
        found.append((content, box))
    return found


def letters(picture: str) -> set[str]:
    root = ET.fromstring(picture)
    runs = [element for element in root.iter() if element.tag in ("text", "tspan")]
    bold = [run for run in runs if run.get("class", "").split()[:1] == ["ta"]]
    return {words(run) for run in bold}


@pytest.mark.parametrize("name", LETTERS)
def test_letters_are_those_of_the_list(name: str) -> None:
    expected = {chr(ord("A") + index) for index in range(LETTERS[name])}
    assert letters(PICTURES[name]) == expected


@pytest.mark.parametrize("name", LETTERS)
def test_the_description_explains_every_letter(name: str) -> None:
    description = ET.fromstring(PICTURES[name]).find("desc")
    assert description is not None
    for index in range(LETTERS[name]):
        assert re.search(rf"\b{chr(ord('A') + index)}\b", description.text or "")


@pytest.mark.parametrize("name", PICTURES)
def test_no_text_touches_another_or_leaves_the_picture(name: str) -> None:
    root = ET.fromstring(PICTURES[name])
    _, _, width, height = (float(part) for part in root.get("viewBox", "").split())
    assert width <= 350
    found = labels(PICTURES[name])
    for content, box in found:
        assert box.inside(Box(0, 0, width, height)), content
    for (first, one), (second, other) in itertools.combinations(found, 2):
        shrunk = Box(one.left, one.top + 1, one.right, one.bottom - 1)
        assert not shrunk.overlaps(other), (first, second)


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_names_itself_and_has_only_classes(name: str) -> None:
    picture = PICTURES[name]
    root = ET.fromstring(picture)
    assert root.get("role") == "img"
    ids = (root.get("aria-labelledby") or "").split()
    elements = {element.get("id"): element.text for element in root.iter() if element.get("id")}
    assert len(ids) == 2
    assert all(elements[one] for one in ids)
    used = {one for element in root.iter() for one in element.get("class", "").split()}
    assert used <= CLASSES
    assert not re.search(r"#[0-9a-f]{3}|rgb|style=|stroke=|fill=|nan|inf\b", picture)


@pytest.mark.parametrize("name", PICTURES)
def test_strokes_stay_inside_the_picture(name: str) -> None:
    root = ET.fromstring(PICTURES[name])
    _, _, width, height = (float(part) for part in root.get("viewBox", "").split())
    for element in root.iter("line"):
        for x, y in (("x1", "y1"), ("x2", "y2")):
            assert 0 <= float(element.get(x, "")) <= width
            assert -40 <= float(element.get(y, "")) <= height


def test_every_drawing_has_its_own_ids() -> None:
    ids = [found for name in LETTERS for found in re.findall(r' id="([^"]+)"', PICTURES[name])]
    assert len(ids) == len(set(ids)) == 2 * len(LETTERS)


def test_drawings_are_the_same_every_time() -> None:
    assert {name: draw(name) for name in LETTERS} == {name: PICTURES[name] for name in LETTERS}
    assert plan() == plan()


def test_an_unknown_drawing_is_refused() -> None:
    with pytest.raises(UnknownNameError, match=r"^There is no drawing named “corner”\.$"):
        draw("corner")


def test_every_drawing_stands_on_a_page() -> None:
    folder = Path(import_module("calc.desk.measuring").__file__ or "").parent
    assert {file.stem for file in folder.glob("*.py")} == {*LETTERS, "__init__", "corner"}


def test_the_plan_is_to_scale() -> None:
    root = ET.fromstring(plan())
    lines = [
        tuple(float(element.get(name, "")) for name in ("x1", "y1", "x2", "y2"))
        for element in root.iter("line")
        if element.get("class") == "part"
    ]
    level = [line for line in lines if line[1] == line[3]]
    front, rear, bar = level[:3]
    # Pixels of a meter, from the scale bar; everything else must agree with it.
    scale = (bar[2] - bar[0]) / 1.016
    assert front[2] - front[0] == pytest.approx(1.64 * scale, abs=0.2)
    assert rear[2] - rear[0] == pytest.approx(1.66 * scale, abs=0.2)
    assert rear[1] - front[1] == pytest.approx(2.85 * scale, abs=0.2)
    (dot,) = (element for element in root.iter("circle") if element.get("class") == "dot")
    assert float(dot.get("cy", "")) - front[1] == pytest.approx(1.359 * scale, abs=0.2)
    # Right of center is right in the picture.
    assert float(dot.get("cx", "")) - 175 == pytest.approx(0.008 * scale, abs=0.1)
    mounts = [float(element.get("cx", "")) for element in root.iter("circle") if element.get("class") == "solid"]
    assert max(mounts[:2]) - min(mounts[:2]) == pytest.approx(1.0 * scale, abs=0.2)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"wheelbase": math.nan}, "Wheelbase is nan; a plan to scale needs a length above 0 m."),
        ({"wheelbase": 0.0}, "Wheelbase is 0.0; a plan to scale needs a length above 0 m."),
        (
            {"rear": Axle(-1.6, "1", "2")},
            "Rear track is -1.6; a plan to scale needs a length above 0 m.",
        ),
        (
            {"center_behind_front": 2.9},
            "The center of gravity lies 2.9 m behind the front axle; it must lie between the axles, 0 to 2.85 m.",
        ),
        (
            {"center_left": math.inf},
            "The center of gravity lies inf m left of center; that is outside of the tires.",
        ),
    ],
)
def test_a_plan_that_cannot_be_drawn_is_refused(changes: dict[str, object], message: str) -> None:
    with pytest.raises(PlanError, match=f"^{re.escape(message)}$"):
        plan(**changes)


def test_the_plan_still_draws_at_its_bounds() -> None:
    for behind in (0.0, 2.85):
        assert "center of gravity" in plan(center_behind_front=behind, center_left=0.83)


def test_the_bench_drawing_shows_only_what_is_there() -> None:
    alone = bench(tender=None, ring_gap=None)
    assert "stop ring" not in alone
    assert "divider" not in alone
    assert "ring gap" not in alone
    assert "spring" in alone
    both = bench()
    for word in ("1.25", "4.86", "tender", "main", "divider", "stop ring"):
        assert word in both


def test_text_given_to_a_drawing_is_escaped() -> None:
    picture = bench(title="<b>", main="<i>&", tender='"x"')
    assert "<b>" not in picture
    assert "<i>" not in picture
    ET.fromstring(picture)
