"""Which column of a table is which field: guessed by the headings, shown, and changed at will.

The keys are those of `exports.tables.columns`; a column that means nothing here is left alone and told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from termbase import tags
from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["COMPUTED", "FIELDS", "IN_A_LANGUAGE", "Mapping", "guess", "mapped", "remapped"]

FIELDS: Final = (
    "entry", "version", "topic", "name_id", "name", "language", "origin", "status", "type", "part_of_speech",
    "gender", "number", "forms", "pronunciation", "register", "region", "name_note", "printed",
    "printed_language", "sort_form", "usage_note", "editor_note",
)  # fmt: skip
"""Fields that can be taken in, by key; besides `names:TAG` and `definition:TAG` in any language."""

IN_A_LANGUAGE: Final = ("names", "definition")
COMPUTED: Final = ("ready", "mechanic", "practice", "evidence", "witnesses", "first", "last", "verdict")
"""Columns that the program works out; they go out, never in."""

_TITLES: Final = {
    "entry": ("entry id", "concept", "concept id", "id"),
    "name_id": ("name id", "term id"),
    "name": ("term", "headword", "word", "label"),
    "language": ("lang", "language tag"),
    "part_of_speech": ("pos", "word class"),
    "forms": ("inflected forms", "inflections"),
    "pronunciation": ("ipa",),
    "region": ("area", "dialect"),
    "name_note": ("note on the name",),
    "printed": ("as printed", "printed form"),
    "printed_language": ("language as printed",),
    "sort_form": ("sort form",),
    "usage_note": ("usage note", "usage", "note"),
    "editor_note": ("editor's note", "editors note", "editorial note"),
    "topic": ("subject", "subject field", "domain"),
    "status": ("administrative status",),
    "type": ("term type",),
}
_BY_TITLE: Final = {title: key for key, titles in _TITLES.items() for title in titles} | {
    field.replace("_", " "): field for field in FIELDS
}


@dataclass(frozen=True)
class Mapping:
    """Which column is which field.

    Attributes:
        columns: the key of each column by its index, empty for those left alone.
        defaults: what a field is where its cell is empty or it has no column.
    """

    columns: tuple[str, ...]
    defaults: tuple[tuple[str, str], ...] = ()

    def shown(self, head: Sequence[str]) -> tuple[tuple[str, str], ...]:
        """Each heading with its field."""
        return tuple(zip(head, self.columns, strict=True))


def guess(head: Sequence[str], languages: Sequence[str] = ()) -> Mapping:
    """The fields that headings seem to mean; the first of two that mean one field has it.

    Args:
        head: the headings.
        languages: tags of the termbase; a heading that is one of them, or its name, means names in it.
    """
    named = {tags.display_name(tag).lower(): tag for tag in languages} | {
        tag.lower(): tag for tag in languages
    }
    taken: set[str] = set()
    columns: list[str] = []
    for title in head:
        key = _guessed(" ".join(title.replace("_", " ").lower().split()), named)
        columns.append("" if key in taken else key)
        taken.add(key)
    return Mapping(tuple(columns))


def mapped(keys: Sequence[str], defaults: dict[str, str]) -> Mapping:
    """A mapping as somebody chose it, column by column.

    Args:
        keys: the key of each column by its index, empty for those left alone.
        defaults: what a field is where its cell is empty or it has no column; empty ones are left out.

    Raises:
        BadInput: there is no such field, or two columns would be one; `where` is the column's number, from 0.
    """
    columns: list[str] = []
    for number, key in enumerate(keys):
        try:
            columns.append(_known(key) if key else "")
        except BadInput as error:
            raise BadInput(error.what, where=str(number), mend=error.mend) from error
        if key and columns[-1] in columns[:-1]:
            raise BadInput(
                message("Another column is that field already."),
                where=str(number),
                mend=message("Leave one of them alone."),
            )
    values = {_known(key): value.strip() for key, value in defaults.items() if value.strip()}
    return Mapping(tuple(columns), tuple(values.items()))


def remapped(
    mapping: Mapping, head: Sequence[str], asked: Iterable[str], defaults: Iterable[str] = ()
) -> Mapping:
    """A mapping changed at will.

    Args:
        mapping: what was guessed.
        head: the headings.
        asked: changes as `Heading=key`, or `Heading=` to leave a column alone; a number is a column's place.
        defaults: as `key=value`.

    Raises:
        BadInput: there is no such heading or field, or two columns would be one field.
    """
    columns = list(mapping.columns)
    for text in asked:
        title, equals, key = text.rpartition("=")
        if not equals:
            raise BadInput(
                message("%(text)r names no field.", text=text),
                where="map",
                mend=message("Write it as Heading=field."),
            )
        columns[_index(head, title.strip())] = _known(key.strip()) if key.strip() else ""
    used = [key for key in columns if key]
    if twice := next((key for key in used if used.count(key) > 1), None):
        raise BadInput(
            message("Two columns would be %(twice)r.", twice=twice),
            where="map",
            mend=message("Leave one of them alone: Heading="),
        )
    values = dict(mapping.defaults)
    for text in defaults:
        key, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                message("%(text)r names no value.", text=text),
                where="default",
                mend=message("Write it as field=value."),
            )
        values[_known(key.strip())] = value.strip()
    return replace(mapping, columns=tuple(columns), defaults=tuple(values.items()))


def _guessed(title: str, languages: dict[str, str]) -> str:
    if title in languages:
        return f"names:{languages[title]}"
    for field in IN_A_LANGUAGE:
        words = (f"{field} (", f"{field}:", f"{field} ", f"{field[:-1] if field == 'names' else field}s (")
        for start in words:
            rest = title.removeprefix(start).strip(" )")
            if title.startswith(start) and (rest in languages or tags.is_well_formed(rest)):
                return f"{field}:{languages.get(rest) or tags.canonical(rest)}"
    return _BY_TITLE.get(title, "")


def _index(head: Sequence[str], title: str) -> int:
    if title in head:
        return list(head).index(title)
    if title.isdecimal() and 1 <= int(title) <= len(head):
        return int(title) - 1
    raise BadInput(
        message("There is no column %(title)r.", title=title),
        where="map",
        mend=message("There are: %(columns)s.", columns=", ".join(head)),
    )


def _known(key: str) -> str:
    field, colon, tag = key.partition(":")
    if colon and field in IN_A_LANGUAGE and tags.is_well_formed(tag):
        return f"{field}:{tags.canonical(tag)}"
    if key in FIELDS:
        return key
    if field in COMPUTED:
        raise BadInput(
            message("%(key)r is worked out, never taken in.", key=key),
            where="map",
            mend=message("Leave that column alone."),
        )
    raise BadInput(
        message("There is no field %(key)r.", key=key),
        where="map",
        mend=message("There are: %(fields)s, names:cy, definition:cy.", fields=", ".join(FIELDS)),
    )
