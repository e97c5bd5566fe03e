"""Files that cannot be taken: named with line, element and field, and nothing is changed."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.tbx import read_tbx, write_tbx
from termbase.articles import Library
from termbase.demo import load
from termbase.demo.filling import fill
from termbase.entries import Entry, Origin
from termbase.errors import BadInput
from termbase.incoming import take_in
from termbase.people import Termbase
from termbase.store import Store

FOREIGN = Path(__file__).parent / "foreign" / "basic-dca.tbx"
BOMB = '<!DOCTYPE tbx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;"><!ENTITY c "&b;&b;&b;">]>\n<tbx '
DEEP = "<hi>" * 5000 + "x" + "</hi>" * 5000

FOREIGN_FAULTS = [
    ("entities that grow", "<tbx ", BOMB, "entities", "line 1, DOCTYPE"),
    ("entity in an attribute", "<tbx ", BOMB.replace("<tbx ", '<tbx xml:space="&c;" '), "entities", "line 1"),
    ("external entity", "<tbx ", '<!DOCTYPE tbx [<!ENTITY e SYSTEM "file:///etc/hostname">]>\n<tbx ',
     "entities", "line 1, DOCTYPE"),
    ("document type of its own", "<tbx ", "<!DOCTYPE tbx [<!ELEMENT tbx ANY>]>\n<tbx ", "document type",
     "line 1"),
    ("reference to an unknown entity", ">trip</term>", ">trip &unknown;</term>", "well-formed", "line 71"),
    ("nested too deep", ">trip</term>", f">{DEEP}</term>", "well-formed", "line 71"),
    ("cut short", r"(?s)<back>.*", "<ba", "well-formed", "line 74"),
    ("no namespace", 'xmlns="urn:iso:std:iso:30042:ed-2"', "", "namespace", "line 3, tbx, xmlns"),
    ("another namespace", "urn:iso:std:iso:30042:ed-2", "urn:iso:std:iso:30042:ed-1", "namespace", "line 3"),
    ("another root", r"(?s)<tbx.*", "<html/>", "no TBX", "line 3"),
    ("id used twice", 'id="concept-18"', 'id="concept-17"', "twice", "line 69, conceptEntry concept-17, id"),
    ("pointer to nothing", 'target="concept-18"', 'target="concept-99"', "concept-99",
     "line 20, ref, in conceptEntry concept-17, target"),
    ("source that is nothing", 'target="book-1">Quay book<', 'target="book-9">Quay book<', "book-9",
     "line 18, admin, in conceptEntry concept-17, target"),
    ("language that is no tag", '<langSec xml:lang="cy">', '<langSec xml:lang="old tongue">', "language tag",
     "line 54, langSec, in conceptEntry concept-17, xml:lang"),
    ("section without a language", '<langSec xml:lang="cy">', "<langSec>", "no language", "line 54, langSec"),
    ("stray element among the entries", "<body>", "<body><note>a</note>", "may not stand", "line 11, note"),
]  # fmt: skip

OWN_FAULTS = [
    ("origin left out", r"<wh:origin>in use</wh:origin>\n", "", "lacks", "origin"),
    ("unknown origin", r"<wh:origin>in use<", "<wh:origin>hearsay<", "hearsay", "origin"),
    ("unknown topic", r"<min:subjectField>\w+<", "<min:subjectField>cooking<", "cooking", "topic"),
    ("unknown status", r"preferredTerm-admn-sts", "best", "best", "status"),
    ("unknown kind of slip", r' kind="mention"', ' kind="rumour"', "rumour", "kind"),
    ("unknown point of a technique", r' point="leg_use"', ' point="ear"', "ear", "point"),
    ("value out of the list", r'(point="leg_use"[^>]*>)\w+<', r"\1wriggle<", "wriggle", "leg_use"),
    ("slip without a source", r'(</basic:context>)\n<wh:source target="s\d+">[^<]*</wh:source>', r"\1",
     "source", "source"),
    ("source that is nothing", r'<wh:source target="s\d+"', '<wh:source target="s999"', "s999", "target"),
    ("relation that leads nowhere", r'<basic:crossReference target="c\d+"',
     '<basic:crossReference target="c9"', "c9",
     "target"),
    ("item that is no number", r'<item type="position">\d+<', '<item type="position">last<', "last",
     "position"),
    ("clause that is no clause", r'(<item type="clause">)[^<]*<', r'\1{"family":"food"}<', "food", "clause"),
    ("picture that is no picture", r'(<item type="data">)[^<]{9}', r"\1!", "read", "data"),
    ("unknown item", r'<item type="shelfmark"|<item type="archive"', '<item type="smell"',
     "no such field", "smell"),
]  # fmt: skip


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    store = Store.create(str(tmp_path / "empty.db"), Termbase("Empty"), by="Nia")
    yield store
    store.close()


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("own")
    store = fill(str(folder / "demo.db"), load())
    with store.read() as reader:
        write_tbx(Library(reader), folder / "own.tbx", dialect="wordhold")
    store.close()
    return (folder / "own.tbx").read_text(encoding="utf-8")


def refused(store: Store, path: Path) -> BadInput:
    with pytest.raises(BadInput) as caught, store.act("Nia", "tried") as act:
        take_in(act, read_tbx(path, origin=Origin.IN_USE))
    with store.read() as reader:
        assert reader.count(Entry) == 0
        assert [a.what for a in reader.last_acts()] == ["made the termbase"]
    return caught.value


def broken(folder: Path, good: str, pattern: str, replacement: str) -> Path:
    text, number = re.subn(pattern, replacement, good, count=1)
    assert number == 1
    path = folder / "bad.tbx"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("pattern", "replacement", "what", "where"),
    [f[1:] for f in FOREIGN_FAULTS],
    ids=[f[0] for f in FOREIGN_FAULTS],
)
def test_a_bad_file_of_another_system_is_refused(
    empty: Store, tmp_path: Path, pattern: str, replacement: str, what: str, where: str
) -> None:
    path = broken(tmp_path, FOREIGN.read_text("utf-8"), pattern, replacement.replace("\\", r"\\"))
    error = refused(empty, path)
    assert what in error.what
    assert error.where.startswith("bad.tbx, ")
    assert where in error.where
    assert "nothing was changed" in error.mend or "Choose a file" in error.mend


@pytest.mark.parametrize(
    ("pattern", "replacement", "what", "where"), [f[1:] for f in OWN_FAULTS], ids=[f[0] for f in OWN_FAULTS]
)
def test_a_bad_file_of_ours_is_refused(
    empty: Store, own: str, tmp_path: Path, pattern: str, replacement: str, what: str, where: str
) -> None:
    error = refused(empty, broken(tmp_path, own, pattern, replacement))
    assert what in error.what
    assert re.match(r"bad.tbx, line \d+, ", error.where)
    assert where in error.where


def test_an_empty_file_is_refused(empty: Store, tmp_path: Path) -> None:
    (tmp_path / "bad.tbx").write_bytes(b"")
    assert "bad.tbx" in refused(empty, tmp_path / "bad.tbx").where


def test_what_is_outside_is_never_read(empty: Store, tmp_path: Path) -> None:
    secret = tmp_path / "secret.dtd"
    secret.write_text('<!ENTITY e "SECRET">', encoding="utf-8")
    text = FOREIGN.read_text("utf-8").replace("<tbx ", f'<!DOCTYPE tbx SYSTEM "{secret.as_uri()}">\n<tbx ', 1)
    path = tmp_path / "bad.tbx"
    path.write_text(text.replace(">trip</term>", ">trip &e;</term>"), encoding="utf-8")
    error = refused(empty, path)
    assert "SECRET" not in str(error)
    assert "entit" in error.what


def test_mixed_line_ends_do_no_harm(empty: Store, own: str, tmp_path: Path) -> None:
    lines = own.split("\n")
    mixed = "".join(line + ("\r\n", "\n")[n % 2] for n, line in enumerate(lines[:-1]))
    path = tmp_path / "mixed.tbx"
    path.write_text(mixed, encoding="utf-8", newline="")
    with empty.act("Nia", "took it in") as act:
        take_in(act, read_tbx(path))
    with empty.read() as reader:
        write_tbx(Library(reader), tmp_path / "again.tbx", dialect="wordhold")
    assert (tmp_path / "again.tbx").read_text("utf-8") == own


def test_without_an_origin_nothing_is_taken(empty: Store) -> None:
    with pytest.raises(BadInput) as caught, empty.act("Nia", "tried") as act:
        take_in(act, read_tbx(FOREIGN))
    assert caught.value.where == "origin"
