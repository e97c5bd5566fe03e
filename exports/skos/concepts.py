"""One entry as SKOS: concept, labels (SKOS-XL), definitions, relations, quotations (PROV), verdicts.

How the record is mapped, so that the integrity conditions of the SKOS Reference always hold:

- preferred name (else the head of its language): prefLabel, one per language (S14); other names: altLabel;
  deprecated and superseded ones: hiddenLabel, which is only for searching. A text that already exists in its
  language is not repeated (S13): the additional name is linked to the first by xl:labelRelation.
- broader: skos:broader. See also: skos:related, unless one of the two is already above the other (S27); then
  it is rdfs:seeAlso. The other relations are our own, and not subproperties of skos:related.
- a quotation is a prov:Entity with its words as prov:value, quoted from its source; the label that it bears
  witness to is derived from it. The editor's own notes and trials are left out, since they name people.

`Hierarchy` holds the broader entries of the exported entries, a few bytes per entry.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from rdflib import RDF, RDFS, Literal, URIRef
from rdflib.namespace import DCTERMS, PROV, SKOS

from exports.skos.statements import Triple
from exports.skos.vocabulary import EDTF, OF_NAMES, SKOSXL, Addresses, text
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Entry, RelationKind, Status, Term, heads
from termbase.record.foreign_notes import only_accepted
from termbase.record.sources import Slip, locator
from termbase.store.links import BroaderLinks, read_broader
from termbase.store.reading import Reader
from termbase.technique.words import describe

__all__ = ["Hierarchy", "concept_triples"]


class Hierarchy:
    """The broader entries of each entry.

    A relation that would close a circle is left out and reported, so that the result is always a hierarchy.

    Args:
        broader: ids of the entries directly above each.
        ids: the entries included; relations to any other entry are left out.

    Attributes:
        left_out: the relations that would have closed a circle: the entry, and the one named as broader.
    """

    def __init__(self, broader: Mapping[str, Sequence[str]], ids: Collection[str]) -> None:
        self._ids = frozenset(ids)
        self._links = BroaderLinks()
        self.left_out: list[tuple[str, str]] = []
        for entry_id, above in broader.items():
            if entry_id not in self._ids:
                continue
            for other in dict.fromkeys(above):
                if other not in self._ids:
                    continue
                if self._links.closes(entry_id, other):
                    self.left_out.append((entry_id, other))
                else:
                    self._links.add(entry_id, other)

    @classmethod
    def read(cls, reader: Reader, ids: Collection[str]) -> "Hierarchy":
        """Return the hierarchy of these entries."""
        return cls(read_broader(reader), ids)

    def has(self, entry_id: str) -> bool:
        """Return whether the entry is one of those included."""
        return entry_id in self._ids

    def broader(self, entry_id: str) -> tuple[str, ...]:
        """Return the entries directly above."""
        return self._links.above(entry_id)

    def one_above_other(self, one: str, other: str) -> bool:
        """Return whether one of two entries is above the other, at any distance."""
        return self._links.is_above(one, other) or self._links.is_above(other, one)


_HIDDEN: Final = (Status.DEPRECATED, Status.SUPERSEDED)
_OWN_RELATIONS: Final = {
    RelationKind.COUNTER_TO: "counterTo",
    RelationKind.FOLLOWS: "follows",
    RelationKind.CONTRASTS: "contrastsWith",
}


def concept_triples(
    article: Article, library: Library, addresses: Addresses, hierarchy: Hierarchy
) -> Iterator[Triple]:
    """Yield all statements about one entry."""
    entry = article.entry
    concept = addresses.of(entry.id)
    yield concept, RDF.type, SKOS.Concept
    yield concept, SKOS.inScheme, addresses.scheme
    yield concept, SKOS.notation, text(entry.id)
    yield from _facts(article, library, concept, addresses)
    yield from _labels(article, concept, addresses)
    yield from _definitions(entry, concept, addresses)
    yield from _relations(entry, concept, addresses, hierarchy)
    for slips in article.slips.values():
        for slip in slips:
            yield from _quotation(slip, library, addresses)


def _facts(article: Article, library: Library, concept: URIRef, addresses: Addresses) -> Iterator[Triple]:
    entry = article.entry
    working = library.termbase.working_language
    if entry.topic:
        yield concept, addresses.own("topic"), text(entry.topic.value, "en")
    if entry.usage_note:
        yield concept, SKOS.scopeNote, text(entry.usage_note, working)
    for note in only_accepted(entry.foreign_notes):
        yield concept, SKOS.note, text(note.words(), note.text_language or note.language or working)
    yield concept, addresses.own("ready"), Literal(entry.ready)
    for evidence in (article.mechanic, article.practice):
        yield concept, addresses.own("evidence"), text(str(evidence.words), "en")
    for name, date in ((DCTERMS.created, entry.created_on), (DCTERMS.modified, entry.changed_on)):
        if date:
            yield concept, name, text(date)
    for analogue in entry.analogues:
        words = f"{analogue.name} ({analogue.style})" if analogue.style else analogue.name
        yield concept, addresses.own("analogue"), text(words, analogue.language)
    if entry.technique is not None and (description := describe(entry.technique)):
        yield concept, addresses.own("technique"), text(description, "en")
    for judged in article.judged:
        verdict = f"{judged.code.name}: {judged.verdict.word}"
        yield concept, addresses.own("verdict"), text(verdict, "en")
        if judged.ruling:
            decision = judged.ruling
            signed = ", ".join(filter(None, (decision.by, decision.on)))
            ruling = f"{judged.code.name}: {decision.verdict}, by {signed}: {decision.reason}"
            yield concept, addresses.own("ruling"), text(ruling, "en")


def _labels(article: Article, concept: URIRef, addresses: Addresses) -> Iterator[Triple]:
    entry = article.entry
    preferred = {term.id for term in heads(entry).values()}
    ranked = sorted(entry.terms, key=lambda t: (t.id not in preferred, t.status in _HIDDEN))
    labels: dict[tuple[str, str | None], URIRef] = {}
    has_preferred: set[str | None] = set()
    for term in ranked:
        label = addresses.of(term.id)
        form = text(term.text, term.language)
        key = (str(form), form.language)
        yield label, RDF.type, SKOSXL.Label
        yield label, SKOSXL.literalForm, form
        yield from _of_label(article, term, label, addresses)
        if key in labels:
            yield labels[key], SKOSXL.labelRelation, label
            continue
        labels[key] = label
        kind = "hiddenLabel" if term.status in _HIDDEN else "altLabel"
        if term.id in preferred and form.language not in has_preferred:
            kind = "prefLabel"
            has_preferred.add(form.language)
        yield concept, SKOS[kind], form
        yield concept, SKOSXL[kind], label


def _of_label(article: Article, term: Term, label: URIRef, addresses: Addresses) -> Iterator[Triple]:
    for field, name in OF_NAMES.items():
        value = article.origin(term) if field == "origin" else getattr(term, field)
        if value:
            yield label, addresses.own(name), text(str(value))
    for form in term.forms:
        yield label, addresses.own("inflectedForm"), text(f"{form.label}: {form.text}", term.language)
    if term.printed:
        yield label, addresses.own("asPrinted"), text(term.printed, term.printed_language or term.language)
    if term.usage_note:
        yield label, RDFS.comment, text(term.usage_note)
    for note in only_accepted(term.foreign_notes):
        yield label, RDFS.comment, text(note.words(), note.text_language)
    yield label, addresses.own("evidence"), text(str(article.names[term.id].words), "en")
    for slip in article.slips[term.id]:
        yield label, PROV.wasDerivedFrom, addresses.of(slip.id)


def _definitions(entry: Entry, concept: URIRef, addresses: Addresses) -> Iterator[Triple]:
    for number, definition in enumerate(entry.definitions, 1):
        value = text(definition.text, definition.language)
        if not definition.source_id:
            yield concept, SKOS.definition, value
            continue
        # SKOS Primer 4.2: documentation as a resource, so that it can have a source
        node = addresses.of(entry.id, f"definition{number}")
        yield concept, SKOS.definition, node
        yield node, RDF.value, value
        yield node, DCTERMS.source, addresses.of(definition.source_id)


def _relations(entry: Entry, concept: URIRef, addresses: Addresses, hierarchy: Hierarchy) -> Iterator[Triple]:
    for broader in hierarchy.broader(entry.id):
        yield concept, SKOS.broader, addresses.of(broader)
    if not hierarchy.broader(entry.id):
        yield concept, SKOS.topConceptOf, addresses.scheme
    for relation in entry.relations:
        if relation.kind is RelationKind.BROADER or not hierarchy.has(relation.target_id):
            continue
        other = addresses.of(relation.target_id)
        if relation.kind is not RelationKind.SEE_ALSO:
            yield concept, addresses.own(_OWN_RELATIONS[relation.kind]), other
        elif hierarchy.one_above_other(entry.id, relation.target_id):
            yield concept, RDFS.seeAlso, other
        else:
            yield concept, SKOS.related, other


def _quotation(slip: Slip, library: Library, addresses: Addresses) -> Iterator[Triple]:
    quotation = addresses.of(slip.id)
    source = library.sources.get(slip.source_id)
    yield quotation, RDF.type, PROV.Entity
    yield quotation, PROV.value, text(slip.text, source.language if source else "")
    yield quotation, PROV.wasQuotedFrom, addresses.of(slip.source_id)
    for name, value in (("name", slip.name), ("locator", locator(slip)), ("kind", slip.kind.value),
                        ("certainty", slip.certainty.value), ("presence", slip.presence.value)):  # fmt: skip
        if value:
            yield quotation, addresses.own(name), text(value)
    if date := library.date_of(slip):
        yield quotation, DCTERMS.date, Literal(date, datatype=EDTF)
    if slip.place:
        yield quotation, PROV.atLocation, addresses.of(slip.id, "place")
        yield addresses.of(slip.id, "place"), RDFS.label, text(slip.place)
