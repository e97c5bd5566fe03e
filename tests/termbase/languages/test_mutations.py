import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from termbase.languages import files, mutations

MUTATING = tuple(tag for tag in files.shipped_tags() if mutations.rules(tag))


def texts(form: str, tag: str) -> list[str]:
    return [candidate.text for candidate in mutations.unmutated_forms(form, tag)]


def test_the_six_languages_have_mutations() -> None:
    assert {"br", "cy", "ga", "gd", "gv", "kw"} <= set(MUTATING)
    assert mutations.rules("en") == ()


# Grammars named in each language's file.
@pytest.mark.parametrize(
    ("tag", "form", "radical"),
    [
        ("ga", "chaora", "caora"),
        ("ga", "bhfear", "fear"),
        ("ga", "n-aimsir", "aimsir"),
        ("ga", "nAontas", "Aontas"),
        ("ga", "hÉireann", "Éireann"),
        ("ga", "bPoblacht", "Poblacht"),
        ("ga", "tsráid", "sráid"),
        ("ga", "d’fhág", "fág"),
        ("ga", "d’ḟág", "fág"),
        ("ga", "h-aimsire", "aimsire"),
        ("ga", "dtarḃ", "tarbh"),
        ("ga", "ttarbh", "tarbh"),
        ("gd", "t-eilean", "eilean"),
        ("gd", "dh’òl", "òl"),
        ("gv", "woaill", "bwoaill"),
        ("gv", "'ockle", "fockle"),
        ("gv", "ayr", "fayr"),
        ("cy", "Gymru", "Cymru"),
        ("cy", "nghwm", "cwm"),
        ("cy", "lyn", "llyn"),
        ("cy", "lyn", "glyn"),
        ("cy", "Ardd", "Gardd"),
        ("cy", "ARDD", "GARDD"),
        ("cy", "hysgwydd", "ysgwydd"),
        ("kw", "vorvoren", "morvoren"),
        ("kw", "whath", "gwath"),
        ("br", "c’hazh", "kazh"),
        ("br", "wele", "gwele"),
        ("br", "Vreizh", "Breizh"),
    ],
)
def test_a_mutated_form_finds_its_radical(tag: str, form: str, radical: str) -> None:
    assert radical in texts(form, tag)


@pytest.mark.parametrize(
    ("tag", "form", "not_radical", "reason"),
    [
        ("ga", "shc", "sc", "s is not lenited before c"),
        ("ga", "tscéal", "scéal", "t only before s and vowel, l, n or r"),
        ("cy", "bhwnc", "phwnc", "ph is no radical of b"),
        ("cy", "chwarae", "cchwarae", "a mutated side is undone once"),
        ("br", "wenn", "genn", "g before w goes another way"),
    ],
)
def test_an_environment_keeps_a_rule_from_other_words(
    tag: str, form: str, not_radical: str, reason: str
) -> None:
    assert not_radical not in texts(form, tag), reason


@pytest.mark.parametrize(
    ("tag", "form", "headword"),
    [
        ("ga", "chuaigh", "téigh"),
        ("ga", "ndaoine", "duine"),
        ("gd", "thàinig", "thig"),
        ("gv", "honnick", "faik"),
        ("cy", "gyrff", "corff"),
        ("kw", "yma", "bos"),
        ("br", "dud", "den"),
        ("en", "threw", "throw"),
    ],
)
def test_an_irregular_form_finds_its_headword_mutated_or_not(tag: str, form: str, headword: str) -> None:
    found = [candidate for candidate in mutations.unmutated_forms(form, tag) if candidate.how == "irregular"]
    assert headword in [candidate.text for candidate in found]


def test_each_candidate_says_what_was_undone() -> None:
    itself, cwm, *_ = mutations.unmutated_forms("nghwm", "cy")
    assert itself == mutations.Candidate("nghwm", "itself")
    assert cwm == mutations.Candidate("cwm", "mutated", "nasal", "c > ngh", "standard")
    irregular = mutations.unmutated_forms("chuaigh", "ga")[1]
    assert (irregular.how, irregular.change) == ("irregular", "téigh > chuaigh")


def test_prefixes_of_capitals_are_variants_before_small_letters() -> None:
    statuses = {
        c.text: c.status for form in ("nAontas", "naontas") for c in mutations.unmutated_forms(form, "ga")
    }
    assert statuses["Aontas"] == "standard"
    assert statuses["aontas"] == "variant"


def test_standard_changes_come_before_variants_and_old_ones() -> None:
    for tag in MUTATING:
        for start in {rule.mutated for rule in mutations.rules(tag)}:
            ranks = [
                ("standard", "variant", "old").index(candidate.status)
                for candidate in mutations.unmutated_forms(f"{start}alain", tag)
                if candidate.how == "mutated"
            ]
            assert ranks == sorted(ranks)


# Common practice, no source: Irish ní hé.
def test_a_word_of_one_vowel_takes_a_prefix() -> None:
    assert "é" in texts("hé", "ga")


@given(st.sampled_from(MUTATING), st.text(alphabet="abcdefghijklmnoprstuwyáéçŷ'-", min_size=2, max_size=8))
@example("gv", "bw")
def test_every_mutated_form_of_a_word_leads_back_to_it(tag: str, word: str) -> None:
    for form in mutations.mutated(word, tag):
        assert form.text == word or word in texts(form.text, tag)


@given(st.sampled_from((*MUTATING, "en", "und")), st.text(max_size=10))
def test_the_form_itself_is_always_first_and_nothing_comes_twice(tag: str, form: str) -> None:
    found = mutations.unmutated_forms(form, tag)
    assert found[0].how == "itself"
    lowered = [candidate.text.lower() for candidate in found]
    assert len(set(lowered)) == len(lowered)


@pytest.mark.parametrize("text", ["b bh", "b >", "> bh", "s > sh / s[", ""])
def test_a_rule_of_another_shape_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"not of the form|no regular expression"):
        mutations.parse_rule(text)
