"""Queries on the key tables. Typed text is bound as a value, so no character in it is special."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVarTuple

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein
from sqlalchemy import BindParameter, Select, bindparam, or_, select

from termbase.languages import tags
from termbase.languages.keys import Key, KeyKind, QueryKey, find_keys, query_keys
from termbase.search.hits import Name
from termbase.store import tables
from termbase.store.batches import batched, rows_in
from termbase.store.keys import LONGEST_KEY, MOST_EDITS, edits_allowed, probes
from termbase.store.reading import Reader

__all__ = [
    "LAST",
    "SOUGHT",
    "WHOLE",
    "WITHOUT_WORDS",
    "WORD",
    "Asked",
    "Near",
    "Stored",
    "by_beginning",
    "by_texts",
    "entries_beginning",
    "first_names",
    "near_texts",
    "nearest",
    "take",
    "texts_beginning",
    "texts_under",
]


_KINDS = tuple(KeyKind)
WHOLE = (KeyKind.FORM.rank, KeyKind.SPELLING.rank)
"""Kinds of the keys that are a whole name as it is."""
WORD = (KeyKind.WORD.rank,)
SOUGHT = tuple(kind.rank for kind in (KeyKind.FORM, KeyKind.SPELLING, KeyKind.INFLECTED, KeyKind.OLD))
"""Kinds among which the texts of whole names in the segment index are."""
WITHOUT_WORDS = tuple(kind.rank for kind in KeyKind if kind is not KeyKind.WORD)
LAST = "\U0010ffff"
"""The last of all characters: what begins with a text lies between it and the text with this behind."""
Columns = TypeVarTuple("Columns")
_key, _term = tables.key.c, tables.term.c
_keys = select(_key.text, _key.kind, _term.entry_id, _key.term_id, _term.text, _term.language).join_from(
    tables.key, tables.term
)


@dataclass(frozen=True, slots=True)
class Stored:
    """A stored key and the name it is a key of."""

    text: str
    kind: KeyKind
    name: Name


@dataclass(frozen=True, slots=True)
class Near:
    """A text near to what was asked: edits away, and likeness from 0 to 1."""

    text: str
    edits: int
    likeness: float


def by_texts(
    reader: Reader, texts: Sequence[str], kinds: tuple[int, ...], only: str = "", limit: int | None = None
) -> Iterator[Stored]:
    """Stored keys of these texts and kinds, in no order; at most `limit` a batch."""
    query = _texts_query(kinds, only, limit)
    for batch in batched(texts):
        yield from _stored(reader, query, {"texts": batch})


def by_beginning(
    reader: Reader, start: str, kinds: tuple[int, ...], only: str = "", limit: int | None = None
) -> Iterator[Stored]:
    """Stored keys that begin so, in the order of their characters."""
    return _stored(reader, _beginning_query(kinds, only, limit), {"start": start, "end": start + LAST})


def texts_beginning(reader: Reader, start: str, kinds: tuple[int, ...], limit: int) -> list[str]:
    """Texts of stored keys that begin so, some more than once, in the order of their characters."""
    values = {"start": start, "end": start + LAST}
    return list(reader.connection.scalars(_beginning_texts_query(kinds, limit), values).all())


def entries_beginning(reader: Reader, words: Sequence[str], only: str = "") -> list[str]:
    """Ids of entries with one name in which, for every one of the words, some word begins so; in no order.

    A single letter is looked for at the beginning of names only: half of all names have it in some word.
    """
    query = select(_term.entry_id).distinct()
    for start in words:
        kinds = (*WHOLE, *WORD) if len(start) > 1 else WHOLE
        begins = (_key.text >= start, _key.text < start + LAST, _key.kind.in_(kinds))
        query = query.where(_term.id.in_(select(_key.term_id).where(*begins)))
    return list(reader.connection.scalars(_in_language(query, only)).all())


def first_names(reader: Reader, ids: Sequence[str]) -> dict[str, Name]:
    """The first name of each of these entries, by id; an entry without a name is left out."""
    c = tables.term.c
    found: dict[str, Name] = {}
    query = select(c.entry_id, c.id, c.text, c.language).order_by(c.entry_id, c.position)
    for row in rows_in(reader.connection, query, c.entry_id, ids):
        found.setdefault(row[0], Name(*row))
    return found


def near_texts(reader: Reader, asked: str) -> list[Near]:
    """Every text kept in the segment index within the edits allowed to it, nearest first.

    The same as comparing with every one of them (`edits_allowed`); a text may have outlived its names.
    """
    return nearest(asked, texts_under(reader, probes(asked)))


def texts_under(reader: Reader, numbers: Sequence[int]) -> set[str]:
    """The texts that have one of these segments."""
    if not numbers:
        return set()
    # Numbers of our own making, written out: binding a hundred values takes longer than looking them up.
    listed = ",".join(map(str, numbers))
    found = reader.connection.exec_driver_sql(f"SELECT text FROM segment WHERE number IN ({listed})")
    # Hundreds of rows, of which a few are near: read as the driver gives them, they take half the time.
    rows = found.cursor.fetchall()
    found.close()
    return {row[0] for row in rows}


def nearest(asked: str, texts: Collection[str]) -> list[Near]:
    """Those of the texts within the edits allowed to them, nearest first, then in order of characters."""
    scored = process.extract(
        asked, list(texts), scorer=Levenshtein.distance, score_cutoff=MOST_EDITS, limit=None, processor=None
    )
    found = [
        Near(text, int(edits), 1 - edits / max(len(asked), len(text)))
        for text, edits, _ in scored
        if edits <= edits_allowed(len(text))
    ]
    return sorted(found, key=lambda near: (near.edits, -near.likeness, near.text))


# Building a statement takes longer than running it: each kind of question is built once.
@lru_cache(maxsize=256)
def _texts_query(
    kinds: tuple[int, ...], only: str, limit: int | None
) -> "Select[str, int, str, str, str, str]":
    texts: BindParameter[str] = bindparam("texts", expanding=True)
    return _in_language(_keys.where(_key.text.in_(texts), _key.kind.in_(kinds)), only).limit(limit)


@lru_cache(maxsize=256)
def _beginning_query(
    kinds: tuple[int, ...], only: str, limit: int | None
) -> "Select[str, int, str, str, str, str]":
    begins = (_key.text >= bindparam("start"), _key.text < bindparam("end"), _key.kind.in_(kinds))
    return _in_language(_keys.where(*begins), only).order_by(_key.text).limit(limit)


@lru_cache(maxsize=256)
def _beginning_texts_query(kinds: tuple[int, ...], limit: int) -> "Select[str]":
    begins = (_key.text >= bindparam("start"), _key.text < bindparam("end"), _key.kind.in_(kinds))
    return select(_key.text).where(*begins).order_by(_key.text).limit(limit)


def _in_language(query: "Select[*Columns]", only: str) -> "Select[*Columns]":
    if not only:
        return query
    return query.where(or_(_term.language == only, _term.language.startswith(only + "-")))


def _stored(
    reader: Reader, query: "Select[str, int, str, str, str, str]", values: dict[str, object]
) -> Iterator[Stored]:
    for text, kind, *name in reader.connection.execute(query, values).all():
        yield Stored(text, _KINDS[kind], Name(*name))


# The typed text, prepared for searching.

_ANY = "und"
_WORD_ENDS = re.compile("[ -]+")
_NO_TEXT = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


@dataclass(frozen=True)
class Asked:
    """A query.

    Attributes:
        text: what was typed, cleaned.
        only: primary tag of the language asked for, empty for any.
        form: in lower case and modern letters.
        typed: the same, with the space after a word that is finished while somebody is typing.
        loose: without spaces, accents and signs: what near names and beginnings are compared with.
        keys: the texts to look for among stored keys, with how far each is from the form asked for.
    """

    text: str
    only: str
    form: str
    typed: str
    loose: str
    keys: dict[str, tuple[QueryKey, ...]]

    def words(self) -> tuple[str, ...]:
        """Its single words, without accents and signs; the whole where it is one."""
        parts = (find_keys(word, self.only or _ANY) for word in _WORD_ENDS.split(self.form))
        return tuple(_whole(keys) for keys in parts if keys) or (self.loose,)

    def meeting(self, text: str, language: str) -> QueryKey | None:
        """The nearest query key that may meet a stored key of this text in a language (primary tag)."""
        fitting = [key for key in self.keys.get(text, ()) if key.language in ("", language)]
        return min(fitting, key=lambda key: key.kind.rank, default=None)


def take(text: str, language: str | None = None) -> Asked | None:
    """Take a query; None where nothing is left of it that could be found.

    Half characters and control signs go, and all beyond the length of a key.

    Raises:
        BadInput: the tag is not well formed.
    """
    only = tags.parse(language).language if language else ""
    cleaned = _NO_TEXT.sub(" ", text[: 4 * LONGEST_KEY]).strip()[:LONGEST_KEY]
    keys = query_keys(cleaned, language) if cleaned else ()
    own = {key.kind: key.text[:LONGEST_KEY] for key in reversed(keys) if not key.language}
    if not own:
        return None
    by_text: dict[str, tuple[QueryKey, ...]] = {}
    for key in keys:
        short = key.text[:LONGEST_KEY]
        by_text[short] = (*by_text.get(short, ()), key)
    form = own[KeyKind.FORM]
    typed = f"{form} " if text[:LONGEST_KEY].endswith(" ") else form
    return Asked(cleaned, only, form, typed, own.get(KeyKind.SPELLING, form), by_text)


def _whole(keys: tuple[Key, ...]) -> str:
    spelling = next((key.text for key in keys if key.kind is KeyKind.SPELLING), keys[0].text)
    return spelling[:LONGEST_KEY]
