"""Letters that are two where the alphabet has one: parted by the editor, in the sort form only."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.languages.alphabets import double_letters, parted, sort_key
from termbase.languages.folding import PARTING

# Bangor, dangos, dyfrhad: letters that are two in these words (CLDR, Welsh collation: ng, rh are letters).
TWO = {"bangor": (2, "ng"), "dangos": (2, "ng"), "dyfrhad": (3, "rh")}


@pytest.mark.parametrize("word", TWO)
def test_double_letters_are_found_and_parting_them_changes_the_order(word: str) -> None:
    assert TWO[word] in double_letters(word, "cy")

    sort_form = parted(word, [TWO[word][0]])

    assert sort_form.replace(PARTING, "") == word
    assert sort_key(sort_form, "cy") != sort_key(word, "cy")
    assert double_letters(sort_form, "cy") == double_letters(word, "cy")


def test_parted_ng_sorts_after_nf_and_whole_ng_before_h() -> None:
    order = sorted(
        ["bahw", "bangor", parted("bangor", [2]), "banfa", "banha"], key=lambda t: sort_key(t, "cy")
    )

    assert order == ["bangor", "bahw", "banfa", parted("bangor", [2]), "banha"]


@given(st.text(alphabet="abcdghlnrt'", max_size=12), st.sets(st.integers(-2, 14)))
def test_parting_never_changes_a_letter(text: str, places: set[int]) -> None:
    made = parted(text, places)

    assert made.replace(PARTING, "") in (text, "")
    assert made.count(PARTING) <= len(places)


def test_a_language_without_double_letters_has_none() -> None:
    assert double_letters("llong", "ga") == ()
