"""An article and a verdict as plain text, for the terminal."""

from collections.abc import Iterator

from termbase.judging.saying import say

from termbase import dates
from termbase.articles import Article, Judged, Library
from termbase.entries import Term
from termbase.people import CAUTIONS
from termbase.proofing import name_of
from termbase.sources import Slip, locator

__all__ = ["article_text", "verdict_text"]


def article_text(article: Article, library: Library) -> str:
    """An entry as a dictionary article in plain text."""
    return "\n".join(_article_lines(article, library))


def verdict_text(judged: Judged, *, full: bool) -> str:
    """A verdict in a line; with its reasons when `full`."""
    lines = [f"  {judged.code.name}: {judged.verdict.word}"]
    if full:
        lines += [f"    - {say(reason)}{_cited(reason.sources)}" for reason in judged.verdict.reasons]
        lines += [f"    ? {say(gap)}" for gap in judged.verdict.missing]
    if judged.ruling:
        ruling = judged.ruling
        lines.append(f"    Ruling by {ruling.by}, {ruling.on}: {ruling.verdict}. {ruling.reason}")
    return "\n".join(lines)


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
    for related in article.related:
        heads = ", ".join(t.text for t in related.heads)
        yield f"  {related.kind}: {related.entry_id} {heads}"
    yield f"  mechanic: {article.mechanic.scale.value}; practice: {article.practice.scale.value}"
    for judged in article.judged:
        yield verdict_text(judged, full=True)
    if entry.technique is not None:
        yield f"  {CAUTIONS}"


def _term_line(term: Term, article: Article) -> str:
    closed = (term.part_of_speech, term.gender, term.number, term.status)
    grammar = ", ".join(str(value) for value in closed if value is not None)
    printed = f", printed {term.printed}" if term.printed else ""
    forms = "".join(f", {f.label} {f.text}" for f in term.forms)
    evidence = article.names[term.id].scale.value
    return f"  {term.language}  {term.text}  {grammar}{forms}{printed} [{term.origin.value}; {evidence}]"


def _where(slip: Slip, library: Library) -> str:
    date = library.date_of(slip)
    told = dates.readable(dates.parse(date)) if date else "undated"
    return ", ".join(filter(None, (library.sources[slip.source_id].label, locator(slip), told)))


def _cited(sources: tuple[str, ...]) -> str:
    return f" [{'; '.join(sources)}]" if sources else ""
