"""A file of another system that breaks the standard is read and reported with line and rule, or refused."""

import importlib.util
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Literal

import pytest
from click.testing import CliRunner

from app.cli import main
from exports.tbx.reader import read_tbx
from exports.tbx.standard.breaches import Breach
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.importing.planning import plan
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin
from termbase.record.people import Termbase
from termbase.store.engine import Store

HERE = Path(__file__).parent
TOOL = HERE.parents[3] / "shared" / "tools" / "tbx_check.py"
CORE, CATEGORIES = "core structure of ISO 30042:2019", "data categories of TBX-Basic"

DCA = [
    (r">noun<", ">Noun<", "line 78, termNote", "here it is “Noun”", CATEGORIES),
    (r"preferredTerm-admn-sts", "preferred", "line 80, termNote", "here it is “preferred”", CATEGORIES),
    (r">origination<", ">creation<", "line 51, transac", "here it is “creation”", CATEGORIES),
    (r'"geographicalUsage"', '"region"', "line 82, termNote", "“region” is not a data category", CATEGORIES),
    (r'type="subjectField">trip', 'type="context">trip', "line 25, descrip", "at the level conceptEntry",
     CATEGORIES),
    (r"https://vale.example/hook.png", "ftp://vale.example/hook", "line 35, xref", "http or https",
     CATEGORIES),
    (r"<date>2026-01-01<", "<date>2026-02-30<", "line 52, date", "“2026-02-30” is not a date", CORE),
    (r'id="t5"', 'id="5t"', "line {t5}, termSec 5t", "“5t” is not a value of the attribute id", CORE),
    (r"<term>trip</term>", "", "line {t5}, termSec t5", "must contain term", CORE),
    (r"<term>trip</term>", "<note>a</note><term>trip</term>", "line {trip}, term", "comes too late",
     CORE),
    (r"<term>trip</term>", "<term>trip</term><term>trap</term>", "line {trip}, term", "occurs twice", CORE),
    (r"<term>trip</term>", "<term>trip</term><gloss>a</gloss>", "line {trip}, gloss", "is not allowed",
     CORE),
    (r"<term>trip</term>", '<term mood="fair">trip</term>', "line {trip}, term", "no attribute mood", CORE),
    (r"<term>trip</term>", "<term>trip<ph/></term>", "line {trip}, ph", "is not allowed in term", CORE),
    (r'<termSec id="t5">', '<termSec id="t5">loose', "line {t5}, termSec t5", "text of its own: “loose”",
     CORE),
    (r"<sourceDesc>.*</sourceDesc>", "", "line 4, fileDesc", "must contain sourceDesc", CORE),
    (r"(<body>.*</body>)(.*)(</text>)", r"\2\1\3", "line 72, body", "comes too late in text", CORE),
    (r'<refObject id="p2">.*?</refObject>', '<refObject id="p2"/>', "line {p2}, refObject p2", "must contain",
     CORE),
    (r'<refObjectSec type="bibl">', "<refObjectSec>", "line {bibl}, refObjectSec", "type is missing", CORE),
    (r'<tbx (.*?) xml:lang="en"', r"<tbx \1", "line 2, tbx", "xml:lang is missing", CORE),
    (r'<tbx ', '<tbx xmlns:min="http://www.tbxinfo.net/ns/min" ', "", "", ""),
    (r"(?s)<tbx (.*?)<term>trip</term>",
     r'<tbx xmlns:min="http://www.tbxinfo.net/ns/min" \1<term>trip</term><min:partOfSpeech>noun'
     "</min:partOfSpeech>",
     "line {trip}, partOfSpeech", "is not allowed in a file in DCA style", "style DCA"),
]  # fmt: skip
DCT = [
    (">noun</min", ">Noun</min", "termNote|partOfSpeech", "here it is “Noun”", CATEGORIES),
    (r"<min:partOfSpeech>noun</min:partOfSpeech>", '<termNote type="partOfSpeech">noun</termNote>',
     "termNote", "is not allowed in an entry of a file in DCT style", "style DCT"),
    (r"<min:partOfSpeech>noun</min:partOfSpeech>", "<basic:partOfSpeech>noun</basic:partOfSpeech>",
     "partOfSpeech", "is not a data category of TBX-Basic", CATEGORIES),
    (r"<min:subjectField>", '<min:subjectField mood="fair">', "subjectField", "no attribute mood",
     CATEGORIES),
]  # fmt: skip


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    made = Store.create(str(tmp_path / "empty.db"), Termbase("Empty", vernaculars=("cy",)), by="Nia")
    yield made
    made.close()


def broken(style: str, pattern: str, replacement: str, folder: Path) -> Path:
    good = (HERE / f"full.basic-{style}.xml").read_text(encoding="utf-8")
    text, number = re.subn(pattern, replacement, good, count=1, flags=re.DOTALL)
    assert number == 1
    path = folder / "words.tbx"
    path.write_text(text, encoding="utf-8")
    return path


def at_its_line(where: str) -> str:
    """Return a place with the line where an element of the file begins."""
    lines = (HERE / "full.basic-dca.xml").read_text(encoding="utf-8").splitlines()
    starts = {"t5": '<termSec id="t5"', "trip": "<term>trip<", "p2": 'id="p2"', "bibl": 'type="bibl"'}
    return where.format(
        **{
            name: next(n for n, line in enumerate(lines, 1) if start in line)
            for name, start in starts.items()
        }
    )


def breaches(path: Path, store: Store) -> list[Breach]:
    file = read_tbx(path, origin=Origin.WORD_LIST)
    with store.read() as reader:
        plan(reader, file)
    found = file.report().standard
    assert found.number == len(found.first)
    return found.first


@pytest.mark.parametrize(("pattern", "replacement", "where", "what", "rule"), DCA)
def test_each_breach_is_reported_with_line_and_rule(
    pattern: str, replacement: str, where: str, what: str, rule: str, empty: Store, tmp_path: Path
) -> None:
    found = breaches(broken("dca", pattern, replacement, tmp_path), empty)
    if not where:
        assert found == []
        return
    where = at_its_line(where)
    assert (found[0].where, found[0].rule) == (where, rule)
    assert what in found[0].what
    assert found[0].readable() == f"{where}: {found[0].what} (Rule: {rule}.)"


@pytest.mark.parametrize(("pattern", "replacement", "element", "what", "rule"), DCT)
def test_a_file_in_dct_style_is_checked_against_its_modules(
    pattern: str, replacement: str, element: str, what: str, rule: str, empty: Store, tmp_path: Path
) -> None:
    found = breaches(broken("dct", pattern, replacement, tmp_path), empty)
    assert re.fullmatch(element, found[0].element)
    assert found[0].line
    assert (what in found[0].what, found[0].rule) == (True, rule)


@pytest.fixture(scope="module")
def published() -> ModuleType:
    if not TOOL.exists():
        pytest.skip("the published rules are not on this machine")
    spec = importlib.util.spec_from_file_location("tbx_check", TOOL)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("pattern", sorted({d[:2] for d in DCA}))
def test_whatever_the_published_rules_find_is_reported(
    pattern: tuple[str, str], empty: Store, tmp_path: Path, published: ModuleType
) -> None:
    path = broken("dca", *pattern, tmp_path)
    if list(published.faults(path)):
        assert breaches(path, empty)


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_our_own_files_follow_the_standard(
    dialect: Literal["basic-dca", "basic-dct"], empty: Store, tmp_path: Path
) -> None:
    store, path = fill(str(tmp_path / "demo.db"), load()), tmp_path / "demo.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect=dialect)
    store.close()
    assert breaches(path, empty) == []


def test_a_file_with_breaches_is_imported_unless_strict(empty: Store, tmp_path: Path) -> None:
    path = broken("dca", ">noun<", ">Noun<", tmp_path)
    with pytest.raises(BadInput) as caught, empty.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path, origin=Origin.WORD_LIST, strict=True))
    assert "line 78, termNote: partOfSpeech must be one of" in caught.value.what
    with empty.read() as reader:
        assert reader.count(Entry) == 0
    with empty.act("Nia", "took it in") as act:
        import_file(act, read_tbx(path, origin=Origin.WORD_LIST))
    with empty.read() as reader:
        assert reader.count(Entry) > 0


def test_the_command_reports_breaches_and_refuses_if_strict(empty: Store, tmp_path: Path) -> None:
    path = broken("dca", ">noun<", ">Noun<", tmp_path)
    words = [
        "import",
        "tbx",
        str(path),
        "--origin",
        "word-list",
        "--dry-run",
        "--db",
        str(tmp_path / "empty.db"),
    ]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 0
    assert "Breaches of the standard (ISO 30042:2019): 1. " in result.output
    assert (
        "line 78, termNote: partOfSpeech must be one of noun, verb, adjective, adverb, other" in result.output
    )
    refused = CliRunner().invoke(main, [*words, "--strict"])
    assert refused.exit_code == 2
    assert "line 78, termNote" in refused.output


def test_a_2008_file_is_not_checked_against_the_2019_standard(empty: Store) -> None:
    path = HERE / "foreign" / "martif-2008.tbx"
    with empty.read() as reader:
        file = read_tbx(path)
        plan(reader, file)
        assert any("does not cover files from before 2019" in line for line in file.report().readable())
        with pytest.raises(BadInput):
            plan(reader, read_tbx(path, strict=True))


def test_our_own_dialect_is_checked_if_strict(empty: Store, tmp_path: Path) -> None:
    store, path = fill(str(tmp_path / "demo.db"), load()), tmp_path / "demo.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect="wordhold")
    store.close()
    text = path.read_text("utf-8")
    path.write_text(text.replace("<conceptEntry ", '<conceptEntry mood="fair" ', 1), encoding="utf-8")
    with empty.read() as reader:
        plan(reader, read_tbx(path))
        with pytest.raises(BadInput) as caught:
            plan(reader, read_tbx(path, strict=True))
    assert caught.value.where.startswith("demo.tbx, line ")


STRAY = [
    ("<text>", '<text><admin type="source">Harbour book</admin>', "line 22, admin: ", "Harbour book"),
    ("</body>", '</body><descrip type="definition">A fall.</descrip>', "descrip: ", "A fall."),
    ("<back>", "<back><note>Ask Mari.</note>", "note: ", "Ask Mari."),
    ("</tbxHeader>", "</tbxHeader><gloss>of the quay</gloss>", "line 21, gloss: ", "of the quay"),
    ("<body>", "<body>words between", "text: ", "words between"),
    ("</conceptEntry>", "</conceptEntry>words after", "text: ", "words after"),
]


@pytest.mark.parametrize(("before", "after", "where", "text"), STRAY)
def test_content_outside_all_entries_is_reported(
    before: str, after: str, where: str, text: str, empty: Store, tmp_path: Path
) -> None:
    path = broken("dca", before, after, tmp_path)
    file = read_tbx(path, origin=Origin.WORD_LIST)
    with empty.read() as reader:
        plan(reader, file)
    report = file.report()
    (notice,) = (line for line in report.noted if "belongs to no entry" in line)
    assert where in notice
    assert notice.endswith(f"was left out: “{text}”.")
    assert report.standard.number


def test_content_outside_all_entries_of_our_own_dialect_is_refused(empty: Store, tmp_path: Path) -> None:
    store, path = fill(str(tmp_path / "demo.db"), load()), tmp_path / "demo.tbx"
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect="wordhold")
    store.close()
    path.write_text(path.read_text("utf-8").replace("<text>", "<text><note>a</note>"), encoding="utf-8")
    with empty.read() as reader, pytest.raises(BadInput) as caught:
        plan(reader, read_tbx(path))
    assert "note" in caught.value.where
