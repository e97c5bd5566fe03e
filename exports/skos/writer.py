"""Writing a termbase as linked data, a few entries at a time, so that memory use stays flat."""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Final, Literal, TextIO

from rdflib import RDF, RDFS
from rdflib import Literal as RdfLiteral
from rdflib.namespace import DCTERMS, PROV, SKOS
from sqlalchemy import func, select

from exports.field_labels import label_of
from exports.files import atomic_write
from exports.losses import LeftOut, Loss, loss_sentences
from exports.skos.concepts import Hierarchy, concept_triples
from exports.skos.statements import LEFT_OUT, Names, Triple, json_ld_nodes, turtle_pieces
from exports.skos.vocabulary import DEFAULT_BASE, EDTF, Addresses, text
from exports.tbx.xmltext import web_address
from termbase.messages import joined, message, message_of_number
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Entry, Redirect
from termbase.record.foreign_notes import only_accepted
from termbase.record.people import CAUTIONS
from termbase.record.sources import Source
from termbase.store import tables
from termbase.store.batches import batched

__all__ = ["FormatName", "SkosReport", "check_base", "write_skos", "write_turtle"]

FormatName = Literal["turtle", "json-ld"]
_BATCH: Final = 100


@dataclass(frozen=True)
class SkosReport:
    """What was written; plain data, ready for JSON.

    Attributes:
        concepts, triples: how many.
        base: the address where the termbase is published.
        left_out_notes: notes from elsewhere that nobody has accepted.
        left_out_broader: relations that would have closed a circle of broader entries, which SKOS does not
            allow: the entry, and the one that it calls broader.
        left_out: fields and parts of the entries written that are not in the file, with the reason.
    """

    concepts: int
    triples: int
    base: str
    left_out_broader: tuple[tuple[str, str], ...] = ()
    left_out_notes: int = 0
    left_out: tuple[Loss, ...] = ()

    def readable(self) -> tuple[str, ...]:
        """Return what was written, what is not in the file, and why."""
        concepts = message_of_number("%(n)s concept", "%(n)s concepts", self.concepts)
        triples = message_of_number("%(n)s triple.", "%(n)s triples.", self.triples)
        return (joined((concepts, triples), ", "), *self.warnings())

    def warnings(self) -> tuple[str, ...]:
        """Return what is not in the file, and why."""
        notes = message(
            "Left out: notes from elsewhere that nobody has accepted: %(number)s.", number=self.left_out_notes
        )
        circles = (
            message(
                "Left out, because it would make a circle of broader entries: %(entry)s, broader: %(other)s.",
                entry=entry,
                other=other,
            )
            for entry, other in self.left_out_broader
        )
        return (*((notes,) if self.left_out_notes else ()), *circles, *loss_sentences(self.left_out))


def check_base(library: Library, *, base: str = DEFAULT_BASE, **_: object) -> None:
    """Check the address where a termbase is to be published.

    Raises:
        BadInput: it is not an address.
    """
    Addresses.at(base)


def write_skos(
    library: Library,
    path: Path,
    format_name: FormatName = "turtle",
    *,
    base: str = DEFAULT_BASE,
    ids: Sequence[str] | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> SkosReport:
    """Write a termbase as SKOS.

    Args:
        library: the articles.
        path: path of the file.
        format_name: Turtle or JSON-LD.
        base: the address where the termbase is published.
        ids: the entries, in this order; all if None.
        on_progress: called regularly with the number of entries done, and the total.

    Raises:
        BadInput: the base is not an address.
        OSError: it cannot be written there.
    """
    addresses = Addresses.at(base)
    if ids is None:
        table = tables.entry
        order = (func.length(table.c.id), table.c.id)
        ids = list(library.reader.connection.scalars(select(table.c.id).order_by(*order)))
    wanted = tuple(dict.fromkeys(ids))
    hierarchy = Hierarchy.read(library.reader, wanted)
    counts = _Counts(on_progress)
    batches = _batches(library, addresses, hierarchy, wanted, counts)
    with atomic_write(path) as unfinished, unfinished.open("x", encoding="utf-8", newline="\n") as file:
        write = write_turtle if format_name == "turtle" else _write_json_ld
        triples = write(file, batches, addresses)
    circles, losses = tuple(hierarchy.left_out), counts.left_out.losses(label_of)
    return SkosReport(len(wanted), triples, base, circles, counts.unaccepted, losses)


class _Counts:
    """Counts what is left out of the entries as they are written.

    Attributes:
        unaccepted: notes from elsewhere that nobody has accepted.
        left_out: what the file cannot include.
    """

    def __init__(self, on_progress: Callable[[int, int], None] | None) -> None:
        self.unaccepted = 0
        self.left_out = LeftOut(LEFT_OUT)
        self._on_progress = on_progress
        self._done = 0

    def see(self, articles: Sequence[Article], total: int) -> None:
        """Count a batch, and report how many entries are done."""
        for article in articles:
            self.unaccepted += _unaccepted(article.entry)
            self.left_out.see(article.entry, *chain.from_iterable(article.slips.values()), *article.trials)
        self._done += len(articles)
        if self._on_progress:
            self._on_progress(self._done, total)


def _batches(
    library: Library,
    addresses: Addresses,
    hierarchy: Hierarchy,
    ids: tuple[str, ...],
    counts: _Counts,
) -> Iterator[Iterable[Triple]]:
    """Yield the termbase and its sources, then the entries in batches."""
    yield _scheme(library, addresses)
    for batch in batched(library.sources.values(), _BATCH):
        yield [t for source in batch for t in _source(source, addresses)]
    # A published address keeps working: it leads to the entry into which the old one was merged.
    replaced = (r for r in library.reader.all(Redirect) if hierarchy.has(r.target_id))
    yield [(addresses.of(r.id), DCTERMS.isReplacedBy, addresses.of(r.target_id)) for r in replaced]
    for these in batched(library.articles(ids), _BATCH):
        yield [t for article in these for t in concept_triples(article, library, addresses, hierarchy)]
        counts.see(these, len(ids))


def _unaccepted(entry: Entry) -> int:
    notes = (*entry.foreign_notes, *(note for term in entry.terms for note in term.foreign_notes))
    return len(notes) - len(only_accepted(notes))


def _scheme(library: Library, addresses: Addresses) -> Iterator[Triple]:
    termbase, scheme = library.termbase, addresses.scheme
    working = termbase.working_language
    yield scheme, RDF.type, SKOS.ConceptScheme
    yield scheme, DCTERMS.title, text(termbase.title, working)
    for tag in library.termbase.languages:
        yield scheme, DCTERMS.language, text(tag)
    if termbase.licence:
        yield scheme, DCTERMS.license, text(termbase.licence)
    if termbase.rights:
        yield scheme, DCTERMS.rights, text(termbase.rights)
    if termbase.notice:
        yield scheme, SKOS.editorialNote, text(termbase.notice)
    yield scheme, SKOS.note, text(CAUTIONS, "en")
    yield from addresses.meanings()


def _source(source: Source, addresses: Addresses) -> Iterator[Triple]:
    subject = addresses.of(source.id)
    yield subject, RDF.type, PROV.Entity
    yield subject, RDF.type, DCTERMS.BibliographicResource
    yield subject, RDFS.label, text(source.label)
    yield subject, DCTERMS.title, text(source.title, source.language)
    yield subject, addresses.own("kind"), text(source.kind.value)
    for name, value in (
        (DCTERMS.creator, source.author), (DCTERMS.contributor, source.editor),
        (DCTERMS.isPartOf, source.container), (DCTERMS.publisher, source.publisher),
        (DCTERMS.spatial, source.place), (DCTERMS.extent, source.pages), (DCTERMS.provenance, source.archive),
        (DCTERMS.identifier, source.shelfmark), (DCTERMS.rights, source.rights),
        (DCTERMS.language, source.language), (SKOS.note, source.note),
    ):  # fmt: skip
        if value:
            yield subject, name, text(value)
    for style in source.styles:
        yield subject, DCTERMS.subject, text(style)
    if source.issued:
        yield subject, DCTERMS.issued, RdfLiteral(source.issued, datatype=EDTF)
    if web_address(source.url):
        yield subject, RDFS.seeAlso, text(source.url)


def write_turtle(file: TextIO, batches: Iterable[Iterable[Triple]], addresses: Addresses) -> int:
    """Write statements as Turtle, with prefixes declared once; return how many."""
    for prefix, namespace in addresses.prefixes().items():
        file.write(f"@prefix {prefix}: <{namespace}> .\n")
    names, triples = Names(addresses.prefixes()), 0
    for batch in batches:
        for piece, number in turtle_pieces(batch, names):
            file.write(piece)
            triples += number
    return triples


def _write_json_ld(file: TextIO, batches: Iterable[Iterable[Triple]], addresses: Addresses) -> int:
    """Write statements as JSON-LD: members of one list under one context; return how many."""
    context = addresses.prefixes()
    file.write(f'{{"@context": {json.dumps(context)},\n"@graph": [')
    names, triples, first = Names(context), 0, True
    for batch in batches:
        for node, number in json_ld_nodes(batch, names):
            file.write(("\n" if first else ",\n") + json.dumps(node, ensure_ascii=False))
            triples, first = triples + number, False
    file.write("\n]}\n")
    return triples
