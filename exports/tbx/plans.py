"""How the fields of a record are written: one step per field, built once per export from the table of tags.

Values come from records, or from table rows if very many are written (`Values`).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from operator import attrgetter, itemgetter
from typing import Final, TypeVar, cast

import msgspec

from exports.tbx.categories import OTHER, PREFIX
from exports.tbx.context import Context, FieldFate
from exports.tbx.tags import FIELDS, OWN, Fate, attributes_of
from exports.tbx.xmltext import xml_id
from termbase.fields.declarations import DeclaredField, Flag, Reference, field_of, fields_of
from termbase.record.entries import Analogue, Entry, Figure, Origin, Ruling, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.record.sources import Slip
from termbase.store.bulk import columns_of
from termbase.store.rows import ENTRY, TERM

__all__ = ["Draft", "Element", "Part", "Ready", "Step", "Values", "Written", "step_of"]

T = TypeVar("T")
Part = object
"""A record, or its row."""

YES: Final = "yes"
"""The text of a flag that is set."""
_MOST_KEPT: Final = 2_000
_NEW_TERM: Final = Term("", "", "", Origin.NOT_STATED)
_NEW_ENTRY: Final = Entry("", version=1)
_CLASSES: Final[Mapping[str, type]] = {
    "entry": Entry, "term": Term, "analogue": Analogue, "figure": Figure, "ruling": Ruling, "slip": Slip,
    "note": ForeignNote,
}  # fmt: skip


# ---- reading values


class Values:
    """Where the values of fields come from.

    Args:
        rows: whether to read table rows, in which nested parts of a record are JSON, instead of records.

    Attributes:
        new_term, new_entry: a name and an entry with default values only.
    """

    def __init__(self, *, rows: bool) -> None:
        self._rows = rows
        self.new_term: Part = ("", *TERM.to_values(_NEW_TERM)) if rows else _NEW_TERM
        self.new_entry: Part = ENTRY.to_values(_NEW_ENTRY) if rows else _NEW_ENTRY

    def of(self, record: str, names: Sequence[str]) -> Callable[[Part], tuple[object, ...]]:
        """Return a getter for the values of fields of this kind of record, in this order."""
        get = self._getter(record, names)
        if len(names) == 1:
            return lambda part: (get(part),)
        return cast("Callable[[Part], tuple[object, ...]]", get)

    def texts(self, record: str, names: Sequence[str]) -> Callable[[Part], tuple[str, ...]]:
        """Return a getter for text fields."""
        return cast("Callable[[Part], tuple[str, ...]]", self.of(record, names))

    def text(self, record: str, name: str) -> Callable[[Part], str]:
        """Return a getter for one text field."""
        return cast("Callable[[Part], str]", self._getter(record, (name,)))

    def within(self, kind: type[T]) -> Callable[[object], T]:
        """Return a getter for the record or records in a value."""
        decoder = msgspec.json.Decoder(kind)
        return lambda value: decoder.decode(value) if isinstance(value, str) else cast(T, value)

    def _getter(self, record: str, names: Sequence[str]) -> Callable[[Part], object]:
        if not self._rows:
            return attrgetter(*names)
        own = record in ("entry", "slip")
        columns = columns_of(record if own else f"{record}s")
        first = 0 if own else 1  # a row of another part begins with the id of its entry
        return cast("Callable[[Part], object]", itemgetter(*(first + columns.index(name) for name in names)))


# ---- writing values


@dataclass(slots=True)
class Written:
    """Fields as text, cached for all records that have the same values.

    Attributes:
        front: data categories and tags.
        notes: notes that follow them.
        behind: notes that come last.
        counts: what happened to the fields.
        uses: how often it was written since it was last counted.
    """

    front: str = ""
    notes: str = ""
    behind: str = ""
    counts: tuple[FieldFate, ...] = ()
    uses: int = 0


class Draft:
    """Fields being written.

    Args:
        opening: the start of each field's note, by its path.
        before: the fields that are already written.
        counts: receives what happens to the fields; a new list if None.

    Attributes:
        opening: the argument.
        front, notes, counts: see `Written`.
    """

    __slots__ = ("counts", "front", "notes", "opening")

    def __init__(
        self,
        opening: Mapping[str, str],
        before: "Written | None" = None,
        counts: list[FieldFate] | None = None,
    ) -> None:
        self.opening = opening
        self.front = [before.front] if before else []
        self.notes = [before.notes] if before else []
        self.counts = ([*before.counts] if before else []) if counts is None else counts

    def take(self, steps: Sequence["Step"], values: Sequence[object]) -> None:
        """Write the values that are not empty, each with its step."""
        for step, value in zip(steps, values, strict=True):
            if value:
                step(self, value)

    def note(self, path: str, text: str) -> None:
        """Write the note of a field; the text is escaped."""
        self.notes += (self.opening[path], text, "</note>\n")
        self.counts.append((Fate.NOTED, path))

    def done(self, behind: "Draft | None" = None) -> Written:
        """Return what was written; `behind` holds what comes last."""
        if behind is None:
            return Written("".join(self.front), "".join(self.notes), "", tuple(self.counts))
        front, counts = self.front + behind.front, self.counts + behind.counts
        return Written("".join(front), "".join(self.notes), "".join(behind.notes), tuple(counts))


Step = Callable[[Draft, object], None]
"""Writes the value of one field."""


class Ready(dict[tuple[object, ...], Written]):
    """A cache of what was written, keyed by the values it was made from.

    Args:
        context: the export, in which its uses are counted.
        make: writes it.
    """

    def __init__(self, context: Context, make: Callable[[tuple[object, ...]], Written]) -> None:
        self._context, self._make = context, make

    def __missing__(self, values: tuple[object, ...]) -> Written:
        before = self._context.escaper.replaced
        made = self._make(values)
        if self._context.escaper.replaced == before:  # replaced characters are counted each time
            if len(self) > _MOST_KEPT:
                self.count()
                self.clear()
            self[values] = made
        else:
            self._context.count(made.counts)
        return made

    def count(self) -> None:
        """Count what was used."""
        for written in self.values():
            self._context.count(written.counts, written.uses)
            written.uses = 0


def step_of(context: Context, record: str, field: DeclaredField, language: str = "") -> Step:
    """Return the step that writes a field: as a data category, in a note after its label, or not at all.

    Args:
        context: the export.
        record: the kind of record.
        field: its field.
        language: language of the words of its data category, if it differs from the language around it.
    """
    path = f"{record}.{field.name}"
    row, whole, escape = FIELDS[path], context.style.whole, context.escape
    fate = context.fate(path) or Fate.LEFT_OUT

    is_flag = isinstance(field.is_a, Flag)
    in_note, usual = (Fate.NOTED, path), (fate, path)

    def noted(draft: Draft, value: object) -> None:
        draft.notes += (draft.opening[path], YES if is_flag else escape(str(value)), "</note>\n")
        draft.counts.append(in_note)

    def counted(draft: Draft, value: object) -> None:
        draft.counts.append(usual)

    if fate is Fate.NOTED:
        return noted
    if fate is Fate.LEFT_OUT or row.place == "source":  # it is in the words after the label of a source
        return counted
    if whole:
        start, end = f"<{row.tag}>", f"</{row.tag}>\n"
    else:
        start, end = context.style.start(row.place, language=language), f"{context.style.end(row.place)}\n"

    if whole and not row.values:

        def tagged(draft: Draft, value: object) -> None:
            draft.front += (start, YES if is_flag else escape(str(value)), end)

        return tagged

    def carried(draft: Draft, value: object) -> None:
        word = YES if is_flag else str(value)
        published = row.values[word] if row.values else word
        draft.front += (start, escape(published), end)
        if published != OTHER or word == OTHER:
            draft.counts.append(usual)
        elif whole:
            draft.front.append(f"<{PREFIX}:{row.in_full}>{word}</{PREFIX}:{row.in_full}>\n")
        else:
            noted(draft, value)

    return carried


class Element:
    """A record written as one element of ours: one field is the text, the others are attributes.

    Attributes:
        get: returns the values of a record: the text, then the attributes.
        nothing: the element of a record with default values only.
    """

    def __init__(self, context: Context, record: str, values: Values) -> None:
        cls, known = _CLASSES[record], attributes_of(record)
        self._tag = FIELDS[f"{record}.{next(iter(known))}"].tag
        self.nothing = f"<{self._tag}></{self._tag}>\n"
        text = next(
            field.name
            for field in fields_of(cls)
            if field.name not in known and FIELDS[f"{record}.{field.name}"].tag == self._tag
        )
        self.get = values.of(record, (text, *known))
        self._escaper = context.escaper
        attributes = {a.name: a for a in OWN[self._tag.removeprefix(f"{PREFIX}:")].attributes}
        new: dict[str, object] = {f.name: f.default for f in fields(cls)} | {"version": 1}
        self._attributes = tuple((attributes[known[name]], field_of(cls, name).is_a) for name in known)
        self._new = tuple(None if attributes[known[name]].needed else new[name] for name in known)

    def text(self, values: tuple[object, ...]) -> str:
        """Return the element of a record with these values."""
        return f"<{self._tag}{self.attributes(values)}>{self._escaper.text(str(values[0]))}</{self._tag}>\n"

    def attributes(self, values: tuple[object, ...]) -> str:
        """Return its attributes: those that differ from a new record, and the required ones."""
        out = []
        for (attribute, is_a), value, new in zip(self._attributes, values[1:], self._new, strict=True):
            if value == new or not (value or attribute.needed):
                continue
            word = YES if isinstance(is_a, Flag) else str(value)  # SQLite returns 1
            if attribute.points and isinstance(is_a, Reference):
                word = xml_id(is_a.to, word)
            out.append(f' {attribute.name}="{self._escaper.attribute(word)}"')
        return "".join(out)
