"""Judge all techniques under all rule codes, and find what changes when a code changes."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from termbase.judging.verdict import UNKNOWN, Circumstances, Verdict, VerdictWord
from termbase.record.entries import Entry, Ruling, Term, heads, names_for_rules
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import EntryFilter, all_ids
from termbase.store.reading import Reader
from termbase.store.verdicts import judge_cached
from termbase.technique.profile import NamedProfile, Profile

__all__ = [
    "Cell",
    "Row",
    "VerdictChange",
    "changed_verdicts",
    "filter_rows",
    "matrix",
    "sort_rows",
    "techniques",
    "verdict_on",
]


@dataclass(frozen=True, slots=True)
class Cell:
    """One technique under one code: the verdict, and the editor's ruling over it, if any."""

    word: VerdictWord
    ruling: Ruling | None

    @property
    def stands(self) -> str:
        """The ruling if there is one, otherwise the verdict."""
        return self.ruling.verdict if self.ruling else self.word


@dataclass(frozen=True, slots=True)
class Row:
    """One technique: its entry, its head terms by language, a cell for each code in the requested order."""

    entry_id: str
    heads: dict[str, Term]
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class VerdictChange:
    """A technique whose verdict differs under a changed code."""

    named: NamedProfile
    before: Verdict
    after: Verdict


def matrix(reader: Reader, codes: Sequence[RuleCode], language: str) -> tuple[Row, ...]:
    """Judge every entry with a technique under every code, in the alphabetical order of a language.

    Raises:
        BadInput: the years of a clause or the period of a code cannot be read.
    """
    rows = []
    for batch in reader.entries(all_ids(reader, EntryFilter(technique=True), language)):
        for entry in batch:
            if entry.technique is not None:
                rulings = {r.code_id: r for r in entry.rulings}
                names = names_for_rules(entry)
                words = (judge_cached(entry.technique, code, names).word for code in codes)
                cells = (Cell(word, rulings.get(c.id)) for word, c in zip(words, codes, strict=True))
                rows.append(Row(entry.id, heads(entry), tuple(cells)))
    return tuple(rows)


def verdict_on(entry: Entry, code: RuleCode, bout: Circumstances = UNKNOWN) -> Verdict:
    """Judge the technique of an entry under a code, for a bout; the entry must have one."""
    profile = entry.technique or Profile()
    return judge_cached(profile, code, names_for_rules(entry), bout)


def filter_rows(
    rows: Iterable[Row], *, ids: Collection[str] | None = None, word: str = "", column: int | None = None
) -> tuple[Row, ...]:
    """Filter rows by entry and by verdict, under the code of a column or under any.

    Args:
        rows: of a matrix.
        ids: keep these entries; None keeps all.
        word: the final verdict to keep (rulings count); empty keeps all.
        column: the position of the code whose verdict is meant; None for any code.
    """

    def kept(row: Row) -> bool:
        cells = row.cells if column is None else row.cells[column : column + 1]
        return (ids is None or row.entry_id in ids) and (not word or any(c.stands == word for c in cells))

    return tuple(row for row in rows if kept(row))


def sort_rows(rows: Iterable[Row], column: int) -> tuple[Row, ...]:
    """Sort rows by the final verdict under the code of a column, what fits first and what is open last; the
    sort is stable."""
    rank: dict[str, int] = {VerdictWord.FITS: 0, VerdictWord.FITS_CHANGED: 1, VerdictWord.BREAKS: 2}
    return tuple(sorted(rows, key=lambda row: rank.get(row.cells[column].stands, 3)))


def techniques(reader: Reader, language: str) -> tuple[NamedProfile, ...]:
    """Return every technique of the record with its names, in the alphabetical order of a language."""
    named_profiles = []
    for batch in reader.entries(all_ids(reader, EntryFilter(technique=True), language)):
        for entry in batch:
            if entry.technique is not None:
                named_profiles.append(_named(entry, entry.technique, language))
    return tuple(named_profiles)


def changed_verdicts(
    named: Iterable[NamedProfile], before: RuleCode, after: RuleCode
) -> tuple[VerdictChange, ...]:
    """Return the techniques whose verdict changes with the code, in their order.

    Raises:
        BadInput: the years of a clause or the period of a code cannot be read.
    """
    changes = []
    for technique in named:
        names = frozenset((technique.name, *technique.names))
        old, new = (
            judge_cached(technique.profile, before, names),
            judge_cached(technique.profile, after, names),
        )
        if old.word != new.word:
            changes.append(VerdictChange(technique, old, new))
    return tuple(changes)


def _named(entry: Entry, profile: Profile, language: str) -> NamedProfile:
    known = heads(entry)
    first = known.get(language) or next(iter(known.values()))
    every = (*(t.text for t in entry.terms), *profile.names)
    names = tuple(dict.fromkeys(text for text in every if text != first.text))
    return NamedProfile(entry.id, first.text, names, replace(profile, names=(), note=""), profile.note)
