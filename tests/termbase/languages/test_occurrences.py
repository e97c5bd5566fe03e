"""Whether a quotation contains a name, in any form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.languages.mutations import mutated
from termbase.languages.occurrences import contains

WORDS = {
    "cy": ("cic", "pen", "troed", "gafael", "braich", "dyrnod", "llam", "rhaff", "mur", "esgid"),
    "ga": ("cos", "peil", "troid", "greim", "bos", "dorn", "fód", "mála", "sáil", "alt"),
    "gd": ("cas", "peile", "buille", "greim", "màs", "sàil"),
}
NAMES = st.text(st.sampled_from("abcdeghiklmnoprstuw"), min_size=4, max_size=8)


@pytest.mark.parametrize(("tag", "word"), [(tag, word) for tag, words in WORDS.items() for word in words])
def test_every_mutated_form_is_the_name(tag: str, word: str) -> None:
    forms = [form.text for form in mutated(word, tag)]

    assert forms
    for form in forms:
        assert contains(f"x, {form}; x", ((word, tag),)), form


@given(one=NAMES, two=NAMES, between=st.sampled_from(["", " ", "-", "\n", "-\n", "‑", " \n  ", "’", "=\n"]))
def test_a_name_of_two_words_is_found_however_they_are_put_together(one: str, two: str, between: str) -> None:
    text = f"He tried the {one}{between}{two}, and won."

    assert contains(text, ((f"{one}-{two}", "en"),))
    assert contains(text.upper(), ((f"{one} {two}", "en"),))


@given(one=NAMES, two=NAMES, between=st.sampled_from([". ", ", ", "\n\n", " (", '" ', "; "]))
def test_two_words_of_different_phrases_are_not_a_name(one: str, two: str, between: str) -> None:
    assert not contains(f"{one}{between}{two}", ((f"{one}-{two}", "en"),))


@given(name=NAMES, before=NAMES, after=NAMES)
def test_a_part_of_a_word_is_not_a_name(name: str, before: str, after: str) -> None:
    assert not contains(f"{before}q{name}q{after}", ((name, "en"),))


@given(
    text=st.text(max_size=40),
    name=st.text(max_size=12),
    tag=st.sampled_from(["cy", "ga-Latg", "x", "", "l r"]),
)
def test_any_text_name_and_tag_are_accepted(text: str, name: str, tag: str) -> None:
    assert contains(text, ((name, tag),)) in (True, False)


def test_a_name_is_in_its_own_text_whatever_signs_it_has() -> None:
    for name in ("o’er-heel", "hank (a man)", "twist no. 2", "ôl-gic", "dal & thaflu"):
        assert contains(f"the {name} again", ((name, "cy"),)), name
