"""Each translation keeps to its table of terms: one word for one idea."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

import pytest
from babel.messages import Message

import app.web.translations
from app.web.translations.extracting import catalogue

TABLES: Final = Path(app.web.translations.__file__).parent
INITIALS: Final = {
    "cy": {
        "p": ("b", "mh", "ph"), "t": ("d", "nh", "th"), "c": ("g", "ngh", "ch"), "b": ("f", "m"),
        "d": ("dd", "n"), "g": ("", "ng"), "ll": ("l",), "rh": ("r",), "m": ("f",),
        **{vowel: (f"h{vowel}",) for vowel in "aeiouwyâêîôŵŷ"},
    },
    "ga": {
        "b": ("bh", "mb"), "c": ("ch", "gc"), "d": ("dh", "nd"), "f": ("fh", "bhf"), "g": ("gh", "ng"),
        "m": ("mh",), "p": ("ph", "bp"), "s": ("sh", "ts"), "t": ("th", "dt"),
        **{vowel: tuple(f"{h}{vowel}" for h in ("h", "n-", "n", "t-", "t")) for vowel in "aeiouáéíóú"},
    },
}  # fmt: skip
PLACEHOLDERS: Final = re.compile(r"%\(\w+\)[sdr]|\{\w*\}|%%")
CODE: Final = re.compile(r"`[^`]*`|wordhold( \w+)+|--[\w-]+|\w+ ?= ?|\w+:\w+")


class Term(NamedTuple):
    """One idea: its English words, the words that translate it, and words that never do."""

    english: re.Pattern[str]
    words: re.Pattern[str]
    never: re.Pattern[str] | None


def mutations(word: str, language: str) -> Iterator[str]:
    """Yield a word and each form that a mutation of its initial gives."""
    yield word
    initials = INITIALS[language]
    for length in (2, 1):
        if word[:length] in initials:
            yield from (f"{initial}{word[length:]}" for initial in initials[word[:length]])
            return


def pattern(words: list[str], language: str) -> re.Pattern[str]:
    """Return a pattern of whole words in any mutation; `*` at the end of a word stands for any ending."""
    forms = sorted((form for word in words for form in mutations(word, language)), key=len, reverse=True)
    texts = "|".join(re.escape(form).replace(r"\*", r"[\w-]*") for form in forms)
    return re.compile(rf"(?<!\w)(?:{texts})(?!\w)", re.IGNORECASE)


def english_pattern(words: list[str]) -> re.Pattern[str]:
    """Return a pattern of whole English words, which are no part of an address, a file name or a code."""
    texts = "|".join(re.escape(form) for word in words for form in (word, word[0].upper() + word[1:]))
    return re.compile(rf"(?<![\w./-])(?:{texts})(?![\w/-]|\.\w)")


def table(language: str) -> tuple[dict[str, Term], dict[tuple[str, str], str]]:
    """Return the terms of a language, and the reason of each exception by idea and message."""
    path = TABLES / language / "terms.toml"
    if not path.is_file():
        pytest.skip(f"{language} has no table of terms yet")
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    excepted = {(item["idea"], item["message"]): item["reason"] for item in data.pop("except", [])}
    terms = {
        idea: Term(
            english_pattern(row["english"]),
            pattern(row["words"], language),
            pattern(row["not"], language) if "not" in row else None,
        )
        for idea, row in data.items()
    }
    return terms, excepted


def texts(message: Message) -> tuple[str, list[str]]:
    """Return the English of a message without placeholders and code, and its translations."""
    ids = message.id if isinstance(message.id, (tuple, list)) else (message.id,)
    strings = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
    english = CODE.sub("•", PLACEHOLDERS.sub("•", " / ".join(ids)))
    return english, [PLACEHOLDERS.sub("•", string) for string in strings]


def faults(language: str) -> Iterator[tuple[str, str, str]]:
    """Yield the idea, the message and the translation of each text that does not keep to the table."""
    terms, _excepted = table(language)
    for message in catalogue(language):
        if not message.id:
            continue
        english, translations = texts(message)
        ideas = {idea: term for idea, term in terms.items() if term.english.search(english)}
        for idea, term in ideas.items():
            others = [other.words for name, other in ideas.items() if name != idea]
            for text in translations:
                wrong = term.never.findall(text) if term.never else []
                wrong = [word for word in wrong if not any(other.search(word) for other in others)]
                if wrong or not term.words.search(text):
                    first = message.id if isinstance(message.id, str) else message.id[0]
                    yield idea, first, text
                    break


@pytest.mark.parametrize("language", sorted(INITIALS))
def test_translations_keep_to_the_table_of_terms(language: str) -> None:
    """Each translation has the word of each idea in its English, and no word that the table excludes."""
    _terms, excepted = table(language)
    wrong = [f"{idea}: {english} = {text}" for idea, english, text in faults(language)
             if (idea, english) not in excepted]  # fmt: skip
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("language", sorted(INITIALS))
def test_each_exception_is_needed_and_has_a_reason(language: str) -> None:
    """An exception is of a message that does not keep to the table, and says why."""
    _terms, excepted = table(language)
    found = {(idea, english) for idea, english, _text in faults(language)}
    assert [key for key in excepted if key not in found] == []
    assert all(excepted.values())


@pytest.mark.parametrize("language", sorted(INITIALS))
def test_each_term_is_used(language: str) -> None:
    """Each idea of the table occurs in a message."""
    terms, _excepted = table(language)
    english = [texts(message)[0] for message in catalogue(language) if message.id]
    assert [
        idea for idea, term in terms.items() if not any(term.english.search(text) for text in english)
    ] == []


@pytest.mark.parametrize(
    ("word", "language", "form"),
    [
        ("cofnod", "cy", "nghofnod"),
        ("rhes", "cy", "res"),
        ("gair", "cy", "air"),
        ("iontráil", "ga", "n-iontráil"),
        ("foinse", "ga", "bhfoinse"),
    ],
)
def test_mutated_words_are_recognised(word: str, language: str, form: str) -> None:
    """A word of the table matches in each mutation of its initial, and only as a whole word."""
    assert pattern([word], language).fullmatch(form)
    assert not pattern([word], language).search(f"{form}x")
