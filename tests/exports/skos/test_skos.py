"""Linked data: read back with rdflib, and checked against the integrity conditions of the SKOS Reference.

https://www.w3.org/TR/skos-reference/, conditions S9, S13, S14, S27, S37, S46; and appendix B for SKOS-XL.
"""

import json
from collections.abc import Iterable, Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rdflib import RDF, RDFS, Graph, Literal, URIRef
from rdflib.compare import isomorphic
from rdflib.namespace import DCTERMS, PROV, SKOS

from exports.skos.concepts import Hierarchy, concept_triples
from exports.skos.statements import Names, json_ld_nodes, turtle_pieces
from exports.skos.vocabulary import EDTF, SKOSXL, Addresses
from exports.skos.writer import write_skos, write_turtle
from termbase.acts import entries, merging
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, Origin, Relation, RelationKind, Status, Term
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store

BASE = "https://glossary.example/terms/"
AT = Addresses(BASE)
TERMBASE = Termbase(
    "Vale wrestling", working_language="en", vernaculars=("cy",), licence="CC-BY-4.0", notice="Invented."
)
LABELS = (SKOS.prefLabel, SKOS.altLabel, SKOS.hiddenLabel)


def closed(graph: Graph, *steps: URIRef) -> set[tuple[Any, Any]]:
    """The transitive closure of properties."""
    up: dict[Any, set[Any]] = {}
    for step in steps:
        for a, b in graph.subject_objects(step):
            up.setdefault(a, set()).add(b)
    result = set()
    for start in up:
        to_see, seen = [start], set()
        while to_see:
            for above in up.get(to_see.pop(), ()):
                if above not in seen:
                    seen.add(above)
                    to_see.append(above)
        result |= {(start, above) for above in seen}
    return result


def broken(graph: Graph) -> Iterator[str]:
    """The integrity conditions that a graph violates, after entailing labels from SKOS-XL (B.3.4.1)."""
    for kind, xl in zip(LABELS, (SKOSXL.prefLabel, SKOSXL.altLabel, SKOSXL.hiddenLabel), strict=True):
        for subject, label in list(graph.subject_objects(xl)):
            for form in graph.objects(label, SKOSXL.literalForm):
                graph.add((subject, kind, form))
    yield from _broken_types(graph)
    yield from _broken_labels(graph)
    yield from _broken_relations(graph)


def _broken_types(graph: Graph) -> Iterator[str]:
    def of(name: str) -> set[Any]:
        return set(graph.subjects(RDF.type, SKOS[name]))

    if of("ConceptScheme") & of("Concept"):
        yield "S9"
    if of("Collection") & (of("Concept") | of("ConceptScheme")):
        yield "S37"


def _broken_labels(graph: Graph) -> Iterator[str]:
    for each, other in combinations(LABELS, 2):
        if set(graph.subject_objects(each)) & set(graph.subject_objects(other)):
            yield "S13"
    for subject in set(graph.subjects(SKOS.prefLabel)):
        labels = [o for o in graph.objects(subject, SKOS.prefLabel) if isinstance(o, Literal)]
        languages = [str(label.language).lower() for label in labels]
        if len(languages) != len(set(languages)):
            yield "S14"
    for label in graph.subjects(RDF.type, SKOSXL.Label):
        if len(set(graph.objects(label, SKOSXL.literalForm))) != 1:
            yield "S52"  # a label has exactly one literal form


def _broken_relations(graph: Graph) -> Iterator[str]:
    above = closed(graph, SKOS.broader, SKOS.broaderTransitive)
    if any((a, b) in above or (b, a) in above for a, b in graph.subject_objects(SKOS.related)):
        yield "S27"
    if any(a == b for a, b in above):
        yield "a broader chain closes"
    exact = closed(graph, SKOS.exactMatch)
    if exact & {*graph.subject_objects(SKOS.broadMatch), *graph.subject_objects(SKOS.relatedMatch)}:
        yield "S46"


@pytest.mark.parametrize(
    ("turtle", "condition"),
    [
        ("<a> a skos:Concept, skos:ConceptScheme .", "S9"),
        ('<a> a skos:Concept ; skos:prefLabel "x"@en ; skos:altLabel "x"@en .', "S13"),
        ('<a> a skos:Concept ; skos:prefLabel "x"@en, "y"@en .', "S14"),
        ("<a> skos:broader <b> . <b> skos:broader <c> . <c> skos:related <a> .", "S27"),
        ("<a> a skos:Concept, skos:Collection .", "S37"),
        ("<a> skos:exactMatch <b> ; skos:relatedMatch <b> .", "S46"),
    ],
)
def test_the_checks_find_what_breaks_each_condition(turtle: str, condition: str) -> None:
    graph = Graph().parse(data=f"@prefix skos: <{SKOS}> . {turtle}", format="turtle", publicID=BASE)
    assert condition in set(broken(graph))


@pytest.fixture(scope="module")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    store = fill(str(tmp_path_factory.mktemp("demo") / "demo.sqlite"), load())
    yield store
    store.close()


def written(store: Store, folder: Path, format_name: Any = "turtle", **more: Any) -> Graph:
    path = folder / f"a.{format_name}"
    with store.read() as reader:
        write_skos(Library(reader), path, format_name, base=BASE, **more)
    return Graph().parse(path, format=format_name)


@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated")  # by rdflib, in its own reader
def test_the_demo_meets_every_condition_in_both_formats(demo_store: Store, tmp_path: Path) -> None:
    turtle = written(demo_store, tmp_path)
    assert isomorphic(turtle, written(demo_store, tmp_path, "json-ld"))
    with demo_store.read() as reader:
        library = Library(reader)
        entries = [entry for batch in reader.entries() for entry in batch]
        slips = [s for s in reader.all(Slip) if s.term_id]
    assert set(turtle.subjects(RDF.type, SKOS.Concept)) == {AT.of(e.id) for e in entries}
    assert len(set(turtle.subjects(RDF.type, SKOSXL.Label))) == sum(len(e.terms) for e in entries)
    assert len(set(turtle.subjects(PROV.wasQuotedFrom))) == len(slips)
    assert turtle.value(AT.scheme, DCTERMS.title) == Literal(library.termbase.title, lang="en")
    assert list(broken(turtle)) == []


def test_a_quotation_is_verbatim_with_source_and_date(demo_store: Store, tmp_path: Path) -> None:
    graph = written(demo_store, tmp_path)
    with demo_store.read() as reader:
        slip = next(s for s in reader.all(Slip) if s.term_id and s.date)
    quotation = AT.of(slip.id)
    assert str(graph.value(quotation, PROV.value)) == slip.text
    assert graph.value(quotation, PROV.wasQuotedFrom) == AT.of(slip.source_id)
    assert graph.value(quotation, DCTERMS.date) == Literal(slip.date, datatype=EDTF)
    assert (AT.of(slip.term_id), PROV.wasDerivedFrom, quotation) in graph


def test_a_selection_of_entries_refers_to_nothing_outside_it(demo_store: Store, tmp_path: Path) -> None:
    graph = written(demo_store, tmp_path, ids=["c0003", "c0001", "c0005"])
    concepts = set(graph.subjects(RDF.type, SKOS.Concept))
    assert len(concepts) == 3
    own = [AT.own(name) for name in ("counterTo", "follows", "contrastsWith")]
    for name in (SKOS.broader, SKOS.related, RDFS.seeAlso, *own):
        assert {o for o in graph.objects(None, name) if isinstance(o, URIRef)} <= concepts


@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated")  # by rdflib, in its own reader
def test_the_address_of_a_merged_entry_still_works(tmp_path: Path) -> None:
    with Store.create(str(tmp_path / "a.sqlite"), TERMBASE, by="Nia").act("Nia", "merged two") as act:
        first, other = (
            entries.save(act, Entry("", terms=(Term("", "bach", "cy", Origin.COINED),))) for _ in "ab"
        )
        merging.merge(act, first.id, other.id)
    for format_name in ("turtle", "json-ld"):
        graph = written(Store.open(str(tmp_path / "a.sqlite")), tmp_path, format_name)
        assert graph.value(AT.of(other.id), DCTERMS.isReplacedBy) == AT.of(first.id)


def test_private_notes_and_people_are_not_exported(demo_store: Store, tmp_path: Path) -> None:
    written(demo_store, tmp_path)
    text = (tmp_path / "a.turtle").read_text("utf-8")
    with demo_store.read() as reader:
        notes = [e.editor_note for batch in reader.entries() for e in batch if e.editor_note]
    assert notes
    assert not any(note in text for note in notes)


def test_our_own_properties_are_documented(demo_store: Store, tmp_path: Path) -> None:
    graph = written(demo_store, tmp_path)
    used = {p for p in graph.predicates() if str(p).startswith(f"{BASE}vocabulary#")}
    assert used
    assert all(graph.value(p, RDFS.comment) for p in used)


@pytest.mark.parametrize(
    "base", ["", "glossary", "https://x.example", "ftp://x/", "https://x.example/a b/", "https://x/#"]
)
def test_an_invalid_base_address_is_rejected(demo_store: Store, tmp_path: Path, base: str) -> None:
    with demo_store.read() as reader, pytest.raises(BadInput):
        write_skos(Library(reader), tmp_path / "a.ttl", base=base)
    assert list(tmp_path.iterdir()) == []


# ---- for any record

SOURCE = Source("s1", "Paper", SourceKind.NEWSPAPER, "The Paper")
IDS = ("c1", "c2", "c3", "c4")
WORDS = st.sampled_from(
    ["x", "y", "X", "é", "@prefix a: <b> .", 'a "b" \\ c\n\n@prefix x', "]}", "<&>", "\x0b", " "]
)
TAGS = st.sampled_from(["cy", "en", "ga-Latg", "GA-latg", "und"])
TERMS = st.lists(
    st.builds(
        Term, id=st.just(""), text=WORDS, language=TAGS, origin=st.sampled_from(Origin), usage_note=WORDS,
        status=st.one_of(st.none(), st.sampled_from(Status)), printed=WORDS,
    ),
    min_size=1, max_size=4,
)  # fmt: skip
RELATIONS = st.lists(
    st.builds(Relation, st.sampled_from(RelationKind), st.sampled_from((*IDS, "c9"))), max_size=4, unique=True
).map(tuple)
DEFINITIONS = st.lists(st.builds(Definition, TAGS, WORDS, st.sampled_from(["", "s1"])), max_size=2).map(tuple)


@st.composite
def records(draw: st.DrawFn) -> tuple[Entry, ...]:
    result = []
    for entry_id in IDS:
        terms = [Term(**term.__dict__ | {"id": f"t{entry_id}{n}"}) for n, term in enumerate(draw(TERMS))]
        result.append(
            Entry(entry_id, terms=tuple(terms), relations=draw(RELATIONS), definitions=draw(DEFINITIONS))
        )
    return tuple(result)


class MemoryReader:
    """The methods of a reader that `Library` uses, answered from entries."""

    def __init__(self, entries: tuple[Entry, ...]) -> None:
        self.found = entries

    def termbase(self) -> Termbase:
        return TERMBASE

    def all(self, cls: type) -> tuple[Any, ...]:
        return (SOURCE,) if cls is Source else ()

    def many(self, cls: type, ids: Iterable[str]) -> dict[str, Any]:
        return {e.id: e for e in self.found if e.id in set(ids)}

    def entries(self, ids: object = None) -> Iterator[tuple[Entry, ...]]:
        yield self.found

    def slips_of(self, entries: tuple[Entry, ...]) -> dict[str, tuple[Slip, ...]]:
        return {entries[0].terms[0].id: (Slip("q1", "s1", 'He said "x"\n\n@prefix'),)}

    def by_entry(self, cls: type, entries: object) -> dict[str, tuple[Any, ...]]:
        return {}

    lines_of = incoming = lambda self, entries: {}


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(entries=records())
def test_any_record_meets_every_condition(entries: tuple[Entry, ...], tmp_path: Path) -> None:
    path = tmp_path / "a.ttl"
    library = Library(MemoryReader(entries))  # type: ignore[arg-type] # only the methods that are used
    hierarchy = Hierarchy(
        {e.id: tuple(r.target_id for r in e.relations if r.kind is RelationKind.BROADER) for e in entries},
        IDS,
    )
    with path.open("w", encoding="utf-8", newline="\n") as file:
        statements = [concept_triples(article, library, AT, hierarchy) for article in library.articles()]
        write_turtle(file, statements, AT)
    graph = Graph().parse(path, format="turtle")
    assert list(broken(graph)) == []
    forms = {str(form) for form in graph.objects(None, SKOSXL.literalForm)}
    assert forms == {term.text.replace("\x0b", "\ufffd") for entry in entries for term in entry.terms}


# ---- written by our writers, read back by rdflib

ANY_TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs"], exclude_characters="\x00"), max_size=8
)
NAMED = st.sampled_from([SKOS.Concept, SKOS.broader, RDF.type, AT.own("topic"), AT.of("c1"), AT.of("é b"),
                         URIRef("https://example.org/a(b)#x.y-z"), URIRef("urn:x:1")])  # fmt: skip
VALUES = NAMED | st.one_of(
    st.builds(Literal, ANY_TEXT),
    st.builds(Literal, ANY_TEXT, lang=st.sampled_from(["en", "ga-latg"])),
    st.builds(Literal, ANY_TEXT, datatype=st.just(EDTF)),
    st.builds(Literal, st.booleans()),
)


@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated")  # by rdflib, in its own reader
@settings(max_examples=150, deadline=None)
@given(triples=st.lists(st.tuples(NAMED, NAMED, VALUES), max_size=12))
def test_any_statements_survive_writing_and_reading(triples: list[tuple[Any, Any, Any]]) -> None:
    triples = [t for t in triples if t[1] != RDF.type or isinstance(t[2], URIRef)]
    wanted = Graph()
    for triple in triples:
        wanted.add(triple)
    names = Names(AT.prefixes())
    head = "".join(f"@prefix {prefix}: <{namespace}> .\n" for prefix, namespace in AT.prefixes().items())
    pieces = list(turtle_pieces(triples, names))
    turtle = Graph().parse(data=head + "".join(piece for piece, _ in pieces), format="turtle")
    assert set(turtle) == set(wanted)
    assert sum(number for _, number in pieces) == len(wanted)
    nodes = [node for node, _ in json_ld_nodes(triples, names)]
    written = json.dumps({"@context": AT.prefixes(), "@graph": nodes})
    assert set(Graph().parse(data=written, format="json-ld")) == set(wanted)
