"""Maximum text lengths, in forms and in files; errors give the limit and the length."""

from dataclasses import replace
from pathlib import Path

import pytest

from exports.citations.formats import read_works
from exports.citations.importing import import_sources, plan_sources
from exports.tables.importing import plan_table
from exports.tables.mapping import guess, remapped
from exports.tables.reading import read_csv
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.errors import BadInput
from termbase.fields.declarations import LONGEST
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, InflectedForm, Origin, Ruling, Term
from termbase.record.limits import check_lengths
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.record.validation import clean_verbatim
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.engine import Store
from termbase.technique.profile import Profile

NAME, NOTE, QUOTATION = ("x" * (LONGEST[kind] + 1) for kind in ("name", "note", "quotation"))
LINE = "x" * (LONGEST["line"] + 1)
FORM = InflectedForm("plural", NAME)
TERM = Term("t1", "hank", "en", Origin.COINED)
ENTRY = Entry("c0001", terms=(TERM,))
SOURCE = Source("s1", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern")


@pytest.fixture
def database() -> str:
    """Lengths do not depend on the database."""
    return "sqlite"


@pytest.mark.parametrize(
    ("record", "where", "most"),
    [
        (replace(ENTRY, terms=(TERM, replace(TERM, text=NAME))), "name 2, text", "500"),
        (replace(ENTRY, terms=(replace(TERM, printed=NAME),)), "name 1, printed", "500"),
        (
            replace(ENTRY, terms=(replace(TERM, forms=(FORM,)),)),
            "name 1, form 1, text",
            "500",
        ),
        (replace(ENTRY, definitions=(Definition("en", NOTE),)), "definition 1, text", "50,000"),
        (replace(ENTRY, editor_note=NOTE), "editor note", "50,000"),
        (replace(ENTRY, technique=Profile(note=NOTE)), "technique, note", "50,000"),
        (replace(ENTRY, technique=Profile(names=("a", NAME))), "technique, names", "500"),
        (replace(ENTRY, rulings=(Ruling("r1", "fits", "N", "2026", NOTE),)), "ruling 1, reason", "50,000"),
        (replace(SOURCE, title=LINE), "title", "2,000"),
        (replace(SOURCE, styles=("a", LINE)), "styles", "2,000"),
        (Slip("q1", "s1", QUOTATION), "text", "200,000"),
        (Slip("q1", "s1", "he held", page=LINE), "page", "2,000"),
        (Trial("m1", "c0001", "2026", Outcome.WORKS, safety=NOTE), "safety", "50,000"),
        (Person("p1", LINE), "name", "2,000"),
        (Termbase(LINE), "title", "2,000"),
        (RuleCode("r1", NAME), "name", "500"),
        (
            RuleCode("r1", "Fair", clauses=(LegRule(id="1", stance="barred", words=NOTE),)),
            "clause 1, words",
            "50,000",
        ),
    ],
)
def test_a_text_that_is_too_long_is_reported_with_field_limit_and_length(
    record: object, where: str, most: str
) -> None:
    with pytest.raises(BadInput) as refused:
        check_lengths(record)
    assert refused.value.where == where
    length = int(most.replace(",", "")) + 1
    assert refused.value.what == (
        f"The text is {length:,} characters long, but at most {most} are allowed here."
    )
    assert refused.value.fix


def test_texts_at_the_limit_are_accepted() -> None:
    terms = (replace(TERM, text=NAME[1:], usage_note=NOTE[1:]),)
    check_lengths(replace(ENTRY, terms=terms, definitions=(Definition("en", NOTE[1:]),)))
    check_lengths(Slip("q1", "s1", QUOTATION[1:]))


def test_every_way_into_the_record_refuses_a_text_that_is_too_long(store: Store) -> None:
    with store.act("Nia", "wrote a source") as act:
        source = save_source(act, replace(SOURCE, id=""))
    ways = (
        lambda act: entries.save(act, Entry("", terms=(replace(TERM, id="", text="x" * 12_000_000),))),
        lambda act: save_source(act, replace(source, note=NOTE)),
        lambda act: save_slip(act, Slip("", source.id, QUOTATION)),
        lambda act: save_code(act, RuleCode("", NAME)),
        lambda act: clean_verbatim("x" * (LONGEST["page"] + 1), "transcription"),
    )
    for way in ways:
        with pytest.raises(BadInput, match="characters long, but at most"), store.act("Nia", "tried") as act:
            way(act)  # type: ignore[no-untyped-call]


def test_a_table_names_the_line_of_a_name_that_is_too_long(store: Store) -> None:
    sheet = read_csv(f"name,language\nhank,en\n{NAME},en\n".encode(), "a.csv")
    mapping = remapped(guess(sheet.head, ("en",)), sheet.head, (), ("origin=coined",))
    with pytest.raises(BadInput) as refused, store.read() as reader:
        plan_table(reader, sheet, mapping)
    assert "a.csv, line 3" in str(refused.value)
    assert "501 characters long" in str(refused.value)


def test_a_file_of_sources_names_the_work_whose_title_is_too_long(store: Store) -> None:
    works = read_works(f"@book{{a, title={{{LINE}}}}}".encode(), "a.bib")
    with pytest.raises(BadInput) as refused, store.act("Nia", "imported") as act:
        import_sources(act, plan_sources(act, works, "a.bib"))
    assert "a.bib, line 1" in str(refused.value)
    assert "2,001 characters long" in str(refused.value)


@pytest.fixture
def own(store: Store, tmp_path: Path) -> str:
    with store.act("Nia", "created an entry") as act:
        entries.save(act, Entry("", terms=(Term("", "hankmark", "en", Origin.COINED),)))
    with store.read() as reader:
        write_tbx(Library(reader), tmp_path / "own.tbx", dialect="wordhold")
    return (tmp_path / "own.tbx").read_text("utf-8")


def test_a_file_of_our_dialect_is_refused_with_line_and_field(own: str, tmp_path: Path) -> None:
    (tmp_path / "bad.tbx").write_text(own.replace("hankmark", NAME), "utf-8")
    empty = Store.create(str(tmp_path / "empty.db"), Termbase("Empty"), by="Nia")
    with pytest.raises(BadInput) as refused, empty.act("Nia", "tried") as act:
        import_file(act, read_tbx(tmp_path / "bad.tbx"))
    empty.close()
    assert refused.value.where.startswith("bad.tbx, line ")
    assert refused.value.where.endswith("name 1, text")
    assert "501 characters long, but at most 500" in refused.value.what
