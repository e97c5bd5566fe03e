"""Articles and verdicts as plain text, for the terminal."""

from collections.abc import Iterator
from typing import Final

from exports.tbx.wording import Wording
from termbase.codes.wording import statement_text
from termbase.dates import edtf
from termbase.fields.declarations import Member, Text, fields_of
from termbase.judging.verdict import Change, Reason
from termbase.judging.wording import to_words
from termbase.overviews.articles import Article, Judged, Library
from termbase.proofing.checks import name_of
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.record.entries import Entry, Signature, Term
from termbase.record.foreign_notes import ForeignNote, heading
from termbase.record.people import CAUTIONS
from termbase.record.sources import Slip, locator
from termbase.record.trials import Trial

__all__ = ["article_text", "cautions_text", "verdict_text"]

_ORDER: dict[bool | None, int] = {False: 0, None: 1, True: 2}
_SIGN: dict[bool | None, str] = {False: "x", None: "?", True: "-"}

_CLOSED: Final = tuple(f for f in fields_of(Term) if isinstance(f.is_a, Member) and f.name != "origin")
_IN_ITS_LINE: Final = frozenset(
    {"id", "text", "language", "printed", "printed_language", "pronunciation", "region", "usage_note"}
)
_OWN_LINES: Final = tuple(
    field
    for field in fields_of(Term)
    if isinstance(field.is_a, Text) and not field.is_a.bookkeeping and field.name not in _IN_ITS_LINE
)
"""Text fields of a name that get a line of their own, after their label."""


def article_text(article: Article, library: Library) -> str:
    """Return an entry as a dictionary article in plain text."""
    return "\n".join(_article_lines(article, library))


def verdict_text(judged: Judged, *, full: bool, change: Change | None = None) -> str:
    """Return a verdict as a line; if `full`, with its reasons: broken (x), met (-) or not known (?), the
    grips to change and the smallest change that would turn it (>), and what to find out (!)."""
    left = " (done left-handed only)" if judged.verdict.left_handed else ""
    lines = [f"  {judged.code.name}: {judged.verdict.word}{left}"]
    if full:
        ranked = sorted(judged.verdict.reasons, key=lambda reason: _ORDER[reason.truth])
        lines += [f"    {_SIGN[reason.truth]} {to_words(reason)}{_cited(reason)}" for reason in ranked]
        lines += [f"    > {to_words(grip)}" for grip in judged.verdict.grips]
        lines += [f"    > {to_words(change)}"] if change else []
        lines += [f"    ! {to_words(gap)}" for gap in judged.verdict.missing]
    if judged.ruling:
        ruling = judged.ruling
        lines.append(f"    Ruling by {ruling.by}, {ruling.on}: {ruling.verdict}. {ruling.reason}")
    return "\n".join(lines)


def cautions_text(entry: Entry) -> list[str]:
    """Return the cautions for a technique, line by line."""
    return [f"  {line}" for line in (CAUTIONS, *own_cautions(entry.topic, entry.technique))]


def _from_elsewhere(note: ForeignNote) -> str:
    """Return a note from elsewhere, marked as such."""
    signed = _signed(note.accepted_by, note.accepted_on)
    state = f"accepted by {signed}" if note.accepted else "not accepted for printing"
    language = note.text_language or note.language
    return f"[{heading(note)}{f'; {language}' if language else ''}; {state}] {note.words()}"


def _article_lines(article: Article, library: Library) -> Iterator[str]:
    entry, wording = article.entry, Wording(library)
    if library.termbase.notice:
        yield f"[{library.termbase.notice}]"
    topic = entry.topic.value if entry.topic else "no topic"
    yield f"{entry.id}  {name_of(article, library)}  ({topic}; {'ready' if entry.ready else 'draft'})"
    for definition in entry.definitions:
        yield f"  {definition.language}: {definition.text}{_from(definition.source_id, library)}"
    for term in entry.terms:
        yield _term_line(term, article)
        if term.usage_note:
            yield f"      usage: {term.usage_note}"
        for field in _OWN_LINES:
            if value := getattr(term, field.name):
                yield f"      {field.word}: {value}"
        for slip in article.slips[term.id]:
            yield f"      {_slip(slip, library)}"
        yield from (f"      {_from_elsewhere(note)}" for note in term.foreign_notes)
    yield from _entry_notes(entry, wording, library)
    for related in article.related:
        heads = ", ".join(t.text for t in related.heads)
        yield f"  {related.kind}: {related.entry_id} {heads}"
    yield from (f"  word-list line {line.id}: {line.text}" for line in article.lines)
    yield f"  mechanic: {article.mechanic.words}; practice: {article.practice.words}"
    for notice in hurt_notices(article.trials):
        yield f"  {notice}"
    if entry.technique is not None:
        yield f"  technique: {wording.technique(entry.technique)}"
        yield from cautions_text(entry)
    yield from (f"  {_trial(trial, library)}" for trial in article.trials)
    for judged in article.judged:
        yield verdict_text(judged, full=True)
    yield f"  read for language: {_reading(entry.language_reading)}"
    yield f"  read for practice: {_reading(entry.practice_reading)}"
    yield f"  created {_signed(entry.created_by, entry.created_on)}; " + (
        f"changed {_signed(entry.changed_by, entry.changed_on)}; version {entry.version}"
    )


def _entry_notes(entry: Entry, wording: Wording, library: Library) -> Iterator[str]:
    """Yield the notes of an entry, its analogues in living styles, and its pictures."""
    if entry.usage_note:
        yield f"  usage: {entry.usage_note}"
    if entry.editor_note:
        yield f"  editor's note, never printed: {entry.editor_note}"
    yield from (f"  {_from_elsewhere(note)}" for note in entry.foreign_notes)
    for analogue in entry.analogues:
        words, _ = wording.part("analogue", analogue)
        yield f"  elsewhere: {words}"
    for figure in entry.figures:
        words, _ = wording.part("figure", figure)
        yield f"  picture {figure.image_id}: {words}"


def _term_line(term: Term, article: Article) -> str:
    closed = (getattr(term, field.name) for field in _CLOSED)
    grammar = ", ".join(filter(None, (*(str(value) for value in closed if value is not None), term.region)))
    pronunciation = f" /{term.pronunciation}/" if term.pronunciation else ""
    tag = f" ({term.printed_language})" if term.printed_language else ""
    printed = f", printed {term.printed}{tag}" if term.printed else ""
    forms = "".join(f", {f.label} {f.text}" for f in term.forms)
    evidence = article.names[term.id].words
    name = f"{term.language}  {term.text}{pronunciation}"
    return f"  {name}  {grammar}{forms}{printed} [{term.origin.alone}; {evidence}]"


def _slip(slip: Slip, library: Library) -> str:
    """Return the quotation with its place and the details of the slip."""
    there = f"name {slip.presence.words}" if slip.presence else ""
    details = (
        slip.kind.alone,
        slip.certainty.alone,
        there,
        slip.name and f"as “{slip.name}”",
        slip.place and f"at {slip.place}",
        slip.joined_to and f"one witness with {slip.joined_to}",
        "a separate witness" if slip.apart else "",
        slip.image_id and f"picture {slip.image_id}",
        slip.note and f"note: {slip.note}",
    )
    return f"{slip.id}  “{slip.text}” ({_where(slip, library)}) [{'; '.join(filter(None, details))}]"


def _trial(trial: Trial, library: Library) -> str:
    """Return what was tried, how it went, and whether anyone was hurt."""
    codes = {code.id: code.name for code in library.codes}
    details = (
        trial.outcome.value,
        trial.change,
        trial.place and f"at {trial.place}",
        trial.people and f"by {trial.people}",
        trial.code_id and f"under {codes.get(trial.code_id, trial.code_id)}",
        trial.holds and f"holds: {trial.holds}",
        trial.done and f"done: {trial.done}",
        trial.safety,
        trial.injuries or "injuries not stated",
        f"pictures: {', '.join(trial.image_ids)}" if trial.image_ids else "",
    )
    return f"tried {trial.date}: {'; '.join(filter(None, details))}"


def _reading(reading: Signature) -> str:
    if reading.signed:
        return _signed(reading.by, reading.on)
    return f"open; {statement_text(reading.reopened)}" if reading.reopened else "open"


def _signed(by: str, on: str) -> str:
    return ", ".join(filter(None, (by, on))) or "not stated"


def _label(source_id: str, library: Library) -> str:
    source = library.sources.get(source_id)
    return source.label if source else source_id


def _from(source_id: str, library: Library) -> str:
    return f" ({_label(source_id, library)})" if source_id else ""


def _where(slip: Slip, library: Library) -> str:
    date = library.date_of(slip)
    when = edtf.readable(edtf.parse(date)) if date else "undated"
    return ", ".join(filter(None, (library.sources[slip.source_id].label, locator(slip), when)))


def _cited(reason: Reason) -> str:
    """Return the clauses with their sources, and the basis of the attribute."""
    law = ", ".join(reason.clauses) and f"clause {', '.join(reason.clauses)}"
    rests = f"{reason.basis} {reason.ref}".strip() if reason.basis else ""
    cited = "; ".join(filter(None, (law, *reason.sources, rests)))
    return f" [{cited}]" if cited else ""
