"""Files of other systems, in every dialect: no concept, language section, term or quotation is lost.

The files under `foreign/` are our own, written after ISO 30042:2019 and, for `martif`, after the structure of
ISO 30042:2008 (from memory).
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest
from lxml import etree

from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.importing.planning import plan
from termbase.importing.records import Choice, State
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Entry,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    RelationKind,
    Status,
    Topic,
)
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, SlipKind, Source
from termbase.store.engine import Store

FILES = sorted((Path(__file__).parent / "foreign").glob("*.tbx"))


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    store = Store.create(str(tmp_path / "empty.db"), Termbase("Empty", vernaculars=("cy",)), by="Nia")
    yield store
    store.close()


def taken(
    store: Store, path: Path, origin: Origin = Origin.WORD_LIST, choice: Choice | None = None
) -> list[Entry]:
    file = read_tbx(path, origin=origin)
    with store.act("Nia", "took it in") as act:
        import_file(act, file, choice)
    with store.read() as reader:
        return list(reader.all(Entry))


def named(name: str) -> Path:
    return next(f for f in FILES if f.name == name)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_nothing_is_lost(path: Path, empty: Store) -> None:
    root = etree.parse(str(path)).getroot()
    entries = taken(empty, path)
    terms = ["".join(e.itertext()) for e in root.iter("{*}term")]
    assert len(entries) == len(list(root.iter("{*}conceptEntry", "{*}termEntry")))
    assert sorted(t.text for e in entries for t in e.terms) == sorted(filter(None, terms))
    tongues = {
        e.get("{http://www.w3.org/XML/1998/namespace}lang") for e in root.iter("{*}langSec", "{*}langSet")
    }
    assert {t.language for e in entries for t in e.terms} == tongues
    with empty.read() as reader:
        quoted = {s.text for s in reader.all(Slip)}
    assert quoted == {e.text for e in root.iter("{*}descrip") if e.get("type") == "context"} | {
        e.text for e in root.iter("{*}context")
    }
    everything = " ".join((*quoted, *(_words(e) for e in entries)))
    for element in root.iter("{*}note", "{*}admin", "{*}descrip", "{*}projectSubset", "{*}customerSubset"):
        text = " ".join("".join(element.itertext()).split())
        if element.get("type") not in ("source", "subjectField"):
            assert text in everything


def _words(entry: Entry) -> str:
    return " ".join((*note_texts(entry), *(d.text for d in entry.definitions)))


def note_texts(entry: Entry) -> list[str]:
    """Return the texts of the notes from elsewhere, those on names after the name."""
    assert entry.editor_note == ""
    of_names = (f"{t.text} ({t.language}): {n.words()}" for t in entry.terms for n in t.foreign_notes)
    in_sections = (f"{n.language}: {n.words()}" for n in entry.foreign_notes if n.language)
    return [*of_names, *in_sections, *(n.words() for n in entry.foreign_notes if not n.language)]


def test_a_file_of_another_system_becomes_entries(empty: Store) -> None:
    throw, trip = taken(empty, named("basic-dca.tbx"))
    with empty.read() as reader:
        slips = {s.text: s for s in reader.all(Slip)}
        sources = {s.id: s for s in reader.all(Source)}
        people = reader.all(Person)
    assert (throw.id, throw.topic, trip.topic) == ("c0001", Topic.THROW, None)
    assert "subjectField: harbour sports" in note_texts(trip)
    assert [(d.language, d.text, d.source_id != "") for d in throw.definitions] == [
        ("en", "A throw over the hip.", True), ("cy", "Tafliad dros y glun.", False)
    ]  # fmt: skip
    assert [(r.kind, r.target_id) for r in throw.relations] == [(RelationKind.SEE_ALSO, trip.id)]
    assert (throw.created_by, throw.created_on) == ("Mari Bowen", "2019-05-01")
    assert [p.name for p in people] == ["Mari Bowen"]
    hip, acronym, welsh = throw.terms
    assert (hip.text, hip.status, hip.part_of_speech) == ("hip throw", Status.PREFERRED, PartOfSpeech.NOUN)
    assert (hip.region, welsh.gender) == ("the quay", Gender.MASCULINE)
    assert acronym.status is Status.ADMITTED
    assert {t.origin for t in throw.terms} == {Origin.WORD_LIST}
    notes = note_texts(throw)
    for note in ("HT (en): termType: acronym", "HT (en): termLocation: menuItem", "HT (en): Only in lists.",
                 "projectSubset: quay", "xGraphic: A drawing <throw.png>",
                 "HT (en): administrativeStatus: preferredTerm-admn-sts"):  # fmt: skip
        assert note in notes
    assert any(note.startswith("tafliad clun (cy): ") and note.endswith(": checked") for note in notes)
    assert {n.file for t in throw.terms for n in t.foreign_notes} == {"basic-dca.tbx"}
    quay = sources[slips["He tried a hip throw and fell."].source_id]
    assert (quay.title, quay.author, "shelf: 7" in quay.note) == ("The Quay Book", "A. Walker", True)
    assert sources[slips["Enillodd â thafliad clun."].source_id].label == "The Quay Lamp, 1901"
    assert sources[slips["A hip throw won it."].source_id].label == "Harbour words"
    assert slips["He tried a hip throw and fell."].term_id == hip.id


def test_unknown_content_is_counted_by_name(empty: Store) -> None:
    file = read_tbx(named("basic-dca.tbx"))
    with empty.read() as reader:
        planned = plan(reader, file)
    report = file.report()
    assert report.kept["termLocation"] == 1
    assert report.kept["subjectField"] == 1
    assert report.dropped == {
        "markup hi (its text was kept)": 2, "header p": 1, "back matter respPerson email": 1
    }  # fmt: skip
    assert planned.counts["entry"] == {"new": 2}
    assert any("preferred" in line for line in report.readable())


def test_a_2008_file_is_read_by_its_element_names(empty: Store) -> None:
    (entry,) = taken(empty, named("martif-2008.tbx"))
    heel, short, cornish = entry.terms
    assert (heel.status, short.number, cornish.register) == (
        Status.PREFERRED, Number.SINGULAR, Register.COLLOQUIAL
    )  # fmt: skip
    lines = read_tbx(named("martif-2008.tbx")).report().readable()
    assert any("2008" in line for line in lines)
    assert any("document type" in line for line in lines)


def test_the_origin_of_foreign_names_is_not_stated_unless_given(empty: Store) -> None:
    assert read_tbx(named("core.tbx")).needs_origin
    (entry,) = taken(empty, named("core.tbx"), Origin.NOT_STATED)
    assert {t.origin for t in entry.terms} == {Origin.NOT_STATED}


def test_a_free_id_is_kept_and_a_taken_one_is_replaced(empty: Store) -> None:
    assert [e.id for e in taken(empty, named("core.tbx"))] == ["c5"]
    assert [e.id for e in taken(empty, named("core.tbx"))] == ["c5"]  # the same thing: nothing to do
    text = named("core.tbx").read_text("utf-8").replace("clinch", "apron").replace("glackey", "brat")
    path = empty_folder(empty) / "other.tbx"
    path.write_text(text, encoding="utf-8")
    assert [e.id for e in taken(empty, path)] == ["c5", "c0006"]


def empty_folder(store: Store) -> Path:
    assert store.database.path is not None
    return store.database.path.parent


def test_our_own_basic_file_survives_a_round_trip(tmp_path: Path) -> None:
    store = fill(str(tmp_path / "demo.db"), load())
    with store.read() as reader:
        for dialect in ("basic-dca", "basic-dct"):
            path = tmp_path / f"{dialect}.tbx"
            write_tbx(Library(reader), path, dialect=dialect)  # type: ignore[arg-type]
            planned = plan(reader, read_tbx(path, origin=Origin.IN_USE))
            changed = [p for p in (*planned.entries, *planned.records) if p.state is State.CHANGED]
            assert [(p.id, p.differences) for p in changed] == []
            assert planned.counts["slip"] == {"same": len([s for s in reader.all(Slip) if s.term_id])}
            assert planned.records == ()
            assert planned.counts["source"] == {"same": len(reader.all(Source))}
    store.close()


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_a_foreign_file_keeps_source_and_person_fields_it_cannot_state(
    tmp_path: Path, dialect: Literal["basic-dca", "basic-dct"]
) -> None:
    store = fill(str(tmp_path / "demo.db"), load())
    path = tmp_path / "basic.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
        sources, people = reader.all(Source), reader.all(Person)
    assert any(source.pattern for source in sources)
    text = path.read_text("utf-8").replace(">The Quarry Lantern<", ">The Lantern<")
    path.write_text(re.sub('<item type="role">.*?</item>\n?', "", text), encoding="utf-8")
    taken(store, path, choice=Choice(changed=True))
    with store.read() as reader:
        now = reader.many(Source, [s.id for s in sources])
        changed = [
            (replace(now[s.id], version=0), s) for s in sources if replace(now[s.id], version=s.version) != s
        ]
        assert [
            (new.title, replace(new, title=old.title, version=old.version) == old) for new, old in changed
        ] == [("The Lantern", True)]
        assert [p.roles for p in reader.all(Person)] == [p.roles for p in people]
    store.close()


@pytest.mark.parametrize("dialect", ["basic-dca", "wordhold"])
def test_a_file_with_nothing_new_records_no_act(
    tmp_path: Path, dialect: Literal["basic-dca", "wordhold"]
) -> None:
    store = fill(str(tmp_path / "demo.db"), load())
    path = tmp_path / "again.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
    taken(store, path, choice=Choice(changed=True))
    with store.read() as reader:
        acts = reader.last_acts()
    taken(store, path, choice=Choice(changed=True))
    with store.read() as reader:
        assert reader.last_acts() == acts
    with store.act("Nia", "created an entry") as act:
        assert act.find(Entry, act.new_id("entry")) is None
    store.close()


def test_a_source_given_in_words_is_matched_by_its_label(tmp_path: Path) -> None:
    demo = fill(str(tmp_path / "demo.db"), load())
    for dialect in ("basic-dca", "basic-dct"):
        path = tmp_path / f"{dialect}.tbx"
        with demo.read() as reader:
            write_tbx(Library(reader), path, dialect=dialect)  # type: ignore[arg-type]
            labels = {s.id: s.label for s in reader.all(Source)}
            expected = {s.id: labels[s.source_id] for s in reader.all(Slip) if s.term_id}
        store = Store.create(
            str(tmp_path / f"{dialect}.db"), Termbase("Empty", vernaculars=("cy",)), by="Nia"
        )
        taken(store, path)
        with store.read() as reader:
            labels = {s.id: s.label for s in reader.all(Source)}
            slips = reader.all(Slip)
            assert {s.id: labels[s.source_id] for s in slips} == expected
            assert any((s.page, s.column) == ("3", "2") for s in slips), "the rest of the words is read"
        store.close()
    demo.close()


def test_a_change_made_elsewhere_is_shown_by_field_and_applied_on_request(tmp_path: Path) -> None:
    store = fill(str(tmp_path / "demo.db"), load())
    path = tmp_path / "basic.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path)
        first = reader.all(Entry)[0]
    before, after = first.terms[0].text, "another name"
    text = path.read_text("utf-8").replace(f"<term>{before}</term>", f"<term>{after}</term>", 1)
    path.write_text(text, encoding="utf-8")
    with store.read() as reader:
        (one,) = plan(reader, read_tbx(path, origin=Origin.IN_USE)).entries
    assert (one.id, one.state) == (first.id, State.CHANGED)
    assert [(d.before, d.after) for d in one.differences] == [(before, after)]
    taken(store, path)
    with store.read() as reader:
        assert reader.get(Entry, first.id) == first
    taken(store, path, choice=Choice(entries=frozenset({first.id})))
    with store.read() as reader:
        now = reader.get(Entry, first.id)
        assert now.terms[0].text == after
        assert (now.technique, now.editor_note, now.rulings) == (
            first.technique,
            first.editor_note,
            first.rulings,
        )
    store.close()


def test_an_invalid_language_is_reported_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "bad.tbx"
    text = named("core.tbx").read_text("utf-8").replace('"gv"', '"old tongue"')
    path.write_text(text, encoding="utf-8")
    store = Store.create(str(tmp_path / "e.db"), Termbase("Empty"), by="Nia")
    with store.read() as reader, pytest.raises(BadInput) as caught:
        plan(reader, read_tbx(path))
    assert caught.value.where == "bad.tbx, line 7, langSec, in conceptEntry c5, xml:lang"
    store.close()


LOOSE = """<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Made.</p></sourceDesc></fileDesc></tbxHeader>
<text><body><conceptEntry id="k1">
<ref type="crossReference" target="k9">trip</ref>
<langSec xml:lang="en"><termSec><term>hip <hi target="k8">lift</hi></term>
<descripGrp><descrip type="context">A hip lift.</descrip><admin type="source" target="s9">The Quay</admin>
</descripGrp></termSec></langSec>
<transacGrp><transac type="transactionType">origination</transac>
<transacNote type="responsibility" target="p9">Mari</transacNote></transacGrp>
</conceptEntry></body></text></tbx>
"""


def test_a_pointer_without_a_target_is_refused_unless_it_may_be_kept(empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "loose.tbx"
    path.write_text(LOOSE, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        taken(empty, path)
    assert caught.value.where == "loose.tbx, line 4, ref, in conceptEntry k1, target"
    assert "--keep-loose-targets" in caught.value.fix
    file = read_tbx(path, origin=Origin.IN_USE, keep_loose_targets=True)
    with empty.act("Nia", "took it in") as act:
        import_file(act, file)
    with empty.read() as reader:
        (entry,) = reader.all(Entry)
        (source,) = reader.all(Source)
    assert "crossReference: trip <k9>" in note_texts(entry)
    assert "hip lift (en): hi: lift <k8>" in note_texts(entry)
    assert "responsibility (origination): Mari <p9>" in note_texts(entry)
    assert (source.label, source.note) == ("The Quay", "<s9>")
    assert {name: file.report().kept[name] for name in ("crossReference", "hi", "responsibility")} == {
        "crossReference": 1, "hi": 1, "responsibility": 1
    }  # fmt: skip
    (line,) = (line for line in file.report().noted if "k9" in line)
    for name in ("k8", "s9", "p9"):
        assert name in line


@pytest.mark.parametrize("target", ["throws/hip.png", "hip.png", "ftp://quay.example/hip", "a b", "quay:7"])
def test_a_pointer_that_cannot_be_an_id_is_kept_as_a_note(empty: Store, tmp_path: Path, target: str) -> None:
    path = tmp_path / "loose.tbx"
    path.write_text(
        LOOSE.replace("k9", target)
        .replace(' target="k8"', "")
        .replace(' target="s9"', "")
        .replace("p9", "k1"),
        encoding="utf-8",
    )
    (entry,) = taken(empty, path)
    assert f"crossReference: trip <{target}>" in note_texts(entry)


def test_a_concept_without_a_term_becomes_unsorted_slips(empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "nameless.tbx"
    text = LOOSE.replace('<term>hip <hi target="k8">lift</hi></term>', "<term/>").replace(' target="s9"', "")
    text = text.replace("k9", "k1").replace("p9", "k1")
    definition = '<descrip type="definition">A lift over the hip.</descrip>'
    path.write_text(text.replace("<langSec", f"{definition}<langSec"), encoding="utf-8")
    assert taken(empty, path) == []
    with empty.read() as reader:
        slips = {s.text: s for s in reader.all(Slip)}
    definition_slip = slips["A lift over the hip."]
    assert definition_slip.kind is SlipKind.DEFINITION
    assert "Concept k1 of the file nameless.tbx" in definition_slip.note
    assert "A hip lift." in slips
    assert any("crossReference: trip <k1>" in s.text for s in slips.values())
    assert {s.term_id for s in slips.values()} == {""}


FIRST_MIN = """<?xml version="1.0"?>
<TBX dialect="TBX-Min"><header><id>Quay</id><languages source="en" target="cy"/></header>
<body><entry id="C002"><subjectField>throw</subjectField>
<langGroup xml:lang="en"><termGroup><term>hip throw</term><termStatus>preferred</termStatus>
<partOfSpeech>noun</partOfSpeech><customer>The quay</customer><note>Often.</note></termGroup></langGroup>
<langGroup xml:lang="cy"><termGroup><term>tafliad clun</term></termGroup></langGroup></entry></body></TBX>
"""


def test_importing_the_same_file_again_adds_nothing(empty: Store, tmp_path: Path) -> None:
    nameless = '<conceptEntry id="k3"><descrip type="definition">What has no name.</descrip></conceptEntry>'
    path = tmp_path / "again.tbx"
    text = LOOSE.replace("k1", "c1").replace("</body>", f"{nameless}</body>")
    for target in ("k9", "k8", "s9", "p9"):
        text = text.replace(f' target="{target}"', "")
    path.write_text(text, encoding="utf-8")
    taken(empty, path)
    with empty.read() as reader:
        first = (reader.all(Entry), reader.all(Slip), reader.all(Source))
        again = plan(reader, read_tbx(path, origin=Origin.WORD_LIST))
    taken(empty, path, choice=Choice(changed=True))
    with empty.read() as reader:
        assert len(reader.all(Slip)) == len(first[1]) == 2
        assert (reader.all(Slip), reader.all(Source)) == first[1:]
    assert again.counts["slip"] == {"same": 2}


def test_the_first_tbx_min_is_read_too(empty: Store, tmp_path: Path) -> None:
    """Structure and names from memory."""
    path = tmp_path / "first.tbx"
    path.write_text(FIRST_MIN, encoding="utf-8")
    (entry,) = taken(empty, path)
    hip, welsh = entry.terms
    assert (entry.topic, hip.status, hip.part_of_speech) == (Topic.THROW, Status.PREFERRED, PartOfSpeech.NOUN)
    assert (welsh.text, welsh.language) == ("tafliad clun", "cy")
    assert note_texts(entry) == ["hip throw (en): customer: The quay", "hip throw (en): Often."]
