"""What comes from another system and is exported as our TBX-Basic survives every further round trip."""

import re
from pathlib import Path
from typing import Literal

import pytest

from exports.tbx.reader import read_tbx
from exports.tbx.validating import check_file
from exports.tbx.writer import write_tbx
from termbase.fields.notes import own_words
from termbase.importing.planning import plan
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, PartOfSpeech, Term
from termbase.record.people import Termbase
from termbase.store.engine import Store

Basic = Literal["basic-dca", "basic-dct"]
BOTH = pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
FILE = """<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Made.</p></sourceDesc></fileDesc></tbxHeader>
<text><body><conceptEntry id="c0001"><langSec xml:lang="en"><termSec id="t0001"><term>hip throw</term>
{grammar}</termSec></langSec></conceptEntry></body></text></tbx>
"""
OTHER_GENDER = '<termNote type="grammaticalGender">other</termNote>'
OTHER_WORD = '<termNote type="partOfSpeech">other</termNote>'
FEMININE = '<termNote type="grammaticalGender">feminine</termNote>'


def carried(path: Path, name: str) -> Store:
    """Return a new termbase with everything in a file."""
    store = Store.create(str(path.with_name(f"{name}.db")), Termbase("Quay"), by="Nia")
    with store.act("Nia", own_words("took it in")) as act:
        import_file(act, read_tbx(path, origin=Origin.IN_USE))
    return store


def exported(store: Store, path: Path, dialect: Basic) -> str:
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
    check_file(path, "dca" if dialect == "basic-dca" else "dct")
    return re.sub("<title>.*</title>", "", path.read_text("utf-8"))


@BOTH
@pytest.mark.parametrize(
    "grammar",
    [OTHER_GENDER, OTHER_WORD, OTHER_WORD + OTHER_GENDER, OTHER_GENDER + OTHER_WORD, OTHER_WORD + FEMININE,
     "<note>other</note>"],
)  # fmt: skip
def test_other_survives_the_second_round_trip(tmp_path: Path, grammar: str, dialect: Basic) -> None:
    path = tmp_path / "quay.tbx"
    path.write_text(FILE.format(grammar=grammar), encoding="utf-8")
    first = carried(path, "first")
    once = exported(first, tmp_path / "once.tbx", dialect)
    with first.read() as reader:
        assert [p.differences for p in plan(reader, read_tbx(tmp_path / "once.tbx")).entries] == []
    second = carried(tmp_path / "once.tbx", "second")
    assert once.count(">other<") == grammar.count(">other<")
    assert exported(second, tmp_path / "twice.tbx", dialect) == once
    first.close()
    second.close()


@BOTH
@pytest.mark.parametrize("word", [PartOfSpeech.OTHER, PartOfSpeech.VERBAL_NOUN])
def test_our_word_class_survives_a_round_trip(
    store: Store, tmp_path: Path, word: PartOfSpeech, dialect: Basic
) -> None:
    with store.act("Nia", own_words("made it")) as act:
        name = Term(act.new_id("term"), "hip throw", "en", Origin.IN_USE, part_of_speech=word)
        act.add(Entry(act.new_id("entry"), terms=(name,)))
    exported(store, tmp_path / "once.tbx", dialect)
    with store.read() as reader:
        assert [p.differences for p in plan(reader, read_tbx(tmp_path / "once.tbx")).entries] == []
    second = carried(tmp_path / "once.tbx", "second")
    with second.read() as reader:
        (term,) = reader.get(Entry, "c0001").terms
    assert (term.part_of_speech, term.foreign_notes) == (word, ())
    second.close()


@BOTH
def test_spaces_around_the_tag_of_a_printed_form_are_not_written(
    store: Store, tmp_path: Path, dialect: Basic
) -> None:
    with store.act("Nia", own_words("made it")) as act:
        name = Term(
            act.new_id("term"), "hip throw", "en", Origin.IN_USE, printed="Tafliad", printed_language=" cy"
        )
        act.add(Entry(act.new_id("entry"), terms=(name,)))
    assert '<langSec xml:lang="cy">' in exported(store, tmp_path / "once.tbx", dialect)
