"""Files that wrongly claim to be ours, entirely or in part: refused or kept, never partly imported."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from exports.tbx.header import MARK
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin
from termbase.record.people import Termbase
from termbase.record.sources import Certainty, Slip, SlipKind
from termbase.store.engine import Store

DCA = (Path(__file__).parent / "foreign" / "basic-dca.tbx").read_text("utf-8")
DCT = (Path(__file__).parent / "foreign" / "basic-dct.tbx").read_text("utf-8")
MODULE = 'xmlns:wh="urn:x-wordhold:tbx:2"'
IDS = ("c0001", "c0003", "c0012", "c0043", "c0020", "c0002")


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("own")
    store = fill(str(folder / "demo.db"), load())
    with store.read() as reader:
        write_tbx(Library(reader), folder / "own.tbx", dialect="wordhold", ids=IDS)
    store.close()
    return (folder / "own.tbx").read_text("utf-8")


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    store = Store.create(str(tmp_path / "empty.db"), Termbase("Empty", vernaculars=("cy",)), by="Nia")
    yield store
    store.close()


def taken(store: Store, path: Path) -> tuple[dict[str, Entry], dict[str, Slip]]:
    with store.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    with store.read() as reader:
        return {e.id: e for e in reader.all(Entry)}, {s.id: s for s in reader.all(Slip)}


def refused(store: Store, path: Path) -> BadInput:
    with pytest.raises(BadInput) as caught, store.act("Nia", "tried") as act:
        import_file(act, read_tbx(path))
    with store.read() as reader:
        assert reader.count(Entry) == 0
        assert reader.count(Slip) == 0
    return caught.value


def bare(text: str) -> str:
    """Return a file of ours without its own module."""
    return re.sub(r"</?wh:[^>]*>", "", text).replace(f" {MODULE}", "")


CLAIMS = [
    ("no module", bare, "does not declare the module", "tbx, xmlns"),
    ("another module under our prefix", lambda t: t.replace("urn:x-wordhold:tbx:2", "urn:quay:words:7"),
     "does not declare the module", "tbx, xmlns"),
    ("a later version", lambda t: t.replace("urn:x-wordhold:tbx:2", "urn:x-wordhold:tbx:31"),
     "unknown here: urn:x-wordhold:tbx:31", "tbx, xmlns"),
    ("another style", lambda t: t.replace('style="dct"', 'style="dca"'), "“dca”", "tbx, style"),
    ("no style", lambda t: t.replace(' style="dct"', ""), "always in DCT style", "tbx, style"),
    ("a file of another system under our name",
     lambda _: DCT.replace('type="TBX-Basic"', 'type="TBX-Wordhold"'), "does not declare", "tbx, xmlns"),
    ("the same with our module",
     lambda _: DCT.replace('type="TBX-Basic"', f'type="TBX-Wordhold" {MODULE}'), "no language", "definition"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "what", "where"), [c[1:] for c in CLAIMS], ids=[c[0] for c in CLAIMS])
def test_a_false_claim_to_be_our_dialect_is_refused(
    empty: Store, own: str, tmp_path: Path, change: Callable[[str], str], what: str, where: str
) -> None:
    path = tmp_path / "claim.tbx"
    path.write_text(change(own), encoding="utf-8")
    error = refused(empty, path)
    assert what in error.what
    assert re.match(r"claim\.tbx, line \d+, ", error.where)
    assert where in error.where
    assert error.fix


def test_a_file_with_only_our_name_is_read_as_foreign(empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "named.tbx"
    path.write_text(DCA.replace('type="TBX-Basic"', 'type="TBX-Wordhold"'), encoding="utf-8")
    assert not read_tbx(path).whole
    entries, slips = taken(empty, path)
    assert {t.origin for e in entries.values() for t in e.terms} == {Origin.NOT_STATED}
    assert {s.kind for s in slips.values()} == {SlipKind.NOT_STATED}
    assert "harbour sports" in {n.text for e in entries.values() for n in e.foreign_notes}


def test_elements_of_another_style_in_a_file_of_ours_are_kept(empty: Store, own: str, tmp_path: Path) -> None:
    (tmp_path / "own.tbx").write_text(own, encoding="utf-8")
    other = Store.create(str(tmp_path / "other.db"), Termbase("Other"), by="Nia")
    good, _ = taken(other, tmp_path / "own.tbx")
    other.close()
    added = (
        '<termNote type="register">slangRegister</termNote><descrip type="context">He fell at once.</descrip>'
    )
    mixed = own.replace("<wh:origin>", f"{added}<wh:origin>", 1)
    (tmp_path / "mixed.tbx").write_text(mixed, encoding="utf-8")
    file = read_tbx(tmp_path / "mixed.tbx")
    entries, slips = taken(empty, tmp_path / "mixed.tbx")
    changed = [i for i, entry in entries.items() if entry.foreign_notes != good[i].foreign_notes]
    assert len(changed) == 1
    assert [(n.category, n.text, n.file) for n in entries[changed[0]].foreign_notes] == [
        ("register", "slangRegister", "mixed.tbx"), ("context", "He fell at once.", "mixed.tbx"),
    ]  # fmt: skip
    assert "He fell at once." not in {s.text for s in slips.values()}
    for _ in (*file.early(lambda _: False), *file.later()):
        pass
    assert file.report().kept == {"register": 1, "context": 1}


@pytest.mark.parametrize("head", ["basic:definition", "wh:analogue", "basic:context"])
def test_extra_elements_in_our_groups_are_kept(empty: Store, own: str, tmp_path: Path, head: str) -> None:
    source = re.search(r"<wh:source [^>]*>[^<]*</wh:source>", own)
    assert source
    if head == "wh:analogue":
        group = (
            f"<descripGrp>\n<wh:analogue>hip</wh:analogue>\n{source[0]}\n<note>A remark.</note></descripGrp>"
        )
        text = own.replace("<basic:crossReference", f"{group}<basic:crossReference", 1)
    else:
        pattern = rf"(<descripGrp[^>]*>\s*<{head}>[^<]*</{head}>\s*<wh:source [^>]*>[^<]*</wh:source>)"
        text, number = re.subn(pattern, r"\1<note>A remark.</note>", own, count=1)
        assert number
    (tmp_path / "group.tbx").write_text(text, encoding="utf-8")
    entries, _ = taken(empty, tmp_path / "group.tbx")
    notes = [n for e in entries.values() for n in e.foreign_notes]
    assert [(n.category, n.text) for n in notes] == [("note", "A remark.")]


LIKE_FIELDS = (
    "Origin: hearsay", "Register: loud", "Number: many", "Part of speech: sport", "Inflected form: plural",
)  # fmt: skip
LIKE_FIELDS_OF_A_SLIP = (
    "Certainty: perhaps", "Kind of quotation: rumour", "A witness of its own: perhaps",
    "One witness with slip: nowhere", "How the name is there: somewhere",
)  # fmt: skip


def test_notes_that_only_look_like_fields_are_kept_despite_our_mark(empty: Store, tmp_path: Path) -> None:
    notes = "".join(f"<note>{text}</note>" for text in LIKE_FIELDS)
    of_slip = "".join(f"<note>{text}</note>" for text in LIKE_FIELDS_OF_A_SLIP)
    path = tmp_path / "marked.tbx"
    path.write_text(
        f"""<?xml version="1.0" encoding="UTF-8"?>
<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Quay words.</p></sourceDesc></fileDesc>
<encodingDesc><p>{MARK}</p></encodingDesc></tbxHeader>
<text><body><conceptEntry id="k1"><langSec xml:lang="en"><termSec id="k2"><term>hip throw</term>
<descripGrp><descrip type="context">A hip throw won it.</descrip>{of_slip}</descripGrp>{notes}
</termSec></langSec></conceptEntry></body></text></tbx>""",
        encoding="utf-8",
    )
    entries, slips = taken(empty, path)
    (entry,), (slip,) = entries.values(), slips.values()
    (term,) = entry.terms
    assert (term.origin, term.register, term.number, term.part_of_speech, term.forms) == (
        Origin.NOT_STATED, None, None, None, (),
    )  # fmt: skip
    assert (slip.certainty, slip.kind, slip.apart, slip.joined_to) == (
        Certainty.NOT_STATED, SlipKind.NOT_STATED, False, "",
    )  # fmt: skip
    assert {n.text for n in term.foreign_notes} == {*LIKE_FIELDS, *LIKE_FIELDS_OF_A_SLIP}


def test_markup_in_a_topic_is_counted(tmp_path: Path) -> None:
    path = tmp_path / "marked.tbx"
    topic = '<descrip type="subjectField">Throw</descrip>'
    assert topic in DCA
    path.write_text(DCA.replace(topic, topic.replace("Throw", "<hi>Throw</hi>")), encoding="utf-8")
    counted = []
    for file in (read_tbx(path), read_tbx(Path(__file__).parent / "foreign" / "basic-dca.tbx")):
        for _ in (*file.early(lambda _: False), *file.later()):
            pass
        counted.append(file.report().dropped["markup hi (its text was kept)"])
    assert counted[0] == counted[1] + 1


def further_down(text: str) -> str:
    """Return the same file with the namespace of our module declared on each of its elements."""
    found = re.search(r' xmlns:wh="[^"]*"', text)
    assert found
    return re.sub(r"<wh:\w+", lambda name: name[0] + found[0], text.replace(found[0], "", 1))


def test_our_module_may_be_declared_further_down(own: str, empty: Store, tmp_path: Path) -> None:
    (tmp_path / "own.tbx").write_text(own, encoding="utf-8")
    (tmp_path / "down.tbx").write_text(further_down(own), encoding="utf-8")
    assert read_tbx(tmp_path / "down.tbx").whole
    other = Store.create(str(tmp_path / "other.db"), Termbase("Other"), by="Nia")
    assert taken(empty, tmp_path / "down.tbx") == taken(other, tmp_path / "own.tbx")
    other.close()


def test_an_unknown_module_further_down_is_refused(own: str, empty: Store, tmp_path: Path) -> None:
    path = tmp_path / "down.tbx"
    path.write_text(further_down(own).replace("tbx:2", "tbx:99"), encoding="utf-8")
    error = refused(empty, path)
    assert "unknown here: urn:x-wordhold:tbx:99" in error.what
    assert error.where == "down.tbx, line 2, tbx, xmlns"
