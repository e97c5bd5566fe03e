"""Invalid files: reported with line, element and field, and nothing is changed."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin
from termbase.record.people import Termbase
from termbase.store.engine import Store

FOREIGN = Path(__file__).parent / "foreign" / "basic-dca.tbx"
BOMB = '<!DOCTYPE tbx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;"><!ENTITY c "&b;&b;&b;">]>\n<tbx '
DEEP = "<hi>" * 100_000 + "x" + "</hi>" * 100_000

GOOD = """<?xml version="1.0" encoding="UTF-8"?>
<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Core" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Made.</p></sourceDesc></fileDesc></tbxHeader>
<text><body>
<conceptEntry id="c1">
<langSec xml:lang="en"><termSec>
<term>hip <hi>lift</hi> ŷ</term></termSec></langSec></conceptEntry>
</body></text></tbx>
"""

FOREIGN_FAULTS = [
    ("entities that grow", "<tbx ", BOMB, "entities", "line 3, DOCTYPE"),
    ("entity in an attribute", "<tbx ", BOMB.replace("<tbx ", '<tbx xml:space="&c;" '), "entities", "line 3"),
    ("external entity", "<tbx ", '<!DOCTYPE tbx [<!ENTITY e SYSTEM "file:///etc/hostname">]>\n<tbx ',
     "entities", "line 3, DOCTYPE"),
    ("document type of its own", "<tbx ", "<!DOCTYPE tbx [<!ELEMENT tbx ANY>]>\n<tbx ", "document type",
     "line 3"),
    ("attributes of its own", "<tbx ", '<!DOCTYPE tbx [<!ATTLIST term a CDATA "b">]>\n<tbx ', "document type",
     "line 3"),
    ("parameter entity", "<tbx ", '<!DOCTYPE tbx [<!ENTITY % p SYSTEM "file:///x"> %p;]>\n<tbx ', "entities",
     "line 3"),
    ("reference to an unknown entity", ">trip</term>", ">trip &unknown;</term>", "well-formed", "line 71"),
    ("nested too deep", ">trip</term>", f">{DEEP}</term>", "nested too deeply", "line 71"),
    ("cut short", r"(?s)<back>.*", "<ba", "well-formed", "line 74"),
    ("no namespace", 'xmlns="urn:iso:std:iso:30042:ed-2"', "", "namespace", "line 3, tbx, xmlns"),
    ("another namespace", "urn:iso:std:iso:30042:ed-2", "urn:iso:std:iso:30042:ed-1", "namespace", "line 3"),
    ("prefix of the root that nothing declares", r"(?s)<tbx.*", "<x:tbx/>", "prefix “x” is not declared",
     "line 3"),
    ("prefix that nothing declares", "<body>", "<body><x:note>a</x:note>", "is not allowed",
     "line 11, x:note"),
    ("another root", r"(?s)<tbx.*", "<html/>", "not a TBX file", "line 3"),
    ("id used twice", 'id="concept-18"', 'id="concept-17"', "twice", "line 69, conceptEntry concept-17, id"),
    ("pointer to nothing", 'target="concept-18"', 'target="concept-99"', "concept-99",
     "line 20, ref, in conceptEntry concept-17, target"),
    ("source that is nothing", 'target="book-1">Quay book<', 'target="book-9">Quay book<', "book-9",
     "line 18, admin, in conceptEntry concept-17, target"),
    ("language that is no tag", '<langSec xml:lang="cy">', '<langSec xml:lang="old tongue">', "language tag",
     "line 54, langSec, in conceptEntry concept-17, xml:lang"),
    ("section without a language", '<langSec xml:lang="cy">', "<langSec>", "no language", "line 54, langSec"),
    ("id without end", 'id="concept-18"', f'id="{"c" * 2001}"', "longer than 2000",
     "line 69, conceptEntry ccc"),
    ("NUL", ">trip</term>", ">tr\0p</term>", "well-formed", "line 71"),
    ("half a character", ">trip</term>", ">tr&#xD800;p</term>", "well-formed", "line 71"),
    ("stray element among the entries", "<body>", "<body><note>a</note>", "is not allowed", "line 11, note"),
]  # fmt: skip

NOT_XML = [
    ("words", b"This is no XML.", "not XML", "line 1"),
    ("blanks", b" \n \n", "not XML", "line 3"),
    ("a byte order mark", b"\xef\xbb\xbf", "not XML", "line 1"),
    ("a packed file", b"PK\x03\x04" + bytes(400), "not XML", "line 1"),
    (
        "Latin 1 called UTF-8",
        GOOD.replace("ŷ", "y").encode().replace(b"hip", b"h\xefp"),
        "characters",
        "line 7",
    ),
    ("UTF-8 called UTF-16", GOOD.replace("UTF-8", "UTF-16").encode(), "UTF-16", "line 1"),
    ("UTF-32", GOOD.encode("utf-32"), "UTF-32", "line 1"),
    ("an encoding that is none", GOOD.replace("UTF-8", "QUAY-8").encode(), "QUAY-8", "line 1"),
    ("a name without end", GOOD.replace("<hi>", f"<{'h' * 20_000_000}>").encode(), "Name too long", "line 7"),
]

OWN_FAULTS = [
    ("origin left out", r"<wh:origin>in use</wh:origin>\n", "", "incomplete", "origin"),
    ("unknown origin", r"<wh:origin>in use<", "<wh:origin>hearsay<", "hearsay", "origin"),
    ("unknown topic", r"<min:subjectField>\w+<", "<min:subjectField>cooking<", "cooking", "topic"),
    ("more within a topic", r"(<min:subjectField>\w+)<", r"\1<hi>é</hi><", "é", "topic"),
    ("unknown status", r"preferredTerm-admn-sts", "best", "best", "status"),
    ("unknown kind of slip", r' kind="mention"', ' kind="rumour"', "rumour", "kind"),
    ("slip with a date that is none", r'(<wh:slip [^>]*date=)"[^"]*"', r'\1"1872-18"', "month 18", "date"),
    ("date of a trial that is none", r'(<item type="date">)\d[^<]*<', r"\1soon<", "soon", "date"),
    ("flag that is neither yes nor no", r"<wh:slip ", '<wh:slip apart="perhaps" ', "perhaps", "apart"),
    ("date of a source that is none", r'(<item type="issued">)[^<]*<', r"\1never<", "never", "issued"),
    ("period of a rule code that is none", r'(<item type="period">)[^<]*<', r"\1old<", "old", "period"),
    ("unknown point of a technique", r' point="leg_use"', ' point="ear"', "ear", "point"),
    ("value out of the list", r'(point="leg_use"[^>]*>)\w+<', r"\1wriggle<", "wriggle", "leg_use"),
    ("transaction without its kind", r"<[\w:]*transactionType>[^<]*</[\w:]*transactionType>", "",
     "kind of transaction is missing", "transacGrp"),
    ("slip without a source", r'(</basic:context>)\n<wh:source target="s\d+">[^<]*</wh:source>', r"\1",
     "source", "source"),
    ("source that is nothing", r'<wh:source target="s\d+"', '<wh:source target="s999"', "s999", "target"),
    ("relation that leads nowhere", r'<basic:crossReference target="c\d+"',
     '<basic:crossReference target="c9"', "c9",
     "target"),
    ("item that is neither yes nor no", r'(<refObjectSec type="wordhold.line">\n<refObject [^>]*>)',
     r'\1\n<item type="corrected">perhaps</item>', "perhaps", "corrected"),
    ("item that is no number", r'<item type="position">\d+<', '<item type="position">last<', "last",
     "position"),
    ("clause that is no clause", r'(<item type="clause">)[^<]*<', r'\1{"family":"food"}<', "food", "clause"),
    ("picture that is no picture", r'(<item type="data">)[^<]{9}', r"\1!", "read", "data"),
    ("unknown item", r'<item type="shelfmark"|<item type="archive"', '<item type="smell"',
     "does not exist", "smell"),
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
        import_file(act, read_tbx(path, origin=Origin.IN_USE))
    with store.read() as reader:
        assert reader.count(Entry) == 0
        assert [a.words for a in reader.last_acts()] == ["created the termbase"]
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
    assert "Nothing has been changed" in error.fix or "Choose a file" in error.fix


@pytest.mark.parametrize(
    ("pattern", "replacement", "what", "where"), [f[1:] for f in OWN_FAULTS], ids=[f[0] for f in OWN_FAULTS]
)
def test_a_bad_file_in_our_own_dialect_is_refused(
    empty: Store, own: str, tmp_path: Path, pattern: str, replacement: str, what: str, where: str
) -> None:
    error = refused(empty, broken(tmp_path, own, pattern, replacement))
    assert what in error.what
    assert re.match(r"bad.tbx, line \d+, ", error.where)
    assert where in error.where


def test_an_empty_file_is_refused(empty: Store, tmp_path: Path) -> None:
    (tmp_path / "bad.tbx").write_bytes(b"")
    assert "bad.tbx" in refused(empty, tmp_path / "bad.tbx").where


@pytest.mark.parametrize(("content", "what", "where"), [n[1:] for n in NOT_XML], ids=[n[0] for n in NOT_XML])
def test_a_file_that_is_not_xml_is_refused(
    empty: Store, tmp_path: Path, content: bytes, what: str, where: str
) -> None:
    (tmp_path / "bad.tbx").write_bytes(content)
    error = refused(empty, tmp_path / "bad.tbx")
    assert what in error.what
    assert error.where == f"bad.tbx, {where}"


@pytest.mark.parametrize(
    "content", [GOOD.replace("UTF-8", "UTF-16").encode("utf-16"), b"\xef\xbb\xbf" + GOOD.encode()]
)
def test_every_encoding_of_the_standard_is_read(empty: Store, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "good.tbx").write_bytes(content)
    with empty.act("Nia", "took it in") as act:
        import_file(act, read_tbx(tmp_path / "good.tbx", origin=Origin.IN_USE))
    with empty.read() as reader:
        assert [t.text for e in reader.all(Entry) for t in e.terms] == ["hip lift ŷ"]


EARLIER = "\n" * 70_000 + "\n".join(
    f'<conceptEntry id="c{n}"><langSec xml:lang="en"><termSec><term>a</term></termSec></langSec>'
    "</conceptEntry>"
    for n in range(2, 5)
)  # the last of these on line 70,006


@pytest.mark.parametrize(
    ("late", "what", "where"),
    [
        ('\n<conceptEntry\nid="c9"><ref\ntarget="c8"/></conceptEntry>', "c8", "line 70008, ref"),
        ('\n<conceptEntry id="c9">\n<langSec/></conceptEntry>', "no language", "line 70008, langSec"),
        ('\n<note/><conceptEntry id="c9"/>', "is not allowed", "line 70007, note"),
        ("\n\n<note><hi/></note>", "is not allowed", "line 70008, note"),
        ("\n\n</bod>", "well-formed", "line 70008"),
        ('\n\n\n<conceptEntry id="c2"/>', "twice", "line 70009, conceptEntry c2"),
    ],
)
def test_line_numbers_are_right_beyond_what_the_parser_counts(
    empty: Store, tmp_path: Path, late: str, what: str, where: str
) -> None:
    (tmp_path / "bad.tbx").write_text(GOOD.replace("<body>", f"<body>{EARLIER}{late}"), encoding="utf-8")
    error = refused(empty, tmp_path / "bad.tbx")
    assert what in error.what
    assert error.where.startswith(f"bad.tbx, {where}")


def test_nothing_outside_the_file_is_ever_read(empty: Store, tmp_path: Path) -> None:
    secret = tmp_path / "secret.dtd"
    secret.write_text('<!ENTITY e "SECRET">', encoding="utf-8")
    text = FOREIGN.read_text("utf-8").replace("<tbx ", f'<!DOCTYPE tbx SYSTEM "{secret.as_uri()}">\n<tbx ', 1)
    path = tmp_path / "bad.tbx"
    path.write_text(text.replace(">trip</term>", ">trip &e;</term>"), encoding="utf-8")
    error = refused(empty, path)
    assert "SECRET" not in str(error)
    assert "entit" in error.what


def test_mixed_line_ends_are_accepted(empty: Store, own: str, tmp_path: Path) -> None:
    lines = own.split("\n")
    mixed = "".join(line + ("\r\n", "\n")[n % 2] for n, line in enumerate(lines[:-1]))
    path = tmp_path / "mixed.tbx"
    path.write_text(mixed, encoding="utf-8", newline="")
    with empty.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path))
    with empty.read() as reader:
        write_tbx(Library(reader), tmp_path / "again.tbx", dialect="wordhold")
    assert (tmp_path / "again.tbx").read_text("utf-8") == own
