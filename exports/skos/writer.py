"""Writing a termbase as linked data, a few entries at a time: memory stays flat however many there are."""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Final, Literal, TextIO

from rdflib import RDF, RDFS, Graph
from rdflib import Literal as RdfLiteral
from rdflib.namespace import DCTERMS, PROV, SKOS
from sqlalchemy import func, select

from exports.placing import placed
from exports.skos.concepts import Triple, concept_triples
from exports.skos.hierarchy import Hierarchy
from exports.skos.vocabulary import DEFAULT_BASE, EDTF, Addresses, text
from exports.tbx.escaping import web_address
from termbase.articles import Library
from termbase.people import CAUTIONS
from termbase.redirects import Redirect
from termbase.sources import Source
from termbase.store import schema

__all__ = ["FORMATS", "FormatName", "SkosReport", "graph_at", "write_skos", "write_turtle"]

FormatName = Literal["turtle", "json-ld"]
FORMATS: Final[dict[FormatName, str]] = {"turtle": ".ttl", "json-ld": ".jsonld"}
"""The formats, with the endings of their files."""
_BATCH: Final = 100


@dataclass(frozen=True)
class SkosReport:
    """What was written: concepts, and triples in all."""

    concepts: int
    triples: int
    base: str


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
        path: where the file shall be.
        format_name: Turtle or JSON-LD.
        base: the address that the termbase is published under.
        ids: the entries, in this order; all of them if None.
        on_progress: told from time to time how many entries are done, of how many.

    Raises:
        BadInput: the base is no address.
        OSError: it cannot be written there.
    """
    addresses = Addresses.at(base)
    if ids is None:
        table = schema.entry
        order = (func.length(table.c.id), table.c.id)
        ids = list(library.reader.connection.scalars(select(table.c.id).order_by(*order)))
    wanted = tuple(dict.fromkeys(ids))
    graphs = _graphs(library, addresses, wanted, on_progress)
    with placed(path) as unfinished, unfinished.open("x", encoding="utf-8", newline="\n") as file:
        write = write_turtle if format_name == "turtle" else _write_json_ld
        triples = write(file, graphs, addresses)
    return SkosReport(len(wanted), triples, base)


def _graphs(
    library: Library,
    addresses: Addresses,
    ids: tuple[str, ...],
    on_progress: Callable[[int, int], None] | None,
) -> Iterator[Graph]:
    """The termbase and its sources, then the entries in batches."""
    yield graph_at(addresses, _scheme(library, addresses))
    sources = iter(library.sources.values())
    while batch := tuple(islice(sources, _BATCH)):
        yield graph_at(addresses, (t for source in batch for t in _source(source, addresses)))
    hierarchy = Hierarchy.read(library.reader, ids)
    # An address that was given out once goes on leading somewhere: to the entry that the old one became.
    replaced = (r for r in library.reader.all(Redirect) if hierarchy.has(r.target_id))
    yield graph_at(
        addresses,
        ((addresses.of(r.id), DCTERMS.isReplacedBy, addresses.of(r.target_id)) for r in replaced),
    )
    articles = library.articles(ids)
    done = 0
    while these := tuple(islice(articles, _BATCH)):
        triples = (t for article in these for t in concept_triples(article, library, addresses, hierarchy))
        yield graph_at(addresses, triples)
        done += len(these)
        if on_progress:
            on_progress(done, len(ids))


def graph_at(addresses: Addresses, triples: Iterable[Triple]) -> Graph:
    """A graph of these triples, with the prefixes of their vocabularies."""
    graph = addresses.bind(Graph(bind_namespaces="none"))
    for triple in triples:
        graph.add(triple)
    return graph


def _scheme(library: Library, addresses: Addresses) -> Iterator[Triple]:
    termbase, scheme = library.termbase, addresses.scheme
    working = termbase.working_language
    yield scheme, RDF.type, SKOS.ConceptScheme
    yield scheme, DCTERMS.title, text(termbase.title, working)
    for tag in library.languages():
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
        (DCTERMS.language, source.language),
    ):  # fmt: skip
        if value:
            yield subject, name, text(value)
    if source.issued:
        yield subject, DCTERMS.issued, RdfLiteral(source.issued, datatype=EDTF)
    if web_address(source.url):
        yield subject, RDFS.seeAlso, text(source.url)


def write_turtle(file: TextIO, graphs: Iterable[Graph], addresses: Addresses) -> int:
    """Each graph by rdflib, under prefixes that are declared once."""
    for prefix, namespace in addresses.prefixes().items():
        file.write(f"@prefix {prefix}: <{namespace}> .\n")
    triples = 0
    for graph in graphs:
        triples += len(graph)
        lines = graph.serialize(format="turtle").split("\n")
        own = next((n for n, line in enumerate(lines) if not line.startswith("@prefix ")), len(lines))
        file.write("\n".join(lines[own:]))
    return triples


def _write_json_ld(file: TextIO, graphs: Iterable[Graph], addresses: Addresses) -> int:
    """Each graph by rdflib, as members of one list under one context."""
    context = addresses.prefixes()
    file.write(f'{{"@context": {json.dumps(context)},\n"@graph": [')
    triples, first = 0, True
    for graph in graphs:
        triples += len(graph)
        found = json.loads(graph.serialize(format="json-ld", context=context, sort_keys=True))
        alone = {k: v for k, v in found.items() if k not in ("@context", "@graph")}
        nodes = found.get("@graph") or ([alone] if alone else [])
        for node in nodes:
            file.write(("\n" if first else ",\n") + json.dumps(node, ensure_ascii=False))
            first = False
    file.write("\n]}\n")
    return triples
