"""Which stock patterns suit a page: each tried on it, the one that finds most entries first."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.record.lines import CutLine, ParsedLine
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.patterns import LinePattern, in_languages
from termbase.wordlists.stock import POCKET_LIST, STOCK

__all__ = ["Sample", "Suggestion", "suggest"]

_SAMPLE_LINES = 400  # printed lines looked at for a suggestion
_SHOWN = 3
_LONGEST_NAME = 80  # characters; a longer stretch is a sentence or a whole page, not a name
_MOST_NAMES = 20
_GAP = re.compile(r"\t|\s{2}")  # between two columns, never within a name


@dataclass(frozen=True, slots=True)
class Sample:
    """A record as a pattern reads it.

    Attributes:
        text: as printed, on one line.
        headword: the suggested headword; empty if there is none.
        equivalents: what it takes for equivalents.
        why: why the record does not look like an entry: where reading stopped. Empty where it does, and
            where it was read and only lacks a headword or equivalents, or has ones that are no names.
        entry: whether it looks like an entry.
    """

    text: str
    headword: str
    equivalents: tuple[str, ...]
    why: CodedText = NOTHING_SAID
    entry: bool = True


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A stock pattern tried on a page (its first 400 printed lines).

    Attributes:
        name: the pattern's.
        records: how many records it cuts.
        entries: how many of them look like entries.
        samples: three of them as it reads them, in the order of the page; entries before others.
    """

    name: str
    records: int
    entries: int
    samples: tuple[Sample, ...]


def suggest(
    transcription: str, headword_language: str = "", equivalent_language: str = ""
) -> tuple[Suggestion, ...]:
    """Try every stock pattern on a page; the one that finds most entries comes first.

    A record looks like an entry if it was read without trouble and has a headword and an equivalent, each
    of them short enough to be a name. Of patterns that find as many, the one that tells more parts apart
    comes first.

    Args:
        transcription: the page.
        headword_language, equivalent_language: BCP 47 tags, so that labels in these languages are known;
            empty for English labels only.

    Raises:
        BadInput: a tag is not well formed.
    """
    sample = "\n".join(transcription.split("\n")[:_SAMPLE_LINES])
    languages = (headword_language or "en", equivalent_language or "en")
    labels = _abbreviations(in_languages(POCKET_LIST, *languages))
    tried: list[tuple[int, float, float, Suggestion]] = []
    for name, stock in STOCK.items():
        pattern = in_languages(stock, *languages)
        records = [(line, parsed) for line, parsed in parse_page(sample, pattern) if parsed is not None]
        entries = [_is_entry(parsed, labels) for _, parsed in records]
        parts = sum(_parts(parsed) for (_, parsed), entry in zip(records, entries, strict=True) if entry)
        number = sum(entries)
        share = number / len(records) if records else 0.0
        found = Suggestion(name, len(records), number, _samples(records, entries))
        tried.append((number, parts, share, found))
    tried.sort(key=lambda one: (-one[0], -one[1], -one[2]))  # equals stay in the order of `STOCK`
    return tuple(found for *_, found in tried)


def _is_entry(parsed: ParsedLine, labels: frozenset[str]) -> bool:
    names = [equivalent.text for sense in parsed.senses for equivalent in sense.equivalents]
    return (
        not parsed.troubles
        and bool(parsed.headword and names)
        and len(names) <= _MOST_NAMES
        and all(_may_be_name(name, labels) for name in (parsed.headword, *names))
    )


def _may_be_name(text: str, labels: frozenset[str]) -> bool:
    """Whether a text can be a name: short, without a gap between columns and without a label in it."""
    return len(text) <= _LONGEST_NAME and not _GAP.search(text) and labels.isdisjoint(text.split())


def _abbreviations(pattern: LinePattern) -> frozenset[str]:
    """The labels of a pattern that end in a full stop, so that no name is taken for one."""
    labels = pattern.labels
    rows = (*labels.part_of_speech, *labels.gender, *labels.number)
    return frozenset(row.printed for row in rows if row.printed.endswith("."))


def _samples(records: Sequence[tuple[CutLine, ParsedLine]], entries: Sequence[bool]) -> tuple[Sample, ...]:
    """The first records that look like entries; where there are fewer than three, others as well."""
    first = [n for n, entry in enumerate(entries) if entry][:_SHOWN]
    others = [n for n in range(min(len(records), 2 * _SHOWN)) if n not in first]
    return tuple(_sample(*records[n], entry=entries[n]) for n in sorted((*first, *others)[:_SHOWN]))


def _sample(line: CutLine, parsed: ParsedLine, *, entry: bool) -> Sample:
    names = tuple(equivalent.text for sense in parsed.senses for equivalent in sense.equivalents)
    why = parsed.troubles[0].why if parsed.troubles else NOTHING_SAID
    return Sample(" ".join(line.text.split()), parsed.headword, names, why, entry)


def _parts(parsed: ParsedLine) -> float:
    """How much of a record is distinguished beyond headword and equivalents: one part counts a quarter."""
    kinds = {printed.part[-1] for printed in parsed.printed}
    told = (parsed.pronunciation, parsed.style, parsed.forms, parsed.variants, len(parsed.senses) > 1)
    return (len(kinds) + sum(bool(part) for part in told)) / 4
