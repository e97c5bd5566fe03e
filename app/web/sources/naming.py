"""Suggesting the name that a slip is evidence for, from any typed form."""

from dataclasses import dataclass

from termbase.lookup import completing
from termbase.record.entries import Entry, heads
from termbase.search import finding
from termbase.search import hits as lookup_hits
from termbase.store.reading import Reader

__all__ = ["Offer", "offer_of", "offers"]

OFFERED = 9
"""As many as there are digit keys."""


@dataclass(frozen=True)
class Offer:
    """A suggested name: the term, its entry and heads, and why it is suggested."""

    term_id: str
    text: str
    language: str
    entry_id: str
    heads: tuple[tuple[str, str], ...]
    said: str


def offers(reader: Reader, typed: str, chosen: str = "") -> tuple[Offer, ...]:
    """Return names that the typed text may mean, nearest first; the chosen one before all others.

    Includes names that begin with it and names that it may be a form of (mutated, inflected, in old print).
    """
    hits: list[lookup_hits.Hit] = []
    if typed.strip():
        hits = [
            *finding.find(reader, typed, limit=OFFERED),
            *completing.complete(reader, typed, limit=OFFERED),
        ]
    result = {hit.term_id: hit.said for hit in hits if hit.term_id != chosen}
    by_term = {hit.term_id: hit for hit in hits}
    first = [own] if chosen and (own := offer_of(reader, chosen)) else []
    names = [by_term[term_id] for term_id in result][:OFFERED]
    entries = reader.many(Entry, (hit.entry_id for hit in names))
    return (*first, *(_offer(hit, entries) for hit in names if hit.entry_id in entries))


def offer_of(reader: Reader, term_id: str) -> Offer | None:
    """Return a term as an offer; None if there is no such term."""
    entry = reader.find(Entry, reader.entry_of_term(term_id)) if term_id else None
    term = next((t for t in entry.terms if t.id == term_id), None) if entry else None
    if entry is None or term is None:
        return None
    return Offer(term.id, term.text, term.language, entry.id, _heads(entry, term.text), "")


def _offer(hit: lookup_hits.Hit, entries: dict[str, Entry]) -> Offer:
    others = _heads(entries[hit.entry_id], hit.text)
    return Offer(hit.term_id, hit.text, hit.language, hit.entry_id, others, hit.said)


def _heads(entry: Entry, but: str) -> tuple[tuple[str, str], ...]:
    return tuple((t.text, t.language) for t in heads(entry).values() if t.text != but)
