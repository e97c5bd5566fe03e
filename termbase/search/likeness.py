"""Which entries of the record a line of a word-list resembles, and why."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from sqlalchemy import func, select

from termbase.languages import tags
from termbase.languages.keys import KeyKind, weaker
from termbase.messages import joined, message, message_of_number
from termbase.record.entries import Entry
from termbase.search.hits import Name, noted
from termbase.search.queries import (
    SOUGHT,
    WITHOUT_WORDS,
    Asked,
    Near,
    Stored,
    by_texts,
    nearest,
    take,
    texts_under,
)
from termbase.store import tables
from termbase.store.keys import keys_of, probes, segments, sought_texts
from termbase.store.reading import Reader

__all__ = ["Resemblance", "Resembler", "Strength", "resembling"]


class Strength(StrEnum):
    """How alike a name is to what was asked, the nearest first."""

    SAME = "same"
    FORM = "form"
    NEAR = "near"


_STRENGTHS: tuple[Strength, ...] = tuple(Strength)
_SCORE: dict[Strength, float] = {Strength.SAME: 100, Strength.FORM: 90, Strength.NEAR: 0}
_KINDS = tuple(KeyKind)
_WHAT = {KeyKind.MUTATED: message("a mutated form"), KeyKind.INFLECTED: message("an inflected form")}
_OLDER = message("an older spelling")

MOST_HELD = 500_000
"""Rows of the segment index that are held in memory at most: some 80 MB, of about 100,000 names."""


@dataclass(frozen=True, slots=True)
class Resemblance:
    """An entry that resembles the names of a line.

    Attributes:
        entry_id: the entry.
        strength: of its best name: the same but for spaces, accents and signs; a mutated, inflected or older
            form of the same; or near, some letters apart.
        languages: in how many of the line's languages it resembles.
        score: how near, 0 to 100 for each language.
        why: in words, the reasons parted by semicolons.
    """

    entry_id: str
    strength: Strength
    languages: int
    score: float
    why: str


@dataclass(frozen=True, slots=True)
class _Match:
    """A stored name that one name of the line meets."""

    name: Name
    strength: Strength
    score: float
    why: str


class _Keys(Protocol):
    """Where stored keys are looked up."""

    def meeting(self, asked: Asked) -> Iterable[Stored]:
        """Stored keys whose text is one of the query's keys, whole names only."""

    def near(self, asked: Asked) -> Iterable[tuple[Near, Name]]:
        """Whole names near to the query."""


def resembling(reader: Reader, names: Sequence[tuple[str, str]], limit: int = 5) -> tuple[Resemblance, ...]:
    """Entries that names from a line resemble, nearest first.

    Args:
        names: text and language tag of each; names are compared with names of the same language only.
        limit: how many entries at most.

    Returns:
        Entries that match in more languages come first, then by strength and nearness, older entries first.

    Raises:
        BadInput: a tag is not well formed.
    """
    return _compare(_InTables(reader), names, limit)


class Resembler:
    """Compares many lines, one after another, with the record and with the entries made meanwhile.

    Forms are answered from memory; near names of the record through its segment index, those of entries added
    since through one in memory. Where every entry of the record is to be compared, that whole index is better
    held in memory too, as long as it is not too large.
    """

    def __init__(self, reader: Reader, *, for_every_entry: bool = False) -> None:
        self._keys = _InMemory(reader)
        if for_every_entry:
            self._keys.hold_segments()

    def add(self, entry: Entry) -> None:
        """Take note of an entry made or changed since."""
        self._keys.add(entry)

    def resembling(self, names: Sequence[tuple[str, str]], limit: int = 5) -> tuple[Resemblance, ...]:
        """As the function of the same name."""
        return _compare(self._keys, names, limit)

    def surely(
        self, heads: Sequence[tuple[str, str]], others: Sequence[tuple[str, str]] = ()
    ) -> tuple[Resemblance, ...]:
        """The entry that a line surely resembles: by its headword, which is a name there or a form of one.

        Near names do not count, nor does an equivalent alone: one word of a language often stands for several
        of the other. Quick enough for every line of a long page.

        Args:
            heads: the headword and its other spellings, each with its language tag.
            others: the line's other names, which tell between entries that share the headword.

        Returns:
            One entry; several where they resemble the line alike; none where nothing is sure.
        """
        by_head = [_sure(_exact(self._keys, asked)) for asked in _taken(heads)]
        ids = {entry_id for found in by_head for entry_id in found}
        if not ids:
            return ()
        beside = [_sure(_exact(self._keys, asked)) for asked in _taken(others)]
        narrowed = [{i: match for i, match in found.items() if i in ids} for found in beside]
        found = _gathered([*by_head, *narrowed], len(ids))
        best = (found[0].languages, found[0].strength)
        return tuple(one for one in found if (one.languages, one.strength) == best)

    def why(self, names: Sequence[tuple[str, str]]) -> str:
        """Why these names should not become an entry unseen; empty where nothing speaks against it.

        A name that is there already, or a form of one, is a reason; a near name only where every name of the
        line has one in the same entry: word-lists are full of words a letter apart.
        """
        line = _taken(names)
        exact = _gathered([_exact(self._keys, asked) for asked in line], 1)
        if exact:
            return exact[0].why
        near: list[dict[str, _Match]] = []
        for asked in line:
            near.append(_near(self._keys, asked))
            if not near[-1]:
                return ""
        both = [found for found in _gathered(near, 50) if found.languages == len(near)]
        return both[0].why if both else ""


def _taken(names: Sequence[tuple[str, str]]) -> list[Asked]:
    return [asked for text, tag in names if (asked := take(text, tag))]


def _compare(keys: _Keys, names: Sequence[tuple[str, str]], limit: int) -> tuple[Resemblance, ...]:
    found = []
    for asked in _taken(names):
        matches = _near(keys, asked)
        for entry_id, match in _exact(keys, asked).items():
            matches[entry_id] = match
        found.append(matches)
    return _gathered(found, limit)


def _gathered(found: Sequence[dict[str, _Match]], limit: int) -> tuple[Resemblance, ...]:
    """The matches of every name of the line, by entry, nearest first."""
    by_entry: dict[str, list[_Match]] = {}
    for matches in found:
        for entry_id, match in matches.items():
            by_entry.setdefault(entry_id, []).append(match)
    whole = [_summed(entry_id, matches) for entry_id, matches in by_entry.items()]
    whole.sort(
        key=lambda r: (-r.languages, _STRENGTHS.index(r.strength), -r.score, len(r.entry_id), r.entry_id)
    )
    return tuple(whole[:limit])


def _summed(entry_id: str, matches: list[_Match]) -> Resemblance:
    best = min((match.strength for match in matches), key=_STRENGTHS.index)
    score = sum(match.score for match in matches) / len(matches)
    languages = len({match.name.primary for match in matches})
    return Resemblance(entry_id, best, languages, score, joined(dict.fromkeys(m.why for m in matches), "; "))


def _exact(keys: _Keys, asked: Asked) -> dict[str, _Match]:
    best: dict[str, tuple[int, _Match]] = {}
    for stored in keys.meeting(asked):
        key = asked.meeting(stored.text, asked.only)
        if key is None or stored.name.primary != asked.only:
            continue
        kind = weaker(stored.kind, key.kind)
        known = best.get(stored.name.entry_id)
        if known is None or kind.rank < known[0]:
            best[stored.name.entry_id] = kind.rank, _match(stored.name, kind, asked, key.note)
    return {entry_id: match for entry_id, (_, match) in best.items()}


def _sure(found: dict[str, _Match]) -> dict[str, _Match]:
    return {entry_id: match for entry_id, match in found.items() if match.strength is not Strength.NEAR}


def _match(name: Name, kind: KeyKind, asked: Asked, note: str) -> _Match:
    language = tags.said_name(asked.only)
    if kind in (KeyKind.FORM, KeyKind.SPELLING):
        said = (
            message("same %(language)s name", language=language)
            if name.text == asked.text
            else message("same %(language)s name, spelt “%(name)s”", language=language, name=name.text)
        )
        return _Match(name, Strength.SAME, 100 - kind.rank, said)
    words = {"language": language, "name": name.text}
    if kind is KeyKind.MISREAD:
        said = message("%(language)s name is “%(name)s” with letters that old print confuses", **words)
        return _Match(name, Strength.NEAR, 85, said)
    words["what"] = _WHAT.get(kind, _OLDER)
    said = (
        message("%(language)s name is %(what)s of “%(name)s” (%(note)s)", **words, note=noted(note))
        if note
        else message("%(language)s name is %(what)s of “%(name)s”", **words)
    )
    return _Match(name, Strength.FORM, 95 - kind.rank, said)


def _near(keys: _Keys, asked: Asked) -> dict[str, _Match]:
    language = tags.said_name(asked.only)
    best: dict[str, _Match] = {}
    for near, name in keys.near(asked):
        known = best.get(name.entry_id)
        score = 80 * near.likeness
        if name.primary == asked.only and near.edits and (known is None or known.score < score):
            said = message_of_number(
                "%(language)s name differs from “%(name)s” in one letter",
                "%(language)s name differs from “%(name)s” in %(n)s letters",
                near.edits,
                language=language,
                name=name.text,
            )
            best[name.entry_id] = _Match(name, Strength.NEAR, score, said)
    return best


class _InTables:
    """Keys looked up in the database."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader

    def meeting(self, asked: Asked) -> Iterable[Stored]:
        return by_texts(self._reader, list(asked.keys), WITHOUT_WORDS, asked.only)

    def near(self, asked: Asked) -> Iterable[tuple[Near, Name]]:
        near = {n.text: n for n in nearest(asked.loose, texts_under(self._reader, probes(asked.loose)))}
        for stored in by_texts(self._reader, list(near), SOUGHT, asked.only):
            yield near[stored.text], stored.name


class _InMemory:
    """Every key of the record in memory; its segments stay in the database."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._stored: dict[str, list[tuple[int, Name]]] = {}
        self._segments: dict[int, list[str]] = {}
        self._holds_all = False
        names: dict[str, Name] = {}
        term, key = tables.term.c, tables.key.c
        for row in reader.connection.execute(select(term.entry_id, term.id, term.text, term.language)):
            names[row[1]] = Name(*row)
        keys = select(key.text, key.kind, key.term_id).where(key.kind.in_(WITHOUT_WORDS))
        for text, rank, term_id in reader.connection.execute(keys):
            self._stored.setdefault(text, []).append((rank, names[term_id]))

    def hold_segments(self) -> None:
        """Take the segment index of the record into memory, if it is not too large."""
        table, connection = tables.segment.c, self._reader.connection
        if (connection.scalar(select(func.count()).select_from(tables.segment)) or 0) > MOST_HELD:
            return
        whole_names = {
            text: text for text, kinds in self._stored.items() if any(rank in SOUGHT for rank, _ in kinds)
        }
        for number, text in connection.execute(select(table.number, table.text)):
            if text in whole_names:
                self._segments.setdefault(number, []).append(whole_names[text])
        self._holds_all = True

    def add(self, entry: Entry) -> None:
        for term in entry.terms:
            name = Name(entry.id, term.id, term.text, term.language)
            for text, rank in keys_of(term).items():
                if rank in WITHOUT_WORDS:
                    self._stored.setdefault(text, []).append((rank, name))
            for text in sought_texts(term):
                if any(rank in SOUGHT for rank, _ in self._stored.get(text, ())):
                    for number in segments(text):
                        self._segments.setdefault(number, []).append(text)

    def meeting(self, asked: Asked) -> Iterable[Stored]:
        for text in asked.keys:
            for rank, name in self._stored.get(text, ()):
                yield Stored(text, _KINDS[rank], name)

    def near(self, asked: Asked) -> Iterable[tuple[Near, Name]]:
        numbers = probes(asked.loose)
        texts = set() if self._holds_all else texts_under(self._reader, numbers)
        for number in numbers:
            texts.update(self._segments.get(number, ()))
        for near in nearest(asked.loose, texts):
            for rank, name in self._stored.get(near.text, ()):
                if rank in SOUGHT:
                    yield near, name
