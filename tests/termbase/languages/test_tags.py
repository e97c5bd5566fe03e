import json
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.languages import tags

# RFC 5646 appendix A, "Examples of Language Tags (Informative)", and the canonical form each has by 4.5
# (extended language subtags lose their prefix).
APPENDIX_A = [
    ("de", "de"),
    ("fr", "fr"),
    ("ja", "ja"),
    ("i-enochian", "i-enochian"),
    ("zh-Hant", "zh-Hant"),
    ("zh-Hans", "zh-Hans"),
    ("sr-Cyrl", "sr-Cyrl"),
    ("sr-Latn", "sr-Latn"),
    ("zh-cmn-Hans-CN", "cmn-Hans-CN"),
    ("cmn-Hans-CN", "cmn-Hans-CN"),
    ("zh-yue-HK", "yue-HK"),
    ("yue-HK", "yue-HK"),
    ("zh-Hans-CN", "zh-Hans-CN"),
    ("sr-Latn-RS", "sr-Latn-RS"),
    ("sl-rozaj", "sl-rozaj"),
    ("sl-rozaj-biske", "sl-rozaj-biske"),
    ("sl-nedis", "sl-nedis"),
    ("de-CH-1901", "de-CH-1901"),
    ("sl-IT-nedis", "sl-IT-nedis"),
    ("hy-Latn-IT-arevela", "hy-Latn-IT-arevela"),
    ("de-DE", "de-DE"),
    ("en-US", "en-US"),
    ("es-419", "es-419"),
    ("de-CH-x-phonebk", "de-CH-x-phonebk"),
    ("az-Arab-x-AZE-derbend", "az-Arab-x-aze-derbend"),
    ("x-whatever", "x-whatever"),
    ("qaa-Qaaa-QM-x-southern", "qaa-Qaaa-QM-x-southern"),
    ("de-Qaaa", "de-Qaaa"),
    ("sr-Latn-QM", "sr-Latn-QM"),
    ("sr-Qaaa-RS", "sr-Qaaa-RS"),
    ("en-US-u-islamcal", "en-US-u-islamcal"),
    ("zh-CN-a-myext-x-private", "zh-CN-a-myext-x-private"),
    ("en-a-myext-b-another", "en-a-myext-b-another"),
]


@pytest.mark.parametrize(("tag", "form"), APPENDIX_A, ids=[row[0] for row in APPENDIX_A])
@pytest.mark.parametrize("change", [str, str.lower, str.upper], ids=["as printed", "small", "capitals"])
def test_examples_of_the_standard_have_their_canonical_form(tag: str, form: str, change: type[str]) -> None:
    assert tags.canonical(change(tag)) == form


# RFC 5646 appendix A, "Some Invalid Tags"; the rest is outside the grammar of 2.1.
@pytest.mark.parametrize(
    "tag",
    [
        *("de-419-DE", "a-DE", "ar-a-aaa-b-bbb-a-ccc"),
        *(
            "",
            "-",
            "c",
            "cy_GB",
            "cy-",
            "-cy",
            "cy--GB",
            "cymraegeg",
            "de-1901-1901",
            "en-x",
            "en-a",
            "ga Latg",
        ),
        *("welsh language", "cy-GB-GB", "ça", "cy-Łatn"),
    ],
)
def test_ill_formed_tags_are_refused_with_advice(tag: str) -> None:
    assert not tags.is_well_formed(tag)
    with pytest.raises(BadInput) as caught:
        tags.canonical(tag)
    assert caught.value.where == "language"
    assert tag.strip() in caught.value.what
    assert caught.value.fix


def test_an_underscore_gets_its_own_advice() -> None:
    with pytest.raises(BadInput, match="hyphens"):
        tags.parse("cy_GB")


@pytest.mark.parametrize(
    ("tag", "form"),
    [
        ("i-klingon", "tlh"),  # RFC 5646 4.5, example of a grandfathered tag
        ("en-b-ccc-bbb-a-aaa-X-xyz", "en-a-aaa-b-ccc-bbb-x-xyz"),  # RFC 5646 4.5, order of extensions
        ("my-BU", "my-MM"),  # RFC 5646 3.1.7
        ("iw", "he"),
        ("sgn-be-fr", "sfb"),
        ("sgn-GB", "bfi"),
        ("sgn-GB-x-a", "sgn-GB-x-a"),  # RFC 5646 4.5: a redundant tag is replaced whole
        ("ja-Latn-hepburn-heploc", "ja-Latn-hepburn-alalc97"),
        ("ja-Latn-hepburn-heploc-alalc97", "ja-Latn-hepburn-alalc97"),
        ("zh-min", "zh-min"),  # grandfathered without a preferred value
        ("xx", "xx"),
    ],
)
def test_deprecated_tags_are_replaced_and_unknown_ones_kept(tag: str, form: str) -> None:
    assert tags.canonical(tag) == form


def registry() -> list[dict[str, object]]:
    """The IANA Language Subtag Registry as language-tags carries it, up to the date of our tables."""
    records = json.loads((files("language_tags") / "data/json/registry.json").read_text("utf-8"))
    return [record for record in records if record.get("Deprecated", record["Added"]) <= "2024-05-16"]


def test_every_preferred_value_of_the_registry_is_taken() -> None:
    # RFC 5646 4.5: grandfathered and redundant tags whole, subtags each, extlangs with their prefix
    languages = [r for r in registry() if r["Type"] == "language"]
    newer = {r["Subtag"]: r["Preferred-Value"] for r in languages if "Preferred-Value" in r}
    wrong = []
    frames = {"language": "{}", "region": "en-{}", "variant": "ja-Latn-hepburn-{}"}
    for record in registry():
        kind, better = record["Type"], record.get("Preferred-Value")
        if kind in ("grandfathered", "redundant"):
            tag = str(record["Tag"])
            pairs = [(tag, better or tag)]
        elif better and kind == "extlang":
            # an extlang may be the name of a language that has a newer one itself: ar-ajp, ajp, apc
            better = newer.get(better, better)
            pairs = [(f"{prefix}-{record['Subtag']}", better) for prefix in record["Prefix"]]
        elif better:
            frame = frames[str(kind)]
            pairs = [(frame.format(record["Subtag"]), frame.format(better))]
        else:
            pairs = []
        wrong += [(tag, form, tags.canonical(tag)) for tag, form in pairs if tags.canonical(tag) != form]
    assert not wrong


def test_no_subtag_is_replaced_that_the_registry_keeps() -> None:
    kept = [r for r in registry() if "Preferred-Value" not in r and ".." not in str(r.get("Subtag", ".."))]
    forms = {"language": "{}", "region": "en-{}", "script": "en-{}", "variant": "en-{}"}
    expected = [forms[str(r["Type"])].format(r["Subtag"]) for r in kept if r["Type"] in forms]
    assert len(expected) > 8000
    assert [tags.canonical(tag) for tag in expected] == expected


def test_a_tag_is_taken_apart() -> None:
    assert tags.parse("GA-latg-ie-1901-u-co-trad-x-a") == tags.LanguageTag(
        text="ga-Latg-IE-1901-u-co-trad-x-a",
        language="ga",
        script="Latg",
        region="IE",
        variants=("1901",),
        extensions=("u-co-trad",),
        private="a",
    )


# RFC 4647 3.4, the example of lookup: a singleton goes with what followed it.
def test_the_lookup_chain_shortens_as_the_standard_says() -> None:
    assert tags.lookup_chain("zh-Hant-CN-x-private1-private2") == (
        *("zh-Hant-CN-x-private1-private2", "zh-Hant-CN-x-private1"),
        *("zh-Hant-CN", "zh-Hant", "zh"),
    )


# Names as CLDR 45 and later have them (cldr-localenames-full).
@pytest.mark.parametrize(
    ("tag", "in_language", "name"),
    [
        ("cy", "en", "Welsh"),
        ("cy", "cy", "Cymraeg"),
        ("ga", "ga", "Gaeilge"),
        ("gd", "en", "Scottish Gaelic"),
        ("gv", "en", "Manx"),
        ("kw", "en", "Cornish"),
        ("br", "br", "brezhoneg"),
        ("en-GB", "en", "English (United Kingdom)"),
        ("ga-Latg", "en", "Irish (Gaelic Latin)"),
        ("cy", "xx", "Welsh"),
        ("xx", "en", "xx"),
        ("x-glan", "en", "x-glan"),
        ("cy-x-glan", "en", "Welsh (glan)"),
    ],
)
def test_a_language_is_named_through_cldr(tag: str, in_language: str, name: str) -> None:
    assert tags.display_name(tag, in_language) == name


# Unicode CLDR, Language Plural Rules (cardinal): cy zero 0, one 1, two 2, few 3, many 6; ga one 1, two 2,
# few 3-6, many 7-10; gd one 1 11, two 2 12, few 3-10 13-19; en one 1.
@pytest.mark.parametrize(
    ("tag", "categories"),
    [
        ("cy", {0: "zero", 1: "one", 2: "two", 3: "few", 4: "other", 6: "many", 7: "other"}),
        ("ga", {0: "other", 1: "one", 2: "two", 3: "few", 6: "few", 7: "many", 10: "many", 11: "other"}),
        ("ga-Latg", {1: "one", 2: "two"}),
        ("gd", {1: "one", 11: "one", 2: "two", 12: "two", 3: "few", 13: "few", 20: "other"}),
        ("en", {0: "other", 1: "one", 2: "other"}),
        ("xx", {1: "other"}),
    ],
)
def test_plural_categories_follow_cldr(tag: str, categories: dict[int, str]) -> None:
    assert {number: tags.plural_category(number, tag) for number in categories} == categories


@given(st.from_regex(r"[A-Za-z]{2,3}(-[A-Za-z]{4})?(-[A-Za-z]{2})?(-[0-9][a-z]{3})?", fullmatch=True))
def test_the_canonical_form_is_its_own(tag: str) -> None:
    form = tags.canonical(tag)
    assert tags.canonical(form) == form
    assert form == tags.parse(form).text
    assert tags.display_name(form)


@given(st.text(max_size=12))
def test_any_text_is_a_tag_or_refused(text: str) -> None:
    assert tags.is_well_formed(text) in (True, False)
