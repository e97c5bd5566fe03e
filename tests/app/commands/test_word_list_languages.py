"""The language of names in a word-list comes from its source and the termbase, never from a stock pattern."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from termbase.wordlists.stock import STOCK

PAGE = "belt, s. [strap] gafael, m., pl. gafaelau.\nbout, s. gornest (or camp), f.\nfall, s. codwm, m.\n"
WELSH_LABELS = {"gw.", "gweler", "neu", "g.", "b.", "ll."}


def add_list(bare: Any, tmp_path: Path, *options: str) -> Any:
    page = tmp_path / "p.txt"
    page.write_text(PAGE, "utf-8")
    added = bare("source", "add", "List", "--title", "A List", *options)
    assert added.code == 0, added.err
    bare("page", "add", str(page), "--source", "List", "--page", "1")
    return bare("page", "accept", "--all-clear")


def languages_of(bare: Any, *ids: str) -> set[tuple[str, ...]]:
    shown = [bare("show", each, "--json").document["article"]["entry"]["terms"] for each in ids]
    return {tuple(term["language"] for term in terms) for terms in shown}


@pytest.mark.parametrize("vernacular", ["cy", "ga", "gd", "gv", "br", "kw", "sco", "ga-Latg", "x-glan"])
def test_names_of_a_list_with_a_stock_pattern_are_in_the_vernacular(
    bare: Any, tmp_path: Path, vernacular: str
) -> None:
    bare("new", "--title", "Words", "--vernacular", vernacular)
    assert "Entries created: 3." in add_list(bare, tmp_path, "--pattern", "pocket list").out
    assert {tag for tags in languages_of(bare, "c0001", "c0002", "c0003") for tag in tags} == {
        "en",
        vernacular,
    }


@pytest.mark.parametrize("name", STOCK)
def test_a_stock_pattern_names_no_language_and_has_no_welsh_labels(bare: Any, name: str) -> None:
    pattern = tomllib.loads(bare("source", "patterns", name).out)
    assert (pattern["headword_language"], pattern["equivalent_language"]) == ("", "")
    assert not WELSH_LABELS & printed_words(pattern)


@pytest.mark.parametrize("vernacular", ["ga", "gd", "gv", "br", "kw", "sco"])
@pytest.mark.parametrize("name", STOCK)
def test_a_list_in_another_vernacular_gets_no_welsh_labels(
    bare: Any, tmp_path: Path, name: str, vernacular: str
) -> None:
    bare("new", "--title", "Words", "--vernacular", vernacular)
    bare("source", "add", "List", "--title", "A List", "--pattern", name)
    (source,) = bare("source", "list", "--json").document["sources"]
    pattern = tomllib.loads(source["pattern"])
    assert (pattern["headword_language"], pattern["equivalent_language"]) == ("en", vernacular)
    assert not WELSH_LABELS & printed_words(pattern)


def printed_words(pattern: dict[str, Any]) -> set[str]:
    """Return every printed label and sign that a pattern matches."""
    tables = [table for table in pattern["labels"].values() if isinstance(table, dict)]
    layouts = " ".join(text for texts in pattern["layouts"].values() for text in texts)
    words = layouts.translate(str.maketrans("(){}[]", "      ")).split()
    return {word for table in tables for word in table} | set(pattern["marks"]["see"]) | set(words)


def test_a_list_in_welsh_keeps_its_welsh_labels(bare: Any, tmp_path: Path) -> None:
    bare("new", "--title", "Words", "--vernacular", "cy")
    bare("source", "add", "List", "--title", "A List", "--pattern", "pocket list")
    (source,) = bare("source", "list", "--json").document["sources"]
    assert {"gw.", "gweler", "g.", "b.", "ll."} <= printed_words(tomllib.loads(source["pattern"]))


def test_with_several_vernaculars_the_language_is_required(bare: Any, tmp_path: Path) -> None:
    bare("new", "--title", "Words", "--vernacular", "cy", "--vernacular", "ga")
    refused = bare("source", "add", "List", "--title", "A List", "--pattern", "pocket list")
    assert refused.code == 2
    assert "The language of the equivalents is not set." in refused.err
    assert "cy, ga" in refused.err
    assert bare("source", "list", "--json").document["sources"] == []

    add_list(bare, tmp_path, "--pattern", "pocket list", "--equivalent-language", "ga")
    assert languages_of(bare, "c0001") == {("en", "ga")}


def test_with_several_vernaculars_the_language_of_the_source_is_enough(bare: Any, tmp_path: Path) -> None:
    bare("new", "--title", "Words", "--vernacular", "cy", "--vernacular", "ga")
    add_list(bare, tmp_path, "--pattern", "pocket list", "--language", "ga")
    assert languages_of(bare, "c0003") == {("en", "ga")}


def test_a_custom_pattern_without_a_vernacular_is_reported(bare: Any, tmp_path: Path) -> None:
    bare("new", "--title", "Words", "--vernacular", "cy", "--vernacular", "ga")
    own = tmp_path / "own.toml"
    own.write_text(bare("source", "patterns", "pocket list").out, "utf-8")
    refused = bare("source", "add", "List", "--title", "A List", "--pattern", str(own))
    assert (refused.code, "Choose one: cy, ga." in refused.err) == (2, True)
    add_list(bare, tmp_path, "--pattern", str(own), "--equivalent-language", "cy")
    assert languages_of(bare, "c0003") == {("en", "cy")}


def test_headwords_may_be_the_vernacular(bare: Any, tmp_path: Path) -> None:
    bare("new", "--title", "Words", "--vernacular", "ga")
    page = tmp_path / "p.txt"
    page.write_text("crios – belt\n", "utf-8")
    bare("source", "add", "List", "--title", "L", "--pattern", "bare pairs", "--headword-language", "ga")
    bare("page", "add", str(page), "--source", "List", "--page", "1")
    bare("page", "accept", "--all-clear")
    assert languages_of(bare, "c0001") == {("ga", "en")}
