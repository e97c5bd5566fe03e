"""Messages remember their template and values."""

import copy
import pickle

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.dates import edtf
from termbase.languages import tags
from termbase.messages import (
    Message,
    joined,
    listed_words,
    message,
    message_of_number,
    plain_str,
    translate,
    without_full_stop,
)

WELSH = {
    "%(word)s has no letter.": "Nid oes llythyren: %(word)s.",
    "nothing": "dim",
    "Not read: %(why)s": "Heb ei ddarllen: %(why)s",
    "June": "Mehefin",
    " or ": " neu ",
}


class Welsh:
    language = "cy"

    def one(self, text: str, /) -> str:
        return WELSH.get(text, text)

    def number(self, one: str, many: str, n: int, /) -> str:
        return "%(n)s llinell" if n else "dim llinell"


def test_a_message_is_english_text_and_can_be_translated() -> None:
    text = message("%(word)s has no letter.", word="12")
    assert text == "12 has no letter."
    assert translate(text, Welsh()) == "Nid oes llythyren: 12."


def test_a_message_inside_another_is_translated_with_it() -> None:
    assert translate(message("Not read: %(why)s", why=message("nothing")), Welsh()) == "Heb ei ddarllen: dim"


def test_a_value_that_is_not_a_message_is_never_translated() -> None:
    assert translate(message("Not read: %(why)s", why="nothing"), Welsh()) == "Heb ei ddarllen: nothing"


@pytest.mark.parametrize(("n", "english", "welsh"), [(1, "1 line", "1 llinell"), (2, "2 lines", "2 llinell"),
                                                     (0, "0 lines", "dim llinell")])  # fmt: skip
def test_the_number_chooses_the_plural_form_in_each_language(n: int, english: str, welsh: str) -> None:
    text = message_of_number("%(n)s line", "%(n)s lines", n)
    assert text == english
    assert translate(text, Welsh()) == welsh


def test_joined_messages_are_translated_one_by_one() -> None:
    text = joined([message("nothing"), "", "else", message("nothing")], "; ")
    assert text == "nothing; else; nothing"
    assert translate(text, Welsh()) == "dim; else; dim"
    assert joined([]) == ""
    assert type(joined([message("nothing")])) is Message


@given(st.text())
def test_a_text_that_is_not_a_message_is_unchanged(text: str) -> None:
    assert translate(text, Welsh()) == text
    assert translate(message("%(word)s has no letter.", word=text), Welsh()) == f"Nid oes llythyren: {text}."


def test_copies_and_encodings_are_plain_text() -> None:
    text = message("%(word)s has no letter.", word="12")
    assert type(pickle.loads(pickle.dumps(text))) is str
    assert copy.deepcopy(text) == text
    assert msgspec.json.encode([text], enc_hook=plain_str) == b'["12 has no letter."]'
    with pytest.raises(NotImplementedError, match="object"):
        plain_str(object())


def test_a_sentence_within_another_loses_its_full_stop_in_every_language() -> None:
    within = message(
        "Not read: %(why)s", why=without_full_stop(message("%(word)s has no letter.", word="12"))
    )

    assert within == "Not read: 12 has no letter"
    assert translate(within, Welsh()) == "Heb ei ddarllen: Nid oes llythyren: 12"


def test_dates_and_languages_follow_the_rules_of_each_language() -> None:
    """Source of the names: Unicode CLDR, through Babel."""
    text = message("%(date)s: %(name)s", date=edtf.said(edtf.parse("1898-06")), name=tags.said_name("cy"))

    assert text == "June 1898: Welsh"
    assert translate(text, Welsh()) == "Mehefin 1898: Cymraeg"


def test_words_of_a_closed_list_are_translated_one_by_one() -> None:
    assert translate(listed_words(("nothing", "more")), Welsh()) == "dim, more"
    assert translate(joined(("a", "b"), message(" or ")), Welsh()) == "a neu b"
