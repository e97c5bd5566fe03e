"""Notes of a foreign file: kept in their place, exported again, printed only once someone accepts them."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import pytest
from lxml import etree

from exports.glossary.book.articles import article as printed_article
from exports.glossary.book.articles import names_of
from exports.glossary.book.book import Selection
from exports.skos.writer import write_skos
from exports.tables.columns import columns_of_entries
from exports.tables.writing import write_table
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.acts import entries as entry_acts
from termbase.acts import merging
from termbase.codes.deeds import Covered, Reopened
from termbase.errors import Conflict, NotFound
from termbase.importing.planning import plan
from termbase.importing.records import Choice
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, Origin, Signature
from termbase.record.foreign_notes import ForeignNote
from termbase.record.people import Termbase
from termbase.store.engine import Store

Basic = Literal["basic-dca", "basic-dct"]
FILE = """<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="fr">
<tbxHeader><fileDesc><sourceDesc><p>Made.</p></sourceDesc></fileDesc></tbxHeader>
<text><body><conceptEntry id="k1">
<descrip type="subjectField">harbour sports</descrip><note>Un lancer.</note>
<xref type="xGraphic" target="https://quay.example/throw.png">A throw</xref>
<langSec xml:lang="en">
<descripGrp><descrip type="definition">A throw over the hip.</descrip><note>Of the quay.</note></descripGrp>
<note>English of the quay.</note>
<termSec><term>hip throw</term><termNote type="termLocation">menuItem</termNote>
<admin type="customerSubset">The quay</admin><note>Often heard.</note><note>Origin: in use</note></termSec>
</langSec></conceptEntry></body></text></tbx>
"""
WANTED = {
    ("conceptEntry", "subjectField", "harbour sports"),
    ("conceptEntry", "note", "Un lancer."),
    ("conceptEntry", "xGraphic", "A throw"),
    ("langSec", "note", "English of the quay."),
    ("termSec", "termLocation", "menuItem"),
    ("termSec", "customerSubset", "The quay"),
    ("termSec", "note", "Often heard."),
}


@pytest.fixture
def taken(store: Store, tmp_path: Path) -> Store:
    """Return a termbase with the entry of the file, as c0001."""
    path = tmp_path / "quay.tbx"
    path.write_text(FILE, encoding="utf-8")
    with store.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    return store


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Store]:
    made = Store.create(str(tmp_path / "other.db"), Termbase("Other"), by="Nia")
    yield made
    made.close()


def entry(store: Store) -> Entry:
    with store.read() as reader:
        return reader.get(Entry, "c0001")


def notes(one: Entry) -> list[ForeignNote]:
    return [*one.foreign_notes, *(n for t in one.terms for n in t.foreign_notes)]


def written(store: Store, path: Path, dialect: Any) -> Path:
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
    return path


def test_each_note_keeps_its_place_file_and_category(taken: Store) -> None:
    one = entry(taken)
    assert one.editor_note == ""
    assert {(n.category, n.words(), n.language, n.text_language) for n in one.foreign_notes} == {
        ("subjectField", "subjectField: harbour sports", "", "fr"),
        ("note", "Un lancer.", "", "fr"),
        ("xGraphic", "xGraphic: A throw <https://quay.example/throw.png>", "", "fr"),
        ("note", "definition (en): Of the quay.", "en", ""),
        ("note", "English of the quay.", "en", ""),
    }
    assert [n.words() for n in one.terms[0].foreign_notes] == [
        "termLocation: menuItem", "customerSubset: The quay", "Often heard.", "Origin: in use"
    ]  # fmt: skip
    assert {(n.file, n.accepted) for n in notes(one)} == {("quay.tbx", False)}


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_each_note_is_exported_in_its_place(taken: Store, tmp_path: Path, dialect: Basic) -> None:
    root = etree.parse(str(written(taken, tmp_path / "out.tbx", dialect))).getroot()
    found = set()
    for element in root.iter("{*}*"):
        name = etree.QName(element).localname
        parent = element.getparent()
        if parent is not None:
            category = element.get("type") or name
            found.add((etree.QName(parent).localname, category, "".join(element.itertext())))
    assert found >= WANTED
    assert ("langSec", "note", "definition (en): Of the quay.") in found
    (picture,) = (e for e in root.iter("{*}*") if e.get("target", "").startswith("https"))
    assert picture.get("target") == "https://quay.example/throw.png"


def test_the_loss_report_counts_notes_and_what_is_left_out_of_them(taken: Store, tmp_path: Path) -> None:
    with taken.read() as reader:
        report = write_tbx(Library(reader), tmp_path / "out.tbx")
    counts = {f.path: (f.carried, f.noted, f.left_out) for f in report.fields}
    assert counts["note.text"] == (9, 0, 0)
    assert counts["note.file"] == (0, 0, 9)
    assert any("File that a note came from 9" in line for line in report.readable())


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_our_own_file_duplicates_no_note(taken: Store, tmp_path: Path, dialect: Basic) -> None:
    path = written(taken, tmp_path / "out.tbx", dialect)
    with taken.read() as reader:
        planned = plan(reader, read_tbx(path))
    assert [(p.name, p.differences) for p in planned.entries] == []


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_passing_between_termbases_adds_no_note(
    taken: Store, other: Store, tmp_path: Path, dialect: Basic
) -> None:
    path = written(taken, tmp_path / "out.tbx", dialect)
    with other.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    assert [n.says() for n in notes(entry(other))] == [n.says() for n in notes(entry(taken))]
    assert {n.text: n.text_language for n in notes(entry(other))}["Un lancer."] == "fr"
    assert {n.text_language for n in notes(entry(other))} <= {"fr", ""}  # no language is made up
    again = written(other, tmp_path / "again.tbx", dialect)
    found = [re.findall("<note.*?</note>", p.read_text("utf-8"), re.DOTALL) for p in (path, again)]
    assert found[0] == found[1]


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_the_language_of_a_definition_without_names_is_read_and_not_kept_as_a_note(
    taken: Store, other: Store, tmp_path: Path, dialect: Basic
) -> None:
    with taken.act("Nia", "defined it in Gaelic") as act:
        defined = (*entry(taken).definitions, Definition("gd", "Tilgeil far na cidhe."))
        entry_acts.save(act, replace(entry(taken), definitions=defined))
    with other.act("Nia", "took it in") as act:
        import_file(act, read_tbx(written(taken, tmp_path / "out.tbx", dialect)))
    assert set(entry(other).definitions) == set(defined)
    assert not [n for n in notes(entry(other)) if n.text.startswith("Language of the definition")]


def test_a_note_that_begins_like_our_field_stays_a_note(taken: Store, other: Store, tmp_path: Path) -> None:
    path = written(taken, tmp_path / "out.tbx", "basic-dca")
    with other.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    (term,) = entry(other).terms
    assert term.origin is Origin.NOT_STATED
    assert "Origin: in use" in [n.text for n in term.foreign_notes]


def test_our_own_dialect_keeps_every_note_completely(taken: Store, other: Store, tmp_path: Path) -> None:
    with taken.act("Nia", "accepted") as act:
        entry_acts.accept(act, "c0001", "", 1, "Un lancer.")
    path = written(taken, tmp_path / "out.tbx", "wordhold")
    with other.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    assert notes(entry(other)) == notes(entry(taken))
    assert written(other, tmp_path / "again.tbx", "wordhold").read_bytes() == path.read_bytes()


def test_unknown_content_in_our_dialect_becomes_a_note_too(
    taken: Store, other: Store, tmp_path: Path
) -> None:
    path = written(taken, tmp_path / "out.tbx", "wordhold")
    text = re.sub("(<conceptEntry [^>]*>)", r"\1<note>From a later version.</note>", path.read_text("utf-8"))
    path.write_text(text, encoding="utf-8")
    with other.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    assert ("note", "From a later version.", "out.tbx") in {
        (n.category, n.text, n.file) for n in entry(other).foreign_notes
    }


def printed(store: Store) -> str:
    with store.read() as reader:
        library = Library(reader)
        found = library.article("c0001")
        selection = Selection()
        names = names_of(found, selection.voice)
        made = printed_article(found, names, library, selection, library.termbase.vernaculars)
    return " ".join((made.note, *(name.note for name in names.values())))


def test_a_note_is_printed_only_once_it_is_accepted(taken: Store) -> None:
    assert printed(taken).strip() == ""
    term_id = entry(taken).terms[0].id
    with taken.act("Nia", "accepted") as act:
        entry_acts.accept(act, "c0001", term_id, 2, "Often heard.")
    assert printed(taken).strip() == "Often heard. (note from quay.tbx)"
    (accepted,) = (n for n in notes(entry(taken)) if n.accepted)
    assert (accepted.text, accepted.accepted_by, accepted.accepted_on != "") == ("Often heard.", "Nia", True)
    with taken.act("Nia", "withdrew") as act:
        entry_acts.withdraw(act, "c0001", term_id, 2, "Often heard.")
    assert printed(taken).strip() == ""
    with taken.act("Nia", "deleted") as act:
        entry_acts.delete(act, "c0001", term_id, 2, "Often heard.")
    assert "Often heard." not in [n.text for n in notes(entry(taken))]


def test_a_note_that_has_changed_is_not_accepted(taken: Store) -> None:
    for place, error in (
        (("", 1, "Another."), Conflict),
        (("", 77, ""), NotFound),
        (("t99", 0, ""), NotFound),
    ):
        with pytest.raises(error), taken.act("Nia", "accepted") as act:
            entry_acts.accept(act, "c0001", *place)
    assert not any(n.accepted for n in notes(entry(taken)))


def test_accepting_reopens_the_language_reading_and_importing_does_not(taken: Store) -> None:
    with taken.act("Nia", "signed") as act:
        entry_acts.sign(act, "c0001", "language")
    with taken.act("Nia", "noted") as act:
        one = act.get(Entry, "c0001")
        more = ForeignNote(category="note", text="More.", file="b.tbx")
        entry_acts.save(act, replace(one, foreign_notes=(*one.foreign_notes, more)))
    assert entry(taken).language_reading.signed
    with taken.act("Nia", "accepted") as act:
        entry_acts.accept(act, "c0001", "", 1, "Un lancer.")
    assert entry(taken).language_reading == Signature(reopened=Reopened.CHANGED(what=Covered.ACCEPTED_NOTE()))


def test_merging_and_splitting_keep_the_notes_of_both(taken: Store, tmp_path: Path) -> None:
    path = tmp_path / "lamp.tbx"
    text = (
        FILE.replace('id="k1"', 'id="k2"').replace("Often heard.", "Seldom.").replace("Un lancer.", "Un jet.")
    )
    path.write_text(text, encoding="utf-8")
    with taken.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    before = entry(taken)
    with taken.read() as reader:
        second = reader.get(Entry, "c0002")
    with taken.act("Nia", "merged") as act:
        merging.merge(act, "c0001", "c0002")
    merged = entry(taken)
    assert [n.text for n in merged.foreign_notes if n.text.startswith("Un ")] == ["Un lancer.", "Un jet."]
    assert {"Often heard.", "Seldom."} <= {n.text for n in merged.terms[0].foreign_notes}
    with taken.act("Nia", "parted") as act:
        merging.separate(act, "c0002")
    assert notes(entry(taken)) == notes(before)
    with taken.read() as reader:
        assert notes(reader.get(Entry, "c0002")) == notes(second)


def test_tables_include_the_notes(taken: Store, tmp_path: Path) -> None:
    with taken.read() as reader:
        library = Library(reader)
        write_table(library, tmp_path / "a.csv", columns_of_entries(library), rows="entries")
    text = (tmp_path / "a.csv").read_text("utf-8-sig")
    assert "subjectField: harbour sports [quay.tbx]" in text
    assert "hip throw (en): Often heard. [quay.tbx]" in text


def test_linked_data_includes_accepted_notes_and_reports_the_others(taken: Store, tmp_path: Path) -> None:
    with taken.act("Nia", "accepted") as act:
        entry_acts.accept(act, "c0001", "", 1, "Un lancer.")
    with taken.read() as reader:
        report = write_skos(Library(reader), tmp_path / "a.ttl")
    text = (tmp_path / "a.ttl").read_text("utf-8")
    assert 'skos:note "Un lancer."@fr' in text
    assert "Often heard." not in text
    assert report.left_out_notes == 8
    assert "Left out: notes from elsewhere that nobody has accepted: 8." in report.warnings()


def test_the_import_report_says_where_notes_are_and_what_exports_leave_out(
    tmp_path: Path, store: Store
) -> None:
    path = tmp_path / "quay.tbx"
    path.write_text(FILE.replace("customerSubset", "gloss"), encoding="utf-8")
    file = read_tbx(path)
    with store.read() as reader:
        plan(reader, file)
    report = file.report()
    assert report.placed == {"conceptEntry": 3, "langSec": 2, "termSec": 4}
    assert report.kept == {"note": 5, "subjectField": 1, "xGraphic": 1, "termLocation": 1, "gloss": 1}
    assert report.in_words == {"gloss": 1}
    text = " ".join(report.readable())
    assert "note 5, " in text
    assert "3 on entries, 2 on languages, 4 on names" in text
    assert "SKOS leaves out those that nobody has accepted" in text


def test_importing_the_same_file_again_adds_nothing(taken: Store, tmp_path: Path) -> None:
    with taken.act("Nia", "accepted") as act:
        entry_acts.accept(act, "c0001", "", 1, "Un lancer.")
    path = tmp_path / "again.tbx"
    path.write_text(FILE.replace('"k1"', '"c0001"'), encoding="utf-8")
    before = entry(taken)
    with taken.act("Nia", "again") as act:
        import_file(act, read_tbx(path), Choice(changed=True))
    assert notes(entry(taken)) == notes(before)
