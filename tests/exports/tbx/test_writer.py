"""Whole files: their contents, validity and stability, and that a failure leaves nothing behind."""

import importlib.util
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec
import pytest
from lxml import etree

from exports.tbx.categories import NAMESPACES
from exports.tbx.tags import FIELDS, Fate
from exports.tbx.validating import NotValid
from exports.tbx.writer import write_tbx
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Definition, Entry, Origin, Relation, RelationKind, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.record.people import CAUTIONS, Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.engine import Store
from termbase.technique.profile import Profile, Stated

HERE = Path(__file__).parent
SHARED = HERE.parents[3] / "shared"
C = "{urn:iso:std:iso:30042:ed-2}"
DIALECTS = ("basic-dca", "basic-dct")
BASE = Termbase(title="Small")


@pytest.fixture(scope="module")
def published() -> ModuleType:
    """The published grammar and rules, as a module with `faults(path)`."""
    tool = SHARED / "tools" / "tbx_check.py"
    if not tool.exists():
        pytest.skip("the published grammar and rules are not on this machine")
    spec = importlib.util.spec_from_file_location("tbx_check", tool)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def settled_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentences of verdicts and profiles are tested where they are made."""
    monkeypatch.setattr("exports.tbx.wording.describe", lambda profile: "So.")
    monkeypatch.setattr("exports.tbx.wording.to_words", lambda reason: "Because.")


def canonical(path: Path) -> bytes:
    parser = etree.XMLParser(remove_blank_text=True, remove_comments=True)
    return etree.tostring(etree.parse(str(path), parser), method="c14n")


def named(entry_id: str, **more: Any) -> Entry:
    return Entry(id=entry_id, terms=(Term(f"t{entry_id[1:]}", "hold", "en", Origin.IN_USE),), **more)


def texts(path: Path, tag: str) -> list[str]:
    return ["".join(e.itertext()) for e in etree.parse(str(path)).iter(C + tag)]


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.usefixtures("settled_words")
def test_a_record_with_every_field_is_written_as_expected(
    full_library: Library, tmp_path: Path, dialect: Any
) -> None:
    write_tbx(full_library, tmp_path / "full.tbx", dialect=dialect)
    assert canonical(tmp_path / "full.tbx") == canonical(HERE / f"full.{dialect}.xml")


@pytest.mark.parametrize("dialect", DIALECTS)
def test_the_file_matches_the_published_grammar_and_rules(
    full_library: Library, tmp_path: Path, dialect: Any, published: ModuleType
) -> None:
    write_tbx(full_library, tmp_path / "full.tbx", dialect=dialect)
    assert list(published.faults(tmp_path / "full.tbx")) == []


def test_every_module_tag_matches_its_published_grammar(full_library: Library, tmp_path: Path) -> None:
    if not SHARED.exists():
        pytest.skip("the published grammars are not on this machine")
    write_tbx(full_library, tmp_path / "full.tbx", dialect="basic-dct")
    seen = 0
    for module, file in (("min", "Min.rng"), ("basic", "Basic.rng")):
        rules = (SHARED / "reference" / "tbx" / file).read_bytes()
        # One tag alone cannot show what it points to; the whole-file test covers that.
        grammar = etree.RelaxNG(etree.fromstring(rules.replace(b'"IDREF"', b'"NCName"')))
        for element in etree.parse(str(tmp_path / "full.tbx")).iter(f"{{{NAMESPACES[module]}}}*"):  # type: ignore[index]
            grammar.assertValid(element)
            seen += 1
    assert seen > 20


def test_every_field_with_a_value_is_in_the_report(full_library: Library, tmp_path: Path) -> None:
    report = write_tbx(full_library, tmp_path / "full.tbx")
    counts = {f.path: (f.carried, f.noted, f.left_out) for f in report.fields}
    assert set(counts) == {path for path, field in FIELDS.items() if field.fate}
    assert (report.entries, report.terms, report.replaced_characters) == (2, 4, 0)
    assert counts["entry.id"] == (2, 0, 0)
    assert counts["entry.terms"] == (0, 0, 1)
    assert counts["term.text"] == (4, 0, 1)
    assert counts["term.part_of_speech"] == (2, 1, 0)
    assert counts["term.gender"] == (1, 1, 0)
    assert counts["term.forms"] == (0, 2, 0)
    assert counts["relation.target_id"] == (1, 1, 0)
    assert counts["definition.language"] == (3, 0, 0)
    assert counts["figure.image_id"] == (1, 0, 1)
    assert counts["slip.text"] == (2, 0, 1)
    assert counts["slip.unsorted"] == (0, 0, 1)
    assert counts["entry.changed_on"] == (0, 1, 0)
    assert counts["page"] == (0, 0, 1)
    for path, (carried, _, left_out) in counts.items():
        assert (left_out > 0) >= (FIELDS[path].fate is Fate.LEFT_OUT and not carried)
        assert carried == 0 or FIELDS[path].fate is not Fate.NOTED


def test_the_report_is_plain_data_and_readable(full_library: Library, tmp_path: Path) -> None:
    report = write_tbx(full_library, tmp_path / "full.tbx")
    assert msgspec.json.decode(msgspec.json.encode(report), type=type(report)) == report
    lines = report.readable()
    assert lines[0] == "TBX-Basic 1.2.1, DCA style: 2 entries, 4 terms."
    assert "In notes: Part of speech (term) 1." in lines
    assert any(line.startswith("Left out: Editor's note (entry) 1.") for line in lines)
    assert all("Title" not in line for line in lines)


def test_a_verdict_gives_the_clause_and_its_source(
    library_of: Callable[..., Library], tmp_path: Path
) -> None:
    source = Source("s1", "Advertiser 1898", SourceKind.NEWSPAPER, "At the fair")
    clause = LegRule(id="k2", sources=("s1",), stance="barred", uses=("kick",))
    code = RuleCode("r1", "Fair rules", clauses=(clause,))
    kick = named("c0001", technique=Profile(leg_use=Stated("kick")))
    write_tbx(library_of(BASE, source, code, kick), tmp_path / "kick.tbx")
    assert texts(tmp_path / "kick.tbx", "admin")[0] == "r1:breaks the rules"
    [verdict] = [n for n in texts(tmp_path / "kick.tbx", "note") if n.startswith("Verdict: ")]
    assert verdict.startswith("Verdict: Fair rules: breaks the rules. ")
    assert verdict.endswith(" [clause k2; Advertiser 1898]")


def test_notice_and_cautions_are_in_the_header(full_library: Library, tmp_path: Path) -> None:
    write_tbx(full_library, tmp_path / "full.tbx")
    header = etree.parse(str(tmp_path / "full.tbx")).find(f"{C}tbxHeader")
    assert header is not None
    header_text = "\n".join(header.itertext())
    assert CAUTIONS in header_text
    assert "Everything here is invented and is evidence of nothing." in header_text


def test_an_empty_termbase_gives_a_valid_file(
    library_of: Callable[..., Library], tmp_path: Path, published: ModuleType
) -> None:
    report = write_tbx(library_of(BASE), tmp_path / "empty.tbx")
    assert (report.entries, report.terms) == (0, 0)
    assert list(published.faults(tmp_path / "empty.tbx")) == []


def test_a_selection_has_only_what_it_refers_to(library_of: Callable[..., Library], tmp_path: Path) -> None:
    sources = [Source(f"s{n}", f"Source {n}", SourceKind.OTHER, "") for n in (1, 2)]
    people = [Person("p1", "Nia"), Person("p2", "Ifan")]
    both = (Relation(RelationKind.FOLLOWS, "c0002"), Relation(RelationKind.BROADER, "c0003"))
    entries = (
        named("c0001", definitions=(Definition("en", "one", "s2"),), relations=both, created_by="Ifan"),
        named("c0002"),
        named("c0003"),
    )
    path = tmp_path / "two.tbx"
    write_tbx(library_of(BASE, *sources, *people, *entries), path, ids=["c0003", "c0001", "c0003"])
    tree = etree.parse(str(path))
    assert [e.get("id") for e in tree.iter(f"{C}conceptEntry")] == ["c0003", "c0001"]
    assert [e.get("id") for e in tree.iter(f"{C}refObject")] == ["p2", "s2"]
    assert [e.get("target") for e in tree.iter(f"{C}ref")] == ["c0003"]
    assert "Relation: follows: hold (c0002, not in this file)" in texts(path, "note")


def test_a_printed_form_is_not_duplicated(library_of: Callable[..., Library], tmp_path: Path) -> None:
    printed = Term("t1", "a", "ga", Origin.IN_USE, printed="á", printed_language="ga-Latg")
    same = Term("t2", "á", "ga-Latg", Origin.IN_USE)
    write_tbx(library_of(BASE, Entry("c0001", terms=(printed, same))), tmp_path / "one.tbx")
    assert texts(tmp_path / "one.tbx", "term") == ["a", "á"]


def test_invalid_tags_become_undetermined_and_are_reported(
    library_of: Callable[..., Library], tmp_path: Path, published: ModuleType
) -> None:
    bad = Term("t1", "a", "the old tongue", Origin.IN_USE)
    report = write_tbx(library_of(BASE, Entry("c0001", terms=(bad,))), tmp_path / "one.tbx")
    assert list(published.faults(tmp_path / "one.tbx")) == []
    assert "Language: the old tongue" in texts(tmp_path / "one.tbx", "note")
    assert [f.noted for f in report.fields if f.path == "term.language"] == [1]


def test_a_concept_note_is_kept_beside_a_section_without_a_language(
    library_of: Callable[..., Library], tmp_path: Path
) -> None:
    note = ForeignNote(category="note", text="Of the quay.")
    entry = Entry("c0001", terms=(Term("t1", "a", "the old tongue", Origin.IN_USE),), foreign_notes=(note,))
    write_tbx(library_of(BASE, entry), tmp_path / "one.tbx")
    assert "Of the quay." in texts(tmp_path / "one.tbx", "note")


def test_our_notes_are_marked_english_in_other_sections(
    library_of: Callable[..., Library], tmp_path: Path, published: ModuleType
) -> None:
    base = Termbase(title="Geiriau", working_language="cy", vernaculars=("en",))
    path = tmp_path / "welsh.tbx"
    write_tbx(library_of(base, named("c0001", relations=(Relation(RelationKind.SEE_ALSO, "c0001"),))), path)
    assert list(published.faults(path)) == []
    lang = "{http://www.w3.org/XML/1998/namespace}lang"
    notes = {"".join(e.itertext()): e.get(lang) for e in etree.parse(str(path)).iter(f"{C}note")}
    assert notes["Origin: in use"] is None
    assert notes["Read for language: open"] == "en"


def test_progress_is_reported_to_the_end(library_of: Callable[..., Library], tmp_path: Path) -> None:
    seen: list[int] = []
    many = [*(named(f"c{n:04}") for n in range(1, 1001)), Entry("c1001")]
    write_tbx(library_of(BASE, *many), tmp_path / "many.tbx", on_progress=seen.append)
    assert seen == [400, 800, 1001]


class Breaking(Library):
    """A library whose articles raise an error after the first."""

    def articles(self, ids: Any = None) -> Iterator[Article]:
        yield next(super().articles(ids))
        raise OSError("the disk is gone")


@pytest.mark.parametrize("before", [None, b"what was there before"])
def test_a_failure_leaves_no_file(full_library: Library, tmp_path: Path, before: bytes | None) -> None:
    path = tmp_path / "out.tbx"
    if before is not None:
        path.write_bytes(before)
    with pytest.raises(OSError, match="the disk is gone"):
        write_tbx(Breaking(full_library.reader), path)
    assert [p.read_bytes() for p in tmp_path.iterdir()] == ([] if before is None else [before])


def test_an_invalid_file_is_not_moved_to_its_place(
    library_of: Callable[..., Library], tmp_path: Path
) -> None:
    twice = replace(named("c0002"), terms=named("c0001").terms)
    with pytest.raises(NotValid, match="used twice") as caught:
        write_tbx(library_of(BASE, named("c0001"), twice), tmp_path / "out.tbx")
    assert "conceptEntry c0002" in caught.value.where
    assert list(tmp_path.iterdir()) == []


def test_records_from_the_store_are_written(store: Store, tmp_path: Path, published: ModuleType) -> None:
    with store.act("Nia", "a start") as act:
        act.add(Person(act.new_id("person"), "Nia"))
        source = act.add(Source(act.new_id("source"), "Advertiser", SourceKind.NEWSPAPER, "At the fair"))
        entry = Entry(act.new_id("entry"), terms=(Term(act.new_id("term"), "gafael", "cy", Origin.IN_USE),))
        act.add(entry)
        act.add(Slip(act.new_id("slip"), source.id, "took a gafael", term_id=entry.terms[0].id))
    with store.read() as reader:
        report = write_tbx(Library(reader), tmp_path / "out.tbx")
    assert (report.entries, report.terms) == (1, 1)
    assert list(published.faults(tmp_path / "out.tbx")) == []
    author = next(etree.parse(str(tmp_path / "out.tbx")).iter(f"{C}transacNote"))
    assert (author.text, author.get("target")) == ("Nia", "p1")


PROGRAM = """
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("records", sys.argv[1])
records = importlib.util.module_from_spec(spec)
sys.modules["records"] = records
spec.loader.exec_module(records)
from exports.tbx.writer import write_tbx
from termbase.overviews.articles import Library
library = Library(records.MemoryReader(records.BASE, records.RECORDS))
for dialect in ("basic-dca", "basic-dct"):
    write_tbx(library, pathlib.Path(sys.argv[2]) / dialect, dialect=dialect)
"""


def test_the_same_record_gives_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    for seed in ("1", "2"):
        folder = tmp_path / seed
        folder.mkdir()
        subprocess.run(
            [sys.executable, "-c", PROGRAM, str(HERE / "conftest.py"), str(folder)],
            check=True,
            cwd=HERE.parents[2],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ".", "PATH": ""},
        )
    for dialect in DIALECTS:
        assert (tmp_path / "1" / dialect).read_bytes() == (tmp_path / "2" / dialect).read_bytes()
