"""Back matter of files of other systems: people, and the sources that entries name."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from lxml import etree

from exports.tbx.categories import FIELDS
from exports.tbx.reading.faults import Unread, line_of
from exports.tbx.reading.markup import local_name, whole_text
from termbase import dates
from termbase.errors import BadInput
from termbase.incoming import IncomingRecord
from termbase.people import Person, Role
from termbase.sources import Source, SourceKind

__all__ = ["Background"]

_PEOPLE = frozenset({"respPerson", "respOrg"})
_NAMES = ("fn", "name", "fullName", "n", "org", "orgName")
_ITEMS = {
    field.place.removeprefix("item "): path.removeprefix("source.")
    for path, field in FIELDS.items()
    if path.startswith("source.") and field.place.startswith("item ")
}
_ROLES = {role.value: role for role in Role}


@dataclass(slots=True)
class _Object:
    id: str
    type: str
    items: list[tuple[str, str]]
    line: int | None
    cited: bool = False


class Background:
    """Collects what stands behind the entries, and the sources that entries name only in words.

    Args:
        file_name: name of the file: the source of quotations without one.
    """

    def __init__(self, file_name: str) -> None:
        self.title = ""
        self._file_name = file_name
        self._objects: dict[str, _Object] = {}
        self._said: dict[str, str] = {}
        self._cited: set[str] = set()
        self._file_cited = False

    def take_object(self, element: etree._Element) -> None:
        """Remember an object of the back matter."""
        parent = element.getparent()
        kind = "" if parent is None else parent.get("type") or ""
        items = [
            (item.get("type") or "", " ".join(whole_text(item).split()))
            for item in element.iter()
            if local_name(item) == "item"
        ]
        name = element.get("id") or ""
        self._objects[name] = _Object(name, kind, items, line_of(element))

    def cite(self, target: str, text: str) -> None:
        """Take note of a source that an entry names."""
        if target:
            self._cited.add(target)
        if text:
            self._said.setdefault(text, f"said.{len(self._said) + 1}")

    def cite_file(self) -> None:
        """Take note of a quotation that names no source."""
        self._file_cited = True

    def source_id(self, target: str, text: str) -> str:
        """The id (in the file) of the source that a pointer, or else a text, names; empty for none."""
        if target in self._objects:
            return target
        return self._said.get(text, "")

    def file_source_id(self) -> str:
        """The id of the file itself as a source."""
        return "the.file"

    def label_of(self, target: str) -> str:
        """The label of a source in the back matter."""
        found = self._objects.get(target)
        return _label(found) if found else ""

    def person(self, target: str, text: str) -> str:
        """The name of somebody pointed at, else the text."""
        found = self._objects.get(target)
        return (_name(found) if found else "") or text

    def records(self, unread: Unread) -> Iterator[IncomingRecord]:
        """The people and sources as records; what is not understood is counted."""
        names: set[str] = set()
        for found in self._objects.values():
            if found.type in _PEOPLE and (name := _name(found)) and name not in names:
                names.add(name)
                roles = tuple(_ROLES[text] for kind, text in found.items if kind == "role" and text in _ROLES)
                yield IncomingRecord(
                    "person", Person(found.id or f"person.{name}", name, roles), _place(found)
                )
        labels: set[str] = set()
        for source, place in self._sources(unread):
            label, number = source.label, 1
            while label in labels:
                number += 1
                label = f"{source.label} ({number})"
            labels.add(label)
            yield IncomingRecord("source", replace(source, label=label), place)

    def _sources(self, unread: Unread) -> Iterator[tuple[Source, str]]:
        said = set(self._said)
        for found in self._objects.values():
            if found.type in _PEOPLE:
                continue
            if found.id not in self._cited:
                unread.dropped[f"back matter {found.type}, not cited"] += 1
                continue
            yield _source(found), _place(found)
        for text in said:
            yield Source(self._said[text], text[:200], SourceKind.OTHER, text), ""
        if self._file_cited:
            title = self.title or self._file_name
            note = f"Quotations of the file {self._file_name} that name no source."
            yield Source(self.file_source_id(), title[:200], SourceKind.OTHER, title, note=note), ""


def _place(found: _Object) -> str:
    return f"line {found.line}" if found.line else ""


def _name(found: _Object) -> str:
    by_type = dict(reversed(found.items))
    named = next((by_type[kind] for kind in _NAMES if by_type.get(kind)), "")
    return named or next((text for kind, text in found.items if text and not kind), "")


def _label(found: _Object) -> str:
    by_type = dict(reversed(found.items))
    first = next((text for _, text in found.items if text), "")
    return by_type.get("label") or by_type.get("title") or first or found.id


def _source(found: _Object) -> Source:
    values: dict[str, Any] = {}
    styles, notes = [], []
    for kind, text in found.items:
        field = _ITEMS.get(kind, "")
        if field == "styles":
            styles.append(text)
        elif field and field not in values and field != "kind" and _can_be(field, text):
            values[field] = text
        elif field != "kind" and text:
            notes.append(f"{kind}: {text}" if kind else text)
    kinds = {text for kind, text in found.items if kind == "kind"}
    kind = next((k for k in SourceKind if k.value in kinds), SourceKind.OTHER)
    label = _label(found)
    notes = [n for n in notes if n != label]
    values |= {"label": label[:200], "title": values.get("title") or label}
    values["note"] = "\n".join(filter(None, (values.get("note", ""), *notes)))
    return Source(id=found.id, kind=kind, styles=tuple(styles), **values)


def _can_be(field: str, text: str) -> bool:
    if field != "issued":
        return True
    try:
        dates.parse(text)
    except BadInput:
        return False
    return True
