"""Files of our own dialect, which say all: what is not in them is not in the record.

A value that is in no list of ours, or something missing, is a fault; an element that no row names is kept
as a note on its entry.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

import msgspec

from exports.tbx.binding import Row, full_tag, ours, own_tag
from exports.tbx.categories import OTHER
from exports.tbx.concepts import ConceptReader, TermValues, relation_kind
from exports.tbx.dialect.objects import BadItem, read_object
from exports.tbx.elements import LANG, Element, category, local_name, whole_text
from exports.tbx.faults import fault, place_of
from exports.tbx.nameset import NameSet, Targets
from exports.tbx.opening import Head
from exports.tbx.parts import not_one_of, read_slip_fields
from exports.tbx.records import SECTIONS
from exports.tbx.reports import Unread
from exports.tbx.xmltext import UNDETERMINED, kept, record_id, text_of, xml_id
from termbase.entries import Entry, Relation
from termbase.errors import BadInput
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.limits import check_lengths
from termbase.messages import message
from termbase.people import Termbase
from termbase.sources import Slip

__all__ = ["Ours"]

_SOURCE, _SLIP = own_tag("source"), own_tag("slip")
_DEFINITION_LANGUAGE, _LANGUAGE_TAG = own_tag("definitionLanguage"), own_tag("languageTag")
_TERM: Final = full_tag("term")
_DONE: Final = {"origination": "created", "modification": "changed"}


class Ours:
    """Reads one file of our own; see `exports.tbx.concepts.Policy`.

    Args:
        head: what its root says.

    Attributes:
        images: pictures that slips point at.
    """

    first_counts = False
    new_entry: Mapping[str, object] = MappingProxyType({"version": 1})
    passed = frozenset({_SOURCE, _DEFINITION_LANGUAGE})

    def __init__(self, head: Head) -> None:
        self.head = head
        self.bindings = ours()
        self.images = Targets()

    # ---- the file

    def first(
        self, element: Element, known: Callable[[str], bool], unread: Unread
    ) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First way: a piece of the file."""
        name = local_name(element)
        if name == "conceptEntry":
            file_id = record_id("entry", element.get("id") or "")
            yield self._entry(element, Unread()) if known(file_id) else file_id
        elif name == "tbxHeader":
            yield IncomingRecord("termbase", _termbase(element, self.head), place_of(element))
        else:
            yield from self._object(element, None)

    def background(self, unread: Unread) -> Iterator[IncomingRecord]:
        """After the first way: nothing more."""
        yield from ()

    def second(self, element: Element, unread: Unread) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second way: a piece of the file."""
        name = local_name(element)
        if name == "conceptEntry":
            entry = self._entry(element, unread)
            self.images.add_all([xml_id("image", s.image_id) for s in entry.slips if s.image_id])
            yield entry
        elif name == "refObject":
            yield from self._object(element, unread)

    def has_entry(self, file_id: str, ids: NameSet) -> bool:
        """Whether the file has an entry of this id."""
        return xml_id("entry", file_id) in ids

    def _entry(self, element: Element, unread: Unread) -> IncomingEntry:
        if not (name := element.get("id")):
            raise fault(message("The entry has no id."), element, "id")
        found = ConceptReader(self, unread, element, record_id("entry", name)).read()
        assert isinstance(found, IncomingEntry)
        return found

    def _object(self, element: Element, unread: Unread | None) -> Iterator[IncomingRecord]:
        """An object of the back matter; `unread` takes those that are none of ours, second way through."""
        parent = element.getparent()
        kind = "" if parent is None else parent.get("type") or ""
        section = SECTIONS.get(kind)
        if section is None:
            if unread is not None:
                unread.dropped[message("back matter %(type)s", type=kind)] += 1
            return
        if section.early is (unread is not None):
            return
        items = [(item.get("type") or "", kept(whole_text(item))) for item in element]
        try:
            record = read_object(section, record_id(section.kind, element.get("id") or ""), items)
        except BadItem as error:
            bad = next((i for i in element if i.get("type") == error.item), element)
            raise fault(error.what, bad, error.item) from error
        _check_lengths(element, record)
        yield IncomingRecord(section.kind, record, place_of(element))

    # ---- what an entry says

    def word(self, element: Element) -> str:
        """The text of a word of a closed list."""
        return element.text or ""

    def text(self, element: Element) -> str:
        """Text, every character of it."""
        return text_of(element)

    def parts(self, term: Element) -> Iterable[Element]:
        """What stands in a term section."""
        return term

    def keep(self, concept: ConceptReader, element: Element, whose: str = "") -> None:
        """A note on the entry."""
        note = concept.unread.note(element, self.head.name)
        concept.lists.setdefault("foreign_notes", []).append(note)

    def keep_markup(self, concept: ConceptReader, element: Element, whose: str) -> None:
        """Nothing: our files have none."""

    def not_one_of(self, concept: ConceptReader, child: Element, main: Element, row: Row) -> None:
        """A fault, unless another element says in full what it is."""
        text = text_of(main)
        if text in row.known:
            concept.at[row.name] = row.known[text]
        elif not (row.in_full and text == OTHER):
            told = row.known if concept.at is concept.values else ()
            raise not_one_of(text, row.name.replace("_", " "), child, row.name, told)

    def relation(self, concept: ConceptReader, element: Element) -> Relation:
        """A relation, which leads to an entry of the file."""
        if not (target := element.get("target")):
            raise fault(message("The relation leads nowhere."), element, "target")
        return Relation(relation_kind(element), record_id("entry", target))

    def language(self, concept: ConceptReader, group: Element, definition: Element) -> str:
        """That of the section, else what the group says."""
        if concept.language:
            return concept.language
        found = group.find(_DEFINITION_LANGUAGE)
        if found is None:
            raise fault(message("The definition has no language."), group, "definitionLanguage")
        return text_of(found)

    def source(self, concept: ConceptReader, group: Element, whose: str) -> str:
        """The source that is pointed at."""
        for part in group:  # `find` takes five times as long
            if part.tag == _SOURCE:
                return record_id("source", part.get("target") or "")
        return ""

    def transaction(self, concept: ConceptReader, group: Element, main: Element) -> str:
        """Made or changed; nothing else is done."""
        said = next((text_of(part) for part in group if category(part) == "transactionType"), "")
        if said not in _DONE:
            raise not_one_of(said, "kind of transaction", group, "transactionType")
        return _DONE[said]

    def transacted(self, concept: ConceptReader, part: Element, field: str) -> str:
        """The text, as it stands there."""
        return text_of(part)

    def section(self, concept: ConceptReader, section: Element) -> str:
        """The language, which stands with the names where XML does not allow the tag."""
        tag = section.get(LANG) or ""
        if tag != UNDETERMINED:
            return tag
        told = [text_of(found) for found in section.iter(_LANGUAGE_TAG)]
        return told[-1] if told else tag

    def bare_section(self, concept: ConceptReader, section: Element) -> None:
        """Nothing: an entry without a name has one."""

    def begin_term(self, concept: ConceptReader, section: Element) -> TermValues:
        """Id and language."""
        return {"id": record_id("term", section.get("id") or ""), "language": concept.language}

    def name(self, concept: ConceptReader, element: Element) -> None:
        """The name, which may be empty."""
        concept.at["text"] = text_of(element)

    def note(self, concept: ConceptReader, child: Element, main: Element) -> None:
        """Kept: our files have none."""
        self.keep(concept, child)

    def end_term(self, concept: ConceptReader, section: Element, values: TermValues) -> None:
        """Add the name, unless it only stands for there being none."""
        if values["id"] is None:
            return
        if not values["id"] or "text" not in values or "origin" not in values:
            missing = "id" if not values["id"] else "origin" if "text" in values else "term"
            raise fault(message("The term section lacks something that it needs."), section, missing)
        concept.terms.append(values)

    def quotation(self, concept: ConceptReader, group: Element, main: Element, whose: str = "") -> None:
        """The slip that a group is."""
        if not (name := group.get("id")):
            self.keep(concept, group)
            return
        values: dict[str, object] = {"version": 1}
        source = ""
        for part in group:
            if part is main:
                continue
            if part.tag == _SOURCE:
                source = record_id("source", part.get("target") or "")
            elif part.tag == _SLIP:
                values |= read_slip_fields(part)
            else:
                self.keep(concept, part)
        if not source:
            raise fault(message("The slip has no source."), group, "source")
        values["id"], values["term_id"] = record_id("slip", name), concept.term_id
        values["source_id"], values["text"] = source, text_of(main)
        concept.slips.append(msgspec.convert(values, Slip))

    def settle(self, concept: ConceptReader) -> None:
        """Nothing more."""

    def checked(self, concept: ConceptReader, entry: Entry) -> Entry:
        """The entry, if no text is too long."""
        _check_lengths(concept.element, entry, *concept.slips)
        return entry


def _check_lengths(element: Element, *records: object) -> None:
    """Refuse records with texts that are too long, with the line of the element that they stand in."""
    for record in records:
        try:
            check_lengths(record)
        except BadInput as error:
            raise fault(error.what, element, error.where, mend=error.mend) from error


def _termbase(header: Element, head: Head) -> Termbase:
    title = header.find(f".//{full_tag('title')}")
    by_type: dict[str, list[str]] = {}
    for paragraph in header.iter(full_tag("p")):
        by_type.setdefault(paragraph.get("type") or "", []).append(kept(whole_text(paragraph)))

    def first(kind: str) -> str:
        return next(iter(by_type.get(kind, ())), "")

    return Termbase(
        title="" if title is None else kept(whole_text(title)),
        working_language=first("workingLanguage") if "workingLanguage" in by_type else head.language,
        vernaculars=tuple(by_type.get("vernacular", ())),
        licence=first("licence"),
        rights=first("rights"),
        notice=first("notice"),
    )
