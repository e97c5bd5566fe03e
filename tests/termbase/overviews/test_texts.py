"""Reading running text: where sentences end, which names are in them, and that no letter of it is lost."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.acts import entries as entry_acts
from termbase.overviews.texts import ReadSentence, names_in, read, sentences
from termbase.record.entries import Entry, InflectedForm, Origin, Term
from termbase.search.hits import Hit, How
from termbase.store.engine import Store

KNOWN = ("fair fall", "fall", "back heel", "heel", "ymafael strap")


def know(phrases: Sequence[str]) -> Mapping[str, Sequence[Hit]]:
    """A record of a few names, known by their very form."""
    return {
        phrase: (Hit("c0001", "t1", phrase, "en", How.VERY_FORM, 100, "Exactly this form."),)
        for phrase in phrases
        if phrase.casefold().replace("-", " ") in KNOWN
    }


def marked(text: str) -> list[list[str]]:
    return [[mark.text for mark in sentence.marks] for sentence in read(text, know)]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("One fell. Two stood.", ["One fell.", "Two stood."]),
        ("“Hold!” cried he. “Let go!” said they.", ["“Hold!” cried he.", "“Let go!” said they."]),
        ("Mr. J. Rowe met Capt. Orme. They drew.", ["Mr. J. Rowe met Capt. Orme.", "They drew."]),
        ("It was I. He denied it.", ["It was I.", "He denied it."]),
        ("Was it? it was... so.", ["Was it? it was... so."]),
        ("The Fair\n\nSixteen men entered", ["The Fair", "Sixteen men entered"]),
        ("a line\nand the next. Then", ["a line\nand the next.", "Then"]),
        ("(He fell.) They rose.", ["(He fell.)", "They rose."]),
        ("He weighed 11 st. 4 lb. and won.", ["He weighed 11 st. 4 lb. and won."]),
        ("Codwm teg. Ŵyn a welodd.", ["Codwm teg.", "Ŵyn a welodd."]),
        ("", []),
        (" \n\n ", []),
    ],
)
def test_sentences_end_where_a_reader_ends_them(text: str, parts: list[str]) -> None:
    assert [text[span.start : span.end] for span in sentences(text)] == parts


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("A fair fall it was.", [["fair fall"]]),  # the longer of two that overlap
        ("A fall, fair or not.", [["fall"]]),
        ("Fair. Fall.", [[], ["Fall"]]),  # never over the end of a sentence
        ("a back\nheel took him", [["back\nheel"]]),  # over the end of a line
        ("with a back-\nheel", [["back-\nheel"]]),  # a word broken at the end of a line
        ("back, heel", [["heel"]]),  # never over a comma
        ("a fair-fall; the heel", [["fair-fall", "heel"]]),
        ("the ymafael strap!", [["ymafael strap"]]),
        ("nothing here", [[]]),
    ],
)
def test_names_are_found_as_written_in_the_text(text: str, marks: list[list[str]]) -> None:
    assert marked(text) == marks


def test_a_paragraph_opens_after_a_blank_line() -> None:
    found = read("One. Two.\n\nThree. Four.", know)

    assert [sentence.opens for sentence in found] == [True, False, True, False]
    assert [sentence.number for sentence in found] == [0, 1, 2, 3]


@given(
    st.text(alphabet=st.characters(codec="utf-8"), max_size=200)
    | st.lists(
        st.sampled_from([*KNOWN, "Mr.", "He", " ", "\n", "\n\n", ". ", "! ", ", ", "-", "’", "ŵ\u0302"])
    ).map("".join)
)
def test_every_piece_of_a_sentence_is_the_text_letter_for_letter(text: str) -> None:
    found = read(text, know)

    at = 0
    for sentence in found:
        assert "".join(piece for piece, _ in sentence.pieces()) == sentence.text
        place = text.index(sentence.text, at)
        assert not text[at:place].strip()
        at = place + len(sentence.text)
        assert_in_order(sentence)
    assert not text[at:].strip()


def assert_in_order(sentence: ReadSentence) -> None:
    ends = [(mark.start, mark.end) for mark in sentence.marks]
    assert all(before[1] <= after[0] for before, after in pairwise(ends))
    assert all(sentence.text[mark.start : mark.end] == mark.text for mark in sentence.marks)


@pytest.mark.parametrize(
    ("phrase", "name", "how"),
    [
        ("back-heel", "back-heel", "the very form"),
        ("Back Heel", "back-heel", "variant"),
        ("back-heels", "back-heel", "inflected"),
        ("back-heeling", "back-heel", "inflected"),
        ("fachiad sawdl", "bachiad sawdl", "mutated"),
        ("bachiadau sawdl", "bachiad sawdl", "inflected"),
        ("baek-heel", "back-heel", "near"),
        ("bachiad ſawdl", "bachiad sawdl", "the very form"),  # a long s is an s
    ],
)
def test_a_name_is_known_in_any_form_of_it(store: Store, phrase: str, name: str, how: str) -> None:
    with store.act("Nia", "created an entry") as act:
        welsh = Term(
            "", "bachiad sawdl", "cy", Origin.IN_USE, forms=(InflectedForm("plural", "bachiadau sawdl"),)
        )
        entry_acts.save(act, Entry("", terms=(Term("", "back-heel", "en", Origin.IN_USE), welsh)))
    with store.read() as reader:
        found = names_in(reader, [phrase, "nothing like it"], ("en", "cy"))

    assert list(found) == [phrase]
    assert found[phrase][0].text == name
    assert found[phrase][0].how == how


@pytest.mark.parametrize("phrase", ["an", "or", "", " ", "–", "7"])
def test_short_words_and_signs_are_not_taken_for_forms(store: Store, phrase: str) -> None:
    with store.act("Nia", "created an entry") as act:
        for text in ("gan", "bor", "throw"):
            entry_acts.save(act, Entry("", terms=(Term("", text, "cy", Origin.IN_USE),)))
    with store.read() as reader:
        assert names_in(reader, [phrase], ("en", "cy")) == {}


def test_names_of_other_languages_are_left_alone(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "codwm", "cy", Origin.IN_USE),)))
    with store.read() as reader:
        assert names_in(reader, ["codwm"], ("en", "ga")) == {}
        assert names_in(reader, ["codwm"], ("en", "cy")).keys() == {"codwm"}
