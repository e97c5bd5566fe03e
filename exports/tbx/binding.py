"""How the reader handles each element of a concept entry; looked up once, then cached.

In our own dialect an element is identified by its full tag. In files of other systems it is identified by its
data category: a tag in DCT style, the type of a core element in DCA style, whatever the module or year. Both
kinds of row are made from the one table of fields; an element without a row is kept as a note.

Sources of the names that are not ours: the modules Min and Basic of TBX-Basic (ISO 30042:2019), and the
published Linguist module for number and register. For 2008 files, the names of ISO 30042:2008 as TBX-Basic
used them then, and those of the first TBX-Min, both from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final, Literal

from exports.tbx.categories import CATEGORIES, CORE, MODULE_NAMESPACE, NAMESPACES, OTHER, PREFIX
from exports.tbx.elements import GROUPS, META, SECTIONS, TERMS, Element, category, local_name
from exports.tbx.tags import FIELDS, free_fields
from termbase.fields.declarations import DeclaredField, Line, Member, field_of, fields_of
from termbase.record.entries import Entry, Number, Register, Status, Term

__all__ = ["Binding", "Bindings", "Role", "Row", "foreign_bindings", "full_tag", "own_bindings", "own_tag"]

Role = Literal[
    "closed", "definition", "definition order", "foreign note", "form", "free", "keep", "name", "no term",
    "note", "part", "pass", "printed", "quotation", "reading", "relation", "relation outside", "section",
    "technique", "term", "term order", "transaction",
]  # fmt: skip
"""What a reader does with an element; `keep` means keeping it as a note."""


@dataclass(frozen=True, slots=True)
class Row:
    """How the reader handles an element.

    Attributes:
        role: what is done with it.
        declared: the field that it fills, if it fills exactly one.
        known: for a closed list, the record's value for each word in the file.
        in_full: whether another element gives the value that this one calls `other`.
        record: for a part of an entry, its kind of record.
        name: name of its field.
    """

    role: Role
    declared: DeclaredField | None = None
    known: Mapping[str, StrEnum] = field(default_factory=dict)
    in_full: bool = False
    record: str = ""
    name: str = field(init=False, default="")

    def __post_init__(self) -> None:
        if self.declared:
            object.__setattr__(self, "name", self.declared.name)


Table = Mapping[object, Row]
_KEEP: Final = Row("keep")
_BY_MORE: Final = META | GROUPS
"""Elements that cannot be identified by their tag alone."""
_MOST_KEPT: Final = 2_000


class Binding:
    """The elements of one level.

    Args:
        table: rows by tag, or for a group by its tag and that of its first element; otherwise by `<name>` for
            an element that contains others, and by the name of a data category.
        by_tag: whether rows are identified by tag.

    Attributes:
        known: rows of the elements that their tag alone identifies.
    """

    def __init__(self, table: Table, *, by_tag: bool) -> None:
        self.known: dict[object, Row] = dict(table) if by_tag else {}
        self._table, self._by_tag = table, by_tag
        self._others: dict[tuple[object, object, str | None], Row] = {}

    def look(self, element: Element) -> tuple[Row, Element]:
        """Return the row of an element that its tag does not identify, and the element that identifies it.

        That is the element itself, or the first in a group.
        """
        name = local_name(element)
        main = element[0] if len(element) and name in GROUPS else element
        key = element.tag, main.tag, main.get("type")
        row = self._others.get(key)
        if row is None:
            if self._by_tag:
                row = self._table.get(element.tag if element is main else key[:2], _KEEP)
            else:
                row = self._table.get(f"<{name}>") or self._table.get(category(main), _KEEP)
            if len(self._others) + len(self.known) > _MOST_KEPT:
                return row, main
            self._others[key] = row
            if name not in _BY_MORE:
                self.known[element.tag] = row
        return row, main


@dataclass(frozen=True, slots=True)
class Bindings:
    """The elements at each level of a concept entry."""

    concept: Binding
    section: Binding
    term: Binding


def full_tag(tag: str) -> str:
    """Return a tag of the table with its namespace."""
    prefix, colon, name = tag.partition(":")
    return f"{{{_SPACES[prefix]}}}{name}" if colon else f"{{{CORE}}}{tag}"


def own_tag(name: str) -> str:
    """Return a tag of our own module with its namespace."""
    return f"{{{MODULE_NAMESPACE}}}{name}"


_SPACES: Final[dict[str, str]] = {PREFIX: MODULE_NAMESPACE}
_SPACES.update(NAMESPACES.items())


def _tag(path: str) -> str:
    return full_tag(FIELDS[path].tag)


def _closed(record: str, declared: DeclaredField, *, other: bool) -> Row:
    """Return a row for a field with a closed list.

    Args:
        record: the kind of record.
        declared: the field.
        other: whether a value may be `other` there and given in full by another element.
    """
    kind = declared.members
    assert kind is not None
    row = FIELDS[f"{record}.{declared.name}"]
    picklist = row.values
    if picklist is None:
        return Row("closed", declared, {member.value: member for member in kind if member.value})
    known = {published: kind(value) for value, published in picklist.items() if published != OTHER}
    in_full = other and bool(row.in_full)
    if in_full and OTHER in kind._value2member_map_:
        known[OTHER] = kind(OTHER)
    return Row("closed", declared, known, in_full)


def _every(cls: type, record: str, *, other: bool) -> Table:
    """Return the fields of a record that have a closed list, by their tags in our dialect."""
    return {
        _tag(f"{record}.{f.name}"): _closed(record, f, other=other)
        for f in fields_of(cls)
        if isinstance(f.is_a, Member)
    }


def _free(cls: type, record: str, *more: str) -> Table:
    return {
        _tag(f"{record}.{name}"): Row("free", field_of(cls, name)) for name in (*free_fields(record), *more)
    }


def _in_full() -> Table:
    """Return the elements that give in full a value that a picklist calls `other`."""
    return {
        own_tag(in_full): Row("closed", declared, {member.value: member for member in declared.members or ()})
        for declared in fields_of(Term)
        if (in_full := FIELDS[f"term.{declared.name}"].in_full)
    }


# ---- our dialect

_GROUP, _DEFINITION = full_tag("descripGrp"), _tag("definition.text")
_OUR_CONCEPT: Final[Table] = {
    full_tag("langSec"): Row("section"),
    **_every(Entry, "entry", other=True),
    **_free(Entry, "entry", "version"),
    _tag("relation.kind"): Row("relation"),
    own_tag("relationOutside"): Row("relation outside"),
    _tag("entry.technique"): Row("technique"),
    **{own_tag(record): Row("part", record=record) for record in ("analogue", "figure", "ruling")},
    _tag("entry.language_reading"): Row("reading", field_of(Entry, "language_reading")),
    _tag("entry.practice_reading"): Row("reading", field_of(Entry, "practice_reading")),
    own_tag("foreignNote"): Row("foreign note"),
    own_tag("termOrder"): Row("term order"),
    own_tag("definitionOrder"): Row("definition order"),
    **{(_GROUP, own_tag(record)): Row("part", record=record) for record in ("analogue", "figure")},
    _DEFINITION: Row("definition"),
    (_GROUP, _DEFINITION): Row("definition"),
    full_tag("transacGrp"): Row("transaction"),
}
_OUR_SECTION: Final[Table] = {
    full_tag("termSec"): Row("term"),
    _DEFINITION: Row("definition"),
    (_GROUP, _DEFINITION): Row("definition"),
}
_OUR_TERM: Final[Table] = {
    full_tag("term"): Row("name"),
    **_every(Term, "term", other=True),
    **_in_full(),
    **_free(Term, "term"),
    own_tag("printed"): Row("printed"),
    own_tag("form"): Row("form"),
    own_tag("foreignNote"): Row("foreign note"),
    (_GROUP, _tag("slip.text")): Row("quotation"),
    own_tag("languageTag"): Row("pass"),
    own_tag("noTerm"): Row("no term"),
}


def own_bindings() -> Bindings:
    """Return the elements of our dialect."""
    return Bindings(*(Binding(table, by_tag=True) for table in (_OUR_CONCEPT, _OUR_SECTION, _OUR_TERM)))


# ---- other systems

_FIRST_STATUS: Final = {
    "preferred": Status.PREFERRED, "admitted": Status.ADMITTED, "notRecommended": Status.DEPRECATED,
    "obsolete": Status.SUPERSEDED,
}  # fmt: skip
_NUMBERS: Final = (Number.SINGULAR, Number.PLURAL, Number.DUAL, Number.MASS)
_REGISTERS: Final = (Register.NEUTRAL, Register.TECHNICAL, Register.COLLOQUIAL, Register.SLANG)


def _carried(record: str, cls: type) -> Table:
    """Return the fields of a record that have their own data category in TBX-Basic."""
    rows = {f: FIELDS[f"{record}.{f.name}"] for f in fields_of(cls) if isinstance(f.is_a, Member | Line)}
    return {
        row.place: _closed(record, declared, other=False) if declared.members else Row("free", declared)
        for declared, row in rows.items()
        if row.place in CATEGORIES and CATEGORIES[row.place].element in ("descrip", "termNote")
    }


_CONCEPT: Final[Table] = {
    **{f"<{name}>": Row("section") for name in SECTIONS},
    **_carried("entry", Entry),
    "definition": Row("definition"),
    "crossReference": Row("relation"),
    "transactionType": Row("transaction"),
}
_SECTION: Final[Table] = {**{f"<{name}>": Row("term") for name in TERMS}, "definition": Row("definition")}
_TERM: Final[Table] = {
    "<term>": Row("name"),
    **_carried("term", Term),
    "grammaticalNumber": Row("closed", field_of(Term, "number"), {n.value: n for n in _NUMBERS}),
    "register": Row("closed", field_of(Term, "register"), {f"{r.value}Register": r for r in _REGISTERS}),
    # ISO 30042:2008: normativeAuthorization has other words for the same; then the first TBX-Min.
    "normativeAuthorization": Row("closed", field_of(Term, "status"), {f"{s.value}Term": s for s in Status}),
    "termStatus": Row("closed", field_of(Term, "status"), _FIRST_STATUS),
    "pronunciation": Row("free", field_of(Term, "pronunciation")),
    "usageNote": Row("free", field_of(Term, "usage_note")),
    "definition": Row("definition"),
    "note": Row("note"),
}


def foreign_bindings() -> Bindings:
    """Return the elements of files of other systems, by the name of their data category."""
    return Bindings(*(Binding(table, by_tag=False) for table in (_CONCEPT, _SECTION, _TERM)))
