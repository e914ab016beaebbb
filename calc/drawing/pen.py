"""The pen of all drawings: one line style, short calls, and the parts that come back in many of them.

Coordinates are pixels, y down.
Only classes of the style sheet are used, never a color; text stands outside of turned groups, so it is never turned.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from html import escape

from calc.chart.lettering import line, opening, text

Point = tuple[float, float]

END = 5.0
_WIRE = 2.5


class Picture:
    """A drawing in the making: call its methods from back to front, then `svg()`."""

    def __init__(self, key: str, title: str, description: str, width: float, height: float) -> None:
        self._opening = opening(key, title, description, width, height)
        self._parts: list[str] = []
        self._notes: list[str] = []

    def svg(self) -> str:
        """The finished drawing; text lies over all lines."""
        return self._opening + "".join(self._parts) + "".join(self._notes) + "</svg>"

    # ---- strokes

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str = "part") -> None:
        """A straight line."""
        self._parts.append(line(x1, y1, x2, y2, style))

    def path(self, commands: str, style: str = "part") -> None:
        """A path from SVG path commands."""
        self._parts.append(f'<path class="{style}" d="{commands}"/>')

    def polyline(self, points: Sequence[Point], style: str) -> None:
        """Straight lines through points."""
        self.path("M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in points), style)

    def rect(self, x: float, y: float, width: float, height: float, style: str = "mass", corner: float = 0) -> None:
        """A rectangle from its upper left corner."""
        rounded = f' rx="{corner:.0f}"' if corner else ""
        self._parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"{rounded} class="{style}"/>'
        )

    def circle(self, x: float, y: float, radius: float, style: str = "mass") -> None:
        """A circle."""
        self._parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" class="{style}"/>')

    @contextmanager
    def turned(self, degrees: float, x: float, y: float) -> Iterator[None]:
        """Strokes made inside are turned about a point, clockwise."""
        self._parts.append(f'<g transform="rotate({degrees:.1f} {x:.1f} {y:.1f})">')
        yield
        self._parts.append("</g>")

    # ---- words

    def text(
        self, x: float, y: float, content: str, style: str = "t", anchor: str = "start", *, halo: bool = True
    ) -> None:
        """A line of text over everything; without halo where it stands on a filled part."""
        self._notes.append(text(x, y, content, style, anchor, halo=halo))

    def label(
        self, x: float, y: float, letter: str, caption: str = "", anchor: str = "start", *, halo: bool = True
    ) -> None:
        """A letter of the list beside the drawing, and a word or two after it; nothing without a letter."""
        if not letter:
            return
        if not caption:
            self.text(x, y, letter, "ta", anchor, halo=halo)
            return
        side = "" if anchor == "start" else f' text-anchor="{anchor}"'
        style = "t2 halo" if halo else "t2"
        self._notes.append(
            f'<text x="{x:.1f}" y="{y:.1f}" class="{style}"{side}><tspan class="ta">{escape(letter)}</tspan>'
            f"\u00a0{escape(caption)}</text>"
        )

    def named(self, x1: float, x2: float, y: float, content: str, style: str = "t") -> None:
        """A part's name at x2, with a leader to the part at x1."""
        away = math.copysign(1, x2 - x1)
        self.line(x1, y, x2 - 5 * away, y, "hair")
        self.text(x2, y + 5, content, style, "start" if away > 0 else "end")

    def lettered(self, x1: float, x2: float, y: float, letter: str, caption: str = "") -> None:
        """A letter at x2 with a leader to the part at x1."""
        away = math.copysign(1, x2 - x1)
        self.line(x1, y, x2 - 5 * away, y, "hair")
        self.label(x2, y + 5, letter, caption, "start" if away > 0 else "end")

    # ---- dimensions

    def upright(
        self,
        x: float,
        y1: float,
        y2: float,
        letter: str = "",
        caption: str = "",
        *,
        left: bool = True,
        reach: tuple[float | None, float | None] = (None, None),
        at: float | None = None,
    ) -> None:
        """An upright dimension at x; `reach` is how far the dotted lines go from its two ends to the part.

        The letter stands on the left or right of the line, the caption under it.
        """
        for y, far in ((y1, reach[0]), (y2, reach[1])):
            if far is not None:
                self.line(x, y, far, y, "guide")
            self.line(x - END, y, x + END, y, "dim")
        self.line(x, y1, x, y2, "dim")
        side, anchor = (-12.0, "end") if left else (12.0, "start")
        middle = (y1 + y2) / 2 if at is None else at
        self.label(x + side, middle + (-2 if caption else 5), letter, "", anchor)
        if caption:
            self.text(x + side, middle + 15, caption, "t2", anchor)

    def level(
        self,
        y: float,
        x1: float,
        x2: float,
        letter: str,
        caption: str = "",
        *,
        below: bool = False,
        reach: tuple[float | None, float | None] = (None, None),
    ) -> None:
        """A level dimension at y, its letter and caption in one line over or under its middle."""
        for x, far in ((x1, reach[0]), (x2, reach[1])):
            if far is not None:
                self.line(x, y, x, far, "guide")
            self.line(x, y - END, x, y + END, "dim")
        self.line(x1, y, x2, y, "dim")
        self.label((x1 + x2) / 2, y + (18 if below else -8), letter, caption, "middle")

    def along(self, start: Point, end: Point, offset: float, letter: str, caption: str = "") -> None:
        """A dimension beside a slanting part: parallel to it, `offset` to its right as seen from start."""
        (x1, y1), (x2, y2) = start, end
        length = math.hypot(x2 - x1, y2 - y1)
        across = (-(y2 - y1) / length, (x2 - x1) / length)
        ends = [(x + offset * across[0], y + offset * across[1]) for x, y in (start, end)]
        for (x, y), (far_x, far_y) in zip(ends, (start, end), strict=True):
            self.line(far_x, far_y, x, y, "guide")
            self.line(x - END * across[0], y - END * across[1], x + END * across[0], y + END * across[1], "dim")
        self.polyline(ends, "dim")
        away = math.copysign(12, across[0] * offset)
        x, y = (ends[0][0] + ends[1][0]) / 2 + away, (ends[0][1] + ends[1][1]) / 2
        anchor = "start" if away > 0 else "end"
        self.label(x, y + (-2 if caption else 5), letter, "", anchor)
        if caption:
            self.text(x, y + 15, caption, "t2", anchor)

    # ---- parts

    def arrow(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A load: a line with a solid head at its end."""
        length = math.hypot(x2 - x1, y2 - y1)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        bx, by = x2 - 9 * ux, y2 - 9 * uy
        self.line(x1, y1, bx, by)
        self.path(
            f"M{x2:.1f} {y2:.1f} L{bx - 4.5 * uy:.1f} {by + 4.5 * ux:.1f} L{bx + 4.5 * uy:.1f} {by - 4.5 * ux:.1f} Z",
            "solid",
        )

    def ground(self, x1: float, x2: float, y: float) -> None:
        """The floor: a line with strokes under it."""
        self.line(x1, y, x2, y)
        x = x1 + 8
        while x <= x2:
            self.line(x, y, x - 7, y + 7, "hair")
            x += 10

    def eye(self, x: float, y: float, radius: float = 12) -> None:
        """A mount with its hole."""
        self.circle(x, y, radius)
        self.circle(x, y, radius * 0.42, "part")

    def cross(self, x: float, y: float, size: float = 6, style: str = "part") -> None:
        """A marked point."""
        self.path(f"M{x - size:.1f} {y:.1f} H{x + size:.1f} M{x:.1f} {y - size:.1f} V{y + size:.1f}", style)

    def tire_side(self, x: float, y: float, radius: float) -> None:
        """A wheel seen from the side."""
        self.circle(x, y, radius)
        self.circle(x, y, radius * 0.52, "back")
        self.circle(x, y, 4, "solid")

    def tire_end(self, x: float, y: float, width: float, height: float) -> None:
        """A wheel seen from behind."""
        self.rect(x - width / 2, y - height / 2, width, height, corner=6)

    def coil_back(self, x: float, top: float, bottom: float, turns: float, half: float) -> None:
        """The far side of a coil spring: hairlines, drawn before what stands inside the coil."""
        pitch = (bottom - top - 2 * _WIRE) / turns
        for turn in range(round(turns)):
            y = top + _WIRE + turn * pitch
            self.line(x + half, y + pitch / 2, x - half, y + pitch, "back")

    def coil_front(self, x: float, top: float, bottom: float, turns: float, half: float) -> None:
        """The near side of a coil spring: wire with a light core."""
        pitch = (bottom - top - 2 * _WIRE) / turns
        for style in ("wire", "core"):
            for turn in range(round(turns)):
                y = top + _WIRE + turn * pitch
                self.line(x - half, y, x + half, y + pitch / 2, style)

    def coil(self, x: float, top: float, bottom: float, turns: float, half: float) -> None:
        """A coil spring with nothing inside."""
        self.coil_back(x, top, bottom, turns, half)
        self.coil_front(x, top, bottom, turns, half)

    def solid_coil(self, x: float, top: float, turns: int, half: float) -> float:
        """A spring pressed until its coils touch; returns its height."""
        pitch = 5.2
        for style in ("wire", "core"):
            for turn in range(turns):
                y = top + _WIRE + turn * pitch
                self.line(x - half, y, x + half, y, style)
        return 2 * _WIRE + (turns - 1) * pitch

    def damper(self, x: float, top: float, bottom: float, *, body: float, half: float = 12, eye: float = 9) -> None:
        """A damper without spring, rod down: eyes at top and bottom, the body `body` long below the upper eye."""
        rod = half * 0.36
        self.rect(x - half, top + eye, 2 * half, body)
        self.rect(x - rod, top + eye + body, 2 * rod, bottom - top - 2 * eye - body)
        self.eye(x, top, eye)
        self.eye(x, bottom, eye)

    def coil_over(
        self,
        x: float,
        top: float,
        bottom: float,
        *,
        adjuster: float,
        seat: float,
        body: float,
        half: float = 36,
        turns: tuple[int, int] = (6, 6),
        divider: float | None = None,
        ring: float | None = None,
        threads: float | None = None,
        helper_divider: float | None = None,
    ) -> None:
        """A coil-over, rod down, by the heights of its parts: eyes, adjuster, body's end, lower seat.

        With a divider it carries a tender above the divider and a main below it, else one spring; with a helper's divider
        a helper stands on top, nearly closed.
        """
        scale = half / 36
        eye, body_half, rod_half = 12 * scale, 17 * scale, 5 * scale
        thick, seat_thick, divider_thick = 13 * scale, 9 * scale, 12 * scale
        dividers = [place for place in (helper_divider, divider) if place is not None]
        counts = [*([3] if helper_divider is not None else []), *([turns[0]] if divider is not None else []), turns[1]]
        tops = [adjuster + thick, *(place + divider_thick for place in dividers)]
        runs = list(zip(tops, [*dividers, seat], counts, strict=True))
        self.eye(x, top, eye)
        self.eye(x, bottom, eye)
        for upper, lower, count in runs:
            self.coil_back(x, upper, lower, count, half)
        self.rect(x - body_half, top + eye, 2 * body_half, body - top - eye)
        if threads is not None:
            y = top + eye + 8 * scale
            while y <= threads:
                self.line(x - body_half, y, x + body_half, y, "hair")
                y += max(6 * scale, 4)
        self.rect(x - rod_half, body, 2 * rod_half, bottom - eye - body)
        self.rect(x - half - 6 * scale, adjuster, 2 * half + 12 * scale, thick, "solid")
        self.coil_front(x, *runs[0], half)
        if ring is not None:
            self.rect(x - 27 * scale, ring - divider_thick, 54 * scale, divider_thick)
        for place, run in zip(dividers, runs[1:], strict=True):
            self.rect(x - half - 8 * scale, place, 2 * half + 16 * scale, divider_thick, "solid")
            self.coil_front(x, *run, half)
        self.rect(x - half - 10 * scale, seat, 2 * half + 20 * scale, seat_thick, "solid")
