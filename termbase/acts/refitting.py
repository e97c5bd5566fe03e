"""Applying a changed line pattern to existing lines: the preview and the change."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from termbase.acts.drafting import pattern_of
from termbase.errors import InUse
from termbase.messages import message
from termbase.record.lines import CutLine, ParsedLine
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.wordlists.cutting import cut
from termbase.wordlists.parsing import parse, parse_page
from termbase.wordlists.patterns import LinePattern

__all__ = ["PagesPreview", "Refitting", "line_from", "refit", "refitted", "refitted_pages", "reparse"]

MARGIN = 100  # extra printed lines read after a part of a page, so that its last record is complete


@dataclass(frozen=True)
class Refitting:
    """The effect of a pattern on a page with existing lines.

    Attributes:
        lines: the page's lines as parsed by the pattern; worked and corrected ones unchanged.
        changed: those that differ, before (None if new) and after.
        gone: lines that would be deleted because the page is divided differently.
        cut_anew: whether the page would be divided differently.
        in_the_way: worked lines that prevent dividing it differently.
    """

    lines: tuple[Line, ...]
    changed: tuple[tuple[Line | None, Line], ...]
    gone: tuple[Line, ...]
    cut_anew: bool
    in_the_way: tuple[Line, ...]

    @property
    def possible(self) -> bool:
        """Whether it is possible without changing worked lines."""
        return not (self.cut_anew and self.in_the_way)


@dataclass(frozen=True)
class PagesPreview:
    """The effect of a pattern on several pages, in numbers.

    Attributes:
        pages: how many pages would change.
        changed: how many of their lines would be parsed differently or be new.
        gone: how many lines would be deleted.
        in_the_way: numbers of the pages that cannot be divided differently because lines on them have been
            worked.
        unseen: how many pages were not checked because the line limit was reached.
    """

    pages: int = 0
    changed: int = 0
    gone: int = 0
    in_the_way: tuple[str, ...] = ()
    unseen: int = 0


def line_from(
    line_id: str, page_id: str, position: int, cut_line: CutLine, parsed: ParsedLine | None
) -> Line:
    """Return a page's line in the state before anyone works it."""
    line = Line(line_id, page_id, position, cut_line.raw, first=cut_line.first, parsed=parsed)
    return replace(line, state=LineState.FURNITURE if cut_line.kind == "furniture" else line.open_state())


def refitted(page: Page, old: Sequence[Line], pattern: LinePattern, upto: int | None = None) -> Refitting:
    """Return the effect of a pattern on a page's lines. Nothing is written.

    Lines that were worked, set aside or corrected by hand stay as they are.

    Args:
        page: the page.
        old: its lines, in order of position.
        pattern: the pattern.
        upto: only check lines that begin within this many printed lines; None for the whole page.

    Raises:
        BadInput: the pattern cannot be read.
    """
    text = page.transcription
    if upto is not None:
        text = "\n".join(text.split("\n")[: upto + MARGIN])
        old = [x for x in old if x.first <= upto]
    parsed = [
        (n, c, p)
        for n, (c, p) in enumerate(parse_page(text, pattern), 1)
        if c.kind != "blank" and (upto is None or c.first <= upto)
    ]
    fresh = [line_from("", page.id, n, c, p) for n, c, p in parsed]
    worked = tuple(x for x in old if _is_fixed(x))
    if [(x.position, x.text) for x in old] != [(x.position, x.text) for x in fresh]:
        return Refitting(tuple(fresh), *_differences(old, fresh), cut_anew=True, in_the_way=worked)
    lines = [
        before if _is_fixed(before) else replace(after, id=before.id, version=before.version)
        for before, after in zip(old, fresh, strict=True)
    ]
    changed = tuple((b, a) for b, a in zip(old, lines, strict=True) if not _same_parse(b, a))
    return Refitting(tuple(lines), changed, (), cut_anew=False, in_the_way=())


def refitted_pages(reader: Reader, pages: Sequence[Page], pattern: LinePattern, most: int) -> PagesPreview:
    """Return the effect of a pattern on several pages. Nothing is written.

    Args:
        reader: the record.
        pages: the pages, checked in this order.
        pattern: the pattern.
        most: how many printed lines to check; a page that exceeds it is skipped.

    Raises:
        BadInput: the pattern cannot be read.
    """
    touched = changed = gone = unseen = 0
    in_the_way = []
    for page in pages:
        size = page.transcription.count("\n") + 1
        if size > most:
            unseen += 1
            continue
        most -= size
        old = sorted(reader.all(Line, page_id=page.id), key=lambda x: x.position)
        result = refitted(page, old, pattern)
        if not result.possible:
            in_the_way.append(page.number)
            continue
        touched += bool(result.changed or result.gone)
        changed += len(result.changed)
        gone += len(result.gone)
    return PagesPreview(touched, changed, gone, tuple(in_the_way), unseen)


def refit(act: Act, page_id: str) -> int:
    """Parse a page's lines again after its source's pattern changed; return how many lines changed.

    Lines that were worked or corrected by hand stay as they are.

    Raises:
        InUse: the pattern divides the page differently, and some of its lines have been worked.
    """
    page = act.get(Page, page_id)
    old = sorted(act.all(Line, page_id=page_id), key=lambda x: x.position)
    result = refitted(page, old, pattern_of(act.get(Source, page.source_id)))
    if not result.possible:
        raise InUse(
            message(
                "The pattern now divides page %(page)s into different lines, and %(n)s of its "
                "lines have already been worked.",
                page=page.number,
                n=len(result.in_the_way),
            ),
            where=page_id,
            fix=message("Reopen those lines first, or keep the old way of dividing the page."),
        )
    if not result.cut_anew:
        for before, after in result.changed:
            if before is not None:
                act.put_known(before, after)
        return len(result.changed)
    for line in old:
        act.remove(Line, line.id)
    for line in result.lines:
        act.add(replace(line, id=act.new_id("line")))
    return len(result.lines)


def reparse(line: Line, pattern: LinePattern, previous: ParsedLine | None = None) -> ParsedLine | None:
    """Return what a pattern makes of a line's printed text alone."""
    records = [c for c in cut(line.text, pattern) if c.kind == "record"]
    return parse(records[0], pattern, previous) if records else None


def _is_fixed(line: Line) -> bool:
    return bool(line.entry_ids) or line.corrected or line.state is LineState.SET_ASIDE


def _same_parse(line: Line, other: Line) -> bool:
    """Whether two parses of a line say the same, whichever layout of the pattern was used."""
    return line.state is other.state and _without_layout(line.parsed) == _without_layout(other.parsed)


def _without_layout(parsed: ParsedLine | None) -> ParsedLine | None:
    return None if parsed is None else replace(parsed, layout=0)


def _differences(
    old: Sequence[Line], fresh: Sequence[Line]
) -> tuple[tuple[tuple[Line | None, Line], ...], tuple[Line, ...]]:
    """Return lines that are new or parsed differently, and deleted lines, by printed position and text."""
    before = {(x.first, x.text): x for x in old}
    after = {(x.first, x.text) for x in fresh}
    changed = tuple(
        (known, x)
        for x in fresh
        if (known := before.get((x.first, x.text))) is None or not _same_parse(known, x)
    )
    return changed, tuple(x for x in old if (x.first, x.text) not in after)
