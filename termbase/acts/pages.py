"""Working a word-list page: entering it, and what becomes of each of its lines."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Protocol, TypeVar

from sqlalchemy import select

from termbase.acts import entries as entry_acts
from termbase.entries import Entry, Form, Gender, Number, Origin, PartOfSpeech, Status, Term, TermType
from termbase.errors import BadInput, InUse
from termbase.languages import folding
from termbase.linepatterns import CutLine, Equivalent, LinePattern, ParsedLine, Sense
from termbase.linepatterns.cutting import cut
from termbase.linepatterns.parsing import parse, parse_page
from termbase.linepatterns.settings import read_pattern
from termbase.pages import Line, LineState, Page
from termbase.sources import Slip, SlipKind, Source
from termbase.store import Act, Reader, schema

__all__ = [
    "AcceptReport", "Likeness", "Tongues", "accept_all_clear", "add_page", "attach", "correct",
    "drafts", "make", "pattern_of", "refit", "remove_page", "reopen", "reread", "set_aside",
    "tongues",
]  # fmt: skip


Closed = TypeVar("Closed", bound=StrEnum)


@dataclass(frozen=True)
class Tongues:
    """The languages of a word-list: of its headwords and of their equivalents."""

    headword: str
    equivalent: str


@dataclass(frozen=True)
class AcceptReport:
    """What `accept_all_clear` did: entries made, and the lines left with the reason each was left."""

    made: tuple[str, ...]
    left: tuple[tuple[Line, str], ...]


class Likeness(Protocol):
    """Tells whether a line resembles an entry, and learns of entries as they are made."""

    def why(self, names: Sequence[tuple[str, str]]) -> str:
        """The reason in words, empty when nothing resembles these (text, language) names."""

    def add(self, entry: Entry) -> None:
        """Take note of an entry."""


def pattern_of(source: Source) -> LinePattern:
    """The line pattern of a source.

    Raises:
        BadInput: it has none, or it cannot be read.
    """
    if not source.pattern.strip():
        raise BadInput("The source has no line pattern.", where=source.label, mend="Give it one on its page.")
    return read_pattern(source.pattern, f"line pattern of {source.label}")


def tongues(reader: Reader, pattern: LinePattern) -> Tongues:
    """The languages of a word-list: what its pattern says, else the termbase's own."""
    termbase = reader.termbase()
    vernacular = pattern.equivalent_language or next(iter(termbase.vernaculars), "und")
    return Tongues(pattern.headword_language or termbase.working_language, vernacular)


def add_page(act: Act, source_id: str, number: str, transcription: str, image_id: str = "") -> Page:
    """Enter a page: its transcription is cut into lines by the source's pattern; no line is dropped.

    Raises:
        BadInput: the text is empty, the page is there already, or the source has no pattern.
    """
    source = act.get(Source, source_id)
    number = " ".join(number.split())
    if not number:
        raise BadInput(
            "The page has no number.", where="page", mend="Give its number as printed, or a label."
        )
    if not transcription.strip():
        raise BadInput("The page has no text.", where="transcription", mend="Paste or upload its text.")
    taken = act.connection.scalar(
        select(schema.page.c.id).where(schema.page.c.source_id == source_id, schema.page.c.number == number)
    )
    if taken:
        raise BadInput(f"Page {number} of {source.label} is there already ({taken}).", where="page",
                       mend="Open it, or give another number.")  # fmt: skip
    page = act.add(Page(act.new_id("page"), source_id, number, transcription, image_id))
    for n, (cut_line, parsed) in enumerate(parse_page(transcription, pattern_of(source)), 1):
        if cut_line.kind != "blank":
            act.add(_line(act.new_id("line"), page.id, n, cut_line, parsed))
    return page


def remove_page(act: Act, page_id: str) -> None:
    """Take a page away with its lines.

    Raises:
        InUse: some of its lines have been worked.
    """
    lines = act.all(Line, page_id=page_id)
    worked = sum(1 for x in lines if x.entry_ids)
    if worked:
        raise InUse(
            f"{worked} of its lines belong to entries.", where=page_id, mend="Reopen those lines first."
        )
    for line in lines:
        act.remove(Line, line.id)
    act.remove(Page, page_id)


def refit(act: Act, page_id: str) -> int:
    """Parse a page's lines anew after its source's pattern changed; returns how many lines changed.

    Lines that were worked or corrected by hand stay as they are. When the new pattern cuts the page
    otherwise, lines that are still open are cut anew where no worked line is in the way.
    """
    page = act.get(Page, page_id)
    pattern = pattern_of(act.get(Source, page.source_id))
    old = sorted(act.all(Line, page_id=page_id), key=lambda x: x.position)
    fixed = {x.position: x for x in old if x.entry_ids or x.corrected or x.state is LineState.SET_ASIDE}
    parsed = [
        (n, c, p) for n, (c, p) in enumerate(parse_page(page.transcription, pattern), 1) if c.kind != "blank"
    ]
    if [(x.position, x.text) for x in old] == [(n, c.raw) for n, c, _ in parsed]:
        return _reparse(act, old, parsed)
    if fixed:
        raise InUse(
            f"The pattern now cuts the page differently, and {len(fixed)} of its lines have been worked.",
            where=page_id,
            mend="Reopen those lines first, or keep the way records are cut.",
        )
    for line in old:
        act.remove(Line, line.id)
    for n, cut_line, result in parsed:
        act.add(_line(act.new_id("line"), page_id, n, cut_line, result))
    return len(parsed)


def correct(act: Act, line_id: str, parsed: ParsedLine) -> Line:
    """Replace what the pattern made of a line by the editor's own reading; the printed text stays."""
    line = replace(act.get(Line, line_id), parsed=parsed, corrected=True)
    if not line.entry_ids and line.state is not LineState.SET_ASIDE:
        line = replace(line, state=line.open_state())
    return act.put(line)


def set_aside(act: Act, line_id: str, reason: str) -> Line:
    """Set a line aside, with the reason (another sport, illegible, repeated...).

    Raises:
        BadInput: no reason is given.
        InUse: an entry was made from it.
    """
    line = act.get(Line, line_id)
    if not reason.strip():
        raise BadInput(
            "The reason is missing.", where="reason", mend="Say why: another sport, illegible, repeated..."
        )
    _must_be_free(line)
    return act.put(replace(line, state=LineState.SET_ASIDE, reason=" ".join(reason.split())))


def make(act: Act, line_id: str) -> tuple[Entry, ...]:
    """Make entries from a line, one for each of its senses, each name with a slip that quotes the line.

    Raises:
        BadInput: the line has no headword or no sense with a name.
        InUse: entries were made from it already.
    """
    line = act.get(Line, line_id)
    _must_be_free(line)
    source, page, names = _setting(act, line)
    made = tuple(entry_acts.save(act, draft) for draft in drafts(line, names))
    if not made:
        raise BadInput("There is no name in this line.", where=line_id, mend="Correct the parse first.")
    for entry in made:
        _quote(act, line, page, source, entry.terms)
    ids = tuple(e.id for e in made)
    act.put(replace(line, state=LineState.MADE, entry_ids=ids, reason=""))
    return made


def attach(act: Act, line_id: str, entry_id: str) -> Entry:
    """Attach a line to an entry: names that the entry lacks are added, every name gets its slip.

    Raises:
        InUse: the line belongs to entries already.
    """
    line = act.get(Line, line_id)
    _must_be_free(line)
    entry = act.get(Entry, entry_id)
    source, page, names = _setting(act, line)
    terms, witnessed = list(entry.terms), []
    for draft in drafts(line, names):
        for term in draft.terms:
            known = next((t for t in terms if (t.text, t.language) == (term.text, term.language)), None)
            if known is None:
                known = replace(term, id=act.new_id("term"), status=_lower(term, terms))
                terms.append(known)
            witnessed.append(known)
    entry = entry_acts.save(act, replace(entry, terms=tuple(terms)))
    _quote(act, line, page, source, tuple(dict.fromkeys(witnessed)))
    act.put(replace(line, state=LineState.ATTACHED, entry_ids=(entry_id,), reason=""))
    return entry


def reopen(act: Act, line_id: str) -> Line:
    """Put a line that was set aside, attached or taken as furniture back among those to do."""
    line = act.get(Line, line_id)
    if line.state is LineState.MADE:
        raise InUse(
            "Entries were made from this line.", where=line_id, mend="Undo the making, or remove the entries."
        )
    return act.put(replace(line, state=line.open_state(), reason="", entry_ids=()))


def accept_all_clear(
    act: Act,
    lines: Sequence[Line],
    likeness: Likeness,
    *,
    also_alike: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> AcceptReport:
    """Make entries from every line that parsed cleanly and resembles nothing; tell what was left and why.

    Args:
        lines: open lines, in order; lines that are done already are passed over.
        likeness: what resembles what.
        also_alike: take lines that resemble an entry as entries of their own (homonyms).
        on_progress: called now and then with lines seen and lines in all.
    """
    made: list[str] = []
    left: list[tuple[Line, str]] = []
    settings: dict[str, tuple[Source, Page, Tongues]] = {}
    for n, line in enumerate(lines):
        if on_progress and n % 100 == 0:
            on_progress(n, len(lines))
        if line.page_id not in settings:
            settings[line.page_id] = _setting(act, line)
        source, page, names = settings[line.page_id]
        ready = drafts(line, names)
        why = _why_left(line, ready, likeness, also_alike)
        if why:
            left.append((line, why))
            continue
        entries = tuple(_add_bare(act, draft) for draft in ready)
        for entry in entries:
            likeness.add(entry)
            _quote(act, line, page, source, entry.terms)
        act.put_known(line, replace(line, state=LineState.MADE, entry_ids=tuple(e.id for e in entries)))
        made.extend(e.id for e in entries)
    if on_progress:
        on_progress(len(lines), len(lines))
    return AcceptReport(tuple(made), tuple(left))


def drafts(line: Line, names: Tongues) -> tuple[Entry, ...]:
    """The entries that a line would make, without ids: one for each sense that names something."""
    parsed = line.parsed
    if parsed is None or not parsed.headword:
        return ()
    senses = parsed.senses or (Sense(),)
    return tuple(_draft(parsed, sense, names) for sense in senses)


def _draft(parsed: ParsedLine, sense: Sense, names: Tongues) -> Entry:
    shown = {p.part: p.text for p in parsed.printed if p.why == "ditto"}
    head = Term(
        id="",
        text=parsed.headword,
        language=names.headword,
        origin=Origin.WORD_LIST,
        printed=shown.get("headword", ""),
        part_of_speech=_one_of(PartOfSpeech, parsed.part_of_speech),
        gender=_one_of(Gender, parsed.gender),
        number=_one_of(Number, parsed.number),
        forms=tuple(Form(f.label, f.text) for f in parsed.forms),
        pronunciation=parsed.pronunciation,
        status=Status.PREFERRED,
    )
    variants = [_variant(head, text) for text in parsed.variants]
    others: list[Term] = []
    for n, equivalent in enumerate(sense.equivalents):
        term = _equivalent(equivalent, parsed, names, first=n == 0)
        others += [term, *(_variant(term, text) for text in equivalent.variants)]
    labels = "; ".join(filter(None, (sense.style or parsed.style, sense.gloss, sense.note, parsed.note)))
    terms = _unique([replace(t, text=folding.clean(t.text)) for t in (head, *variants, *others)])
    return Entry(id="", terms=tuple(terms), editor_note=labels and f"Word-list: {labels}")


def _unique(terms: Sequence[Term]) -> list[Term]:
    found: dict[tuple[str, str], Term] = {}
    for term in terms:
        if term.text.strip():
            found.setdefault((term.text, term.language), term)
    return list(found.values())


def _equivalent(equivalent: Equivalent, parsed: ParsedLine, names: Tongues, *, first: bool) -> Term:
    return Term(
        id="",
        text=equivalent.text,
        language=names.equivalent,
        origin=Origin.WORD_LIST,
        part_of_speech=_one_of(PartOfSpeech, equivalent.part_of_speech or parsed.part_of_speech),
        gender=_one_of(Gender, equivalent.gender),
        number=_one_of(Number, equivalent.number),
        forms=tuple(Form(f.label, f.text) for f in equivalent.forms),
        usage_note=equivalent.note,
        status=Status.PREFERRED if first else Status.ADMITTED,
    )


def _variant(term: Term, text: str) -> Term:
    return replace(term, text=text, type=TermType.VARIANT, status=Status.ADMITTED, forms=(), printed="")


def _lower(term: Term, others: Sequence[Term]) -> Status | None:
    taken = any(t.language == term.language and t.status is Status.PREFERRED for t in others)
    return Status.ADMITTED if taken and term.status is Status.PREFERRED else term.status


def _one_of(kind: type[Closed], value: str) -> Closed | None:
    return kind(value) if value in kind._value2member_map_ else None


def _must_be_free(line: Line) -> None:
    if line.entry_ids:
        raise InUse(
            f"The line belongs to {', '.join(line.entry_ids)} already.",
            where=line.id,
            mend="Undo that first.",
        )


def _setting(act: Act, line: Line) -> tuple[Source, Page, Tongues]:
    page = act.get(Page, line.page_id)
    source = act.get(Source, page.source_id)
    return source, page, tongues(act, pattern_of(source))


def _add_bare(act: Act, draft: Entry) -> Entry:
    """Store a draft that came from a clean line without the checks an edited entry needs."""
    terms = tuple(replace(t, id=act.new_id("term")) for t in draft.terms)
    return act.add(replace(draft, id=act.new_id("entry"), terms=terms))


def _quote(act: Act, line: Line, page: Page, source: Source, terms: Sequence[Term]) -> None:
    for term in terms:
        act.add(
            Slip(
                id=act.new_id("slip"),
                source_id=source.id,
                text=line.text.strip("\n"),
                name=term.printed or term.text,
                page=page.number,
                line=str(line.first),
                kind=SlipKind.HEADWORD,
                term_id=term.id,
            )
        )


def _why_left(line: Line, ready: Sequence[Entry], likeness: Likeness, also_alike: bool) -> str:
    parsed = line.parsed
    if parsed is None or parsed.troubles:
        return "not read cleanly" + (f": {parsed.troubles[0].why}" if parsed and parsed.troubles else "")
    if not ready:
        return "no headword"
    if also_alike:
        return ""
    for draft in ready:
        why = likeness.why([(t.text, t.language) for t in draft.terms])
        if why:
            return why
    return ""


def _line(line_id: str, page_id: str, position: int, cut_line: CutLine, parsed: ParsedLine | None) -> Line:
    line = Line(line_id, page_id, position, cut_line.raw, cut_line.first, parsed)
    return replace(line, state=LineState.FURNITURE if cut_line.kind == "furniture" else line.open_state())


def _reparse(act: Act, old: Sequence[Line], parsed: Sequence[tuple[int, CutLine, ParsedLine | None]]) -> int:
    changed = 0
    for line, (_, cut_line, result) in zip(old, parsed, strict=True):
        if line.entry_ids or line.corrected or line.state is LineState.SET_ASIDE:
            continue
        fresh = replace(_line(line.id, line.page_id, line.position, cut_line, result), version=line.version)
        if fresh != line:
            act.put(fresh)
            changed += 1
    return changed


def reread(line: Line, pattern: LinePattern, previous: ParsedLine | None = None) -> ParsedLine | None:
    """What a pattern makes of a line's printed text, for the live preview."""
    records = [c for c in cut(line.text, pattern) if c.kind == "record"]
    return parse(records[0], pattern, previous) if records else None
