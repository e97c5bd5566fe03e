"""The book before typesetting: what goes where, with which marks, in which order."""

from collections.abc import Iterator

import msgspec
import pytest

from exports.figures.hands import STRUCK
from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Book, ReverseLine, Selection
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.record.cautions import OWN_CAUTIONS
from termbase.record.people import CAUTIONS
from termbase.record.sources import Slip
from termbase.store.engine import Store

AS_OF = "2026-03-01"


def articles(book: Book) -> dict[str, Article]:
    items = (i for p in book.parts for letter in p.letters for i in letter.items)
    return {i.id: i for i in items if isinstance(i, Article)}


def lines(book: Book, part: int) -> Iterator[ReverseLine]:
    items = (i for letter in book.parts[part].letters for i in letter.items)
    return (i for i in items if isinstance(i, ReverseLine))


@pytest.fixture
def book(library: Library) -> Book:
    return render(library, as_of=AS_OF)


def test_every_entry_is_printed_once_and_drafts_are_marked(book: Book) -> None:
    found = articles(book)
    assert list(found) == ["c0001", "c0005", "c0002", "c0003", "c0004"]
    assert {i for i, a in found.items() if a.draft} == {"c0002", "c0003", "c0004", "c0005"}


def test_only_ready_entries_are_printed_when_drafts_are_left_out(library: Library) -> None:
    book = render(library, Selection(drafts=False), as_of=AS_OF)
    article = articles(book)["c0001"]
    assert list(articles(book)) == ["c0001"]
    assert [r.to[0].to for r in article.relations] == [""], "a pointer to what is not printed is no link"


def test_an_entry_without_a_working_name_is_listed_separately_under_its_vernacular_name(book: Book) -> None:
    last = book.parts[0].letters[-1]
    assert last.letter == "Without a name in the working language"
    assert [i.head.text for i in last.items] == ["cwymp"]


def test_a_guess_has_a_sign_and_a_word(book: Book) -> None:
    names = {n.text: n for a in articles(book).values() for g in a.names for n in g.names}
    assert (names["tro sawdl"].sign, names["tro sawdl"].origin) == ("*", "rebuilt")
    assert (names["bachiad sawdl"].sign, names["bachiad sawdl"].origin) == ("", "in use")
    assert articles(book)["c0002"].head.sign == "‡"


def test_the_evidence_of_a_name_is_given_in_words_and_years(book: Book) -> None:
    head = articles(book)["c0001"].head
    assert (head.mark, head.evidence) == ("●●", "several witnesses, 1871–about 1889")
    welsh = articles(book)["c0001"].names[0].names[0]
    assert (welsh.mark, welsh.evidence) == ("○", "word-list only, 1898")


def test_a_word_list_name_that_was_used_is_printed_as_in_use(own_store: Store) -> None:
    with own_store.act("test", "quoted") as act:
        act.add(Slip("q8", "s1", "Evan won the first codwm.", date="1871", term_id="t12"))
    with own_store.read() as reader:
        book = render(Library(reader), as_of=AS_OF)

    names = {n.text: n for g in articles(book)["c0005"].names for n in g.names}

    assert (names["codwm"].origin, names["codwm"].evidence) == ("in use", "one witness, 1871")


def test_a_quotation_without_the_name_is_marked_as_such(own_store: Store) -> None:
    with own_store.act("test", "quoted") as act:
        act.add(Slip("q8", "s1", "He hooked it from behind, and down he went.", date="1872", term_id="t1"))
    with own_store.read() as reader:
        book = render(Library(reader), as_of=AS_OF)

    kinds = {q.text: q.kind for q in articles(book)["c0001"].quotations}

    assert kinds["He hooked it from behind, and down he went."] == "does not contain the name"
    assert kinds["Evan gave the back-heel twice."] == ""


def test_a_reprint_is_listed_after_its_first_printing(book: Book) -> None:
    first, second, third = articles(book)["c0001"].quotations
    assert (first.source, first.also) == ("Lantern, p. 3, col. 2", "Mail, p. 4")
    assert second.date == "about 1889"
    assert third.kind == "headword"


def test_line_ends_of_the_source_are_shown_and_broken_words_left_broken(book: Book) -> None:
    assert articles(book)["c0001"].quotations[2].text == "Back-heel, n. bach-|iad sawdl, | m."


def test_verdicts_have_words_and_marks_of_different_shapes_with_rulings_beside_them(book: Book) -> None:
    fair, openhold = articles(book)["c0001"].verdicts
    assert (fair.code, fair.word, fair.mark) == ("Glanmorwen Fair rules (1868)", "fits", "■")
    assert openhold.word != "fits"
    assert openhold.says
    assert openhold.ruling.startswith("Ruled fits by Ruth Ashbarrow, 2 February 2026")
    assert articles(book)["c0002"].verdicts[0].mark == "▼"


def test_only_the_chosen_codes_are_judged(library: Library) -> None:
    book = render(library, Selection(codes=("r2",)), as_of=AS_OF)
    assert [v.code for v in articles(book)["c0001"].verdicts] == ["Open-hold matches (1902)"]
    listed = next(f for f in book.front if f.title == "The rule codes")
    assert [line.sign for line in listed.lines] == ["Open-hold matches (1902)"]


def test_cautions_come_in_front_and_a_kick_at_the_neck_has_its_own(book: Book) -> None:
    assert CAUTIONS in book.front[0].paragraphs
    assert len(book.front[0].lines) == len(OWN_CAUTIONS)
    assert articles(book)["c0002"].caution == f"{OWN_CAUTIONS['neck']} {OWN_CAUTIONS['kick']}"
    assert articles(book)["c0001"].caution == ""


def test_the_reverse_part_is_in_its_alphabetical_order(book: Book) -> None:
    # Welsh: ll is one letter, after l (Geiriadur Prifysgol Cymru; CLDR cy)
    assert [letter.letter for letter in book.parts[1].letters] == ["B", "C", "G", "Ll", "T"]


def test_homonyms_share_a_line_only_when_their_grammar_and_origin_agree(book: Book) -> None:
    found = [
        (line.head.origin, [r.text for r in line.refs])
        for line in lines(book, 1)
        if line.head.text == "codwm"
    ]
    assert sorted(found) == [("in use", ["fall"]), ("word-list", ["bout"])]


def test_a_synonym_points_to_its_article(book: Book) -> None:
    (line,) = lines(book, 0)
    assert (line.head.text, line.see, line.refs[0].to) == ("outside heel", True, "c0001")


def test_one_direction_can_be_printed_alone(library: Library) -> None:
    book = render(library, Selection(directions=("reverse",)), as_of=AS_OF)
    assert [p.title for p in book.parts] == ["Welsh – English"]
    assert book.index == ()
    assert book.subtitle == "Welsh–English"


def test_the_index_by_mechanic_points_to_articles(book: Book) -> None:
    leg = next(g for g in book.index if g.title == "Use of the leg")
    assert [(e.heading, [r.to for r in e.refs]) for e in leg.entries] == [
        ("hook", ["c0001"]),
        ("kick", ["c0002"]),
    ]


def test_every_source_is_in_the_bibliography(book: Book) -> None:
    assert [w.label for w in book.works] == ["Lantern", "Mail", "Word-List 1898"]
    assert book.works[2].before == "A Schoolmaster"


def test_progress_is_reported_to_the_last_entry(library: Library) -> None:
    progress: list[tuple[int, int]] = []
    render(library, as_of=AS_OF, on_progress=lambda done, total: progress.append((done, total)))
    assert progress[-1] == (5, 5)


def test_the_same_record_gives_the_same_book(library: Library) -> None:
    one, two = (msgspec.json.encode(render(library, as_of=AS_OF)) for _ in range(2))
    assert one == two


def test_an_invalid_date_is_refused(library: Library) -> None:
    with pytest.raises(BadInput):
        render(library, as_of="last Tuesday")


def test_quotations_can_be_left_out(library: Library) -> None:
    assert not articles(render(library, Selection(quotations=False), as_of=AS_OF))["c0001"].quotations


def test_a_line_that_attests_several_names_is_printed_once(book: Book) -> None:
    found = [q.source for q in articles(book)["c0001"].quotations]
    assert found.count("Word-List 1898, p. 41") == 1
    assert len(found) == 3


def test_words_contained_in_a_longer_quotation_from_the_same_place_are_not_repeated(
    book: Book,
) -> None:
    texts = [q.text for q in articles(book)["c0001"].quotations]
    assert "Evan gave the back-heel twice." in texts
    assert "gave the back-heel" not in texts


def test_a_technique_is_drawn_with_its_words_and_the_key_to_figures_comes_in_front(book: Book) -> None:
    drawn = articles(book)["c0001"].figure
    assert drawn is not None
    assert drawn.svg.startswith("<svg")
    assert "right hand" in drawn.said.lower()
    assert articles(book)["c0003"].figure is None
    assert "How to read a figure" in [f.title for f in book.front]


@pytest.mark.parametrize(
    ("code", "ending"), [("r1", "Struck through: barred under Glanmorwen Fair rules (1868)."), ("r2", "")]
)
def test_a_figure_strikes_through_what_the_first_code_bars_and_describes_it(
    library: Library, code: str, ending: str
) -> None:
    # the fair bars kicks; open-hold matches allow every use of the leg
    drawn = articles(render(library, Selection(codes=(code,)), as_of=AS_OF))["c0002"].figure
    assert drawn is not None
    assert (STRUCK in drawn.svg) == bool(ending)
    assert drawn.said.endswith(ending or "pressed.")


def test_a_ruling_leaves_the_figure_unstruck(library: Library) -> None:
    book = render(library, Selection(codes=("r2",)), as_of=AS_OF)
    judged = articles(book)["c0001"]
    assert judged.verdicts[0].ruling
    assert judged.figure is not None
    assert STRUCK not in judged.figure.svg


def test_figures_can_be_left_out(library: Library) -> None:
    book = render(library, Selection(figures=False), as_of=AS_OF)
    assert not any(a.figure for a in articles(book).values())
    assert "How to read a figure" not in [f.title for f in book.front]
