"""Importing never adds certainty: what a file does not state stays not stated, what ours states is kept."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest

from exports.tbx.header import MARK
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.evidence.scales import NameScale
from termbase.importing.planning import plan
from termbase.importing.records import Choice
from termbase.importing.taking import import_file
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.record.sources import Certainty, Slip, SlipKind, Source
from termbase.store.engine import Store

Basic = Literal["basic-dca", "basic-dct"]
FOREIGN = """<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>{paragraph}</p></sourceDesc></fileDesc></tbxHeader>
<text><body><conceptEntry id="k1"><langSec xml:lang="en"><termSec id="n1"><term>hip lift</term>
<descripGrp><descrip type="context">He won by a hip lift in 1898.</descrip>
<admin type="source" target="b1">The Lamp, p. 3, 1898-06-03</admin>
<note>Kind of quotation: use</note><note>Certainty: secure</note></descripGrp>
<note>Origin: in use</note></termSec></langSec></conceptEntry></body>
<back><refObjectSec type="bibl">
<refObject id="b1"><item type="title">The Lamp</item></refObject></refObjectSec></back></text></tbx>
"""


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    made = Store.create(str(tmp_path / "empty.db"), Termbase("Empty", vernaculars=("cy",)), by="Nia")
    yield made
    made.close()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    made = fill(str(tmp_path_factory.mktemp("demo") / "demo.db"), load())
    yield made
    made.close()


def taken(store: Store, path: Path, origin: Origin = Origin.NOT_STATED, choice: Choice | None = None) -> None:
    with store.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path, origin=origin), choice)


def articles(store: Store) -> tuple[Article, ...]:
    with store.read() as reader:
        return tuple(Library(reader).articles())


def exported(store: Store, path: Path, dialect: Basic) -> Path:
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
    return path


def plain(term: Term) -> Term:
    """Return a term without the language of its printed form if that is the term's own, which no file
    states."""
    return replace(term, printed_language="") if term.printed_language == term.language else term


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_our_own_file_keeps_every_name_s_evidence(
    demo: Store, empty: Store, tmp_path: Path, dialect: Basic
) -> None:
    taken(empty, exported(demo, tmp_path / "demo.tbx", dialect))
    before = {i: e.scale for a in articles(demo) for i, e in a.names.items()}
    after = {i: e.scale for a in articles(empty) for i, e in a.names.items()}
    assert after == before
    assert len(set(before.values())) > 3


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_our_own_file_keeps_every_quotation_and_name(
    demo: Store, empty: Store, tmp_path: Path, dialect: Basic
) -> None:
    taken(empty, exported(demo, tmp_path / "demo.tbx", dialect))
    with demo.read() as ours, empty.read() as theirs:
        here = {s.id for s in ours.all(Slip) if s.term_id}
        labels = {s.id: s.label for s in ours.all(Source)}
        new_labels = {s.id: s.label for s in theirs.all(Source)}
        wanted = {
            s.id: replace(s, version=0, image_id="", source_id=labels[s.source_id])
            for s in ours.all(Slip)
            if s.id in here and (not s.joined_to or s.joined_to in here)
        }
        found = {
            s.id: replace(s, version=0, source_id=new_labels[s.source_id])
            for s in theirs.all(Slip)
            if s.id in wanted
        }
        assert found == wanted
        assert {t.id: plain(t) for e in theirs.all(Entry) for t in e.terms} == {
            t.id: plain(t) for e in ours.all(Entry) for t in e.terms
        }


@pytest.mark.parametrize("origin", list(Origin))
def test_a_foreign_file_never_makes_a_name_in_use(empty: Store, tmp_path: Path, origin: Origin) -> None:
    path = tmp_path / "words.tbx"
    path.write_text(FOREIGN.format(paragraph="Made on the quay."), encoding="utf-8")
    taken(empty, path, origin)
    ((article, (slip,)),) = ((a, s) for a in articles(empty) for s in a.slips.values())
    assert (slip.kind, slip.certainty, slip.date) == (SlipKind.NOT_STATED, Certainty.NOT_STATED, "")
    (term,) = article.entry.terms
    assert term.origin is origin
    assert article.names[term.id].scale is NameScale.QUOTED
    assert article.dated[term.id] == () or {w.date for w in article.dated[term.id]} == {""}


def test_with_our_mark_the_same_notes_are_fields(empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "words.tbx"
    path.write_text(FOREIGN.format(paragraph=MARK), encoding="utf-8")
    taken(empty, path)
    ((article, (slip,)),) = ((a, s) for a in articles(empty) for s in a.slips.values())
    assert (slip.kind, slip.certainty) == (SlipKind.USE, Certainty.SECURE)
    assert (slip.page, slip.date, slip.note) == ("3", "1898-06-03", "")
    assert article.entry.terms[0].origin is Origin.IN_USE


def test_our_files_from_before_the_mark_are_still_read(demo: Store, empty: Store, tmp_path: Path) -> None:
    path = exported(demo, tmp_path / "demo.tbx", "basic-dca")
    text = path.read_text("utf-8")
    assert f"<p>{MARK}</p>\n" in text
    path.write_text(text.replace(f"<p>{MARK}</p>\n", ""), encoding="utf-8")
    taken(empty, path)
    before = {i: e.scale for a in articles(demo) for i, e in a.names.items()}
    assert {i: e.scale for a in articles(empty) for i, e in a.names.items()} == before


def test_a_date_is_the_source_s_only_if_the_file_says_when_it_was_issued(
    empty: Store, tmp_path: Path
) -> None:
    path = tmp_path / "words.tbx"
    text = FOREIGN.format(paragraph="Made on the quay.")
    path.write_text(text.replace("</item>", '</item><item type="issued">1898</item>'), encoding="utf-8")
    taken(empty, path)
    (article,) = articles(empty)
    assert {w.date for those in article.dated.values() for w in those} == {"1898"}


def test_a_slip_is_not_joined_to_one_missing_from_the_file(demo: Store, empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "words.tbx"
    text = FOREIGN.format(paragraph=MARK)
    joined = "<note>One witness with slip: q0001</note></descripGrp>"
    path.write_text(text.replace("</descripGrp>", joined), encoding="utf-8")
    taken(empty, path)
    ((slip,),) = (s for a in articles(empty) for s in a.slips.values())
    assert slip.joined_to == ""


def test_reimporting_changes_neither_kind_nor_certainty(demo: Store, tmp_path: Path) -> None:
    path = exported(demo, tmp_path / "demo.tbx", "basic-dca")
    with demo.read() as reader:
        planned = plan(reader, read_tbx(path))
    assert [p for p in (*planned.entries, *planned.records) if p.differences] == []
    assert set(planned.counts["slip"]) == {"same"}
