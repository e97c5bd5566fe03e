"""The parts of another system's file around its entries: header, people, and the sources cited."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from exports.tbx.elements import Element, line_text, local_name, own_text, whole_text
from exports.tbx.faults import line_of
from exports.tbx.header import LANGUAGES, MARK
from exports.tbx.opening import Head
from exports.tbx.parts import date_problem
from exports.tbx.reports import Unread
from exports.tbx.styles import DIALECTS
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import NameSet
from termbase.fields.declarations import changed_by
from termbase.importing.records import IncomingRecord
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import Origin
from termbase.record.people import Person, Role
from termbase.record.sources import Source, SourceKind

__all__ = ["Background"]

_FORMER: Final = frozenset(f"ISO 30042:2019, {d.title}" for d in DIALECTS.values() if d.type == "TBX-Basic")
"""Paragraphs of the header of our exports, beside the languages, before it had our mark."""
_PEOPLE = frozenset({"respPerson", "respOrg"})
_WORKS = frozenset({"bibl", "bibliography", "source"})
"""Types of back-matter objects that are works: they are sources even if no entry cites them."""
_CODE = re.compile(r"r\d+|code\..+")
"""Ids of rule codes (`exports.tbx.xmltext.xml_id`)."""
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


_Cited = tuple[str, str]  # pointer and text of a source that an entry cites


class Background:
    """What a concept needs to know about its file: its header, back matter, and sources cited only in words.

    Args:
        head: the data of the root element.
        origin: the origin of names that state none.
        ids: all ids of the file, known after the first pass.

    Attributes:
        head, origin, ids: the arguments.
        ours: whether the file is one of our exports, that is, its header has our mark. Then its notes hold
            fields of the record, and its back matter has rule codes among the sources.
        entry_ids: ids of the concepts that become entries.
        known: returns whether an entry with this id is in the termbase.
    """

    def __init__(self, head: Head, origin: Origin, ids: NameSet) -> None:
        self.head, self.origin, self.ids = head, origin, ids
        self.ours = False
        self.entry_ids: set[str] = set()
        self.known: Callable[[str], bool] = lambda _: False
        self._title = ""
        self._objects: dict[str, _Object] = {}
        self._cited: dict[_Cited, None] = {}
        self._cited_in_words: dict[_Cited, str] = {}
        self._file_cited = False
        self._works: dict[str, str] = {}  # ids of works by their label

    def take_header(self, header: Element, unread: Unread) -> None:
        """Read the header to see whether the file is ours; count what else it contains."""
        paragraphs = {line_text(element) for element in header.iter() if local_name(element) == "p"}
        former = not _FORMER.isdisjoint(paragraphs) and any(text.startswith(LANGUAGES) for text in paragraphs)
        self.ours = MARK in paragraphs or former
        for element in header.iter():
            name, text = local_name(element), line_text(element)
            if name == "title" and not self._title:
                self._title = text
            elif name == "p" and self.ours and (text in (MARK, *_FORMER) or text.startswith(LANGUAGES)):
                continue
            elif own_text(element):
                unread.dropped[message("header %(name)s", name=name)] += 1

    def take_object(self, element: Element) -> None:
        """Record an object of the back matter."""
        parent = element.getparent()
        kind = "" if parent is None else parent.get("type") or ""
        name = element.get("id") or f"object {len(self._objects) + 1}"
        self._objects[name] = _Object(name, kind, list(_items(element)), line_of(element))

    def cite(self, target: str, text: str) -> None:
        """Record a source that an entry cites."""
        if target or text:
            self._cited[target, text] = None

    def cite_file(self) -> None:
        """Record that a quotation cites no source."""
        self._file_cited = True

    def source_id(self, target: str, text: str) -> str:
        """Return the id (in the file) of the source that a pointer or a text refers to; empty if none."""
        return self._work(target, text) or self._cited_in_words.get(_in_words(target, text), "")

    def file_source_id(self) -> str:
        """Return the id of the file itself as a source."""
        return "the file"

    def issued(self, source_id: str) -> str:
        """Return the date of a source in the back matter; empty if it has none."""
        source = self._objects.get(source_id)
        return "" if source is None else dict(reversed(source.items)).get("issued", "")

    def more(self, target: str, text: str) -> str:
        """Return what a citation adds to the label of its source: usually a page."""
        work = self._work(target, text)
        if not work:
            return ""
        label = _label(self._objects[work])
        return text.removeprefix(label).lstrip(" ,;:")

    def is_loose(self, target: str) -> bool:
        """Return whether a pointer has no target in the back matter."""
        return bool(target) and target not in self._objects

    def person(self, target: str, text: str) -> str:
        """Return the name of the person pointed to, otherwise the text, otherwise the pointer."""
        person = self._objects.get(target)
        return (_name(person) if person else "") or text or target

    def records(self, unread: Unread) -> Iterator[IncomingRecord]:
        """Yield the people and sources as records; count what is not understood."""
        names: set[str] = set()
        for obj in self._objects.values():
            if obj.type not in _PEOPLE:
                continue
            name = _name(obj)
            for kind, text in obj.items:
                if text != name and not (kind == "role" and text in _ROLES):
                    unread.dropped[message("back matter %(type)s", type=f"{obj.type} {kind}".strip())] += 1
            if name and name not in names:
                names.add(name)
                roles = tuple(_ROLES[text] for kind, text in obj.items if kind == "role" and text in _ROLES)
                yield IncomingRecord("person", Person(obj.id, name, roles=roles), _place(obj))
        codes = sum(1 for obj in self._objects.values() if self._is_code(obj))
        if codes:
            self._report_codes(unread, codes)
        labels: set[str] = set()
        for source, place in self._sources(unread):
            label, number = source.label, 1
            while label in labels:
                number += 1
                label = f"{source.label} ({number})"
            labels.add(label)
            yield IncomingRecord("source", replace(source, label=label), place)

    def _work(self, target: str, text: str) -> str:
        """Return the id of the cited work; empty if none.

        It is the target, or for a text without a pointer the work whose label the text begins with (`Fair
        rules 1868, p. 3`).
        """
        if self._is_source(target):
            return target
        while text and not target:
            if work := self._works.get(text):
                return work
            text = text.rpartition(",")[0]
        return ""

    def _is_source(self, target: str) -> bool:
        obj = self._objects.get(target)
        return obj is not None and obj.type not in _PEOPLE and not self._is_code(obj)

    def _is_code(self, obj: _Object) -> bool:
        """Return whether this is one of our rule codes: our own sources always have a label."""
        return self.ours and _CODE.fullmatch(obj.id) is not None and "label" not in dict(obj.items)

    def _report_codes(self, unread: Unread, number: int) -> None:
        unread.dropped[message("rule code")] += number
        notice = message(
            "Rule codes were left out: a TBX-Basic file names them without their clauses. Export them as "
            "TOML (wordhold rules export), or the whole record as TBX-Wordhold."
        )
        unread.noted[notice] = None

    def _sources(self, unread: Unread) -> Iterator[tuple[Source, str]]:
        own = (f for f in self._objects.values() if f.type in _WORKS and not self._is_code(f))
        self._works = {_label(obj): obj.id for obj in reversed([*own])}
        cited = {self._work(*each) for each in self._cited}
        for obj in self._objects.values():
            if obj.type in _PEOPLE or self._is_code(obj):
                continue
            if obj.id not in cited and obj.type not in _WORKS:
                unread.dropped[message("back matter %(type)s, not cited", type=obj.type)] += 1
                continue
            yield _source(obj), _place(obj)
        for target, text in self._cited:
            cited_words = _in_words(target, text)
            if self._work(target, text) or cited_words in self._cited_in_words:
                continue
            name = self._cited_in_words[cited_words] = f"source {len(self._cited_in_words) + 1}"
            url, words = cited_words
            words = words or (self.person(target, "") if target in self._objects else target)
            note = f"<{target}>" if self.is_loose(target) and words != target and not url else ""
            yield Source(name, words[:200], SourceKind.OTHER, words, url=url, note=note), ""
        if self._file_cited:
            title = self._title or self.head.name
            note = f"Quotations of the file {self.head.name} that name no source."
            yield Source(self.file_source_id(), title[:200], SourceKind.OTHER, title, note=note), ""


def _in_words(target: str, text: str) -> _Cited:
    """Return the address (if any) and words of a source that is not in the back matter."""
    url = target if target.startswith(("http://", "https://")) else ""
    return url, text or target


def _items(element: Element) -> Iterator[tuple[str, str]]:
    """Yield the type and text of everything in an object: items and other elements."""
    for child in element:
        if local_name(child) in ("itemSet", "itemGrp"):
            yield from _items(child)
        else:
            name = child.get("type") or ("" if local_name(child) == "item" else local_name(child))
            yield name, " ".join(whole_text(child).split())


def _place(obj: _Object) -> str:
    return message("line %(line)s", line=obj.line) if obj.line else ""


def _name(obj: _Object) -> str:
    by_type = dict(reversed(obj.items))
    named = next((by_type[kind] for kind in _NAMES if by_type.get(kind)), "")
    return named or next((text for kind, text in obj.items if text and not kind), "")


def _label(obj: _Object) -> str:
    by_type = dict(reversed(obj.items))
    first = next((text for _, text in obj.items if text), "")
    return by_type.get("label") or by_type.get("title") or first or obj.id


def _source(obj: _Object) -> Source:
    values: dict[str, str] = {}
    styles, notes = [], []
    for kind, text in obj.items:
        field = _ITEMS.get(kind, "")
        if field == "styles":
            styles.append(text)
        elif field and field not in values and field != "kind" and _can_be(field, text):
            values[field] = text
        elif text and (field != "kind" or text not in SourceKind._value2member_map_):
            notes.append(f"{kind}: {text}" if kind else text)
    kinds = {text for kind, text in obj.items if kind == "kind"}
    kind = next((k for k in SourceKind if k.value in kinds), SourceKind.OTHER)
    label = _label(obj)
    notes = [n for n in notes if n != label]
    values |= {"label": label[:200], "title": values.get("title") or label}
    values["note"] = "\n".join(filter(None, (values.get("note", ""), *notes)))
    bare = Source(id=obj.id, label="", kind=kind, title="", styles=tuple(styles))
    return changed_by(bare, values)


def _can_be(field: str, text: str) -> bool:
    if field == "language":
        return tags.is_well_formed(text)
    return field != "issued" or not date_problem(text)
