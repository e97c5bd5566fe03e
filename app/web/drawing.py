"""Drawings made on the server: marks that differ in shape, and the timeline of witnesses.

Pure functions from words and dates to SVG. Everything drawn is also given in words: a mark is beside its
word, the timeline carries a title and a description. Lengths across are in per cent, so that a drawing is as
wide as its column and its lettering never shrinks; colours and strokes come from the style sheet by class.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import pairwise

from markupsafe import Markup

from app.web.language import gettext as _
from app.web.language import listed, ngettext
from app.web.wording import date_words
from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.judging.verdict import VerdictWord

__all__ = ["MARKS", "Span", "Witnessed", "mark", "span_of", "timeline"]

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
"""The shape for each word, in a 16 by 16 box. The star for rebuilt forms is the linguists' convention."""

UNKNOWN_MARK = '<path class="line" d="M4 8H12"/>'

EDGE = 3.0  # per cent left free at either end, so that no mark is cut off
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

    A filled mark is a certain date, an open one uncertain, a bar several years; the hairline runs from
    the first witness to the last and is broken at long gaps. Names without a dated
    witness are in the description and not drawn. Empty if nothing is dated.
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
        """Return the horizontal position of a year, in per cent."""
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
