"""The page desk: what it shows at each line of a page. The acts on it are in `lines`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from flask import Response, make_response, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from app.web import context
from app.web.blueprints import pages as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.pages import correcting
from termbase.acts import pages
from termbase.acts.drafting import ListLanguages, drafts, list_languages, pattern_of
from termbase.codes.lines import Aside
from termbase.codes.wording import statement_text
from termbase.errors import BadInput, NotFound, WordholdError
from termbase.overviews import desk as line_desk
from termbase.record.entries import Entry, Term, heads
from termbase.record.lines import Trouble, troubles_of
from termbase.record.pages import Line, LineState, Page, PageCount
from termbase.record.people import Image
from termbase.record.sources import Source
from termbase.store import line_lists as desk_lines
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord
from termbase.wordlists.patterns import LinePattern

__all__ = ["IN_PLACE", "REASONS", "SHOWN", "Desk", "Place", "desk", "open_desk", "place_asked", "show"]


REASONS = (
    ("a", Aside.OTHER_SPORT),
    ("i", Aside.ILLEGIBLE),
    ("r", Aside.REPEATED),
    ("g", Aside.TOO_GENERAL),
    ("n", Aside.NO_NAME),
)
"""Usual reasons for setting a line aside, with the key that gives each after `s`; `t` is kept for typing."""

_NOT_OFFERED: Final = frozenset(
    {*(reason.value for _key, reason in REASONS), Aside.BREAKS.value, Aside.BREAKS_THROUGH.value}
)
"""Codes of reasons that nobody types again: the usual ones, and those of a trimming."""

SHOWN: Mapping[str, tuple[LineState, ...]] = {
    "": (),
    "open": desk_lines.OPEN,
    "not read": (LineState.UNPARSED,),
    "set aside": (LineState.SET_ASIDE,),
    "done": (LineState.MADE, LineState.ATTACHED),
}
"""What the list of lines can be narrowed to."""

BEFORE, AFTER = 5, 25


@dataclass(frozen=True)
class Place:
    """Where a person is on the desk: page, position (None: the first open line), and what the list shows."""

    page_id: str
    at: int | None = None
    show: str = ""
    holding: str = ""

    def url(self, at: int | None = None, *, show: str | None = None, endpoint: str = "pages.desk") -> str:
        """Return the address of this place, or of another line of its page."""
        values = {
            "at": self.at if at is None else at,
            "show": self.show if show is None else show,
            "holding": self.holding,
        }
        query = urlencode({name: value for name, value in values.items() if value not in (None, "")})
        base = url_for(endpoint, page_id=self.page_id)
        return f"{base}?{query}" if query else base


@dataclass(frozen=True)
class Desk:
    """A page at one line: the line, the entries it would become, and the lines around it.

    Attributes:
        pattern_error: what is wrong with the source's pattern; the desk then shows lines without reading.
        line: the current line; None when nothing is shown.
        drafts: the entries it would become.
        worked: entries that lines in the window belong to, by id.
        last: the act to undo, with the position of its line.
        pictured: whether the page has a scan.
        printed_lines: how many printed lines the page has.
        next_open: position of the next open line.
        previous, following: positions of the lines before and after; page furniture is skipped.
        brought: names that only the current line supports in its entry.
        relatable: the line worked on last, with the cross-references that its entry could be related to.
    """

    place: Place
    page: Page
    source: Source
    count: PageCount
    names: ListLanguages
    pattern_error: WordholdError | None
    line: Line | None
    drafts: tuple[Entry, ...]
    offers: tuple[line_desk.Offer, ...]
    references: tuple[line_desk.Reference, ...]
    pieces: tuple[line_desk.Piece, ...]
    before: tuple[Line, ...]
    after: tuple[Line, ...]
    worked: Mapping[str, tuple[Term, ...]]
    last: tuple[ActRecord, int] | None
    reasons: tuple[str, ...]
    pictured: bool
    printed_lines: int
    next_open: int | None
    previous: int | None
    following: int | None
    brought: tuple[Term, ...]
    relatable: tuple[Line, tuple[line_desk.Reference, ...]] | None

    @property
    def problems(self) -> tuple[Trouble, ...]:
        """What must be decided about the current line: where reading stopped, words that no list has."""
        parsed = self.line.parsed if self.line is not None else None
        return troubles_of(parsed) if parsed is not None else ()

    @property
    def is_clean(self) -> bool:
        """Whether the current line was read without a problem."""
        return self.line is not None and self.line.state is LineState.NEW and not self.problems

    @property
    def is_open(self) -> bool:
        """Whether the current line is still open."""
        return self.line is not None and self.line.state in desk_lines.OPEN


def open_desk(reader: Reader, place: Place) -> Desk:
    """Return the desk at a place.

    Raises:
        NotFound: the page does not exist.
    """
    page = reader.get(Page, place.page_id)
    source = reader.get(Source, page.source_id)
    line, before, after = _window(reader, place)
    pattern, error = _pattern(source)
    names = list_languages(reader, pattern)
    around = [*before, *([line] if line else []), *after]
    reads = line is not None and not line.entry_ids
    last = desk_lines.last_act_on(reader, page.id, context.current_person())
    return Desk(
        place=Place(place.page_id, line.position if line else place.at, place.show, place.holding),
        page=page,
        source=source,
        count=desk_lines.count_of(reader, page.id),
        names=names,
        pattern_error=error,
        line=line,
        drafts=drafts(line, names) if line else (),
        offers=line_desk.offers(reader, line, names) if line and reads else (),
        references=line_desk.references(reader, line, names) if line else (),
        pieces=line_desk.printed_pieces(line, pattern) if line else (),
        before=before,
        after=after,
        worked=_heads(reader, around),
        last=last,
        reasons=tuple(
            str(statement_text(reason))
            for reason in desk_lines.reasons_given(reader, source.id)
            if reason.code not in _NOT_OFFERED
        ),
        pictured=bool(page.image_id),
        printed_lines=page.transcription.count("\n") + 1,
        next_open=desk_lines.next_open(reader, page.id, line.position if line else 0),
        previous=_beside(reader, place, line, tuple(reversed(before)), -1),
        following=_beside(reader, place, line, after, 1),
        brought=pages.added_names(reader, line) if line else (),
        relatable=_relatable(reader, page.id, last, line, names),
    )


def scan_of(reader: Reader, page_id: str) -> Image:
    """The scan of a page.

    Raises:
        NotFound: the page does not exist, or it has no scan.
    """
    page = reader.get(Page, page_id)
    if not page.image_id:
        raise NotFound(
            _("This page has no picture."), where=page_id, fix=_("Add one on the page's own form.")
        )
    return reader.get(Image, page.image_id)


def _window(reader: Reader, place: Place) -> tuple[Line | None, tuple[Line, ...], tuple[Line, ...]]:
    """The current line, and the lines before and after it that the list shows."""
    states, holding = SHOWN.get(place.show, ()), place.holding
    at = place.at
    if at is None:
        at = desk_lines.next_open(reader, place.page_id, 0) or 0
    line = desk_lines.line_at(reader, place.page_id, at)
    narrowed = {"states": states, "holding": holding}
    after = desk_lines.lines_from(
        reader, place.page_id, at + 1 if line else at, AFTER, states=states, holding=holding
    )
    before = desk_lines.lines_from(reader, place.page_id, at, -BEFORE, states=states, holding=holding)
    if line is None or (place.at is None and any(narrowed.values())):
        line, before, after = _first_shown(line, before, after, states, holding)
    return line, before, after


def _first_shown(
    line: Line | None,
    before: tuple[Line, ...],
    after: tuple[Line, ...],
    states: Sequence[LineState],
    holding: str,
) -> tuple[Line | None, tuple[Line, ...], tuple[Line, ...]]:
    """The nearest line in the filtered list, in place of a line that is not in it."""
    if line is not None and _shows(line, states, holding):
        return line, before, after
    if after:
        return after[0], before, after[1:]
    return (before[-1], before[:-1], after) if before else (None, (), ())


def _shows(line: Line, states: Sequence[LineState], holding: str) -> bool:
    return (not states or line.state in states) and holding.casefold() in line.text.casefold()


def _beside(reader: Reader, place: Place, line: Line | None, around: Sequence[Line], step: int) -> int | None:
    """Position of the next listed line in one direction that is not page furniture."""
    near = next((x.position for x in around if x.state is not LineState.FURNITURE), None)
    if near is not None or line is None or place.show or place.holding:
        return near
    return desk_lines.position_beside(reader, place.page_id, line.position, step)


def _relatable(
    reader: Reader,
    page_id: str,
    last: tuple[ActRecord, int] | None,
    current: Line | None,
    names: ListLanguages,
) -> tuple[Line, tuple[line_desk.Reference, ...]] | None:
    """Return the line worked on last, if its entry could be related to those it refers to."""
    if last is None or (current is not None and current.position == last[1]):
        return None
    line = desk_lines.line_at(reader, page_id, last[1])
    if line is None:
        return None
    found = tuple(r for r in line_desk.references(reader, line, names) if r.can_relate)
    return (line, found) if found else None


def _pattern(source: Source) -> tuple[LinePattern, WordholdError | None]:
    try:
        return pattern_of(source), None
    except BadInput as error:
        return LinePattern(source.label), error


def _heads(reader: Reader, lines: Sequence[Line]) -> dict[str, tuple[Term, ...]]:
    ids = [i for line in lines for i in line.entry_ids]
    return {i: tuple(heads(entry).values()) for i, entry in reader.many(Entry, ids).items()}


IN_PLACE = "Wordhold-Part"
"""Header of a request by the desk's script, which needs only the parts that change."""

FOREVER = "private, max-age=31536000, immutable"


@blueprint.get("/<page_id>")
def desk(page_id: str) -> Response:
    """Show the desk at a line of a page; with `correct`, the form to correct its reading."""
    place = place_asked(page_id)
    correct = None
    if request.args.get("correct"):
        line = open_desk(context.reader(), place).line
        correct = correcting.form_of(line) if line else None
    return show(place, correct=correct)


@blueprint.get("/<page_id>/scan")
def scan(page_id: str) -> BaseResponse:
    """The scan of a page; its address carries the picture's id, so that it may be kept."""
    picture = scan_of(context.reader(), page_id)
    response = make_response(picture.data)
    response.headers["Content-Type"] = picture.media_type
    response.set_etag(picture.id)
    response.headers["Cache-Control"] = FOREVER if request.args.get("v") == picture.id else "no-cache"
    return response.make_conditional(request)


def place_asked(page_id: str) -> Place:
    """Return the place that the address names; invalid values are ignored."""
    at = request.values.get("at", "")
    show_only = request.values.get("show", "")
    return Place(
        page_id,
        int(at) if at.isascii() and at.isdigit() and len(at) < 9 else None,
        show_only if show_only in SHOWN else "",
        request.values.get("holding", "").strip()[:80],
    )


def show(
    place: Place, *, correct: Form | None = None, error: WordholdError | None = None, status: int = 200
) -> Response:
    """Return the desk at a place: the whole page, or for the desk's script only the parts that change."""
    found = open_desk(context.reader(), place)
    part = IN_PLACE in request.headers
    html = render_template(
        "pages/parts.html" if part else "pages/desk.html",
        desk=found,
        correct=correct,
        error=error,
        usual=REASONS,
        shown=SHOWN,
        choices=correcting.CHOICES,
        printed_kinds=[
            ("", _("detect automatically")),
            *((why, _(said)) for why, said in correcting.WHYS.items()),
        ],
    )
    response = make_response(html, status)
    response.headers["Vary"] = IN_PLACE
    if part:
        response.headers["Wordhold-Place"] = found.place.url()
    return response
