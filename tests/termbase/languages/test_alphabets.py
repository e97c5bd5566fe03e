import itertools
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.languages import alphabets, files
from termbase.languages.folding import PARTING

TAGS = (*files.shipped_tags(), "und", "ga-Latg", "de")


def in_order(tag: str, *words: str, order: str = "") -> bool:
    keys = [alphabets.sort_key(word, tag, order) for word in words]
    return all(first < second for first, second in itertools.pairwise(keys))


# CLDR root and tailorings (common/collation/cy.xml, br.xml); order of accents from DUCET.
@pytest.mark.parametrize(
    ("tag", "words"),
    [
        ("cy", ["cyw", "chwip", "dyn", "ddoe", "fyny", "ffair", "gwn", "ngŵydd", "haf"]),
        ("cy", ["lol", "llaw", "pwy", "phwy", "ruban", "rhaw", "tŷ", "theatr", "un"]),
        ("cy", ["a", "A", "â", "Â", "ab"]),
        ("cy", ["hen", "hên", "heno"]),
        ("br", ["a c'hall bezañ", "araous", "cuiz", "chaseal", "c’hoant", "daou"]),
        ("br", ["Cuiz", "chaseal", "Chaseal", "CHASEAL", "c'hoant", "C’hoant"]),
        ("ga", ["cor", "cor coise", "cor-coise", "cora", "córa", "corp"]),
        ("en", ["co-op", "coop", "Coop", "coöp", "cop"]),
        ("en", ["a", "á", "à", "ă", "â", "å", "ä", "ã", "ą", "ā"]),
        ("en", ["12", "a", "z", "ж"]),
        ("en", ["ad", "ae", "æ", "aea", "af"]),
        ("und", ["cyw", "chwip"][::-1]),
    ],
)
def test_words_are_sorted_by_their_alphabet(tag: str, words: list[str]) -> None:
    assert in_order(tag, *words)


def test_a_parted_pair_sorts_as_two_letters() -> None:
    # Welsh Bangor has n and g, angen the letter ng, which stands after g.
    parted = f"Ban{PARTING}gor"
    assert in_order("cy", "Bangor", "banadl")
    assert in_order("cy", "baner", parted, "banw")
    assert in_order("cy", "bangaw", "banadl", parted)


def test_dotted_consonants_sort_as_their_modern_letters() -> None:
    assert in_order("ga", "abairt", "aḃac", "abhae", "Aḃal", "acht")


def test_a_choice_of_order_changes_the_order() -> None:
    assert set(alphabets.order_names("br")) == {"trad"}
    assert set(alphabets.order_names("kw")) == {"ch", "digraphs"}
    assert in_order("br", "c'hoant", "dour", "kador")
    assert in_order("br", "kador", "dour", "c'hoant", order="trad")
    assert in_order("kw", "chi", "coos")
    assert in_order("kw", "coos", "chi", order="digraphs")
    assert in_order("kw", "coos", "chi", "dhe", "du", order="ch")
    assert in_order("kw", "du", "dhe", order="digraphs")
    assert in_order("br", "c'hoant", "dour", "kador", order="no such order")


@pytest.mark.parametrize(
    ("tag", "text", "letter"),
    [
        ("cy", "chwip", "Ch"),
        ("cy", "LLAW", "Ll"),
        ("cy", "Ngwent", "Ng"),
        ("cy", f"n{PARTING}g", "N"),
        ("cy", "ŵyn", "W"),
        ("br", "c’hoant", "C'h"),
        ("br", "chas", "Ch"),
        ("ga", "Éire", "E"),
        ("ga", "Ċailleach", "C"),
        ("ga", "ꝼeaꞃ", "F"),
        ("en", "Æsop", "A"),
        ("en", "42nd", "#"),
        ("en", "’tis", "#"),
        ("en", "", "#"),
        ("en", "жук", "Ж"),
        ("cy-GB", "ffair", "Ff"),
        ("en", "chwip", "C"),
    ],
)
def test_a_text_is_listed_under_the_letter_of_its_alphabet(tag: str, text: str, letter: str) -> None:
    assert alphabets.section(text, tag) == letter


def test_sections_follow_the_alphabet() -> None:
    assert alphabets.sections("cy")[:12] == ("A", "B", "C", "Ch", "D", "Dd", "E", "F", "Ff", "G", "Ng", "H")
    assert alphabets.sections("br")[2:6] == ("C", "Ch", "C'h", "D")
    assert alphabets.sections("xx") == tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")


@given(st.text(max_size=8), st.text(max_size=8), st.sampled_from(TAGS))
def test_different_texts_never_have_one_key(first: str, second: str, tag: str) -> None:
    keys = alphabets.sort_key(first, tag), alphabets.sort_key(second, tag)
    assert (keys[0] == keys[1]) == (first == second)


def test_every_unicode_character_has_a_distinct_key() -> None:
    keys = {alphabets.sort_key(chr(code), "cy") for code in range(sys.maxunicode + 1)}
    assert len(keys) == sys.maxunicode + 1  # a mathematical capital 𝐀 is a capital and has no small letter


@given(st.lists(st.text(alphabet="abcCdhĥnNg'’lL -éÉ͏1", max_size=6)), st.sampled_from(TAGS))
def test_sections_never_part_what_the_order_joins(texts: list[str], tag: str) -> None:
    texts.sort(key=lambda text: alphabets.sort_key(text, tag))
    order = ("#", *alphabets.sections(tag))
    places = [order.index(alphabets.section(text, tag)) for text in texts]
    assert places == sorted(places)


@pytest.mark.parametrize("text", ["\ud800", "a\udfffb", "\0", "\U0010ffff", "🤼"])
def test_broken_and_rare_characters_have_keys_too(text: str) -> None:
    assert in_order("cy", "a", f"a{text}a", "b")
    assert alphabets.sort_key(text, "cy") != alphabets.sort_key("", "cy")


def test_an_ill_formed_tag_is_refused() -> None:
    with pytest.raises(BadInput):
        alphabets.sort_key("a", "no tag")
