"""Charts: geometry in pixels worked out here by hand, labels that stay apart, and refusals."""

from __future__ import annotations

import itertools
import math
import re
from xml.etree import ElementTree as ET

import pytest

from calc.chart import Bar, Bars, Chart, ChartError, Curve, Dot, Guide, Panel, Wanted
from calc.chart.lettering import broken, number, text_width, ticks
from calc.chart.page import figure, svg, table
from calc.chart.placing import Box, Event, seat_events, text_box

NAMESPACE = {"xmlns": "http://www.w3.org/2000/svg"}
WIDTHS = (350, 900)


def curve(low: float, high: float, function, parts: int = 40, **more) -> Curve:
    steps = [low + (high - low) * index / parts for index in range(parts + 1)]
    return Curve(tuple((x, function(x)) for x in steps), **more)


def stack() -> Chart:
    force = Curve(((0, 321), (7.56, 1580), (11.5, 3390)), "161 lb/in", at=3)
    frequency = Curve(((0, 1.12), (7.56, 1.10), None, (7.56, 1.70), (11.5, 1.67)))
    return Chart(
        "stack",
        "Force & frequency",
        "Rises, then <steeper>.",
        "Damper travel from full droop",
        (
            Panel(
                "Axial force",
                "lbf",
                (force,),
                (Dot(5.05, 1162, "1,162"), Dot(7.56, 1580, "1,580"), Dot(11.5, 3390, "3,390")),
            ),
            Panel(
                "Ride frequency",
                "Hz",
                (frequency,),
                (Dot(5.05, 1.107, "1.11\u00a0Hz"),),
                (Wanted(1.05, 1.15), Wanted(1.4, 1.9, x=11.1)),
                decimals=2,
            ),
        ),
        x_unit="in",
        guides=(Guide(5.05, "ride, crew"), Guide(7.56, "crossover", accent=True), Guide(11.5, "stop solid")),
        note="Front, crew aboard.",
    )


def crowded() -> Chart:
    return Chart(
        "crowded",
        "Events and dots close together",
        "All at once.",
        "Damper travel",
        (
            Panel(
                "Axial force",
                "N",
                (
                    curve(0, 292, lambda x: 1400 + 28 * x + 0.001 * x**2.6, label="new springs"),
                    curve(0, 292, lambda x: 1100 + 24 * x, label="old springs, sagged", quiet=True),
                ),
                tuple(Dot(120 + 4 * index, 5000 + 90 * index, f"{5000 + 90 * index:,}") for index in range(9)),
                (Wanted(4000, 6500, 60),),
            ),
        ),
        x_unit="mm",
        guides=(
            Guide(285, "stop solid"),
            Guide(128, "ride, bare"),
            Guide(135, "ride, crew"),
            Guide(142, "crossover", accent=True),
            Guide(150, "stop touched"),
            Guide(0, "full droop"),
        ),
        x_decimals=0,
    )


def decaying() -> Chart:
    def motion(ratio: float):
        wave = math.sqrt(1 - ratio * ratio)
        return lambda time: 2 * math.exp(-7 * ratio * time) * math.cos(7 * wave * time)

    curves = tuple(
        curve(0, 3, motion(ratio), 300, label=f"ratio {ratio}", quiet=ratio != 0.35) for ratio in (0.2, 0.35, 0.7)
    )
    return Chart("decay", "Decay", "Dies away.", "Time", (Panel("Height", "in", curves, decimals=2),), x_unit="s")


def tornado() -> Bars:
    return Bars(
        "tornado",
        "What to measure again",
        "The tire rate matters most.",
        "Ride frequency past the crossover",
        1.70,
        (
            Bar("Tire rate", 1.66, 1.73),
            Bar("Sprung mass on this spring", 1.725, 1.675),
            Bar("Gas <pressure>", 1.699, 1.701),
        ),
        x_unit="Hz",
        decimals=3,
    )


PICTURES = {"stack": stack(), "crowded": crowded(), "decay": decaying(), "tornado": tornado()}


def parsed(picture: Chart | Bars, width: int) -> ET.Element:
    return ET.fromstring(svg(picture, width=width))


def boxes(root: ET.Element) -> list[tuple[str, Box]]:
    found = []
    for element in root.iter("text"):
        content = element.text or ""
        style = element.get("class", "").split()[0]
        x, y = float(element.get("x", "")), float(element.get("y", ""))
        found.append((content, text_box(x, y, content, style, element.get("text-anchor", "start"))))
    return found


def path_points(element: ET.Element) -> list[tuple[float, float]]:
    numbers = [float(part) for part in re.findall(r"-?[\d.]+", element.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", PICTURES)
def test_no_label_touches_another_or_leaves_the_picture(name: str, width: int) -> None:
    root = parsed(PICTURES[name], width)
    _, _, right, bottom = (float(part) for part in root.get("viewBox", "").split())
    assert right == width
    labels = boxes(root)
    for content, box in labels:
        assert box.inside(Box(-0.5, 0, right + 0.5, bottom)), content
    for (first, one), (second, other) in itertools.combinations(labels, 2):
        # Lines of one label and neighboring tick values stand close; a pixel is left for the estimate of heights.
        shrunk = Box(one.left, one.top + 1, one.right, one.bottom - 1)
        assert not shrunk.overlaps(other), (first, second)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_names_itself_and_has_no_color(name: str, width: int) -> None:
    picture = PICTURES[name]
    root = parsed(picture, width)
    assert root.get("role") == "img"
    ids = (root.get("aria-labelledby") or "").split()
    elements = {element.get("id"): element.text for element in root.iter() if element.get("id")}
    assert [elements[name] for name in ids] == [picture.title, picture.description]
    text = svg(picture, width=width)
    assert not re.search(r"#[0-9a-f]{3}|rgb|style=|stroke=|fill=", text)
    assert "NaN" not in text
    assert "inf" not in text


def test_a_curve_starts_and_ends_at_the_right_pixels() -> None:
    # A line from (0, 0) to (10, 100): axes end at 0, 10, 0 and 100, so the curve joins two corners of the grid.
    chart = Chart("line", "Line", "Rises.", "Travel", (Panel("Force", "lbf", (Curve(((0, 0), (10, 100))),)),))
    for width in WIDTHS:
        root = parsed(chart, width)
        grid = [element for element in root.iter("line") if element.get("class") in ("grid", "hair")]
        levels = [
            (float(element.get("x1", "")), float(element.get("y1", "")), float(element.get("x2", "")))
            for element in grid
            if element.get("y1") == element.get("y2")
        ]
        left, right = levels[0][0], levels[0][2]
        top, bottom = min(y for _, y, _ in levels), max(y for _, y, _ in levels)
        (path,) = (element for element in root.iter("path") if element.get("class") == "curve")
        assert path_points(path) == [(left, bottom), (right, top)]


def test_the_wide_picture_of_the_sample_keeps_its_places() -> None:
    # The x axis runs from 58 to 874 for 0 to 12 in, force from 0 to 4,000 lbf over the first grid.
    root = parsed(stack(), 900)
    path = next(element for element in root.iter("path") if element.get("class") == "curve")
    points = path_points(path)
    assert points[0][0] == pytest.approx(58, abs=0.1)
    assert points[1][0] == pytest.approx(58 + 7.56 / 12 * (874 - 58), abs=0.1)
    assert points[2][0] == pytest.approx(58 + 11.5 / 12 * (874 - 58), abs=0.1)
    rise = points[0][1] - points[2][1]
    assert rise == pytest.approx((3390 - 321) / 4000 * 260, abs=0.15)


def test_a_step_lifts_the_pen() -> None:
    root = parsed(stack(), 900)
    paths = [element.get("d", "") for element in root.iter("path") if element.get("class") == "curve"]
    assert [path.count("M") for path in paths] == [1, 2]


def test_straight_runs_need_no_points_between() -> None:
    straight = Chart("s", "S", "S.", "x", (Panel("y", "", (curve(0, 10, lambda x: 3 * x, 500),)),))
    root = parsed(straight, 900)
    assert len(path_points(next(root.iter("path")))) == 2


def test_a_thinned_curve_stays_within_a_tenth_of_a_pixel() -> None:
    bent = Chart("b", "B", "B.", "x", (Panel("y", "", (curve(0, 10, lambda x: x * x, 400),)),))
    points = path_points(next(parsed(bent, 900).iter("path")))
    assert len(points) < 200
    (x0, y0), (x1, y1) = points[0], points[-1]
    for (left, high), (right, low) in itertools.pairwise(points):
        middle = ((left + right) / 2 - x0) / (x1 - x0)
        true = y0 + (y1 - y0) * middle**2
        assert abs((high + low) / 2 - true) < 0.2


def test_events_close_together_take_two_rows() -> None:
    events = [Event(180 + 14 * index, ("an event",), "t") for index in range(4)]
    seats = seat_events(events, 350)
    assert {seat.row for seat in seats} == {0, 1}
    apart = seat_events([Event(60, ("one",), "t"), Event(200, ("two",), "t")], 350)
    assert [seat.row for seat in apart] == [0, 0]


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8])
@pytest.mark.parametrize("gap", [0.0, 1.0, 7.0, 40.0])
def test_event_labels_never_overlap(count: int, gap: float) -> None:
    events = [Event(20 + gap * index, ("stop touched",), "t") for index in range(count)]
    seats = seat_events(events, 350)
    for one, other in itertools.combinations(seats, 2):
        assert one.row != other.row or one.right <= other.left or other.right <= one.left
    assert all(seat.left >= 0 and seat.right <= 350 for seat in seats)


def test_dots_in_one_place_lose_labels_rather_than_overlap() -> None:
    dots = tuple(Dot(5, 5, f"{1000 + index}") for index in range(40))
    chart = Chart("heap", "Heap", "All in one place.", "x", (Panel("y", "", dots=dots),))
    for width in WIDTHS:
        root = parsed(chart, width)
        assert len(list(root.iter("circle"))) == 40
        labels = [box for content, box in boxes(root) if re.fullmatch(r"10\d\d", content)]
        assert labels
        assert not any(one.overlaps(other) for one, other in itertools.combinations(labels, 2))


def test_text_is_escaped() -> None:
    nasty = '<script>"&'
    chart = Chart(
        "nasty",
        nasty,
        nasty,
        nasty,
        (Panel(nasty, nasty, (Curve(((0, 0), (1, 1)), nasty),), (Dot(0.5, 0.5, nasty),)),),
        guides=(Guide(0.5, nasty),),
        note=nasty,
    )
    html = figure(chart) + table(chart)
    assert "<script" not in html
    ET.fromstring(f"<div>{html}</div>".replace("&nbsp;", " "))


def test_a_figure_holds_both_widths_and_unique_ids() -> None:
    html = figure(stack())
    assert html.startswith('<figure class="hb-fig"><div class="hb-wide"><svg viewBox="0 0 900')
    assert '<div class="hb-narrow"><svg viewBox="0 0 350' in html
    assert html.endswith("<figcaption>Front, crew aboard.</figcaption></figure>")
    ids = re.findall(r' id="([^"]+)"', html)
    assert ids == ["stack-900-title", "stack-900-desc", "stack-350-title", "stack-350-desc"]


def test_equal_descriptions_give_equal_text() -> None:
    for name in PICTURES:
        rebuilt = {"stack": stack, "crowded": crowded, "decay": decaying, "tornado": tornado}[name]()
        assert figure(rebuilt) + table(rebuilt) == figure(PICTURES[name]) + table(PICTURES[name])


def rows(picture: Chart | Bars) -> list[list[str]]:
    root = ET.fromstring(table(picture))
    return [["".join(cell.itertext()) for cell in row] for row in root.iter("tr")]


def test_the_table_tells_events_and_steps() -> None:
    found = rows(stack())
    assert found[0] == ["Damper travel from full droop, in", "Event", "Axial force, lbf", "Ride frequency, Hz"]
    by_place = {row[0]: row[1:] for row in found[1:]}
    assert by_place["0.00"] == ["", "321", "1.12"]
    assert by_place["7.56"] == ["crossover", "1,580", "1.10, then 1.70"]
    # Straight between (0, 321) and (7.56, 1580): at 2 in it is 321 + 2 * 1259 / 7.56 = 654.07.
    assert by_place["2.00"] == ["", "654", "1.11"]
    assert by_place["11.50"] == ["stop solid", "3,390", "1.67"]


def test_measured_dots_off_the_curve_have_their_own_column() -> None:
    panel = Panel(
        "Force", "lbf", (Curve(((0, 0), (10, 100)), "target"),), (Dot(3, 41), Dot(7, 66)), dots_label="measured"
    )
    found = rows(Chart("m", "M", "M.", "Speed", (panel,), x_unit="in/s", x_decimals=0))
    assert found[0] == ["Speed, in/s", "Force, lbf", "Force, measured, lbf"]
    assert ["3", "30", "41"] in found
    assert ["7", "70", "66"] in found


def test_the_table_of_bars_keeps_which_end_is_which() -> None:
    found = rows(tornado())
    assert found[0] == ["Input", "Input low, Hz", "Input high, Hz"]
    assert found[2] == ["Sprung mass on this spring", "1.725", "1.675"]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_not_finite_are_refused(value: float) -> None:
    message = f"y of dot 'ride' is {value}; a chart shows finite numbers only."
    with pytest.raises(ChartError, match=re.escape(message)):
        Dot(1, value, "ride")
    with pytest.raises(ChartError, match="finite numbers only"):
        Curve(((0, 0), (value, 1)))
    with pytest.raises(ChartError, match="finite numbers only"):
        Guide(value, "ride")
    with pytest.raises(ChartError, match="finite numbers only"):
        Wanted(1, value)
    with pytest.raises(ChartError, match="finite numbers only"):
        Bar("rate", value, 1)


def test_bounds_are_told_with_their_number() -> None:
    Curve(tuple((x, 0) for x in range(2000)))
    with pytest.raises(ChartError, match=r"^2001 points in a curve; a chart shows at most 2000\.$"):
        Curve(tuple((x, 0) for x in range(2001)))
    Dot(1e12, 0)
    with pytest.raises(ChartError, match=r"a chart shows numbers up to 1e\+12 only"):
        Dot(1.1e12, 0)
    with pytest.raises(ChartError, match=r"^Curve 'ride' has no points\.$"):
        Curve((None,), "ride")
    with pytest.raises(ChartError, match=r"^A wanted range runs from low to high; 2 to 1 does not\.$"):
        Wanted(2, 1)
    with pytest.raises(ChartError, match=r"^Chart key 'Two words' must be small letters"):
        Chart("Two words", "T", "D", "x", (Panel("y", "", dots=(Dot(0, 0),)),))
    with pytest.raises(ChartError, match=r"^Panel 'y' has neither a curve nor a dot\.$"):
        Panel("y")


@pytest.mark.parametrize(
    "points",
    [
        ((0, 500), (10, 500)),
        ((3, 7),),
        ((0, 0), (0, 0)),
        ((0, 1e-9), (1, 1.0000001e-9)),
        ((0, -1e12), (1e12, 1e12)),
        ((0, 1e11), (1, 1e11 + 1e-4)),
        ((-5, -3), (-4, -2.999)),
    ],
)
def test_flat_tiny_and_huge_ranges_are_drawn(points) -> None:
    chart = Chart("odd", "Odd", "Odd.", "x", (Panel("y", "", (Curve(points),)),))
    for width in WIDTHS:
        root = parsed(chart, width)
        for element in root.iter("path"):
            for x, y in path_points(element):
                assert 0 <= x <= width
                assert y >= 0


@pytest.mark.parametrize("name", ["stack", "crowded", "decay"])
def test_tick_labels_are_evenly_spaced_round_numbers(name: str) -> None:
    root = parsed(PICTURES[name], 900)
    marks = [
        float(element.text.replace("\u2212", "-").replace(",", ""))
        for element in root.iter("text")
        if element.get("class") == "t2" and element.get("text-anchor") == "middle" and element.text
    ]
    steps = {round(after - before, 9) for before, after in itertools.pairwise(marks)}
    assert len(steps) == 1
    step = steps.pop()
    assert step / 10 ** math.floor(math.log10(step)) in (1, 2, 2.5, 5)


def test_ticks_enclose_the_range() -> None:
    for low, high in ((0, 11.5), (1.05, 1.9), (-215, 138), (0.0003, 0.00091), (99.5, 1e6)):
        marks = ticks(low, high, 5)
        assert marks[0] <= low
        assert marks[-1] >= high
        assert len(marks) <= 8


def test_numbers_are_written_for_reading() -> None:
    assert number(12345.678, 1) == "12,345.7"
    assert number(-1234.5, 0) == "\u22121,234"
    assert number(-0.0004, 2) == "0.00"


def test_text_breaks_between_words_and_is_cut_with_an_ellipsis() -> None:
    assert broken("ride crew aboard", 1000) == ["ride crew aboard"]
    assert all(text_width(line) <= 80 for line in broken("damper fully extended on the bench", 80))
    (cut,) = broken("unbreakableverylongword", 60)
    assert cut.endswith("\u2026")
    assert text_width(cut) <= 60
