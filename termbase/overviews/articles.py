"""An entry with everything that belongs to it, as needed for screens, print and export.

Screens, print and exchange formats all read `Article`, so a name, a quotation or a verdict is assembled in
one place only.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from termbase.evidence.scales import (
    Evidence,
    NameEvidence,
    evidence_of,
    known_origin,
    mechanic_evidence,
    practice_evidence,
)
from termbase.evidence.witnesses import Witness, attestation
from termbase.judging.verdict import Verdict
from termbase.record.entries import Entry, Origin, RelationKind, Ruling, Term, head, heads, names_for_rules
from termbase.record.pages import Line
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store.reading import Reader
from termbase.store.verdicts import judge_cached

__all__ = ["Article", "Judged", "Library", "Related"]


@dataclass(frozen=True)
class Judged:
    """The verdict on a technique under one rule code, and the editor's ruling over it, if any.

    Attributes:
        code: the rule code.
        verdict: the verdict.
        ruling: the editor's ruling, if any.
    """

    code: RuleCode
    verdict: Verdict
    ruling: Ruling | None


@dataclass(frozen=True)
class Related:
    """A relation as read from this entry.

    Attributes:
        kind: how the other entry relates to this one: `narrower`.
        entry_id: id of the other entry.
        heads: head names of the other entry, one for each language.
    """

    kind: str
    entry_id: str
    heads: tuple[Term, ...]


@dataclass(frozen=True)
class Article:
    """One entry with everything that belongs to it.

    Attributes:
        entry: the entry.
        slips: its slips, by term id.
        trials: its trials.
        lines: the word-list lines that led to it.
        related: its relations, also those that start at the other entry.
        judged: its verdicts, one for each rule code.
        names: the evidence of each name, by term id.
        dated: the independent witnesses of each name, of any kind, earliest first, by term id; those that
            prove use are in `names`.
        mechanic: the evidence for how the technique works.
        practice: the evidence from trials.
    """

    entry: Entry
    slips: dict[str, tuple[Slip, ...]]
    trials: tuple[Trial, ...]
    lines: tuple[Line, ...]
    related: tuple[Related, ...]
    judged: tuple[Judged, ...]
    names: dict[str, NameEvidence]
    dated: dict[str, tuple[Witness, ...]]
    mechanic: Evidence
    practice: Evidence

    def head(self, language: str) -> Term | None:
        """Return the head term of the entry in a language."""
        return head(self.entry, language)

    def origin(self, term: Term) -> Origin:
        """Return the origin of a name as far as its slips show it, for publications."""
        return known_origin(term, self.slips.get(term.id, ()))


class Library:
    """Loads articles, and what they share: termbase, sources and rule codes."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self.termbase: Termbase = reader.termbase()
        self.sources: dict[str, Source] = {s.id: s for s in reader.all(Source)}
        self.codes: tuple[RuleCode, ...] = reader.all(RuleCode)
        self._issued = {s.id: s.issued for s in self.sources.values()}

    def date_of(self, slip: Slip) -> str:
        """Return the EDTF date of a slip: its own, else its source's."""
        return slip.date or self._issued.get(slip.source_id, "")

    def article(self, entry_id: str) -> Article:
        """Return the article of an entry, or of the one it was merged into.

        Raises:
            NotFound: there is no such entry.
        """
        return next(self.of([self.reader.get(Entry, self.reader.current_id(entry_id))]))

    def articles(self, ids: Sequence[str] | None = None) -> Iterator[Article]:
        """Yield articles in the order of `ids`, or of creation; read in batches, so memory stays flat."""
        for batch in self.reader.entries(ids):
            yield from self.of(batch)

    def of(self, entries: Iterable[Entry]) -> Iterator[Article]:
        """Yield the articles of these entries, in order."""
        batch = tuple(entries)
        slips = self.reader.slips_of(batch)
        trials = self.reader.by_entry(Trial, batch)
        lines = self.reader.lines_of(batch)
        incoming = self.reader.incoming(batch)
        others = {r.target_id for e in batch for r in e.relations} | {
            i for t in incoming.values() for _, i in t
        }
        names = {i: tuple(heads(e).values()) for i, e in self.reader.many(Entry, others).items()}
        for entry in batch:
            entry_slips = {t.id: slips.get(t.id, ()) for t in entry.terms}
            entry_trials = trials.get(entry.id, ())
            attestations = {t.id: attestation(t, entry_slips[t.id], self._issued) for t in entry.terms}
            witnesses = tuple(w for a in attestations.values() for w in a.all)
            yield Article(
                entry=entry,
                slips=entry_slips,
                trials=entry_trials,
                lines=lines.get(entry.id, ()),
                related=_related(entry, incoming.get(entry.id, ()), names),
                judged=self._judged(entry),
                names={i: evidence_of(a) for i, a in attestations.items()},
                dated={i: a.all for i, a in attestations.items()},
                mechanic=mechanic_evidence(entry.technique, len(entry.figures), witnesses),
                practice=practice_evidence(entry_trials),
            )

    def _judged(self, entry: Entry) -> tuple[Judged, ...]:
        if entry.technique is None:
            return ()
        rulings = {r.code_id: r for r in entry.rulings}
        names = names_for_rules(entry)
        return tuple(
            Judged(c, judge_cached(entry.technique, c, names), rulings.get(c.id)) for c in self.codes
        )


def _related(
    entry: Entry, incoming: Iterable[tuple[RelationKind, str]], names: dict[str, tuple[Term, ...]]
) -> tuple[Related, ...]:
    relations = [Related(r.kind.value, r.target_id, names.get(r.target_id, ())) for r in entry.relations]
    seen = {(r.kind, r.entry_id) for r in relations}
    inverse = [Related(kind.inverse, i, names.get(i, ())) for kind, i in incoming]
    return (*relations, *(r for r in inverse if (r.kind, r.entry_id) not in seen))
