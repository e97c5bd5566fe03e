"""The dictionaries of FreeDict (GPL, Debian packages dict-freedict-*) cut and parsed whole.

What is counted comes from each dictionary's own index, which says where every article begins and ends
(dictd index format: headword, offset and length in base 64).
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from termbase.record.lines import CutLine, ParsedLine
from termbase.transcripts import read_transcript
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.patterns import in_languages
from termbase.wordlists.stock import STOCK
from termbase.wordlists.suggesting import suggest

Freedict = Callable[[str], Path]
Read = tuple[tuple[CutLine, ParsedLine | None], ...]

PATTERNS = {
    "eng-cym": "two lines, labels in angle brackets",
    "eng-gle": "two lines, with sound",
    "bre-fra": "two lines, phrases below",
}
LANGUAGES = {"eng-cym": ("en", "cy"), "eng-gle": ("en", "ga"), "bre-fra": ("br", "fr")}
REMARKS = {"proper noun", "interrogative", "article", "suffix"}
ARTICLES = {"eng-cym": 12630, "eng-gle": 1359, "bre-fra": 27034}
"""As each dictionary's own header says (“Size: … headwords”)."""

_DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
_CACHE: dict[str, Read] = {}


def _number(digits: str) -> int:
    value = 0
    for digit in digits:
        value = value * 64 + _DIGITS.index(digit)
    return value


def _articles(text: Path) -> list[str]:
    """Return the articles in the order of the index, each once, without the header."""
    content = text.read_bytes()
    spans: dict[tuple[int, int], str] = {}
    for line in text.with_suffix(".index").read_text(encoding="utf-8").splitlines():
        word, offset, length = line.split("\t")
        spans[_number(offset), _number(length)] = word
    return [
        content[offset : offset + length].decode()
        for (offset, length), word in sorted(spans.items())
        if not word.startswith("00database")
    ]


def _read(freedict: Freedict, name: str) -> Read:
    if name not in _CACHE:
        text = freedict(name).read_text(encoding="utf-8")
        _CACHE[name] = parse_page(text, in_languages(STOCK[PATTERNS[name]], *LANGUAGES[name]))
    return _CACHE[name]


def _records(read: Read) -> list[tuple[CutLine, ParsedLine]]:
    return [(line, parsed) for line, parsed in read if parsed is not None]


@pytest.mark.parametrize("name", PATTERNS)
def test_the_joined_lines_are_the_dictionary(freedict: Freedict, name: str) -> None:
    text = freedict(name).read_text(encoding="utf-8")
    assert "".join(line.raw for line, _ in _read(freedict, name)) == text


@pytest.mark.parametrize("name", ["eng-cym", "eng-gle"])
def test_each_article_of_the_index_is_one_record(freedict: Freedict, name: str) -> None:
    articles = _articles(freedict(name))
    assert len(articles) == ARTICLES[name]
    assert [line.raw.strip() for line, _ in _records(_read(freedict, name))] == [
        article.strip() for article in articles
    ]


def test_only_two_breton_articles_with_a_stray_line_are_split(freedict: Freedict) -> None:
    articles = [article.strip() for article in _articles(freedict("bre-fra"))]
    records = [line.raw.strip() for line, _ in _records(_read(freedict, "bre-fra"))]
    assert len(articles) == ARTICLES["bre-fra"]
    # Each holds an unmarked explanation with a blank line below it, which looks like a headword without
    # a gloss; seven real headwords look the same.
    whole = set(records)
    assert [article.split(" ")[0] for article in articles if article not in whole] == ["toull", "tro"]
    assert len(records) == len(articles) + 2
    assert "\n".join(records).replace("\n", "") == "\n".join(articles).replace("\n", "")


@pytest.mark.parametrize(("name", "share"), [("eng-cym", 0.99), ("eng-gle", 0.97), ("bre-fra", 0.93)])
def test_nearly_all_articles_are_parsed_without_problems(freedict: Freedict, name: str, share: float) -> None:
    records = _records(_read(freedict, name))
    clean = sum(not parsed.troubles for _, parsed in records)
    assert clean / len(records) > share


@pytest.mark.parametrize("name", PATTERNS)
def test_problems_of_articles_have_a_reason_and_a_place(freedict: Freedict, name: str) -> None:
    for line, parsed in _records(_read(freedict, name)):
        assert parsed.headword or parsed.rest
        for trouble in parsed.troubles:
            assert trouble.why
            assert 1 <= trouble.column <= len(line.text) + 1


@pytest.mark.parametrize("name", PATTERNS)
def test_the_header_and_the_end_are_page_furniture(freedict: Freedict, name: str) -> None:
    read = _read(freedict, name)
    words = [line.text for line, _ in read if line.kind == "furniture"]
    assert words[0] == "00-database-dictfmt-1.13.0"
    assert any("GNU General Public License" in line for line in words)
    assert words[-2] == "unknown"


def _without_remarks(note: str) -> str:
    """Return a note without the remarks about labels that are in none of our lists."""
    return "; ".join(part for part in note.split("; ") if part not in REMARKS)


@pytest.mark.parametrize(("name", "share"), [("eng-cym", 0.998), ("eng-gle", 0.998)])
def test_headword_and_note_are_the_index_word(freedict: Freedict, name: str, share: float) -> None:
    text = freedict(name)
    content = text.read_bytes()
    heads = {
        line.raw.strip(): _letters(f"{parsed.headword} {_without_remarks(parsed.note)}")
        for line, parsed in _records(_read(freedict, name))
    }
    alike = asked = 0
    for line in text.with_suffix(".index").read_text(encoding="utf-8").splitlines():
        word, offset, length = line.split("\t")
        if not word.startswith("00database"):
            start = _number(offset)
            asked += 1
            alike += heads[content[start : start + _number(length)].decode().strip()] == _letters(word)
    assert alike / asked > share


def test_every_other_index_word_of_a_breton_article_is_in_its_record(freedict: Freedict) -> None:
    text = freedict("bre-fra")
    content = text.read_bytes()
    forms = {
        line.raw.strip(): [parsed.headword, *(form.text for form in parsed.forms)]
        for line, parsed in _records(_read(freedict, "bre-fra"))
    }
    asked = found = 0
    for line in text.with_suffix(".index").read_text(encoding="utf-8").splitlines():
        word, offset, length = line.split("\t")
        start = _number(offset)
        known = forms.get(content[start : start + _number(length)].decode().strip())
        if known is not None and not word.startswith("00database"):
            asked += 1
            found += _letters(word) in {_letters(form) for form in known}
    assert asked > 38_000
    assert found / asked > 0.93


def _letters(word: str) -> str:
    return "".join(sign for sign in word.casefold() if sign.isalnum())


@pytest.mark.parametrize("name", PATTERNS)
def test_the_suggested_pattern_is_the_one_made_for_the_dictionary(freedict: Freedict, name: str) -> None:
    page = "".join(article for article in _articles(freedict(name))[500:600])
    assert suggest(page, *LANGUAGES[name])[0].name == PATTERNS[name]


@pytest.mark.parametrize("name", PATTERNS)
def test_the_compressed_file_is_read_directly(freedict: Freedict, name: str) -> None:
    plain = freedict(name)
    packed = plain.with_suffix(".dict.dz").read_bytes()
    assert read_transcript(packed, "dictionary") == read_transcript(plain.read_bytes(), "dictionary")
