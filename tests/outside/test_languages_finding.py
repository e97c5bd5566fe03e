"""Mutations, old print and keys against published tables and treebanks (reference data) and word lists."""

import json
import os
import re
import unicodedata
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

from termbase.languages import files
from termbase.languages.checking import check_file
from termbase.languages.folding import modern_spelling, one_spelling
from termbase.languages.keys import KeyKind, find_keys, headwords_for, index_of, query_keys
from termbase.languages.mutations import mutated, unmutated_forms

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference" / "languages"
pytestmark = pytest.mark.skipif(
    not REFERENCE.exists(), reason="the reference data are not beside this checkout"
)


def reference(name: str) -> Any:
    return json.loads((REFERENCE / name).read_text(encoding="utf-8"))


# Mutation tables: mutations.json names the grammars each table was read from.


TABLES = [
    *(("br", name) for name in ("soft", "spirant", "hard", "mixed", "after_article", "old_and_dialect")),
    *(("cy", name) for name in ("soft", "nasal", "aspirate", "aspirate_nonstandard", "h_prothesis")),
    *(("ga", name) for name in ("lenition", "eclipsis", "eclipsis_old", "t_prothesis", "h_prothesis")),
    *(("gd", name) for name in ("lenition", "h_prothesis", "t_prothesis", "n_prothesis", "eclipsis_dialect")),
    *(("gv", name) for name in ("lenition", "lenition_after_article", "eclipsis", "verbal_prothesis")),
    *(("gv", name) for name in ("h_prothesis", "t_prothesis", "comparative_s")),
    *(("kw", name) for name in ("soft_2nd", "breathed_3rd", "hard_4th", "mixed_5th", "mixed_after_th_6th")),
    *((tag, "elided_proclitics") for tag in ("br", "ga", "gd", "gv", "kw")),
]


def test_no_table_is_left_out() -> None:
    published = {
        (tag, name)
        for tag, language in reference("mutations.json").items()
        if not tag.startswith("_")
        for name, table in language["mutations"].items()
        if table.get("rules")
    }
    assert published == set(TABLES)


# Endings that between them satisfy and break every environment of the tables.
ENDINGS = [
    first + rest for first in "aeiouyàáâhklmnrstwcpgdbfjqvx" for rest in ("", "an", "oran", "ran", "wen")
]
ENDINGS += ["rodan", "rudan", "ors", "oon", "oan"]


@pytest.mark.parametrize(("tag", "name"), TABLES)
def test_every_rule_of_a_table_holds_forward_and_back(tag: str, name: str) -> None:
    for rule in reference("mutations.json")[tag]["mutations"][name]["rules"]:
        environment = re.compile(rule.get("env", ""))
        words = [rule["radical"] + ending for ending in ENDINGS]
        taking = [word for word in words if environment.match(word)]
        assert taking, rule
        for word in taking:
            form = rule["mutated"] + word[len(rule["radical"]) :]
            assert (form, name) in {(made.text, made.mutation) for made in mutated(word, tag)}
            assert word in {candidate.text for candidate in unmutated_forms(form, tag)}


@pytest.mark.parametrize("tag", ["br", "cy", "ga", "gd", "gv", "kw"])
def test_no_rule_reaches_a_word_outside_its_environment(tag: str) -> None:
    table = reference("mutations.json")[tag]["mutations"]
    published = [
        (rule["radical"], rule["mutated"], name, re.compile(rule.get("env", "")))
        for name, mutation in table.items()
        for rule in mutation.get("rules", ())
    ]
    for radical in {rule[0] for rule in published}:
        for ending in ENDINGS:
            word = radical + ending
            expected = {
                (change + word[len(start) :], name)
                for start, change, name, environment in published
                if word.startswith(start) and environment.match(word)
            }
            assert {(made.text, made.mutation) for made in mutated(word, tag)} == expected


# Treebank pairs (Universal Dependencies, named in mutation_pairs.json): what is not found, and why.
MISSES = {
    "ga": {
        "am-tábhachtach": "spelling of the treebank: an- written am-",
        "edóigh": "slip of the treebank's text: accent and letter lost",
        "innis": "spelling of the treebank: inis with nn",
    },
    "gv": {"çhiart": "spelling of the text: kiart with the letter of another sound"},
    "gd": {
        "mhicphàrlain": "genitive of a surname in Mac-, inflected and lenited inside",
        "mhicthòmhais": "genitive of a surname in Mac-, inflected and lenited inside",
        "whyte": "lemma of the treebank: a foreign name taken for a lenited one",
    },
    "cy": {},
    "br": {},
}
LEAST = {"ga": 0.97, "gd": 0.97, "cy": 0.97, "br": 0.92, "gv": 0.92}


@pytest.mark.parametrize("tag", MISSES)
def test_forms_from_treebanks_find_their_headword_among_the_first_three(tag: str) -> None:
    pairs = reference("mutation_pairs.json")["pairs"][tag]
    look_up = index_of({headword for _, headword in pairs}, tag)
    found = {form: [hit.headword for hit in headwords_for(form, tag, look_up)[:3]] for form, _ in pairs}
    missed = {form for form, headword in pairs if headword not in found[form]}
    assert missed == set(MISSES[tag])
    assert 1 - len(missed) / len(pairs) >= LEAST[tag]


@pytest.mark.parametrize("tag", MISSES)
def test_a_form_from_treebanks_is_offered_few_headwords(tag: str) -> None:
    pairs = reference("mutation_pairs.json")["pairs"][tag]
    look_up = index_of({headword for _, headword in pairs}, tag)
    offered = [
        sum(hit.how.rank <= KeyKind.OLD.rank for hit in headwords_for(form, tag, look_up))
        for form, _ in pairs
    ]
    assert sum(offered) / len(offered) <= 1.05


# Fold table and rules: old_spelling.json names its sources.


def test_every_form_in_the_fold_table_is_read() -> None:
    fold = reference("old_spelling.json")["fold"]
    rows = [(row["char"], row["modern"]) for part in ("dotted", "insular") for row in fold[part]]
    # Insular letter and dot: "combinations" of the same table; never precomposed.
    rows += [(f"{letter}\u0307", f"{modern}h") for letter, modern in zip("ꝺꝼᵹꞅꞇ", "dfgst", strict=True)]
    rows += [(f"{letter}\u0307", f"{modern}h") for letter, modern in zip("ꝹꝻᵹꞄꞆ", "DFgST", strict=True)]
    assert len(rows) > 40
    for printed, modern in rows:
        for form in ("NFC", "NFD"):
            read = modern_spelling(unicodedata.normalize(form, printed))
            assert read == modern
            assert modern_spelling(read) == read
            assert one_spelling(unicodedata.normalize(form, printed)) == modern.lower()
            assert one_spelling(unicodedata.normalize(form, printed).upper()) == modern.lower()


def test_dotted_capitals_among_capitals_keep_capitals() -> None:
    for row in reference("old_spelling.json")["fold"]["dotted"]:
        capitals = row.get("modern_all_caps")
        if capitals:
            assert modern_spelling(f"A{row['char']}") == f"A{capitals}"
            assert modern_spelling(f"{row['char']}A") == f"{capitals}A"


def test_the_tironian_et_is_read_as_a_word() -> None:
    for row in reference("old_spelling.json")["fold"]["tironian"]:
        (key, *_) = find_keys(row["char"], "ga")
        assert key.text == row["modern"]
        if row["char"] not in "7&":  # key only: the text itself stays
            assert modern_spelling(row["char"]).lower() == row["modern"]


# Examples of which their table itself says that no single rule reaches them.
UNREACHED = {
    "easbog > easpag (vowel also changes)",
    "beirbhiughadh > beiriú (consonant also changes)",
    "oidhche (see E6)",
}


def test_the_rules_of_old_spelling_give_their_examples_one_key() -> None:
    rules = reference("old_spelling.json")["rules"]
    assert len(rules) == 37
    tried = 0
    for rule in rules:
        for example in set(rule["examples"]) - UNREACHED:
            old, modern = re.sub(r" \(.*\)", "", example).split(" > ")
            texts = [
                {key.text for key in find_keys(word, "ga") if key.kind is not KeyKind.MISREAD}
                for word in (old, modern)
            ]
            assert texts[0] & texts[1], (rule["id"], example)
            tried += 1
    assert tried >= 60


def test_all_rules_of_the_table_are_shipped() -> None:
    shipped = {rule.id: rule.spelling_class for rule in files.language("ga").spellings}
    for rule in reference("old_spelling.json")["rules"]:
        assert shipped[rule["id"]] == rule["class"]
    assert check_file(Path(files.__file__).with_name("ga.toml")) == ()


# Where Debian's word lists are unpacked, if not installed.
WORD_LISTS = Path(os.environ.get("WORD_LISTS", "/usr/share"))
WIRISH, WMANX = (WORD_LISTS / "dict" / name for name in ("irish", "manx"))


@pytest.mark.parametrize(("tag", "path"), [("ga", WIRISH), ("gv", WMANX)])
def test_keys_of_a_whole_word_list_merge_few_headwords(tag: str, path: Path) -> None:
    if not path.exists():
        pytest.skip(f"Debian's word list {path} is not installed")
    encoding = {"ga": "utf-8", "gv": "iso-8859-1"}[tag]
    words = {word.strip().lower() for word in path.read_text(encoding=encoding).split("\n")} - {""}
    by_text: defaultdict[str, set[str]] = defaultdict(set)
    for word in words:
        for key in find_keys(word, tag):
            if key.kind.rank <= KeyKind.OLD.rank:
                by_text[key.text].add(word)
    assert sum(map(len, by_text.values())) / len(by_text) <= 1.05


def test_a_query_without_a_language_needs_few_keys() -> None:
    forms = [form for pairs in reference("mutation_pairs.json")["pairs"].values() for form, _ in pairs]
    assert sum(len(query_keys(form, None)) for form in forms) / len(forms) < 60
