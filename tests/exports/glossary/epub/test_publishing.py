"""The EPUB: valid, complete, reproducible; with cautions, notice and draft marks."""

import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest
from lxml import etree

from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Letter, Name, Part, Selection
from exports.glossary.epub.publishing import (
    MOST_ARTICLES,
    EpubReport,
    documents_of,
    homes_of,
    publish_epub,
    table_of,
)
from termbase.overviews.articles import Library
from termbase.record.cautions import OWN_CAUTIONS
from termbase.record.entries import Definition, Entry, Origin, Term
from termbase.record.people import CAUTIONS, Termbase
from termbase.store.engine import Store

AS_OF = "2026-03-01"
NOTICE = "Everything in this book is invented and is evidence of nothing."
EPUBCHECK = Path("/usr/share/java/epubcheck.jar")
OPF = {"o": "http://www.idpf.org/2007/opf", "dc": "http://purl.org/dc/elements/1.1/"}
needs_epubcheck = pytest.mark.skipif(
    not EPUBCHECK.exists() or shutil.which("java") is None,
    reason="no epubcheck here (Debian package epubcheck)",
)


@pytest.fixture(scope="module")
def published(sample_store: Store, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, EpubReport]:
    path = tmp_path_factory.mktemp("published") / "sample.epub"
    with sample_store.read() as reader:
        return path, publish_epub(Library(reader), path, as_of=AS_OF)


@pytest.fixture(scope="module")
def files(published: tuple[Path, EpubReport]) -> dict[str, bytes]:
    with zipfile.ZipFile(published[0]) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def documents(files: dict[str, bytes]) -> Iterator[tuple[str, etree._Element]]:
    for name, data in files.items():
        if name.endswith(".xhtml"):
            yield name.removeprefix("EPUB/"), etree.fromstring(data)


def text_of(files: dict[str, bytes]) -> str:
    return re.sub(r"\s+", " ", " ".join("".join(tree.itertext()) for _, tree in documents(files)))


def check(path: Path) -> str:
    """Return the errors and warnings of epubcheck; empty if there are none."""
    done = subprocess.run(
        ["java", "-jar", EPUBCHECK, "--failonwarnings", path], capture_output=True, text=True, timeout=120
    )
    return "" if done.returncode == 0 else done.stdout + done.stderr


@needs_epubcheck
def test_it_is_valid_epub_3(published: tuple[Path, EpubReport]) -> None:
    assert check(published[0]) == ""


@needs_epubcheck
def test_the_demo_with_all_its_figures_is_valid(demo_store: Store, tmp_path: Path) -> None:
    with demo_store.read() as reader:
        publish_epub(Library(reader), tmp_path / "demo.epub", as_of=AS_OF)
    assert check(tmp_path / "demo.epub") == ""


@needs_epubcheck
def test_it_is_valid_with_wild_text_and_a_non_alphabetic_script(tmp_path: Path) -> None:
    wild = 'a < b & "c" </p> <script>x</script> \u0007 ]]>'
    store = Store.create(str(tmp_path / "wild.sqlite"), Termbase(title=wild, vernaculars=("cy",)), by="Nia")
    with store.act("Nia", "filled it") as act:
        act.add(
            Entry(
                "c0001", None, (Term("t1", wild, "en", Origin.IN_USE),), definitions=(Definition("en", wild),)
            )
        )
        act.add(Entry("c0002", None, (Term("t2", "投", "cy", Origin.IN_USE),)))
    with store.read() as reader:
        publish_epub(Library(reader), tmp_path / "wild.epub", as_of=AS_OF)
    store.close()
    assert check(tmp_path / "wild.epub") == ""


def test_the_media_type_comes_first_and_is_stored(published: tuple[Path, EpubReport]) -> None:
    # EPUB Open Container Format 3.2, 4.3
    with zipfile.ZipFile(published[0]) as archive:
        first = archive.infolist()[0]
        assert (first.filename, first.compress_type) == ("mimetype", zipfile.ZIP_STORED)
        assert archive.read("mimetype") == b"application/epub+zip"


def test_the_report_counts_articles_and_documents(
    published: tuple[Path, EpubReport], files: dict[str, bytes]
) -> None:
    path, report = published
    number = sum(name.endswith(".xhtml") for name in files)
    assert report == EpubReport(5, 4, number, path.stat().st_size)


def test_the_package_lists_every_file_and_both_languages(files: dict[str, bytes]) -> None:
    package = etree.fromstring(files["EPUB/package.opf"])
    listed = {f"EPUB/{href}" for href in package.xpath("//o:item/@href", namespaces=OPF)}
    assert listed == files.keys() - {"mimetype", "META-INF/container.xml", "EPUB/package.opf"}
    assert package.xpath("//dc:language/text()", namespaces=OPF) == ["en", "cy"]


def test_every_link_has_a_target_in_the_book(files: dict[str, bytes]) -> None:
    ids = {name: set(tree.xpath("//@id")) for name, tree in documents(files)}
    followed = 0
    for name, tree in documents(files):
        for href in tree.xpath("//*[local-name()='a']/@href"):
            file, _, place = href.partition("#")
            assert file in ids or not file, f"{name} points to {href}"
            assert not place or place in ids[file or name], f"{name} points to {href}"
            followed += 1
    assert followed > 20


def test_the_contents_name_both_directions_and_their_letters(files: dict[str, bytes]) -> None:
    text = "".join(etree.fromstring(files["EPUB/nav.xhtml"]).itertext())
    for words in ("English – Welsh", "Welsh – English", "Ll", "Sources", "Index by mechanic"):
        assert words in text


def test_cautions_notice_guesses_and_drafts_are_shown(files: dict[str, bytes]) -> None:
    text = text_of(files)
    for words in (CAUTIONS, OWN_CAUTIONS["kick"], "*tro sawdl", "draft", "Right hand on the shoulder strap"):
        assert words in text
    assert all(NOTICE in "".join(tree.itertext()) for _, tree in documents(files))


def test_the_same_record_and_date_give_the_same_bytes(
    library: Library, published: tuple[Path, EpubReport], tmp_path: Path
) -> None:
    publish_epub(library, tmp_path / "again.epub", as_of=AS_OF)
    assert (tmp_path / "again.epub").read_bytes() == published[0].read_bytes()


def test_one_direction_without_figures_can_be_published(library: Library, tmp_path: Path) -> None:
    chosen = Selection(directions=("reverse",), figures=False)
    report = publish_epub(library, tmp_path / "one.epub", as_of=AS_OF, selection=chosen)
    assert report.entries == 0
    with zipfile.ZipFile(tmp_path / "one.epub") as archive:
        assert not any(b"<svg" in archive.read(name) for name in archive.namelist())


def test_a_long_letter_is_divided_and_listed_once_in_the_contents(library: Library) -> None:
    items = tuple(Article(f"c{n}", Name(f"a{n}")) for n in range(2 * MOST_ARTICLES + 1))
    book = render(library, as_of=AS_OF)
    part = Part("One", "en", (Letter("A", items), Letter("B", items[:1])))
    long = msgspec.structs.replace(book, parts=(part,))
    cut = documents_of(long)
    assert [[len(s.items) for s in d.stretches] for d in cut] == [[MOST_ARTICLES], [MOST_ARTICLES], [1, 1]]
    assert [c.title for c in table_of(cut)[0].under] == ["A", "B"]
    assert homes_of(cut)[f"c{2 * MOST_ARTICLES}"] == cut[2].file
