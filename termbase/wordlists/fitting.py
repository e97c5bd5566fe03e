"""Fitting a stock pattern to the languages of a word-list: their tags, and the labels lists print in them."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from termbase.languages import tags
from termbase.languages.files import ListWords, language, shipped_tags
from termbase.wordlists.patterns import Abbreviation, Labels, LinePattern

__all__ = ["in_languages", "or_words"]

_OR = "or VARIANTS"


def in_languages(pattern: LinePattern, headword: str, equivalent: str) -> LinePattern:
    """The pattern for a word-list whose headwords and equivalents are in these languages.

    The labels of both languages are added to those of the pattern. Where an abbreviation is in the pattern
    already, the pattern's meaning stays.

    Args:
        pattern: the pattern, as a rule one of `STOCK`.
        headword: BCP 47 tag of the headwords.
        equivalent: BCP 47 tag of the equivalents.

    Raises:
        BadInput: a tag is not well formed.
    """
    heads, others = language(headword).word_lists, language(equivalent).word_lists
    both = (heads, others)
    layouts = pattern.layouts
    return replace(
        pattern,
        headword_language=headword,
        equivalent_language=equivalent,
        layouts=replace(
            layouts,
            record=_with_or_words(layouts.record, heads),
            equivalent=_with_or_words(layouts.equivalent, others),
        ),
        marks=replace(pattern.marks, see=_see(pattern.marks.see, both)),
        labels=_labels(pattern.labels, both),
    )


def or_words(pattern: LinePattern) -> tuple[str, ...]:
    """The words that stand between two spellings of a name: *or*, and those of the pattern's languages.

    A pattern that names no language takes those of every language there is a file for.
    """
    named = [tag for tag in (pattern.headword_language, pattern.equivalent_language) if tag]
    known = [tag for tag in named if tags.is_well_formed(tag)] if named else shipped_tags()
    return tuple(
        dict.fromkeys(("or", *(word for tag in known for word in language(tag).word_lists.or_words)))
    )


def _with_or_words(layouts: tuple[str, ...], words: ListWords) -> tuple[str, ...]:
    """The layouts, each that has *or* before other spellings once more with the words of the language."""
    return tuple(
        dict.fromkeys(
            text
            for layout in layouts
            for text in (layout, *(layout.replace(_OR, f"{word} VARIANTS") for word in words.or_words))
        )
    )


def _see(known: tuple[str, ...], lists: Iterable[ListWords]) -> tuple[str, ...]:
    """A pattern without cross-references stays without."""
    return tuple(dict.fromkeys((*known, *(word for words in lists for word in words.see)))) if known else ()


def _labels(labels: Labels, lists: Iterable[ListWords]) -> Labels:
    for words in lists:
        labels = replace(
            labels,
            part_of_speech=_rows(labels.part_of_speech, words.part_of_speech),
            gender=_rows(labels.gender, words.gender),
            number=_rows(labels.number, words.number),
            forms=_rows(labels.forms, words.forms),
        )
    return labels


def _rows(known: tuple[Abbreviation, ...], more: Mapping[str, str]) -> tuple[Abbreviation, ...]:
    """A pattern without such a table stays without: its book has no such labels."""
    if not known:
        return ()
    printed = {row.printed for row in known}
    return (*known, *(Abbreviation(key, meaning) for key, meaning in more.items() if key not in printed))
