"""The PDF: what a reader, a screen reader and an archive find in it."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from exports.glossary.book.book import Paper, Selection
from exports.glossary.book.coverage import PRINT_FONTS, MissingCharacters, characters_of, font_files
from exports.glossary.pdf.publishing import PrintReport, publish_pdf
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.record.people import CAUTIONS, Termbase
from termbase.store.engine import Store

AS_OF = "2026-03-01"
NOTICE = "Everything in this book is invented and is evidence of nothing."


@pytest.fixture(scope="module")
def printed(sample_store: Store, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, PrintReport]:
    """The sample as a book."""
    path = tmp_path_factory.mktemp("printed") / "sample.pdf"
    with sample_store.read() as reader:
        return path, publish_pdf(Library(reader), path, as_of=AS_OF)


@pytest.fixture(scope="module")
def pdf(printed: tuple[Path, PrintReport]) -> pypdf.PdfReader:
    return pypdf.PdfReader(printed[0])


def words(page: pypdf.PageObject) -> str:
    return re.sub(r"\s+", " ", page.extract_text())


def test_the_report_counts_entries_drafts_pages_and_bytes(
    printed: tuple[Path, PrintReport], pdf: pypdf.PdfReader
) -> None:
    path, report = printed
    assert report == PrintReport(5, 4, len(pdf.pages), path.stat().st_size)


def test_title_and_language_are_set(pdf: pypdf.PdfReader) -> None:
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Strap-hold Wrestling: English–Welsh and Welsh–English"
    assert pdf.trailer["/Root"]["/Lang"] == "en"
    assert pdf.trailer["/Root"]["/ViewerPreferences"]["/DisplayDocTitle"]


def test_the_pdf_is_tagged(pdf: pypdf.PdfReader) -> None:
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]


def test_the_pdf_states_that_it_is_pdf_a_2a_and_pdf_ua_1(pdf: pypdf.PdfReader) -> None:
    # ISO 19005-2 6.6.4 and ISO 14289-1 5: the identifiers of the two standards in the XMP packet
    packet = pdf.trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in packet
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in packet
    assert "<pdfuaid:part>1</pdfuaid:part>" in packet


def test_parts_and_letters_are_bookmarks(pdf: pypdf.PdfReader) -> None:
    titles = [item.title for item in pdf.outline if not isinstance(item, list)]
    assert titles == [
        "About this book", "English – Welsh", "Welsh – English", "The rule codes in full", "Sources",
        "Index by mechanic",
    ]  # fmt: skip
    letters = [[i.title for i in item] for item in pdf.outline if isinstance(item, list)]
    assert ["B", "C", "G", "Ll", "T"] in letters


def test_every_font_is_embedded_and_shipped(pdf: pypdf.PdfReader) -> None:
    names = set()
    for page in pdf.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            (inner,) = font.get_object()["/DescendantFonts"]
            descriptor = inner.get_object()["/FontDescriptor"].get_object()
            assert {"/FontFile2", "/FontFile3"} & descriptor.keys()
            names.add(descriptor["/FontName"].split("+")[1].split("-")[0])
    assert names == {"WordholdSerif", "WordholdSans"}


def test_the_notice_is_on_every_page(pdf: pypdf.PdfReader) -> None:
    assert all(NOTICE in words(page) for page in pdf.pages)


def test_the_cautions_come_before_the_articles(pdf: pypdf.PdfReader) -> None:
    plain = words(pdf.pages[1]).replace("- ", "-")
    assert CAUTIONS[:60] in plain
    assert "Within the rules does not mean safe" in plain


def test_the_book_says_how_to_cite_it(pdf: pypdf.PdfReader) -> None:
    plain = " ".join(words(page) for page in pdf.pages)
    assert "How to cite" in plain
    assert "The whole work: " in plain
    assert "edition of 1 March 2026" in plain


def test_a_figure_has_a_description_for_screen_readers(printed: tuple[Path, PrintReport]) -> None:
    # ISO 14289-1 7.3: figures have an alternative text
    root = pypdf.PdfReader(printed[0]).trailer["/Root"]["/StructTreeRoot"]
    figures = [e for e in _elements(root) if e.get("/S") == "/Figure"]
    assert len(figures) == 2
    assert all("hand" in e["/Alt"] or "kick" in e["/Alt"] for e in figures)


def _elements(element: pypdf.generic.DictionaryObject) -> Iterator[pypdf.generic.DictionaryObject]:
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        inner = kid.get_object()
        if isinstance(inner, dict) and "/S" in inner:
            yield inner
            yield from _elements(inner)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext here")
def test_every_headword_is_found_as_text(printed: tuple[Path, PrintReport]) -> None:
    text = subprocess.run(["pdftotext", printed[0], "-"], check=True, capture_output=True, text=True).stdout
    for head in (
        "back-heel",
        "bout",
        "clog-kick",
        "fall",
        "cwymp",
        "bachiad sawdl",
        "llorio",
        "gornest",
        "tro sawdl",
    ):
        assert head in re.sub(r"\s+", " ", text)


def many(size: int) -> Iterator[Entry]:
    """Return entries `word 000` and so on, enough for several pages."""
    definition = Definition("en", "A hold of the belt with the left hand, taken low at the near hip. " * 3)
    for n in range(size):
        terms = (
            Term(f"t{2 * n + 1}", f"word {n:03}", "en", Origin.IN_USE),
            Term(f"t{2 * n + 2}", f"gair {n:03}", "cy", Origin.IN_USE),
        )
        yield Entry(f"c{n + 1:04}", None, terms, definitions=(definition,))


def a_library(tmp_path: Path, entries: Iterator[Entry] | tuple[Entry, ...]) -> Store:
    store = Store.create(
        str(tmp_path / "made.wordhold"), Termbase(title="Many", vernaculars=("cy",)), by="Nia"
    )
    with store.act("Nia", "filled it") as act:
        for entry in entries:
            act.add(entry)
    return store


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext here")
def test_the_index_gives_the_page_of_each_article(tmp_path: Path) -> None:
    """Also where a heading has so many that it is set in several paragraphs."""
    path = tmp_path / "many.pdf"
    entries = (replace(entry, topic=Topic.HOLD) for entry in many(90))
    with a_library(tmp_path, entries).read() as reader:
        publish_pdf(Library(reader), path, as_of=AS_OF)
    pages = [words(page) for page in pypdf.PdfReader(path).pages]
    page_of = dict(re.findall(r"(word \d\d\d)\s(\d+)", pages[-1]))
    assert len(page_of) == 90
    for head, page in page_of.items():
        assert f"{head} in use" in pages[int(page) - 1]


@pytest.mark.parametrize("paper", ["a5", "a4"])
def test_running_heads_are_the_first_and_last_headword_of_the_page(tmp_path: Path, paper: Paper) -> None:
    path = tmp_path / "many.pdf"
    with a_library(tmp_path, many(150)).read() as reader:
        publish_pdf(Library(reader), path, as_of=AS_OF, paper=paper)
    checked = set()
    for page in pypdf.PdfReader(path).pages:
        text = words(page)
        kind = "word" if "at the near hip" in text else "gair"
        found = re.findall(rf"{kind} \d\d\d", text)
        if len(set(found)) > 1:
            assert sorted(h for h in set(found) if found.count(h) == 2) == [min(found), max(found)]
            checked.add((kind, min(found)))
    assert {kind for kind, _ in checked} == {"word", "gair"}
    assert len(checked) > 4


def test_the_same_record_and_date_give_the_same_bytes(library: Library, tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        publish_pdf(library, tmp_path / name, as_of=AS_OF)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_paper_sizes_are_those_of_iso_216(library: Library, tmp_path: Path) -> None:
    sizes: dict[Paper, tuple[int, int]] = {"a5": (148, 210), "a4": (210, 297)}
    for paper, millimetres in sizes.items():
        publish_pdf(library, tmp_path / f"{paper}.pdf", as_of=AS_OF, paper=paper)
        box = pypdf.PdfReader(tmp_path / f"{paper}.pdf").pages[0].mediabox
        assert (round(box.width * 25.4 / 72), round(box.height * 25.4 / 72)) == millimetres


STRANGE = (
    Entry(
        "c0001", None, (Term("t1", "fall", "en", Origin.IN_USE), Term("t2", "codwm 投", "cy", Origin.COINED))
    ),
)


def test_a_character_missing_from_every_font_is_reported_with_its_entry_and_nothing_is_printed(
    tmp_path: Path,
) -> None:
    path = tmp_path / "strange.pdf"
    with a_library(tmp_path, STRANGE).read() as reader, pytest.raises(MissingCharacters) as caught:
        publish_pdf(Library(reader), path, as_of=AS_OF)
    (missing,) = caught.value.characters
    assert (missing.character, missing.entry_id, missing.head) == ("投", "c0001", "fall")
    assert "U+6295" in str(caught.value)
    assert not list(tmp_path.glob("*.pdf"))


def test_a_character_missing_from_every_font_can_be_printed_as_its_code_point(tmp_path: Path) -> None:
    path = tmp_path / "strange.pdf"
    with a_library(tmp_path, STRANGE).read() as reader:
        report = publish_pdf(Library(reader), path, as_of=AS_OF, selection=Selection(mark_missing=True))
    assert [m.character for m in report.missing] == ["投"]
    assert any("codwm ‹U+6295›" in words(page) for page in pypdf.PdfReader(path).pages)


@pytest.mark.parametrize(
    "character", ["\x01", "\b", "\x1f", "\x7f", "\x9d", "\ufeff", "\u0601", "\ufffe", "\U0010fffd"]
)
def test_characters_the_typesetter_refuses_are_reported_and_printed_as_code_points(
    character: str, tmp_path: Path
) -> None:
    path = tmp_path / "strange.pdf"
    text = f"\\u0001 {character}\\b"  # what only looks like an escape is unchanged
    entry = Entry(
        "c0001", None, (Term("t1", "fall", "en", Origin.IN_USE),), definitions=(Definition("en", text),)
    )
    with a_library(tmp_path, (entry,)).read() as reader:
        with pytest.raises(MissingCharacters) as caught:
            publish_pdf(Library(reader), path, as_of=AS_OF)
        publish_pdf(Library(reader), path, as_of=AS_OF, selection=Selection(mark_missing=True))
    assert [(m.character, m.entry_id) for m in caught.value.characters] == [(character, "c0001")]
    printed = "".join(words(page) for page in pypdf.PdfReader(path).pages)
    assert rf"\u0001 ‹U+{ord(character):04X}›\b" in printed


def test_characters_that_need_no_glyph_are_not_reported(tmp_path: Path) -> None:
    path = tmp_path / "invisible.pdf"
    text = "a\u00adb\u200bc\u200dd\u2028e\u2029f\x85gh\u202ei\u202c\u034fj\tk\vl\fm"
    entry = Entry(
        "c0001", None, (Term("t1", "fall", "en", Origin.IN_USE),), definitions=(Definition("en", text),)
    )
    with a_library(tmp_path, (entry,)).read() as reader:
        assert publish_pdf(Library(reader), path, as_of=AS_OF).missing == ()


def test_a_name_without_spaces_stays_within_its_column_and_a_long_headword_within_its_half(
    tmp_path: Path,
) -> None:
    path = tmp_path / "long.pdf"
    names = ("x" * 300, "a name of many words " * 12, "ŵ" * 45)
    entries = tuple(
        Entry(f"c{n:04}", None, (Term(f"t{n}", name.strip(), "en", Origin.IN_USE),))
        for n, name in enumerate(names, 1)
    )
    with a_library(tmp_path, entries).read() as reader:
        publish_pdf(Library(reader), path, as_of=AS_OF)
    if not shutil.which("pdftotext"):
        pytest.skip("poppler-utils is not here")
    output = subprocess.run(
        ["pdftotext", "-bbox", path, "-"], capture_output=True, check=True, text=True
    ).stdout
    boxes = [[float(n) for n in found] for found in re.findall(
        r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)"', output)]  # fmt: skip
    hanging = 1.5  # points by which a punctuation mark may hang into the margin
    assert max(right for _, _, right, _ in boxes) <= (148 - 12.9) / 25.4 * 72 + hanging
    assert len({round(top) for _, top, _, _ in boxes if top < 44}) == 1, "the head is one line"


def test_markup_in_the_record_is_printed_as_text(tmp_path: Path) -> None:
    path = tmp_path / "marked.pdf"
    wild = '#panic("x") *bold* _it_ $a$ <label> @ref \\ // [x]'
    entry = Entry(
        "c0001", None, (Term("t1", wild, "en", Origin.IN_USE),), definitions=(Definition("en", wild),)
    )
    with a_library(tmp_path, (entry,)).read() as reader:
        publish_pdf(Library(reader), path, as_of=AS_OF, paper="a4")
    assert any(wild in words(page) for page in pypdf.PdfReader(path).pages)


def test_an_empty_termbase_prints_its_front_matter(tmp_path: Path) -> None:
    path = tmp_path / "empty.pdf"
    with a_library(tmp_path, ()).read() as reader:
        report = publish_pdf(Library(reader), path, as_of=AS_OF)
    assert report.entries == 0
    assert report.pages >= 2


def test_letters_of_the_celtic_languages_old_print_and_phonetics_are_all_shipped() -> None:
    known = frozenset().union(*(characters_of(f) for f in font_files([PRINT_FONTS])))
    wanted = "ŵŷẁẃẅỳâêîôûïÿáéíóúàèìòùçñḃċḋḟġṁṗṡṫꝺꝼᵹꞃꞅꞇſẛ⁊ɑɒɔəɛɪɫɬɹɾʃʊʌʒʔθðŋχɣɲβˈˌː●○■□◆▼–—‘’“”†‡→"
    assert not [c for c in wanted if ord(c) not in known]
