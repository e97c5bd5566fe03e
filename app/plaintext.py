"""An article and a verdict as plain text, for the terminal."""

from collections.abc import Iterator

from termbase import dates
from termbase.articles import Article, Judged, Library
from termbase.cautions import hurt_notices, own_cautions
from termbase.entries import Entry, Term
from termbase.foreignnotes import ForeignNote, heading
from termbase.judging import Change, Reason, say
from termbase.people import CAUTIONS
from termbase.proofing import name_of
from termbase.sources import Slip, locator

__all__ = ["article_text", "cautions_text", "verdict_text"]

_ORDER: dict[bool | None, int] = {False: 0, None: 1, True: 2}
_SIGN: dict[bool | None, str] = {False: "x", None: "?", True: "-"}


def article_text(article: Article, library: Library) -> str:
    """An entry as a dictionary article in plain text."""
    return "\n".join(_article_lines(article, library))


def verdict_text(judged: Judged, *, full: bool, change: Change | None = None) -> str:
    """A verdict in a line; with its reasons when `full`: what is broken (x), met (-) or not known (?), the
    grips to change and the smallest change that would turn it (>), and what to find out (!)."""
    left = " (done left-handed only)" if judged.verdict.left_handed else ""
    lines = [f"  {judged.code.name}: {judged.verdict.word}{left}"]
    if full:
        ranked = sorted(judged.verdict.reasons, key=lambda reason: _ORDER[reason.truth])
        lines += [f"    {_SIGN[reason.truth]} {say(reason)}{_cited(reason)}" for reason in ranked]
        lines += [f"    > {say(grip)}" for grip in judged.verdict.grips]
        lines += [f"    > {say(change)}"] if change else []
        lines += [f"    ! {say(gap)}" for gap in judged.verdict.missing]
    if judged.ruling:
        ruling = judged.ruling
        lines.append(f"    Ruling by {ruling.by}, {ruling.on}: {ruling.verdict}. {ruling.reason}")
    return "\n".join(lines)


def cautions_text(entry: Entry) -> list[str]:
    """The cautions that go with a technique, line by line."""
    return [f"  {line}" for line in (CAUTIONS, *own_cautions(entry.topic, entry.technique))]


def _from_elsewhere(note: ForeignNote) -> str:
    """A note from elsewhere, marked as what it is."""
    state = f"accepted by {note.accepted_by}" if note.accepted else "not accepted for printing"
    return f"[{heading(note)}; {state}] {note.words()}"


def _article_lines(article: Article, library: Library) -> Iterator[str]:
    entry = article.entry
    if library.termbase.notice:
        yield f"[{library.termbase.notice}]"
    topic = entry.topic.value if entry.topic else "no topic"
    yield f"{entry.id}  {name_of(article, library)}  ({topic}; {'ready' if entry.ready else 'draft'})"
    for definition in entry.definitions:
        yield f"  {definition.language}: {definition.text}"
    for term in entry.terms:
        yield _term_line(term, article)
        for slip in article.slips[term.id]:
            yield f"      “{slip.text}” ({_where(slip, library)})"
        yield from (f"      {_from_elsewhere(note)}" for note in term.foreign_notes)
    yield from (f"  {_from_elsewhere(note)}" for note in entry.foreign_notes)
    for related in article.related:
        heads = ", ".join(t.text for t in related.heads)
        yield f"  {related.kind}: {related.entry_id} {heads}"
    yield f"  mechanic: {article.mechanic.words}; practice: {article.practice.words}"
    for notice in hurt_notices(article.trials):
        yield f"  {notice}"
    if entry.technique is not None:
        yield from cautions_text(entry)
    for trial in article.trials:
        told = (trial.outcome.value, trial.change, trial.safety, trial.injuries or "injuries not stated")
        yield f"  tried {trial.date}: {'; '.join(filter(None, told))}"
    for judged in article.judged:
        yield verdict_text(judged, full=True)


def _term_line(term: Term, article: Article) -> str:
    closed = (term.part_of_speech, term.gender, term.number, term.status)
    grammar = ", ".join(str(value) for value in closed if value is not None)
    printed = f", printed {term.printed}" if term.printed else ""
    forms = "".join(f", {f.label} {f.text}" for f in term.forms)
    evidence = article.names[term.id].words
    return f"  {term.language}  {term.text}  {grammar}{forms}{printed} [{term.origin.alone}; {evidence}]"


def _where(slip: Slip, library: Library) -> str:
    date = library.date_of(slip)
    told = dates.readable(dates.parse(date)) if date else "undated"
    return ", ".join(filter(None, (library.sources[slip.source_id].label, locator(slip), told)))


def _cited(reason: Reason) -> str:
    """The clauses with their sources, and what the attribute rests on."""
    law = ", ".join(reason.clauses) and f"clause {', '.join(reason.clauses)}"
    rests = f"{reason.basis} {reason.ref}".strip() if reason.basis else ""
    cited = "; ".join(filter(None, (law, *reason.sources, rests)))
    return f" [{cited}]" if cited else ""
