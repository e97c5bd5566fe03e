"""Which column of a table is which field: guessed from the headings, shown, and changeable.

The keys are those of `exports.tables.columns`; a column without a match is ignored and listed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from exports.tables.columns import COMPUTED
from exports.tables.fields import FIELDS, field_at
from termbase.errors import BadInput, ReportedAt
from termbase.languages import tags
from termbase.messages import message

__all__ = ["HEADINGS", "IN_A_LANGUAGE", "NAME_WORDS", "WITNESSED", "Mapping", "guess", "mapped", "remapped"]


# Headings that are common in spreadsheets, in English, Welsh and Irish, by field. They are common practice,
# without a source; the field of a column is only a suggestion that a person sees and can change. The key and
# the heading of a field itself need no row here.

HEADINGS: Final[dict[str, tuple[str, ...]]] = {
    "entry": ("entry id", "concept", "concept id", "id"),
    "name_id": ("term id",),
    "name": ("term", "headword", "word", "label", "enw", "term cymraeg", "pennair", "ainm", "ceannfhocal"),
    "language": ("lang", "language tag", "iaith", "teanga"),
    "part_of_speech": ("pos", "word class", "rhan ymadrodd", "roinn cainte"),
    "gender": ("cenedl", "inscne"),
    "forms": ("inflections",),
    "pronunciation": ("ipa", "ynganiad", "fuaimniú"),
    "region": ("area", "dialect", "ardal", "tafodiaith", "ceantar", "canúint"),
    "printed": ("printed form",),
    "usage_note": ("usage", "note", "nodyn", "nóta"),
    "editor_note": (
        *("editors note", "editorial note", "notes", "remarks", "comments", "comment"),
        *("nodiadau", "sylwadau", "nótaí", "tráchtanna"),
    ),
    "topic": ("subject", "subject field", "domain", "pwnc", "ábhar"),
    "status": ("administrative status",),
    "type": ("term type",),
    "source": ("sources", "reference", "ffynhonnell", "ffynonellau", "foinse", "foinsí", "tagairt"),
    "date": ("year", "dyddiad", "blwyddyn", "dáta", "bliain"),
    "quotation": (
        *("quote", "citation", "context", "example", "dyfyniad", "enghraifft"),
        *("sliocht", "athfhriotal", "sampla"),
    ),
    "page": ("p.", "tudalen", "leathanach"),
    "slip_kind": ("kind of slip",),
}
"""Headings in lower case, by the key of the field."""

NAME_WORDS: Final = (
    *("name", "names", "term", "terms", "word", "words"),
    *("enw", "enwau", "gair", "geiriau", "ainm", "ainmneacha", "téarma", "téarmaí", "focal", "focail"),
)
"""Words that may appear beside the name of a language: `Irish names`, `Enw Cymraeg`."""


IN_A_LANGUAGE: Final = ("names", "definition")
_BY_TITLE: Final = {title: key for key, titles in HEADINGS.items() for title in titles} | {
    title: key for key in FIELDS for title in (key.replace("_", " "), field_at(key).heading)
}
"""Fields by possible headings; a field's own key and heading always match it."""

WITNESSED: Final = "witnessed"
"""Key among the defaults: the names that a source is a witness to if its quotation does not contain them.
*all* names of the row, those of one column (`names:cy`), or *none*: the slip stays unsorted."""
Split = Literal["", "one", "several"]
"""Whether a cell with commas or semicolons is one name or several; empty until somebody chooses."""


@dataclass(frozen=True)
class Mapping:
    """Which column is which field.

    Attributes:
        columns: the key of each column by its index, empty for ignored ones.
        defaults: the value of a field if its cell is empty or it has no column.
        split: for each column, whether its cells contain one name or several; shorter if the rest is not
            chosen.
    """

    columns: tuple[str, ...]
    defaults: tuple[tuple[str, str], ...] = ()
    split: tuple[Split, ...] = ()

    def split_of(self, column: int) -> Split:
        """Return the choice for the cells of a column."""
        return self.split[column] if column < len(self.split) else ""

    @property
    def with_slips(self) -> bool:
        """Whether its rows can create slips."""
        return "source" in self.columns or "source" in dict(self.defaults)

    @property
    def is_ours(self) -> bool:
        """Whether it is a table that we wrote: names in a cell are then separated only by bars."""
        return "version" in self.columns or "name_id" in self.columns

    def shown(self, head: Sequence[str]) -> tuple[tuple[str, str], ...]:
        """Return each heading with its field."""
        return tuple(zip(head, self.columns, strict=True))


def guess(head: Sequence[str], languages: Sequence[str] = ()) -> Mapping:
    """Return the fields that headings seem to mean; if two mean the same field, the first gets it.

    Args:
        head: the headings.
        languages: tags of the termbase; a heading that is one of them, or its name, means names in it.
    """
    named = _named(languages)
    taken: set[str] = set()
    columns: list[str] = []
    for title in head:
        key = _guessed(" ".join(title.replace("_", " ").lower().split()), named)
        columns.append("" if key in taken else key)
        taken.add(key)
    return Mapping(tuple(columns))


def _named(languages: Sequence[str]) -> dict[str, str]:
    """Return language tags by possible headings: the tag, and the name in English, Welsh, Irish and the
    language itself."""
    by_heading: dict[str, str] = {}
    for tag in languages:
        for language in ("en", "cy", "ga", tag):
            by_heading.setdefault(tags.display_name(tag, language).lower(), tag)
        by_heading.setdefault(tag.lower(), tag)
    return by_heading


def mapped(keys: Sequence[str], defaults: dict[str, str], split: Sequence[str] = ()) -> Mapping:
    """Return the mapping that somebody chose, column by column.

    Args:
        keys: the key of each column by its index, empty for ignored columns.
        defaults: the value of a field if its cell is empty or it has no column; empty ones are left out.
        split: for each column `one`, `several` or empty.

    Raises:
        BadInput: there is no such field, or two columns have the same one; `where` is the column's number,
            from 0.
    """
    columns: list[str] = []
    for number, key in enumerate(keys):
        with ReportedAt(str(number)):
            columns.append(_known(key) if key else "")
        if key and columns[-1] in columns[:-1]:
            raise BadInput(
                message("Another column is already assigned to this field."),
                where=str(number),
                fix=message("Ignore one of them."),
            )
    values = {_defaulted(key): value.strip() for key, value in defaults.items() if value.strip()}
    return Mapping(tuple(columns), tuple(values.items()), tuple(_split(each) for each in split))


def remapped(
    mapping: Mapping,
    head: Sequence[str],
    asked: Iterable[str],
    defaults: Iterable[str] = (),
    *,
    one: Iterable[str] = (),
    several: Iterable[str] = (),
) -> Mapping:
    """Return a mapping with changes applied.

    Args:
        mapping: the guessed mapping.
        head: the headings.
        asked: changes as `Heading=key`, or `Heading=` to ignore a column; a number is a column's position.
        defaults: as `key=value`.
        one, several: headings (or positions) of columns whose cells with commas contain one name, or several.

    Raises:
        BadInput: there is no such heading or field, or two columns have the same field.
    """
    columns = list(mapping.columns)
    for text in asked:
        title, equals, key = text.rpartition("=")
        if not equals:
            raise BadInput(
                message("%(text)r does not name a field.", text=text),
                where="map",
                fix=message("Write it as Heading=field."),
            )
        columns[_index(head, title.strip())] = _known(key.strip()) if key.strip() else ""
    used = [key for key in columns if key]
    if twice := next((key for key in used if used.count(key) > 1), None):
        raise BadInput(
            message("Two columns are assigned to %(twice)r.", twice=twice),
            where="map",
            fix=message("Ignore one of them: Heading="),
        )
    values = dict(mapping.defaults)
    for text in defaults:
        key, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                message("%(text)r does not give a value.", text=text),
                where="default",
                fix=message("Write it as field=value."),
            )
        values[_defaulted(key.strip())] = value.strip()
    split: list[Split] = [mapping.split_of(n) for n in range(len(columns))]
    for title in one:
        split[_index(head, title.strip())] = "one"
    for title in several:
        split[_index(head, title.strip())] = "several"
    return replace(
        mapping,
        columns=tuple(columns),
        defaults=tuple(values.items()),
        split=tuple(split) if any(split) else (),
    )


def _guessed(title: str, languages: dict[str, str]) -> str:
    if title in languages:
        return f"names:{languages[title]}"
    for field in IN_A_LANGUAGE:
        words = (f"{field} (", f"{field}:", f"{field} ", f"{field[:-1] if field == 'names' else field}s (")
        for start in words:
            rest = title.removeprefix(start).strip(" )")
            if title.startswith(start) and (rest in languages or tags.is_well_formed(rest)):
                return f"{field}:{languages.get(rest) or tags.canonical(rest)}"
    pieces = title.split()
    beside = [piece for piece in pieces if piece not in NAME_WORDS]
    if len(beside) < len(pieces) and " ".join(beside) in languages:
        return f"names:{languages[' '.join(beside)]}"
    return _BY_TITLE.get(title, "")


def _split(choice: str) -> Split:
    return "one" if choice == "one" else "several" if choice == "several" else ""


def _index(head: Sequence[str], title: str) -> int:
    if title in head:
        return list(head).index(title)
    if title.isdecimal() and 1 <= int(title) <= len(head):
        return int(title) - 1
    raise BadInput(
        message("There is no column %(title)r.", title=title),
        where="map",
        fix=message("Use one of: %(columns)s.", columns=", ".join(head)),
    )


def _defaulted(key: str) -> str:
    return key if key == WITNESSED else _known(key)


def _known(key: str) -> str:
    field, colon, tag = key.partition(":")
    if colon and field in IN_A_LANGUAGE and tags.is_well_formed(tag):
        return f"{field}:{tags.canonical(tag)}"
    if key in FIELDS:
        return key
    if field in COMPUTED:
        raise BadInput(
            message("%(key)r is calculated and cannot be imported.", key=key),
            where="map",
            fix=message("Ignore that column."),
        )
    raise BadInput(
        message("There is no field %(key)r.", key=key),
        where="map",
        fix=message("Use one of: %(fields)s, names:cy, definition:cy.", fields=", ".join(FIELDS)),
    )
