"""Search hits, and how they are described."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from termbase.languages.keys import KeyKind
from termbase.messages import joined, message, message_of_number

__all__ = [
    "HOWS",
    "Hit",
    "How",
    "Name",
    "best_of_each_entry",
    "hit_beginning",
    "hit_by_key",
    "hit_near",
    "hit_near_word",
    "hit_of",
    "how_of",
    "noted",
]


class How(StrEnum):
    """The ways of finding, in the order in which hits come; mutated and inflected forms are equal, and so are
    near names and beginnings, of which those with the better score come first."""

    VERY_FORM = "the very form"
    VARIANT = "variant"
    MUTATED = "mutated"
    INFLECTED = "inflected"
    OLD_SPELLING = "old spelling"
    NEAR = "near"
    BEGINNING = "beginning"
    WORD_INSIDE = "word inside"
    IN_A_TEXT = "in a text"


HOWS: tuple[How, ...] = tuple(How)

_HOW: dict[KeyKind, How] = {
    KeyKind.FORM: How.VERY_FORM,
    KeyKind.SPELLING: How.VARIANT,
    KeyKind.MUTATED: How.MUTATED,
    KeyKind.INFLECTED: How.INFLECTED,
    KeyKind.OLD: How.OLD_SPELLING,
    KeyKind.OLD_LOOSE: How.OLD_SPELLING,
    KeyKind.MISREAD: How.NEAR,
    KeyKind.WORD: How.WORD_INSIDE,
}
_SCORE: dict[KeyKind, float] = {
    KeyKind.FORM: 100,
    KeyKind.SPELLING: 98,
    KeyKind.MUTATED: 95,
    KeyKind.INFLECTED: 95,
    KeyKind.OLD: 92,
    KeyKind.OLD_LOOSE: 90,
    KeyKind.MISREAD: 88,
    KeyKind.WORD: 40,
}
_VERY_FORM = message("Exactly this form.")
_BEGINNING = 72.0  # a near name comes before when two thirds of it are as asked
_ORDER: dict[How, int] = {how: place for place, how in enumerate(HOWS)} | {
    How.INFLECTED: HOWS.index(How.MUTATED),
    How.BEGINNING: HOWS.index(How.NEAR),
}


@dataclass(frozen=True, slots=True)
class Name:
    """A name in the record, as far as finding needs it."""

    entry_id: str
    term_id: str
    text: str
    language: str

    @property
    def primary(self) -> str:
        """The primary language subtag."""
        return self.language.partition("-")[0]


@dataclass(frozen=True, slots=True)
class Hit:
    """An entry that was found, by one of its names.

    Attributes:
        entry_id: the entry.
        term_id: the name it was found by, the nearest of its names.
        text: that name.
        language: its language.
        how: how it was found.
        score: how near, 100 for the very form; comparable within one answer only.
        said: why, in one plain sentence.
        note: the change undone (`lenition, c > ch`); empty where none.
    """

    entry_id: str
    term_id: str
    text: str
    language: str
    how: How
    score: float
    said: str
    note: str = ""


def hit_of(name: Name, how: How, score: float, said: str, note: str = "") -> Hit:
    """A hit by one of the names of an entry."""
    return Hit(name.entry_id, name.term_id, name.text, name.language, how, score, said, note)


def how_of(kind: KeyKind) -> How:
    """The match type for a kind of key."""
    return _HOW[kind]


def hit_by_key(name: Name, kind: KeyKind, asked: str, note: str) -> Hit:
    """A hit by keys that met exactly."""
    said = _said(name.text, kind, asked, note)
    return hit_of(name, _HOW[kind], _SCORE[kind], said, note)


def _said(name: str, kind: KeyKind, asked: str, note: str) -> str:
    match kind:
        case KeyKind.FORM:
            return _VERY_FORM
        case KeyKind.SPELLING:
            return message("Spelt “%(name)s” here.", name=name)
        case KeyKind.MUTATED if note:
            return message("A mutated form of “%(name)s” (%(note)s).", name=name, note=noted(note))
        case KeyKind.MUTATED:
            return message("A mutated form of “%(name)s”.", name=name)
        case KeyKind.INFLECTED:
            return message("An inflected form of “%(name)s”.", name=name)
        case KeyKind.OLD:
            return message("An older spelling of “%(name)s”.", name=name)
        case KeyKind.OLD_LOOSE:
            return message("Perhaps an older spelling of “%(name)s”.", name=name)
        case KeyKind.MISREAD:
            return message("“%(name)s” with letters that old print confuses.", name=name)
        case KeyKind.WORD:
            return message("“%(name)s” contains “%(asked)s”.", name=name, asked=asked)


def noted(note: str) -> str:
    """The note of a hit (`lenition, c > ch; eclipsis, b > mb`), the names of mutations in it messages."""
    changes = (change.partition(", ") for change in note.split("; "))
    return joined((joined((message(name), letters), ", ") for name, _, letters in changes), "; ")


def hit_near(name: Name, edits: int, likeness: float) -> Hit:
    """A hit by a name some edits away; `likeness` from 0 to 1."""
    said = message_of_number(
        "“%(name)s” differs in one letter.", "“%(name)s” differs in %(n)s letters.", edits, name=name.text
    )
    return hit_of(name, How.NEAR, 45 + 40 * likeness, said)


def hit_near_word(name: Name, word: str, edits: int, likeness: float) -> Hit:
    """A hit by a word inside a name, some edits away."""
    said = message_of_number(
        "“%(word)s” in “%(name)s” differs in one letter.",
        "“%(word)s” in “%(name)s” differs in %(n)s letters.",
        edits,
        word=word,
        name=name.text,
    )
    return hit_of(name, How.WORD_INSIDE, 35 * likeness, said)


def hit_beginning(
    name: Name, start: str, errors: int, *, whole: bool = False, inside: bool = False, apart: int = 0
) -> Hit:
    """A hit by the beginning of a name, or of a word inside it, or by the whole name without its signs.

    `apart` says in how many characters what was typed differs from the beginning as written, spaces counted.
    Of names with a letter wrong those come first of which half is typed: of a shorter one with a letter wrong
    enough is typed to find it as a near name, of a longer one too little to mean it.
    """
    if whole:
        said, how, score = message("Spelt “%(name)s” here.", name=name.text), How.VARIANT, 98.0
    elif inside:
        said = message("“%(name)s” has a word that begins like this.", name=name.text)
        how, score = How.WORD_INSIDE, 38.0
    else:
        said = (
            message("“%(name)s” begins like this, except for one letter.", name=name.text)
            if errors
            else message("“%(name)s” begins like this.", name=name.text)
        )
        how = How.BEGINNING
        from_half = min(abs(len(name.text) - 2 * len(start)), 90) / 100 if errors else 0
        score = _BEGINNING - 20 * errors - min(apart, 9) - from_half
    return hit_of(name, how, score, said)


def best_of_each_entry(hits: Iterable[Hit], limit: int) -> tuple[Hit, ...]:
    """One hit an entry, its best, in the order of finding; then by score, then shorter names first."""
    ranked = sorted(
        hits, key=lambda h: (_ORDER[h.how], -h.score, len(h.text), h.text, len(h.entry_id), h.entry_id)
    )
    best: dict[str, Hit] = {}
    for hit in ranked:
        best.setdefault(hit.entry_id, hit)
    return tuple(best.values())[:limit]
