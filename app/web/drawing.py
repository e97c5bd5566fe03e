"""Drawings made on the server: marks that differ in shape, the timeline of witnesses, and the body maps.

Pure functions from words and dates to SVG. Everything drawn is also given in words: a mark is beside its
word, the timeline has a title and a description. Horizontal lengths are percentages, so that a drawing is as
wide as its column and its lettering never shrinks; colours and strokes come from the style sheet by class.

A body map is a man seen from the front, with places to click. The page's script makes it interactive; without
it, the check boxes beside it do the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import pairwise
from typing import Final

from markupsafe import Markup

from app.web.language import date_words, listed, ngettext
from app.web.language import gettext as _
from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.judging.verdict import VerdictWord

__all__ = [
    "BEHIND_PLACES",
    "CONTACT_PLACES",
    "GENERAL_PLACES",
    "HAND_PLACES",
    "MARKS",
    "Span",
    "Witnessed",
    "contact_map",
    "hand_map",
    "mark",
    "span_of",
    "timeline",
]


MARKS: dict[str, str] = {
    # verdicts
    VerdictWord.FITS: '<circle class="solid" cx="8" cy="8" r="5.5"/>',
    VerdictWord.FITS_CHANGED: '<path class="line" d="M8 1.5 14.5 8 8 14.5 1.5 8Z"/>'
    '<path class="solid" d="M8 1.5V14.5L1.5 8Z"/>',
    VerdictWord.BREAKS: '<path class="thick" d="M2.5 2.5 13.5 13.5M13.5 2.5 2.5 13.5"/>',
    VerdictWord.OPEN: '<circle class="line dashed" cx="8" cy="8" r="5.5"/>',
    # the name
    "in use by several witnesses": '<circle class="solid" cx="4.5" cy="8" r="3.6"/>'
    '<circle class="solid" cx="12" cy="8" r="3.6"/>',
    "in use by one witness": '<circle class="solid" cx="8" cy="8" r="3.6"/>',
    "quoted": '<path class="thick" d="M4 3V7M7.5 3V7"/><path class="line" d="M3 12.5H13"/>',
    "word-list only": '<path class="line" d="M3 4H13M3 8H13M3 12H9"/>',
    "no slip": '<path class="line" d="M4 8H12"/>',
    # the mechanic
    "described": '<path class="thick" d="M5 3C3 5 3 8 3 12H7V8H4.6M12 3C10 5 10 8 10 12H14V8H11.6"/>',
    "pictured": '<path class="line" d="M2 3H14V13H2ZM2 11 6 7 9 10 11 8 14 11"/>',
    "inferred from an analogue": '<path class="thick" d="M2 9.5C4 5.5 6 5.5 8 8S12 10.5 14 6.5"/>',
    "not described": '<path class="line" d="M4 8H12"/>',
    # the practice
    "worked in every trial": '<path class="solid" d="M8 2.5 14 13H2Z"/>',
    "worked in some trials": '<path class="line" d="M8 2.5 14 13H2Z"/>'
    '<path class="solid" d="M5 8.25H11L14 13H2Z"/>',
    "works": '<path class="solid" d="M8 2.5 14 13H2Z"/>',
    "works with a change": '<path class="line" d="M8 2.5 14 13H2Z"/><path class="solid" d="M8 2.5V13H2Z"/>',
    "fails": '<path class="solid" d="M8 13.5 2 3H14Z"/>',
    "untried": '<path class="line dashed" d="M8 2.5 14 13H2Z"/>',
    # where a name comes from
    "in use": '<path class="thick" d="M3 13V3H13V13"/>',
    "word-list": '<path class="line" d="M3 4H13M3 8H13M3 12H9"/>',
    "rebuilt": '<path class="line" d="M8 2V14M2.8 5 13.2 11M13.2 5 2.8 11"/>',
    "coined": '<path class="line" d="M8 2V14M3.5 6H12.5"/>',
    "not stated": '<path class="line dashed" d="M3 13V3H13V13"/>',
}
"""The shape for each word, in a 16 by 16 box. The star for rebuilt forms is a convention of linguistics."""

UNKNOWN_MARK = '<path class="line" d="M4 8H12"/>'

EDGE = 3.0  # percentage left free at either end, so that no mark is cut off
ROW = 46
MARK_Y = 30
AXIS = 24
GAP_YEARS = 15  # a longer gap is drawn as a broken line and described in words
STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000)
MOST_TICKS = 6


@dataclass(frozen=True)
class Span:
    """The years of one witness: first and last possible, whether the date is sure, and the date in words."""

    first: int
    last: int
    sure: bool
    words: str

    @property
    def middle(self) -> float:
        """The year at which its mark is drawn."""
        return (self.first + self.last) / 2


@dataclass(frozen=True)
class Witnessed:
    """A name with the EDTF dates of its witnesses; `language` is its BCP 47 tag."""

    name: str
    language: str
    dates: tuple[str, ...]


def mark(word: str) -> Markup:
    """Return the mark for a verdict, a value on a scale, or an origin; it goes beside the word itself."""
    shape = MARKS.get(word, UNKNOWN_MARK)
    return Markup(
        '<svg class="mark" viewBox="0 0 16 16" aria-hidden="true" focusable="false">{}</svg>'
    ).format(Markup(shape))


def span_of(edtf: str) -> Span | None:
    """Return the years of an EDTF date; None if it has none or is invalid."""
    try:
        date = dates.parse(edtf)
    except BadInput:
        return None
    earliest, latest = date.earliest(), date.latest()
    if earliest is None or latest is None:
        known = earliest or latest
        if known is None:
            return None
        return Span(_year(known), _year(known), False, dates.readable(date, date_words()))
    doubtful = any(sign in edtf for sign in "?~%XS[")
    return Span(_year(earliest), _year(latest), not doubtful, dates.readable(date, date_words()))


def timeline(rows: Sequence[Witnessed]) -> Markup:
    """Draw the witnesses of several names on one timeline.

    A filled mark is a certain date, an open mark an uncertain one, a bar several years; the hairline runs
    from the first witness to the last and is broken at long gaps. Names without a dated witness are in the
    description and are not drawn. Empty if nothing is dated.
    """
    dated = [(row, _spans(row)) for row in rows]
    drawn = [(row, spans) for row, spans in dated if spans]
    if not drawn:
        return Markup("")
    first = min(s.first for _row, spans in drawn for s in spans)
    last = max(s.last for _row, spans in drawn for s in spans)
    axis = _Axis.over(first, last)
    height = ROW * len(drawn) + AXIS
    title = _("Witnesses from %(first)s to %(last)s", first=first, last=last)
    description = " ".join(_described(row, spans) for row, spans in dated)
    key = sha256(description.encode()).hexdigest()[:8]
    body = Markup("").join(_row(n, row, spans, axis) for n, (row, spans) in enumerate(drawn))
    return Markup(
        '<svg class="timeline" role="img" width="100%" height="{height}"'
        ' aria-labelledby="tl-{key} tld-{key}">'
        '<title id="tl-{key}">{title}</title><desc id="tld-{key}">{description}</desc>{axis}{body}</svg>'
    ).format(height=height, key=key, title=title, description=description, axis=axis.svg(height), body=body)


@dataclass(frozen=True)
class _Axis:
    """The years drawn, from tick to tick."""

    start: int
    end: int
    step: int

    @classmethod
    def over(cls, first: int, last: int) -> "_Axis":
        step = next((s for s in STEPS if (last - first) / s <= MOST_TICKS - 1), STEPS[-1])
        start = first - first % step
        end = last + (-last) % step
        return cls(start, end if end > start else start + step, step)

    def x(self, year: float) -> str:
        """Return the horizontal position of a year, as a percentage."""
        return f"{EDGE + (100 - 2 * EDGE) * (year - self.start) / (self.end - self.start):.2f}%"

    def svg(self, height: int) -> Markup:
        ground = height - AXIS + 4
        parts = [Markup('<line class="axis" x1="0%" x2="100%" y1="{y}" y2="{y}"/>').format(y=ground)]
        for year in range(self.start, self.end + 1, self.step):
            parts.append(
                Markup(
                    '<line class="tick" x1="{x}" x2="{x}" y1="{y}" y2="{y2}"/>'
                    '<text class="year" x="{x}" y="{ty}">{year}</text>'
                ).format(x=self.x(year), y=ground, y2=ground + 4, ty=height - 4, year=year)
            )
        return Markup("").join(parts)


def _spans(row: Witnessed) -> list[Span]:
    known_spans = (span_of(date) for date in row.dates)
    return sorted((s for s in known_spans if s is not None), key=lambda s: (s.first, s.last))


def _row(number: int, row: Witnessed, spans: Sequence[Span], axis: _Axis) -> Markup:
    top = ROW * number
    y = top + MARK_Y
    parts = [
        Markup('<text class="name" x="0" y="{y}" lang="{tag}">{name}</text>').format(
            y=top + 14, tag=row.language, name=row.name
        )
    ]
    for before, after in pairwise(spans):
        kind = "gap" if after.first - before.last > GAP_YEARS else "hair"
        parts.append(
            Markup('<line class="{kind}" x1="{x1}" x2="{x2}" y1="{y}" y2="{y}"/>').format(
                kind=kind, x1=axis.x(before.middle), x2=axis.x(after.middle), y=y
            )
        )
    parts.extend(_witness(span, y, axis) for span in spans)
    return Markup("").join(parts)


def _witness(span: Span, y: int, axis: _Axis) -> Markup:
    title = Markup("<title>{}</title>").format(span.words)
    if span.first != span.last:
        kind = "bar" if span.sure else "bar unsure"
        width = (100 - 2 * EDGE) * (span.last - span.first) / (axis.end - axis.start)
        return Markup(
            '<rect class="{kind}" x="{x}" width="{w}%" y="{y}" height="8" rx="1">{title}</rect>'
        ).format(kind=kind, x=axis.x(span.first), w=f"{width:.2f}", y=y - 4, title=title)
    kind = "dot" if span.sure else "dot unsure"
    return Markup('<circle class="{kind}" cx="{x}" cy="{y}" r="4.5">{title}</circle>').format(
        kind=kind, x=axis.x(span.middle), y=y, title=title
    )


def _described(row: Witnessed, spans: Sequence[Span]) -> str:
    if not spans:
        return _("%(name)s: no dated witness.", name=row.name)
    text = ngettext("%(name)s: %(n)s witness, %(when)s.", "%(name)s: %(n)s witnesses, %(when)s.", len(spans),
                    name=row.name, when=listed([s.words for s in spans]))  # fmt: skip
    gaps = [
        _("No witness between %(first)s and %(last)s.", first=a.last, last=b.first)
        for a, b in pairwise(spans)
        if b.first - a.last > GAP_YEARS
    ]
    return " ".join([text, *gaps])


def _year(day: str) -> int:
    """Return the year of an ISO day, including years BC and after 9999."""
    sign, digits = (-1, day[1:]) if day.startswith("-") else (1, day.lstrip("+"))
    return sign * int(digits.split("-")[0])


MIDDLE: Final = 150
RADIUS: Final = 8.5
DOT: Final = 3.2
LINE: Final = 25
BODY_EDGE: Final = 62

HAND_PLACES: Final[dict[str, tuple[int, int]]] = {
    "hair": (12, 15), "head": (12, 35), "ear": (31, 38), "neck": (25, 66), "throat": (9, 73),
    "collar": (30, 86), "shoulder strap": (47, 92), "shoulder cloth": (65, 97), "lapel": (19, 106),
    "front cloth": (13, 134), "sleeve": (84, 124), "upper arm": (66, 119), "elbow cloth": (91, 150),
    "forearm": (95, 173), "wrist": (99, 195), "fingers": (103, 216), "belt front": (9, 187),
    "belt far side": (-27, 187), "belt near side": (45, 187), "crotch": (9, 226), "thigh": (25, 252),
    "trouser cloth": (43, 262), "knee": (31, 296), "ankle": (29, 356), "foot": (36, 380),
}  # fmt: skip
"""The distance of each place from the middle (on the side of the hand that holds it) and from the top."""

BEHIND_PLACES: Final[dict[str, tuple[int, int]]] = {
    "back cloth": (14, 112), "round the body under the arm": (30, 140),
    "round the body over the arm": (66, 140), "belt back": (12, 187),
}  # fmt: skip
"""The same for places behind him, where arms passed round him meet."""

GENERAL_PLACES: Final = ("jacket", "belt", "arm", "round the body", "leg", "own other hand", "free")
"""Places without a single spot on the picture: general ones, and none on him at all."""

CONTACT_PLACES: Final[dict[str, tuple[int, int]]] = {
    "head": (13, 35), "neck": (19, 68), "shoulder": (58, 94), "chest": (20, 112), "arm": (82, 134),
    "trunk": (22, 140), "belly": (14, 168), "hip": (43, 196), "crotch": (9, 224), "outer thigh": (47, 246),
    "inner thigh": (16, 250), "thigh": (32, 266), "knee": (31, 296), "leg": (46, 312), "shin": (24, 326),
    "calf": (41, 334), "ankle": (29, 354), "heel": (18, 374), "foot": (37, 378),
}  # fmt: skip

_MAN: Final = (
    "M150 10c16 0 25 12 25 27 0 12-5 22-11 27v9c6 4 22 9 38 13 18 4 26 16 31 40l20 84c2 9-2 22-8 22-6 0-9-8"
    "-10-14l-24-76c-2 14-8 36-10 48 4 22 6 44 4 66-2 26-6 60-8 96l22 18c2 6-2 10-8 10h-32l-6-24-20-112h-6"
    "l-20 112-6 24h-32c-6 0-10-4-8-10l22-18c-2-36-6-70-8-96-2-22 0-44 4-66-2-12-8-34-10-48l-24 76c-1 6-4 14"
    "-10 14-6 0-10-13-8-22l20-84c5-24 13-36 31-40 16-4 32-9 38-13v-9c-6-5-11-15-11-27 0-15 9-27 25-27z"
)
_DRESS: Final = "M101 180q49 16 98 0M104 196q46 14 92 0M118 84l8 104M182 84l-8 104"


def hand_map(right: tuple[str, ...], left: tuple[str, ...]) -> Markup:
    """Draw his body with a ring for every place, for either hand; held places are filled.

    He is seen from the front, as the thrower sees him, so the right hand's places are on the right.
    """
    hands = (("right", 1, right, _("R")), ("left", -1, left, _("L")))
    front, behind = (
        [
            _ring(f"{hand}.places", place, (MIDDLE + side * x, y), place in held, letter)
            for hand, side, held, letter in hands
            for place, (x, y) in places.items()
        ]
        for places in (HAND_PLACES, BEHIND_PLACES)
    )
    listed = [
        _ring(f"{hand}.places", place, (BODY_EDGE + side * 11, LINE * n + 14), place in held, letter)
        for hand, side, held, letter in hands
        for n, place in enumerate(GENERAL_PLACES)
    ]
    names = [
        Markup('<text class="named" x="{x}" y="{y}">{label}</text>').format(
            x=BODY_EDGE + 28, y=LINE * n + 18, label=_(place)
        )
        for n, place in enumerate(GENERAL_PLACES)
    ]
    height = LINE * len(GENERAL_PLACES)
    return Markup("").join(
        (
            _sheet(_("Where the hands hold"), front),
            _sheet(_("Where the hands hold behind him"), behind, "36 60 228 160"),
            _sheet(_("Holds without one spot"), [*listed, *names], f"36 0 228 {height}", man=False),
        )
    )


def contact_map(parts: tuple[str, ...], his_side: str) -> Markup:
    """Draw his body with a ring for every part that can be touched; his right is on the left."""
    rings = []
    for side, name in ((1, "left"), (-1, "right")):
        for part, (x, y) in CONTACT_PLACES.items():
            held = part in parts and his_side in {name, "both", ""}
            rings.append(_ring("contact", part, (MIDDLE + side * x, y), held, "", name))
    return _sheet(_("Where he is touched"), rings)


def _ring(path: str, value: str, at: tuple[int, int], held: bool, letter: str, side: str = "") -> Markup:
    label = _("%(side)s %(part)s", side=_(side), part=_(value)) if side else f"{letter}: {_(value)}"
    return Markup(
        '<g class="spot{held}" role="checkbox" aria-checked="{checked}" aria-label="{label}" tabindex="-1" '
        'data-path="{path}" data-value="{value}" data-side="{side}"><title>{label}</title>'
        '<circle class="reach" cx="{x}" cy="{y}" r="{r}"/>'
        '<circle class="dot" cx="{x}" cy="{y}" r="{dot}"/><text x="{x}" y="{ty}">{letter}</text></g>'
    ).format(
        held=" held" if held else "", checked="true" if held else "false", label=label, path=path,
        value=value, side=side, x=at[0], y=at[1], r=RADIUS, dot=DOT, ty=at[1] + 4,
        letter=letter if held else "",
    )  # fmt: skip


def _sheet(title: str, rings: list[Markup], box: str = "36 0 228 400", *, man: bool = True) -> Markup:
    body = Markup('<path class="man" d="{}"/><path class="dress" d="{}"/>').format(_MAN, _DRESS)
    return Markup(
        '<svg class="body-map" role="group" aria-label="{title}" viewBox="{box}" data-body-map>'
        "{body}{rings}</svg>"
    ).format(title=title, box=box, body=body if man else "", rings=Markup("").join(rings))
