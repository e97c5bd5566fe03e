import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.languages import folding

DOTTED = ["ḃbh", "ċch", "ḋdh", "ḟfh", "ġgh", "ṁmh", "ṗph", "ṡsh", "ṫth"]
INSULAR = ["ꝺd", "ꝼf", "ᵹg", "ꞃr", "ꞅs", "ꞇt", "ıi", "ſs"]
TEXTS = st.text(alphabet="aáAbBcdfgmpstnrlGḃḂċẛꝺꝹᵹꞅꞇſıɑ⁊⹒\u0307\u0301\u0323 .-’'&7", max_size=12)


# Unicode: the dotted consonants are composed characters, insular letters with a dot never are (UAX 15).
@pytest.mark.parametrize("form", ["NFC", "NFD"])
@pytest.mark.parametrize("pair", DOTTED)
def test_a_dotted_consonant_is_the_letter_with_h(pair: str, form: str) -> None:
    dotted = unicodedata.normalize(form, pair[0])
    capital = unicodedata.normalize(form, pair[0].upper())
    assert folding.modern_spelling(dotted) == pair[1:]
    assert folding.modern_spelling(f"{capital}a") == f"{pair[1].upper()}ha"
    assert folding.modern_spelling(f"{capital}A") == f"{pair[1].upper()}HA"
    assert folding.modern_spelling(f"A{capital}") == f"A{pair[1].upper()}H"


@pytest.mark.parametrize("pair", INSULAR)
def test_an_insular_letter_is_the_roman_one(pair: str) -> None:
    assert folding.modern_spelling(pair[0]) == pair[1]


@pytest.mark.parametrize(
    ("printed", "modern"),
    [
        ("ꝺ̇", "dh"),
        ("ꝼ̇", "fh"),
        ("ᵹ̇", "gh"),
        ("ꞅ̇", "sh"),
        ("ꞇ̇", "th"),
        ("Ꝺ̇", "Dh"),
        ("ẛ", "sh"),
        ("ſ\u0307", "sh"),
        ("s\u0323\u0307", "sh"),
        ("ṙíṅ", "rín"),
        ("ż", "ż"),
        ("ı́", "í"),
        ("fear ⁊ bean", "fear agus bean"),
        ("capaill ⁊rl.", "capaill srl."),
        ("capaill ⁊c.", "capaill agus rl."),
        ("An Ċailleaċ Ḃeag", "An Chailleach Bheag"),
        ("ꞇꞃom ᵹaoṫ", "trom gaoth"),
        ("plain text", "plain text"),
    ],
)
def test_old_print_reads_in_modern_letters(printed: str, modern: str) -> None:
    assert folding.modern_spelling(printed) == modern


@given(TEXTS)
def test_folding_twice_is_folding_once(text: str) -> None:
    once = folding.modern_spelling(text)
    assert folding.modern_spelling(once) == once
    compared = folding.one_spelling(text)
    assert folding.one_spelling(compared) == compared


@given(TEXTS)
def test_composed_and_decomposed_print_fold_alike(text: str) -> None:
    composed, decomposed = (unicodedata.normalize(form, text) for form in ("NFC", "NFD"))
    assert folding.modern_spelling(composed) == folding.modern_spelling(decomposed)
    assert folding.one_spelling(composed) == folding.one_spelling(decomposed)


@given(st.text(max_size=20))
def test_cleaning_twice_is_cleaning_once_and_gives_nfc(text: str) -> None:
    cleaned = folding.clean(text)
    assert folding.clean(cleaned) == cleaned
    assert unicodedata.is_normalized("NFC", cleaned)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("ta\u00adflu", "taflu"),
        ("\ufeffbac\u200bk", "back"),
        ("l\u200dl\u200cl", "lll"),
        ("n\u034fg", "ng"),
        ("e\u0301", "é"),
        ("می\u200cخواهم", "می\u200cخواهم"),
        ("क्\u200dष", "क्\u200dष"),
        ("ḃean ⁊ ſon", "ḃean ⁊ ſon"),
        ("c’hoant – “a”", "c’hoant – “a”"),
        ("two\nlines", "two\nlines"),
    ],
)
def test_typed_text_loses_only_invisible_characters(typed: str, kept: str) -> None:
    assert folding.clean(typed) == kept


def test_a_sort_form_keeps_its_parting() -> None:
    assert folding.clean_sort_form("Ban\u034f\u200bgor") == "Ban\u034fgor"


@pytest.mark.parametrize("apostrophe", folding.APOSTROPHES)
@pytest.mark.parametrize("hyphen", folding.HYPHENS)
def test_apostrophes_and_hyphens_of_every_kind_are_one(apostrophe: str, hyphen: str) -> None:
    assert folding.one_spelling(f"C{apostrophe}hoari{hyphen}Gouren") == "c'hoari-gouren"


@pytest.mark.parametrize(
    ("text", "plain"), [("ŵyñ", "wyn"), ("çhiarn", "chiarn"), ("æsc", "aesc"), ("ø", "o")]
)
def test_marks_come_off_letters(text: str, plain: str) -> None:
    assert folding.without_marks(text) == plain
