import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.languages import files
from termbase.languages.keys import Key, KeyKind, find_keys, query_keys, weaker


def meeting(query: str, stored: str, tag: str, asked: str | None = "") -> KeyKind | None:
    """The best kind in which a query meets a stored term, if it does."""
    keys = {key.text: key.kind for key in find_keys(stored, tag)}
    kinds = [
        weaker(key.kind, keys[key.text])
        for key in query_keys(query, tag if asked == "" else asked)
        if key.text in keys and key.language in ("", tag)
    ]
    return min(kinds, key=lambda kind: kind.rank, default=None)


@pytest.mark.parametrize(
    ("tag", "query", "stored", "kind"),
    [
        ("en", "Back-Heel", "back-heel", KeyKind.FORM),
        ("en", "back‑heel", "back-heel", KeyKind.FORM),
        ("en", "wreſtling", "wrestling", KeyKind.FORM),
        ("en", "ﬂying mare", "flying mare", KeyKind.FORM),
        ("en", "hip & thigh", "hip and thigh", KeyKind.FORM),
        ("en", "back heel", "back-heel", KeyKind.SPELLING),
        ("en", "backheel", "back-heel", KeyKind.SPELLING),
        ("en", "Back-heel", "backheel", KeyKind.SPELLING),
        ("en", "back-heels", "back heel", KeyKind.INFLECTED),
        ("en", "trip", "tripping", KeyKind.INFLECTED),
        ("en", "tripping", "trip", KeyKind.INFLECTED),
        ("en", "striking", "strike", KeyKind.INFLECTED),
        ("en", "crosses", "cross", KeyKind.INFLECTED),
        ("en", "falling", "fall", KeyKind.INFLECTED),
        ("en", "threw", "throw", KeyKind.INFLECTED),
        ("en", "tum", "turn", KeyKind.MISREAD),
        ("en", "fhoulder", "shoulder", KeyKind.MISREAD),
        ("en", "hcel", "heel", KeyKind.MISREAD),
        ("en", "beel", "heel", KeyKind.MISREAD),
        ("en", "1ift", "lift", KeyKind.MISREAD),
        ("en", "heel", "back-heel", KeyKind.WORD),
        ("ga", "ḃean ⁊ ꝼeaꞃ", "bhean agus fear", KeyKind.FORM),
        ("ga", "bean 7 fear", "bean agus fear", KeyKind.FORM),
        ("ga", "coileain", "coileáin", KeyKind.SPELLING),
        ("ga", "an chor choise", "an cor coise", KeyKind.MUTATED),
        ("ga", "gcor coise", "cor coise", KeyKind.MUTATED),
        ("ga", "n-athair", "athair", KeyKind.MUTATED),
        ("ga", "ndaoine", "duine", KeyKind.INFLECTED),
        ("ga", "saoġal", "saol", KeyKind.OLD),
        ("ga", "saol", "saoghal", KeyKind.OLD),
        ("ga", "ṡaoġail", "saol", None),
        ("ga", "i dtosughadh", "i dtosú", KeyKind.OLD),
        ("ga", "tosughadh", "tosú", KeyKind.OLD),
        ("ga", "dtosughadh", "tosú", KeyKind.OLD),
        ("ga", "dorus", "doras", KeyKind.OLD_LOOSE),
        ("cy", "hymafael strap", "ymafael strap", KeyKind.MUTATED),
        ("cy", "gorph", "corff", KeyKind.OLD),
        ("cy", "gyrff", "corff", KeyKind.INFLECTED),
        ("br", "c'hoari gouren", "c’hoari gouren", KeyKind.FORM),
        ("gv", "chiarn", "çhiarn", KeyKind.SPELLING),
        ("en", "hip", "hipe", None),
        ("en", "glass", "glas", None),
        ("xx", "Aßa", "assa", KeyKind.FORM),
    ],
)
def test_a_query_meets_a_term_in_its_kind(tag: str, query: str, stored: str, kind: KeyKind | None) -> None:
    assert meeting(query, stored, tag) == kind


def test_without_a_language_every_language_is_tried_on_its_own_terms() -> None:
    assert meeting("hymafael", "ymafael", "cy", None) is KeyKind.MUTATED
    assert meeting("tripping", "trip", "en", None) is KeyKind.INFLECTED
    assert meeting("Ymafael", "ymafael", "cy", None) is KeyKind.FORM
    assert all(key.language for key in query_keys("drip", None) if key.kind is KeyKind.MUTATED)


def test_a_query_key_says_what_was_undone() -> None:
    notes = {key.text: key.note for key in query_keys("nghwm", "cy")}
    assert notes["cwm"] == "nasal, c > ngh"
    assert notes["nghwm"] == ""


def test_the_very_form_is_the_first_key() -> None:
    assert find_keys("Cor  Coise", "ga")[0] == Key(KeyKind.FORM, "cor coise")


@given(st.text(max_size=15), st.sampled_from((*files.shipped_tags(), "und")))
def test_no_key_comes_twice_and_none_is_empty(text: str, tag: str) -> None:
    keys = [key.text for key in find_keys(text, tag)]
    assert len(set(keys)) == len(keys)
    assert all(keys)


@given(
    st.text(alphabet="aábcdeghilmnorstuwyḃċ⁊ſ'’- &7", min_size=1, max_size=15),
    st.sampled_from(files.shipped_tags()),
)
def test_every_term_is_matched_by_its_own_form(text: str, tag: str) -> None:
    assert meeting(text, text, tag) in ((KeyKind.FORM,) if find_keys(text, tag) else (None,))


def test_a_long_phrase_does_not_make_endless_keys() -> None:
    assert len(query_keys("an bhean agus an fear mhór ar an gcnoc thall udaí", "ga")) < 300
