"""Alphabetical order against published collations: ECMA-402 (reference list) and ICU (whole word lists)."""

import gzip
import itertools
import json
import locale
import os
import random
from collections.abc import Callable, Iterator
from pathlib import Path

import icu
import pytest

from termbase.languages.alphabets import section, sections, sort_key

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference" / "languages" / "collation.json"
# Word lists as Debian packages install them, or where they are unpacked. wmanx is in ISO 8859-1, aspell-cy
# in ISO 8859-14, the others in UTF-8.
WORD_LISTS = Path(os.environ.get("WORD_LISTS", "/usr/share"))
DICT, HUNSPELL, ASPELL = (WORD_LISTS / name for name in ("dict", "hunspell", "aspell"))

reference = pytest.mark.skipif(
    not REFERENCE.exists(), reason="the reference data are not beside this checkout"
)


def plain(path: Path) -> list[str]:
    data = path.read_bytes()
    try:
        return data.decode().split("\n")
    except UnicodeDecodeError:
        return data.decode("iso-8859-1").split("\n")


def hunspell(path: Path) -> list[str]:
    return [line.split("/")[0] for line in plain(path)[1:]]


def compressed(path: Path) -> list[str]:
    """Words of an aspell .cwl file: each begins with a byte, 1 more than what it shares with the last."""
    data = gzip.decompress(path.read_bytes())
    words, word, place = [], b"", 0
    while place < len(data):
        end = next((at for at in range(place + 1, len(data)) if data[at] < 33), len(data))
        word = word[: data[place] - 1] + data[place + 1 : end]
        words.append(word.decode("iso-8859-14"))
        place = end
    return words


LISTS: dict[str, tuple[str, Path, Callable[[Path], list[str]]]] = {
    "ga": ("wirish", DICT / "irish", plain),
    "gv": ("wmanx", DICT / "manx", plain),
    "gd": ("hunspell-gd", HUNSPELL / "gd_GB.dic", hunspell),
    "br": ("hunspell-br", HUNSPELL / "br_FR.dic", hunspell),
    "cy": ("aspell-cy", ASPELL / "cy.cwl.gz", compressed),
}


def word_list(tag: str) -> list[str]:
    package, path, read = LISTS[tag]
    if not path.exists():
        pytest.skip(f"the word list of Debian's {package} is not installed")
    # CLDR has no letter order for the Tironian et; ours puts it with agus.
    words = {word.strip() for word in read(path) if "⁊" not in word}
    return sorted(words - {""})


@pytest.fixture(params=["C", "C.UTF-8", "cy_GB.UTF-8", "sv_SE.UTF-8"])
def process_locale(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    before = locale.setlocale(locale.LC_ALL)
    monkeypatch.setenv("LC_ALL", request.param)
    try:
        locale.setlocale(locale.LC_ALL, request.param)
    except locale.Error:
        pytest.skip(f"the locale {request.param} is not installed")
    yield request.param
    locale.setlocale(locale.LC_ALL, before)


@reference
def test_every_reference_list_sorts_into_its_own_order_in_any_locale(process_locale: str) -> None:
    lists = json.loads(REFERENCE.read_text(encoding="utf-8"))["order"]
    assert set(lists) == {"br", "cy", "ga", "gd", "gv"}
    for tag, in_order in lists.items():
        shuffled = random.Random(1).sample(in_order, len(in_order))
        assert sorted(shuffled, key=lambda word: sort_key(word, tag)) == in_order, process_locale


def inversions(words: list[str], tag: str) -> list[tuple[str, str]]:
    oracle = icu.Collator.createInstance(icu.Locale(tag))
    ordered = sorted(words, key=lambda word: sort_key(word, tag))
    keys = [oracle.getSortKey(word) for word in ordered]
    return [
        pair
        for pair, (a, b) in zip(itertools.pairwise(ordered), itertools.pairwise(keys), strict=True)
        if a > b
    ]


# ICU 77 (CLDR 47). Welsh and Breton are tailored; the others sort there by the root order, as here.
@pytest.mark.parametrize("tag", LISTS)
def test_a_whole_word_list_has_no_inversion_against_icu(tag: str) -> None:
    assert inversions(word_list(tag), tag) == []


# Needs no package: every pair of letters that Welsh or Breton may join, with case, accents and signs.
@pytest.mark.parametrize("tag", ["cy", "br", "ga", "en", "gv"])
def test_made_up_words_have_no_inversion_against_icu(tag: str) -> None:
    pieces = [
        *(
            "a",
            "â",
            "à",
            "c",
            "ch",
            "Ch",
            "CH",
            "c'h",
            "C'h",
            "d",
            "dd",
            "Dd",
            "f",
            "ff",
            "g",
            "ng",
            "Ng",
            "h",
        ),
        *(
            "l",
            "ll",
            "LL",
            "n",
            "ñ",
            "p",
            "ph",
            "r",
            "rh",
            "s",
            "t",
            "th",
            "w",
            "ŵ",
            "y",
            "ŷ",
            "z",
            " ",
            "-",
            "'",
            "1",
        ),
    ]
    chance = random.Random(7)
    words = sorted({"".join(chance.choices(pieces, k=chance.randint(1, 5))) for _ in range(20_000)})
    assert inversions(words, tag) == []


@pytest.mark.parametrize("tag", LISTS)
def test_sections_of_a_whole_word_list_come_in_the_alphabets_order(tag: str) -> None:
    ordered = sorted(word_list(tag), key=lambda word: sort_key(word, tag))
    places = ["#", *sections(tag)]
    found = [places.index(section(word, tag)) for word in ordered]
    assert found == sorted(found)
