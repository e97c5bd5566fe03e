"""Mutated forms from open treebanks, asked of a whole record that has the treebank's headwords as names.

The pairs come from Universal Dependencies; mutation_pairs.json names corpora, versions and licences. They are
tested like every query: acts, stored keys, `termbase.search.finding.find`.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from termbase.acts import entries
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.search.finding import find
from termbase.store.engine import Store
from termbase.store.reading import Reader

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference" / "languages"
PAIRS = REFERENCE / "mutation_pairs.json"
pytestmark = pytest.mark.skipif(not PAIRS.exists(), reason="the reference data are not beside this checkout")

LEAST = {"ga": 0.97, "gd": 0.97, "cy": 0.97, "br": 0.92, "gv": 0.92}
"""Share of the forms whose headword is among the first three entries found: the aim of the design."""
MISSES = {
    ("gv", "any language"): {"çhiart > kiart": "spelling of the text: kiart with the letter of another sound"}
}
"""Forms that are not found, and why."""


def pairs_of(tag: str) -> list[tuple[str, str]]:
    read: Any = json.loads(PAIRS.read_text(encoding="utf-8"))
    return [(form, headword) for form, headword in read["pairs"][tag]]


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Reader]:
    """One termbase with an entry for each headword of the five languages."""
    place = tmp_path_factory.mktemp("treebanks") / "headwords.wordhold"
    store = Store.create(str(place), Termbase("Headwords", vernaculars=tuple(LEAST)), by="tests")
    with store.act("tests", "headwords of the treebanks") as act:
        for tag in LEAST:
            for headword in sorted({headword for _, headword in pairs_of(tag)}):
                entries.save(act, Entry("", terms=(Term("", headword, tag, Origin.WORD_LIST),)))
    with store.read() as snapshot:
        yield snapshot
    store.close()


@pytest.mark.parametrize("tag", LEAST)
@pytest.mark.parametrize("asked", ["one language", "any language"])
def test_a_mutated_form_finds_its_headword_among_the_first_three(
    reader: Reader, tag: str, asked: str
) -> None:
    pairs = pairs_of(tag)
    language = tag if asked == "one language" else None
    missed = {
        f"{form} > {headword}"
        for form, headword in pairs
        if headword not in [hit.text for hit in find(reader, form, language=language, limit=3)]
    }

    assert missed == set(MISSES.get((tag, asked), ()))
    assert 1 - len(missed) / len(pairs) >= LEAST[tag]
