"""Records in which every field has a unique mark, generated from their classes.

A text, a date, a number or an id is a mark that outputs are searched for. A word of a closed list, a flag,
a language and a reference are *choices*: they have two values, and an output contains the field if it differs
between them. Choices never change anything computed (evidence, verdicts, heads).
"""

import io
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from hashlib import sha256
from types import UnionType
from typing import Annotated, Literal, Union, get_args, get_origin

import PIL.Image

from termbase.fields.notes import CodedText, own_words
from termbase.judging.verdict import VERDICT_WORDS
from termbase.record.entries import Entry, Origin, Redirect, RelationKind, Status, Term, Topic
from termbase.record.field_paths import FieldPath, field_hints, parts_of
from termbase.record.pages import Line, LineState, Page
from termbase.record.people import Image, Person, Role, Termbase
from termbase.record.sources import Certainty, Presence, Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.store.writing import PREFIX, Act
from termbase.technique.profile import NOT_STATED

__all__ = ["CONSTANT", "Filled", "Marks", "emptied_for", "filled", "group_of"]

Marks = dict[FieldPath, set[str]]
Choices = Collection[FieldPath]

CHOICES: Mapping[str, tuple[object, object]] = {
    "entry.topic": (Topic.GARMENT, Topic.GROUND),
    "term.language": ("cy", "ga"),
    "term.printed_language": ("ga-Latg", "cy-Latf"),
    "term.origin": (Origin.REBUILT, Origin.COINED),
    "term.status": (Status.DEPRECATED, Status.SUPERSEDED),
    "relation.kind": (RelationKind.CONTRASTS, RelationKind.SEE_ALSO),
    "ruling.verdict": VERDICT_WORDS[:2],
    "note.language": ("cy", "ga"),
    "note.text_language": ("gd", "gv"),
    "said.basis": ("reading", "trial"),
    "slip.kind": (SlipKind.MENTION, SlipKind.DEFINITION),
    "slip.certainty": (Certainty.SECURE, Certainty.PROBABLE),
    "slip.presence": (Presence.MISPRINT, Presence.BROKEN),
    "slip.source_id": ("s7001", "s7802"),
    "slip.term_id": ("t7001", "t7901"),
    "source.kind": (SourceKind.MANUSCRIPT, SourceKind.RECORDING),
    "line.state": (LineState.MADE, LineState.ATTACHED),
    "line.entry_ids": (("c7001",), ("c7002",)),
    "trial.entry_id": ("c7001", "c7002"),
    "trial.outcome": (Outcome.WORKS, Outcome.FAILS),
    "redirect.target_id": ("c7001", "c7002"),
    "person.roles": ((Role.SPEAKER,), (Role.COACH,)),
    "termbase.working_language": ("en", "gd"),
    "termbase.vernaculars": (("cy", "ga"), ("cy", "ga", "br")),
}
"""Values of choices by the name of their field; of any other closed list the last two."""

POINTERS: Mapping[str, tuple[str, str]] = {
    "source_id": ("s7801", "s7802"), "sources": ("s7801", "s7802"), "code_id": ("r7801", "r7802"),
    "target_id": ("c7801", "c7802"), "page_id": ("w7001", "w7801"), "joined_to": ("q7801", "q7802"),
}  # fmt: skip
"""What a pointer leads to, by the name of its field, where no choice is named above."""

IDS: Mapping[tuple[str, str], str] = {
    ("entry.id", "signed"): "c7001", ("entry.id", "open"): "c7002", ("entry.terms.id", "signed"): "t7001",
    ("entry.terms.id", "open"): "t7002", ("page.id", ""): "w7001", ("source.id", ""): "s7001",
}  # fmt: skip
"""Ids that others point at, by the field and the edition of the record."""

APART: Mapping[str, tuple[str, ...]] = {
    "reading.reopened": ("reading.by", "reading.on"),
    "note.language": ("note.text_language",),
}
"""Fields that never stand together: an entry more is made in which the others are empty."""

CONSTANT = frozenset(
    {"termbase.id", "term.foreign_notes.language", "image.width", "image.height", "image.media_type"}
)
"""Fields without information: there is only one termbase, a note on a name is in no language section, and
the type and size of a picture follow from its bytes."""

JUDGED: Mapping[str, str] = {"entry.technique": "code.clauses", "code.clauses": "entry.technique"}
"""While a choice in one of these is tested, the other is empty, so that no verdict differs."""


def emptied_for(path: FieldPath) -> tuple[str, ...]:
    """Return the fields that are left empty while another value of this field is tested."""
    return tuple(JUDGED[judged] for judged in JUDGED if str(path).startswith(f"{judged}."))


def group_of(path: FieldPath) -> str:
    """Return the group that a choice is tested with: a copy of an entry is stored as one text."""
    if path.steps[0][0] is Redirect and path.steps[1:]:
        return ".".join(str(path).split(".")[:2])
    return path.names[-1] if str(path).startswith("code.clauses") else str(path)


@dataclass
class Filled:
    """A termbase of records with marks.

    Attributes:
        termbase: the termbase's own record.
        records: all other records, in an order in which they can be written.
        marks: the marks of each field; finding one of them is enough.
        choices: the fields that are choices.
        images: the pictures, whose bytes are marks.
    """

    termbase: Termbase
    records: tuple[object, ...]
    marks: Marks
    choices: tuple[FieldPath, ...]
    images: tuple[Image, ...]

    @property
    def groups(self) -> dict[str, tuple[FieldPath, ...]]:
        """The choices that are tested together."""
        groups: dict[str, tuple[FieldPath, ...]] = {}
        for path in self.choices:
            groups[group_of(path)] = (*groups.get(group_of(path), ()), path)
        return groups

    def write(self, act: Act) -> None:
        """Store everything in an empty termbase."""
        for record in self.records:
            if isinstance(record, Image):
                act.add_image(record)
            else:
                act.take(record)


@cache
def _number(edition: str, path: FieldPath) -> int:
    """Return the number of a field, the same whatever else is filled."""
    _NUMBERS.append((edition, path))
    return len(_NUMBERS)


_NUMBERS: list[tuple[str, FieldPath]] = []
_LETTERS = "bcdfghjklmnprstvw"


class _Filler:
    def __init__(self, other: Choices, empty: Collection[str]) -> None:
        self.other = other
        self.empty = empty
        self.marks: Marks = {}
        self.choices: dict[FieldPath, None] = {}
        self.edition = ""
        self.without: tuple[str, ...] = ()

    def record(self, cls: type, edition: str = "", without: tuple[str, ...] = (), **known: object) -> object:
        """Return a filled record; fields with the names in `without` are left empty."""
        self.edition, self.without = edition, without
        return self._part(cls, None, known)

    def _part(self, hint: object, above: FieldPath | None, known: Mapping[str, object] = {}) -> object:
        cls = get_origin(hint) or hint
        assert isinstance(cls, type)
        values: dict[str, object] = {}
        for name, inner in field_hints(hint).items():
            path = FieldPath(((cls, name),)) if above is None else above.under(cls, name)
            if name in known:
                values[name] = known[name]
            elif not path.covered_by((*self.without, *self.empty)) and not path.covered_by(CONSTANT):
                values[name] = self._value(inner, path)
        return cls(**values)

    def _value(self, hint: object, path: FieldPath) -> object:
        if parts := list(parts_of(hint)):
            inner = [self._part(part, path) for part in parts]
            return tuple(inner) if _is_tuple(hint) else inner[0]
        if (chosen := self._choice(hint, path)) is not None:
            self.choices[path] = None
            return chosen[path in self.other]
        mark = self._mark(hint, path)
        self.marks.setdefault(path, set()).add(str(mark))
        if isinstance(mark, str) and path.names[-1] in ("source.url", "note.target"):
            mark = f"https://{mark}.example/"
        if CodedText in _flat(hint):
            return own_words(str(mark))
        return (mark,) if _is_tuple(hint) else mark

    def _choice(self, hint: object, path: FieldPath) -> tuple[object, object] | None:
        name = path.steps[-1][1]
        if choice := next((CHOICES[n] for n in path.names if n in CHOICES), None):
            return choice
        is_tuple = _is_tuple(hint)
        if name in POINTERS and path.steps[0][0] is not Redirect:
            first, other = POINTERS[name]
            return ((first,), (other,)) if is_tuple else (first, other)
        if name in ("image_id", "image_ids"):
            first, other = _pictures()[word(path) == "slip"].id, _pictures()[2].id
            return ((first,), (other,)) if is_tuple else (first, other)
        if name == "language" or name.endswith("_language"):
            return "cy", "ga"
        members = _members(hint)
        if len(members) < 2:
            return None
        first, other = members[-2:]
        return ((first,), (other,)) if is_tuple else (first, other)

    def _mark(self, hint: object, path: FieldPath) -> str | int:
        number, name = _number(self.edition, path), path.steps[-1][1]
        if int in _flat(hint):
            return 60000 + number
        if known := IDS.get((str(path), self.edition)):
            return known
        if name == "id" and word(path) in PREFIX and path.steps[0][0] is not Redirect:
            return f"{PREFIX[word(path)]}7{number:04d}"
        if name in ("on", "date", "issued", "period", "years") or name.endswith("_on"):
            day = "-02-03" if name == "on" or name.endswith("_on") else ""
            return f"{_year(self.edition, path)}{day}"
        assert {str, CodedText} & set(_flat(hint)), f"{path}: no mark for {hint}"
        letters = (number // 17**k % 17 for k in range(3))
        return f"qz{''.join(_LETTERS[n] for n in letters)}x"


@cache
def _year(edition: str, path: FieldPath) -> int:
    _YEARS.append(path)
    return 1100 + len(_YEARS)


_YEARS: list[FieldPath] = []


def word(path: FieldPath) -> str:
    """Return the word for the part that a field belongs to."""
    return path.names[-1].partition(".")[0]


def _flat(hint: object) -> Iterator[object]:
    """Yield the types in a type hint."""
    if get_origin(hint) in (UnionType, Union, tuple, Annotated):
        for inner in get_args(hint):
            yield from _flat(inner)
    else:
        yield hint


def _is_tuple(hint: object) -> bool:
    if get_origin(hint) in (UnionType, Union, Annotated):
        return any(_is_tuple(inner) for inner in get_args(hint))
    return get_origin(hint) is tuple


def _members(hint: object) -> tuple[object, ...]:
    members: dict[object, None] = {}
    for hint_type in _flat(hint):
        if get_origin(hint_type) is Literal:
            members |= dict.fromkeys(get_args(hint_type))
        elif isinstance(hint_type, type) and issubclass(hint_type, StrEnum):
            members |= dict.fromkeys(hint_type)
        elif hint_type is bool:
            members |= {False: None, True: None}
    return tuple(members)


@cache
def _pictures() -> tuple[Image, Image, Image]:
    made = []
    for shade in (40, 120, 200):
        out = io.BytesIO()
        PIL.Image.new("L", (61, 47), shade).save(out, "PNG")
        data = out.getvalue()
        made.append(Image(sha256(data).hexdigest()[:16], "image/png", 61, 47, data))
    return made[0], made[1], made[2]


def filled(other: Choices = (), empty: Collection[str] = ()) -> Filled:
    """Return every record, filled; `other` choices have their second value, `empty` fields are left out."""
    filler = _Filler(other, empty)
    termbase = filler.record(Termbase)
    assert isinstance(termbase, Termbase)
    full = filler.record(Entry, "signed", ("reading.reopened",))
    open_ = filler.record(Entry, "open", tuple(name for names in APART.values() for name in names))
    assert isinstance(full, Entry)
    assert isinstance(open_, Entry)
    named = (full.terms[0].text, "t7001")
    drawn = None if "entry.technique" in empty else NOT_STATED
    records = (
        *_pictures(),
        filler.record(Person),
        filler.record(Source),
        Source("s7801", "Plain A", SourceKind.OTHER, "Plain A", version=1),
        Source("s7802", "Plain B", SourceKind.OTHER, "Plain B", version=1),
        filler.record(RuleCode),
        RuleCode("r7801", "Plain code A", version=1),
        RuleCode("r7802", "Plain code B", version=1),
        replace(full, terms=(*full.terms, Term("t7901", "hinge", "en", Origin.IN_USE))),
        replace(open_, terms=(*open_.terms, Term("t7902", "latch", "en", Origin.IN_USE))),
        Entry("c7801", terms=(Term("t7801", "bolt", "en", Origin.IN_USE),), technique=drawn, version=1),
        Entry("c7802", terms=(Term("t7802", "catch", "en", Origin.IN_USE),), version=1),
        filler.record(Redirect),
        *(
            Slip(f"q780{n}", "s7801", f"{name}, the {n}.", term_id=term_id, version=1)
            for n, (name, term_id) in enumerate((*[named] * 2, *[("hinge", "t7901")] * 2), 1)
        ),
        filler.record(Slip),
        filler.record(Slip, "alone", ("slip.joined_to",), term_id="t7801"),
        filler.record(Slip, "of use", ("slip.joined_to",), kind=SlipKind.USE, term_id="t7002"),
        filler.record(Page),
        Page("w7801", "s7801", "1", "", version=1),
        filler.record(Line),
        filler.record(Trial),
        Trial("m7801", "c7001", "1990", Outcome.WORKS, version=1),
        Trial("m7802", "c7002", "1990", Outcome.WORKS, version=1),
    )  # fmt: skip
    filler.marks[FieldPath(((Image, "id"),))] = {image.id for image in _pictures()}
    return Filled(termbase, records, filler.marks, tuple(filler.choices), _pictures())
