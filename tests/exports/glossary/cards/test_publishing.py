"""Cards: their contents, and backs that match their fronts."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from app.catalogues import LANGUAGES, voice_of
from exports.glossary.book.book import Selection
from exports.glossary.book.coverage import MissingCharacters
from exports.glossary.cards.publishing import deck_of, publish_cards
from termbase.overviews.articles import Library
from termbase.record.cautions import OWN_CAUTIONS
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.record.people import CAUTIONS, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.store.engine import Store
from termbase.technique.profile import Hand, Profile, Stated

AS_OF = "2026-03-01"
NOTICE = "Everything in this book is invented and is evidence of nothing."
PROFILE = Profile(right=Hand(Stated(("belt",)), work=Stated("pull")), leg_use=Stated("kick"))


def words(page: pypdf.PageObject) -> str:
    return re.sub(r"\s+", " ", page.extract_text())


def many(tmp_path: Path, size: int, quoted: str = "") -> Store:
    store = Store.create(str(tmp_path / "many.sqlite"), Termbase(title="Many", vernaculars=("cy",)), by="Nia")
    with store.act("Nia", "filled it") as act:
        act.add(Source("s1", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern", issued="1866"))
        for n in range(1, size + 1):
            names = (
                Term(f"t{2 * n}", f"word {n:02}", "en", Origin.IN_USE),
                Term(f"t{2 * n + 1}", f"gair {n:02}", "cy", Origin.COINED),
            )
            act.add(Entry(f"c{n:04}", Topic.KICK, names, technique=PROFILE))
        if quoted:
            act.add(Slip("q1", "s1", quoted, term_id="t2"))
    return store


def test_a_card_has_names_figure_verdict_quotation_and_cautions(library: Library) -> None:
    deck = deck_of(library, Selection(), as_of=AS_OF)
    card = next(c for c in deck.cards if c.id == "c0001")
    assert [n.text for n in card.names] == ["back-heel", "bachiad sawdl"]
    assert card.figure is not None
    assert card.said == card.figure.said
    assert card.verdicts[0].word == "fits"
    assert card.quotation is not None
    assert card.quotation.kind == ""
    assert OWN_CAUTIONS["young"] in card.cautions
    assert " ".join(deck.caution) == CAUTIONS


def test_only_described_techniques_have_cards_in_alphabetical_order(library: Library) -> None:
    assert [c.id for c in deck_of(library, Selection(), as_of=AS_OF).cards] == ["c0001", "c0002"]


def test_drafts_are_marked_or_left_out(library: Library) -> None:
    assert [c.draft for c in deck_of(library, Selection(), as_of=AS_OF).cards] == ["", "draft"]
    assert [c.id for c in deck_of(library, Selection(drafts=False), as_of=AS_OF).cards] == ["c0001"]


def sizes_of(path: Path) -> set[float]:
    """Return every type size in a PDF, in points."""
    found: set[float] = set()

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.add(round(abs(size * tm[3] * cm[3]), 1))

    for page in pypdf.PdfReader(path).pages:
        page.extract_text(visitor_text=visit)
    return found


def all_words(path: Path) -> str:
    output = subprocess.run(
        ["pdftotext", "-raw", path, "-"], capture_output=True, check=True, text=True
    ).stdout
    return " ".join(output.split())


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler-utils is not here")
def test_text_that_does_not_fit_continues_on_another_card_in_the_same_size(tmp_path: Path) -> None:
    many_words = " ".join(f"word{n}" for n in range(400))
    injuries = " ".join(f"bruise{n}" for n in range(300))
    short, long = tmp_path / "short.pdf", tmp_path / "long.pdf"
    with many(tmp_path, 1, "He took him by the belt and kicked.").read() as reader:
        publish_cards(Library(reader), short, as_of=AS_OF, selection=Selection(figures=False))
    (tmp_path / "more").mkdir()
    store = many(tmp_path / "more", 1, f"He took him by the belt and kicked {many_words}")
    with store.act("Nia", "tried it") as act:
        act.add(Trial("m1", "c0001", "2025-05-03", Outcome.WORKS, injuries=injuries))
    with store.read() as reader:
        report = publish_cards(Library(reader), long, as_of=AS_OF, selection=Selection(figures=False))
    assert report.cards == 1
    words = all_words(long).split()
    assert [w for w in (*many_words.split(), *injuries.split()) if not any(w in word for word in words)] == []
    assert "1/3" in words or "1/4" in words, "a technique on several cards says which this is"
    assert sizes_of(long) == sizes_of(short)
    assert min(sizes_of(long)) >= 6
    boxes = subprocess.run(
        ["pdftotext", "-bbox", long, "-"], capture_output=True, check=True, text=True
    ).stdout
    down = [float(y) for y in re.findall(r'yMax="([\d.]+)"', boxes)]
    assert max(down) <= 842, "nothing runs off the sheet"


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler-utils is not here")
@pytest.mark.parametrize("tag", LANGUAGES)
def test_every_demo_card_has_all_its_text_in_one_size(
    tag: str, demo_deck_store: Store, tmp_path: Path
) -> None:
    path = tmp_path / "cards.pdf"
    selection = Selection(voice=voice_of(tag))
    with demo_deck_store.read() as reader:
        library = Library(reader)
        publish_cards(library, path, as_of=AS_OF, selection=selection)
        deck = deck_of(library, selection, as_of=AS_OF)
    text = re.sub(r"\W+", "", all_words(path))
    for card in deck.cards:
        reasons = [piece for verdict in card.verdicts for piece in verdict.says]
        for piece in (*card.hurt, *card.cautions, *card.steps, *reasons, *card.quoted):
            assert re.sub(r"\W+", "", piece) in text, (card.id, piece)
    with demo_deck_store.read() as reader:
        # without figures, whose letters are part of the drawing
        publish_cards(Library(reader), path, as_of=AS_OF, selection=replace(selection, figures=False))
    assert len(sizes_of(path)) <= 12, "as many as the parts of a card have"
    assert min(sizes_of(path)) >= 6


@pytest.fixture(scope="module")
def demo_deck_store(demo_file: Path) -> Iterator[Store]:
    """The demo, which is only read."""
    store = Store.open(str(demo_file))
    yield store
    store.close()


@pytest.mark.parametrize(("size", "pages"), [(1, 2), (8, 2), (9, 4)])
def test_a_sheet_of_two_pages_has_eight_cards(tmp_path: Path, size: int, pages: int) -> None:
    with many(tmp_path, size).read() as reader:
        report = publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF)
    assert (report.cards, report.drafts, report.pages) == (size, size, pages)
    box = pypdf.PdfReader(tmp_path / "cards.pdf").pages[0].mediabox
    assert (round(box.width * 25.4 / 72), round(box.height * 25.4 / 72)) == (210, 297)  # ISO 216


def places(page: pypdf.PageObject) -> dict[str, tuple[bool, int]]:
    """Return the place where each name is first mentioned: whether in the left column, and its row from
    the top."""
    found: dict[str, tuple[bool, int]] = {}

    def visit(text: str, cm: list[float], tm: list[float], _font: object, _size: object) -> None:
        x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
        y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
        for name in re.findall(r"word \d\d", text):
            found.setdefault(name, (x < page.mediabox.width / 2, int(4 * (1 - y / 842))))

    page.extract_text(visitor_text=visit)
    return found


def test_backs_match_their_fronts_when_the_paper_is_flipped_on_its_long_edge(tmp_path: Path) -> None:
    with many(tmp_path, 7).read() as reader:
        publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF)
    front, back = map(places, pypdf.PdfReader(tmp_path / "cards.pdf").pages)
    assert len(front) == len(back) == 7
    for name, (left, row) in front.items():
        assert back[name] == (not left, row), name


def test_every_card_has_the_cautions_and_every_page_the_notice(library: Library, tmp_path: Path) -> None:
    publish_cards(library, tmp_path / "cards.pdf", as_of=AS_OF)
    front, back = map(words, pypdf.PdfReader(tmp_path / "cards.pdf").pages)
    for sentence in (CAUTIONS[:50], "Within the rules does not mean safe"):
        assert sentence in back
    assert OWN_CAUTIONS["kick"] in front, "before the figure"
    assert NOTICE in front
    assert NOTICE in back


def test_the_pdf_is_tagged_and_archivable(library: Library, tmp_path: Path) -> None:
    publish_cards(library, tmp_path / "cards.pdf", as_of=AS_OF)
    packet = pypdf.PdfReader(tmp_path / "cards.pdf").trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<pdfuaid:part>1</pdfuaid:part>" in packet
    assert "<pdfaid:part>2</pdfaid:part>" in packet


def test_the_same_record_and_date_give_the_same_bytes(library: Library, tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        publish_cards(library, tmp_path / name, as_of=AS_OF)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_a_termbase_without_techniques_gives_a_page_that_says_so(tmp_path: Path) -> None:
    with many(tmp_path, 0).read() as reader:
        report = publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF)
    assert report.cards == 0
    assert "no cards" in words(pypdf.PdfReader(tmp_path / "cards.pdf").pages[0])


def test_a_character_missing_from_every_font_is_reported(tmp_path: Path) -> None:
    store = many(tmp_path, 1)
    with store.act("Nia", "renamed it") as act:
        entry = act.get(Entry, "c0001")
        act.put(replace(entry, terms=(replace(entry.terms[0], text="投"),)))
    with store.read() as reader:
        with pytest.raises(MissingCharacters):
            publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF)
        chosen = Selection(mark_missing=True)
        report = publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF, selection=chosen)
    assert [m.character for m in report.missing] == ["投"]


def test_a_very_long_name_and_many_reasons_still_make_two_pages(tmp_path: Path) -> None:
    store = Store.create(str(tmp_path / "long.sqlite"), Termbase(title="L", vernaculars=("cy",)), by="Nia")
    with store.act("Nia", "filled it") as act:
        name = Term("t1", "a throw over the shoulder with both hands on the strap " * 3, "en", Origin.IN_USE)
        act.add(Entry("c0001", Topic.THROW, (name, replace(name, id="t2", language="cy")), technique=PROFILE))
    with store.read() as reader:
        assert publish_cards(Library(reader), tmp_path / "cards.pdf", as_of=AS_OF).pages == 2
    store.close()
