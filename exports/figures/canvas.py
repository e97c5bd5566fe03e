"""A drawing canvas: SVG elements and their extent.

Every element has presentation attributes (so that it displays without a style sheet, in a typesetter or a
picture viewer) and a class (so that a style sheet may colour it differently). Ink is `currentColor`;
outlines are filled with the background, white unless a style sheet says otherwise.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from html import escape
from math import atan2, cos, hypot, pi, radians, sin
from typing import Final

__all__ = ["GROUND", "INK", "Canvas", "Frame", "Point", "along", "angle", "apart", "between", "numbers"]

Point = tuple[float, float]
INK: Final = "currentColor"
GROUND: Final = "white"


@dataclass(frozen=True, slots=True)
class Frame:
    """A wrestler's position on the sheet and the direction he faces.

    A point in his frame is (to his right, forward) in lengths of his foot; `turn` is 0 when he faces up the
    sheet, measured clockwise in degrees; `unit` is the length of a foot on the sheet.
    """

    x: float
    y: float
    turn: float
    unit: float

    def at(self, point: Point) -> Point:
        """Return the position on the sheet of a point in his frame."""
        right, forward = point
        a = radians(self.turn)
        return (
            self.x + self.unit * (right * cos(a) + forward * sin(a)),
            self.y + self.unit * (right * sin(a) - forward * cos(a)),
        )

    def seen(self, point: Point) -> Point:
        """Return the position in his frame of a point on the sheet; the inverse of `at`."""
        dx, dy = (point[0] - self.x) / self.unit, (point[1] - self.y) / self.unit
        a = radians(self.turn)
        return (dx * cos(a) + dy * sin(a), dx * sin(a) - dy * cos(a))


def between(a: Point, b: Point, part: float) -> Point:
    """Return the point at a fraction of the way from a to b."""
    return (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)


def apart(a: Point, b: Point) -> float:
    """Return the distance between two points."""
    return hypot(b[0] - a[0], b[1] - a[1])


def along(a: Point, b: Point, length: float, aside: float = 0) -> Point:
    """Return the point at a distance from a towards b, offset to the right of that direction on the sheet."""
    whole = apart(a, b) or 1
    ux, uy = (b[0] - a[0]) / whole, (b[1] - a[1]) / whole
    return (a[0] + ux * length - uy * aside, a[1] + uy * length + ux * aside)


@dataclass
class Canvas:
    """What has been drawn so far, from back to front."""

    pieces: list[str] = field(default_factory=list)
    seen: list[Point] = field(default_factory=list)

    def path(self, d: str, points: Iterable[Point], kind: str, **more: object) -> None:
        """Draw a path; `points` are those it reaches."""
        self.seen.extend(points)
        self._add("path", kind, {"d": d, "fill": "none", "stroke": INK} | _rounded(more))

    def line(self, points: Iterable[Point], kind: str, **more: object) -> None:
        """Draw straight lines from point to point."""
        places = list(points)
        self.path("M" + "L".join(_xy(p) for p in places), places, kind, **more)

    def area(self, points: Iterable[Point], kind: str, **more: object) -> None:
        """Draw a closed shape with straight edges."""
        places = list(points)
        self.path("M" + "L".join(_xy(p) for p in places) + "Z", places, kind, **more)

    def curve(self, a: Point, bend: Point, b: Point, kind: str, **more: object) -> None:
        """Draw a curve from a to b through the control point `bend`."""
        self.path(
            f"M{_xy(a)}Q{_xy(bend)} {_xy(b)}", (a, between(between(a, bend, 0.5), b, 0.33), b), kind, **more
        )

    def circle(self, centre: Point, radius: float, kind: str, **more: object) -> None:
        """Draw a circle."""
        x, y = centre
        self.seen.extend(((x - radius, y - radius), (x + radius, y + radius)))
        own = {"cx": _n(x), "cy": _n(y), "r": _n(radius), "fill": "none", "stroke": INK}
        self._add("circle", kind, own | _rounded(more))

    def shape(
        self, outline: Iterable[tuple[str, tuple[Point, ...]]], frame: Frame, kind: str, **more: object
    ) -> None:
        """Draw an outline of path commands whose points are in somebody's frame."""
        parts: list[str] = []
        reached: list[Point] = []
        for command, points in outline:
            on_sheet = [frame.at(p) for p in points]
            reached.extend(on_sheet)
            parts.append(command + " ".join(_xy(p) for p in on_sheet))
        self.path("".join(parts), reached, kind, **more)

    def arrow(
        self, a: Point, b: Point, kind: str, *, width: float = 2, head: float = 9, **more: object
    ) -> None:
        """Draw a straight arrow from a to b."""
        neck = along(b, a, head * 0.8)
        self.line((a, neck), kind, stroke_width=width, stroke_linecap="butt", **more)
        self.head(a, b, kind, head)

    def head(self, a: Point, b: Point, kind: str, size: float) -> None:
        """Draw the head of an arrow from a to b."""
        wings = (along(b, a, size, size * 0.42), along(b, a, size * 0.78), along(b, a, size, -size * 0.42))
        self.area((b, *wings), kind, fill=INK, stroke="none")

    def text(self, at: Point, words: str, kind: str, **more: object) -> None:
        """Draw text centred on a point, on its baseline."""
        size = float(str(more.get("font_size", 12)))
        half = size * 0.27 * len(words)
        self.seen.extend(((at[0] - half, at[1] - size), (at[0] + half, at[1] + size * 0.3)))
        own = {"x": _n(at[0]), "y": _n(at[1]), "fill": INK, "text_anchor": "middle", "font_size": _n(size),
               "font_family": "Wordhold Sans, sans-serif"}  # fmt: skip
        attributes = _attributes({"class": kind} | own | {k: v for k, v in more.items() if k != "font_size"})
        self.pieces.append(f"<text{attributes}>{escape(words)}</text>")

    def open_group(self, kind: str) -> None:
        """Begin a group: the strokes of one thing."""
        self.pieces.append(f'<g class="{kind}">')

    def close_group(self) -> None:
        """End the group."""
        self.pieces.append("</g>")

    def box(self, margin: float, width: float) -> tuple[float, float, float, float]:
        """Return left, top, width and height of the sheet: the drawing with a margin, at least this wide."""
        xs, ys = [p[0] for p in self.seen], [p[1] for p in self.seen]
        left, right = min(xs) - margin, max(xs) + margin
        spare = max(0.0, width - (right - left))
        return left - spare / 2, min(ys) - margin, right - left + spare, max(ys) - min(ys) + 2 * margin

    def _add(self, tag: str, kind: str, attributes: Mapping[str, object]) -> None:
        self.pieces.append(f"<{tag}{_attributes({'class': kind} | dict(attributes))}/>")


def angle(a: Point, b: Point) -> float:
    """Return the direction from a to b on the sheet, in degrees clockwise from up."""
    return (atan2(b[0] - a[0], a[1] - b[1]) * 180 / pi) % 360


def _rounded(more: Mapping[str, object]) -> dict[str, object]:
    """Return the attributes with round strokes unless given otherwise."""
    return {"stroke_linecap": "round", "stroke_linejoin": "round"} | dict(more)


def _attributes(values: Mapping[str, object]) -> str:
    return "".join(
        f' {name.replace("_", "-")}="{escape(_n(v) if isinstance(v, float) else str(v))}"'
        for name, v in values.items()
    )


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def numbers(*points: Point) -> tuple[str, ...]:
    """Return points as written in a path."""
    return tuple(_xy(p) for p in points)


def _xy(point: Point) -> str:
    return f"{_n(point[0])},{_n(point[1])}"
