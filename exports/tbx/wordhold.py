"""Reads the pieces of a file in our own dialect, which holds the complete record.

Back-matter objects are read in the form that `exports.tbx.records` writes.
"""

import binascii
from base64 import b64decode
from collections.abc import Callable, Iterator, Mapping
from typing import Final

import msgspec

from exports.tbx.binding import full_tag, own_bindings
from exports.tbx.concepts import ConceptReader
from exports.tbx.elements import Element, local_name, whole_text
from exports.tbx.faults import Fault, check_lengths_in, fault, place_of
from exports.tbx.opening import Head
from exports.tbx.parts import date_problem
from exports.tbx.records import SECTIONS, How, Record, Section, item_fields
from exports.tbx.reports import Unread
from exports.tbx.xmltext import Targets, record_id, unescape, xml_id
from termbase.fields.declarations import Date, field_of
from termbase.importing.records import IncomingEntry, IncomingRecord
from termbase.messages import message
from termbase.record.people import Termbase

__all__ = ["OwnFile"]


class OwnFile:
    """Reads the pieces of one of our files, in two passes.

    Args:
        head: the data of the root element.

    Attributes:
        images: pictures that slips point to.
    """

    def __init__(self, head: Head) -> None:
        self.head = head
        self.images = Targets()
        self._bindings = own_bindings()

    def first(
        self, element: Element, known: Callable[[str], bool], unread: Unread
    ) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First pass: read a piece of the file."""
        name = local_name(element)
        if name == "conceptEntry":
            file_id = record_id("entry", element.get("id") or "")
            yield self._entry(element, Unread()) if known(file_id) else file_id
        elif name == "tbxHeader":
            yield IncomingRecord("termbase", _termbase(element, self.head), place_of(element))
        else:
            yield from self._object(element, None)

    def second(self, element: Element, unread: Unread) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second pass: read a piece of the file."""
        name = local_name(element)
        if name == "conceptEntry":
            entry = self._entry(element, unread)
            self.images.add_all([xml_id("image", s.image_id) for s in entry.slips if s.image_id])
            yield entry
        elif name == "refObject":
            yield from self._object(element, unread)

    def _entry(self, element: Element, unread: Unread) -> IncomingEntry:
        if not (name := element.get("id")):
            raise fault(message("The entry has no id."), element, "id")
        concept = ConceptReader(self._bindings, self.head.name, unread, element, record_id("entry", name))
        concept.values["version"] = 1
        concept.read()
        return concept.entry()

    def _object(self, element: Element, unread: Unread | None) -> Iterator[IncomingRecord]:
        """Read a back-matter object; in the second pass, `unread` counts unknown ones."""
        parent = element.getparent()
        kind = "" if parent is None else parent.get("type") or ""
        section = SECTIONS.get(kind)
        if section is None:
            if unread is not None:
                unread.dropped[message("back matter %(type)s", type=kind)] += 1
            return
        if section.early is (unread is not None):
            return
        record = _read_object(section, element)
        check_lengths_in(element, record)
        yield IncomingRecord(section.kind, record, place_of(element))


def _read_object(section: Section, element: Element) -> Record:
    """Return the record of an object.

    Raises:
        BadInput: an item is unknown or repeated, or its value is not valid.
    """
    fields = {field.item: field for field in item_fields(section.kind)}
    values: dict[str, object] = {"id": record_id(section.kind, element.get("id") or "")}
    lists: dict[str, list[object]] = {}
    for item in element:
        kind, text = item.get("type") or "", unescape(whole_text(item))
        if not kind and not text:
            continue
        field = fields.get(kind)
        if field is None:
            raise _bad_item(message("This field does not exist."), element, kind)
        try:
            value = _READ[field.how](text)
        except (ValueError, msgspec.DecodeError, binascii.Error) as error:
            what = message("It cannot be read: %(error)s.", error=str(error)[:200])
            raise _bad_item(what, element, kind) from error
        if isinstance(field_of(section.cls, field.name).is_a, Date) and (wrong := date_problem(text)):
            raise _bad_item(wrong, element, kind)
        if field.how in ("list", "json list"):
            lists.setdefault(field.name, []).append(value)
        elif field.name in values:
            raise _bad_item(message("It is there twice."), element, kind)
        else:
            values[field.name] = value
    if "version" in section.cls.__dataclass_fields__:
        values.setdefault("version", 1)
    try:
        return msgspec.convert({**values, **lists}, section.cls)
    except msgspec.ValidationError as error:
        reason, _, path = str(error).partition(" - at `$.")
        name = path.partition("`")[0].partition("[")[0]
        kind = next((item for item, field in fields.items() if field.name == name), "")
        raise _bad_item(f"{reason}.", element, kind) from error


def _bad_item(what: str, element: Element, kind: str) -> Fault:
    item = next((item for item in element if item.get("type") == kind), element)
    return fault(what, item, kind)


def _flag(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(f"{text!r} is neither yes nor no")
    return text == "yes"


_READ: Final[Mapping[How, Callable[[str], object]]] = {
    "text": str, "list": str, "number": int, "flag": _flag, "json": msgspec.json.decode,
    "json list": msgspec.json.decode, "bytes": lambda text: b64decode("".join(text.split()), validate=True),
}  # fmt: skip


def _termbase(header: Element, head: Head) -> Termbase:
    title = header.find(f".//{full_tag('title')}")
    by_type: dict[str, list[str]] = {}
    for paragraph in header.iter(full_tag("p")):
        by_type.setdefault(paragraph.get("type") or "", []).append(unescape(whole_text(paragraph)))

    def first(kind: str) -> str:
        return next(iter(by_type.get(kind, ())), "")

    return Termbase(
        title="" if title is None else unescape(whole_text(title)),
        working_language=first("workingLanguage") if "workingLanguage" in by_type else head.language,
        vernaculars=tuple(by_type.get("vernacular", ())),
        licence=first("licence"),
        rights=first("rights"),
        notice=first("notice"),
    )
