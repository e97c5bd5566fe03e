"""Reading concept entries of TBX-Wordhold: the inverse of `exports.tbx.dialect.entries`."""

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Final, TypeVar, cast

import msgspec
from lxml import etree

from exports.tbx.categories import CORE, MODULE_NAMESPACE, NAMESPACES, OTHER, PREFIX
from exports.tbx.dialect.dating import fault_of_date
from exports.tbx.dialect.notes import read_note
from exports.tbx.dialect.plainfields import value_of
from exports.tbx.dialect.profiles import read_profile
from exports.tbx.elements import local_name
from exports.tbx.faults import fault
from exports.tbx.reports import Unread
from exports.tbx.tags import FIELDS, attributes_of, free_fields
from exports.tbx.xmltext import kept, record_id
from exports.tbx.xmltext import text_of as _text
from termbase.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    Form,
    Gender,
    PartOfSpeech,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Term,
)
from termbase.fields import Date, Declared, Member, changed_by, field_of, fields_of
from termbase.messages import message
from termbase.notes import NOTHING_SAID, Said
from termbase.sources import Slip

__all__ = ["read_entry"]

Closed = TypeVar("Closed", bound=StrEnum)
Made = TypeVar("Made", Analogue, Figure, Ruling)
Element = etree._Element
_LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"
_SPACES: Final[dict[str, str]] = {str(name): uri for name, uri in NAMESPACES.items()}
_SPACES[PREFIX] = MODULE_NAMESPACE


def _full(tag: str) -> str:
    prefix, colon, name = tag.partition(":")
    return f"{{{_SPACES[prefix]}}}{name}" if colon else f"{{{CORE}}}{tag}"


def _tag_of(path: str) -> str:
    return _full(FIELDS[path].tag)


def _own(name: str) -> str:
    return f"{{{MODULE_NAMESPACE}}}{name}"


def _closed(path: str, kind: type[StrEnum]) -> dict[str, StrEnum]:
    """The record's value by what stands in the file; `other` may be said in full elsewhere."""
    values = FIELDS[path].values
    if values is None:
        return {member.value: member for member in kind}
    found = {published: kind(value) for value, published in values.items() if published != OTHER}
    return found | ({OTHER: kind(OTHER)} if OTHER in kind._value2member_map_ else {})


_TERM_CLOSED: Final[Mapping[str, tuple[str, Mapping[str, StrEnum]]]] = {
    **{
        _tag_of(f"term.{field.name}"): (field.name, _closed(f"term.{field.name}", field.members))
        for field in fields_of(Term)
        if field.members
    },
    _own("wordClass"): ("part_of_speech", {member.value: member for member in PartOfSpeech}),
    _own("gender"): ("gender", {member.value: member for member in Gender}),
}  # fmt: skip
_TERM_FREE: Final = {_tag_of(f"term.{name}"): field_of(Term, name) for name in free_fields("term")}
_ENTRY_FREE: Final = {_tag_of(f"entry.{name}"): field_of(Entry, name) for name in free_fields("entry")}
_ENTRY_CLOSED: Final = {
    _tag_of(f"entry.{field.name}"): field for field in fields_of(Entry) if isinstance(field.is_a, Member)
}
_GENDER_TAG = _tag_of("term.gender")
_NOT_SAID: Final = object()
_NO_ENTRY: Final = Entry("")
_TRANSACTIONS = {"origination": "created", "modification": "changed"}
_TRANSACTION_PARTS = {"transactionType": "what", "date": "on", "dateAsKept": "on", "responsibility": "by"}
_SLIP_ATTRIBUTES = {said: field_of(Slip, name) for name, said in attributes_of("slip").items()}
_said: Final = msgspec.json.Decoder(Said).decode
_relations = {k.value: k for k in RelationKind}
_DESCRIP_GROUP, _TRANSAC_GROUP = _full("descripGrp"), _full("transacGrp")
_LANG_SEC, _TERM_SEC, _TERM = _full("langSec"), _full("termSec"), _full("term")
_CONTEXT, _DEFINITION = _full("basic:context"), _full("basic:definition")
_CROSS = _full("basic:crossReference")


def read_entry(element: Element, unread: Unread, file_name: str) -> tuple[Entry, tuple[Slip, ...]]:
    """The entry of a concept entry, with the slips that bear witness to its terms.

    What the dialect does not know is told to `unread` and stands in a note marked with the file's name.

    Raises:
        BadInput: something stands there that cannot be taken; the place names line, element and field.
    """
    return _EntryReader(element, unread, file_name).read()


class _EntryReader:
    def __init__(self, element: Element, unread: Unread, file_name: str) -> None:
        self.element = element
        self.file_name = file_name
        self.unread = unread
        self.values: dict[str, object] = {}
        self.lists: dict[str, list[object]] = {}
        self.apart: list[Definition] = []
        self.points: list[Element] | None = None
        self.slips: list[Slip] = []
        self.term_order = self.definition_order = ""

    def read(self) -> tuple[Entry, tuple[Slip, ...]]:
        element, values = self.element, self.values
        name = element.get("id")
        if not name:
            raise fault(message("The entry has no id."), element, "id")
        entry_id = record_id("entry", name)
        terms: list[dict[str, object]] = []  # made records all at once: that takes half the time
        in_sections: list[Definition] = []
        for child in element:
            tag = child.tag
            if tag == _LANG_SEC:
                self._section(child, terms, in_sections)
            else:
                handler = _CONCEPT.get(tag)
                if handler is None:
                    self._unknown(child)
                else:
                    handler(self, child)
        if self.points is not None:
            values["technique"] = read_profile(self.points)
        values.setdefault("version", 1)
        values.update((name, tuple(found)) for name, found in self.lists.items())
        entry = changed_by(
            _NO_ENTRY,
            values,
            id=entry_id,
            terms=self._in_order(msgspec.convert(terms, tuple[Term, ...])),
            definitions=self._definitions([*self.apart, *in_sections]),
        )
        return entry, tuple(self.slips)

    # ---- the concept as a whole

    def _word(self, child: Element) -> None:
        field = _ENTRY_CLOSED[child.tag]
        self.values[field.name] = _plain_value(field, _text(child), child)

    def _relation(self, child: Element) -> None:
        target = child.get("target") or ""
        if not target:
            raise fault(message("The relation leads nowhere."), child, "target")
        self._add(
            "relations", Relation(_one_of(_relations, child, "kind of relation"), record_id("entry", target))
        )

    def _relation_outside(self, child: Element) -> None:
        target = kept(child.get("entry") or "")
        self._add("relations", Relation(_one_of(_relations, child, "kind of relation"), target))

    def _technique(self, child: Element) -> None:
        self.points = [*(self.points or ()), child]

    def _analogue(self, child: Element, source: str = "") -> None:
        self._add("analogues", _part(Analogue, "analogue", "name", child, source_id=source))

    def _figure(self, child: Element, source: str = "") -> None:
        self._add("figures", _part(Figure, "figure", "caption", child, source_id=source))

    def _ruling(self, child: Element) -> None:
        self._add("rulings", _part(Ruling, "ruling", "reason", child))

    def _language_reading(self, child: Element) -> None:
        self.values["language_reading"] = _signature(child)

    def _practice_reading(self, child: Element) -> None:
        self.values["practice_reading"] = _signature(child)

    def _free_text(self, child: Element) -> None:
        field = _ENTRY_FREE[child.tag]
        self.values[field.name] = _plain_value(field, _text(child), child)

    def _version(self, child: Element) -> None:
        self.values["version"] = _number(child, _text(child), "version")

    def _terms_ordered(self, child: Element) -> None:
        self.term_order = _text(child)

    def _definitions_ordered(self, child: Element) -> None:
        self.definition_order = _text(child)

    def _definition_alone(self, child: Element) -> None:
        raise fault(message("The definition has no language."), child, "definitionLanguage")

    def _group(self, child: Element) -> None:
        first = child[0] if len(child) else None
        tag = "" if first is None else first.tag
        source = _source(child)
        if first is None or tag not in (_DEFINITION, _own("analogue"), _own("figure")):
            self._unknown(child)
        elif tag == _DEFINITION:
            language = child.find(_own("definitionLanguage"))
            if language is None:
                raise fault(message("The definition has no language."), child, "definitionLanguage")
            self.apart.append(Definition(_text(language), _text(first), source))
        elif tag == _own("analogue"):
            self._analogue(first, source)
        else:
            self._figure(first, source)

    def _transaction(self, child: Element) -> None:
        said: dict[str, str] = {}
        for part in child:
            key = _TRANSACTION_PARTS.get(local_name(part))
            if key is None:
                self._unknown(part)
            else:
                said[key] = _text(part)
        done = said.pop("what", "")
        if (name := _TRANSACTIONS.get(done)) is None:
            raise fault(_none_such(done, "kind of transaction"), child, "transactionType")
        self.values.update((f"{name}_{key}", text) for key, text in said.items())

    def _add(self, name: str, record: object) -> None:
        self.lists.setdefault(name, []).append(record)

    def _unknown(self, child: Element) -> None:
        self._add("foreign_notes", self.unread.note(child, self.file_name))

    def _foreign_note(self, child: Element) -> None:
        self._add("foreign_notes", read_note(child))

    # ---- languages and terms

    def _section(
        self, section: Element, terms: list[dict[str, object]], definitions: list[Definition]
    ) -> None:
        tag = section.get(_LANG) or ""
        language = tag
        here: list[Element] = []
        for child in section:
            if child.tag == _TERM_SEC:
                if tag == "und":
                    language = _language(child, language)
                term = self._term(child, language)
                if term is not None:
                    terms.append(term)
            else:
                here.append(child)
        for child in here:
            if child.tag == _DEFINITION:
                definitions.append(Definition(language, _text(child)))
            elif child.tag == _DESCRIP_GROUP and len(child) and child[0].tag == _DEFINITION:
                definitions.append(Definition(language, _text(child[0]), _source(child)))
            else:
                self._unknown(child)

    def _term(self, section: Element, language: str) -> dict[str, object] | None:
        term_id = record_id("term", section.get("id") or "")
        values: dict[str, object] = {}
        text: str | None = None
        forms = []
        for child in section:
            tag = child.tag
            closed = _TERM_CLOSED.get(tag)
            if closed is not None:
                name, known = closed
                found = known.get(child.text or "", _NOT_SAID)
                if found is not _NOT_SAID:
                    values[name] = found
                elif not (tag == _GENDER_TAG and child.text == OTHER):
                    raise fault(_none_such(_text(child), name.replace("_", " ")), child, name)
            elif tag == _TERM:
                text = _text(child)
            elif tag == _DESCRIP_GROUP:
                self._slip(child, term_id)
            elif tag == _NO_TERM:
                return None
            elif tag == _FORM:
                forms.append(Form(kept(child.get("label") or ""), _text(child)))
            else:
                self._of_term(child, values)
        if not term_id or text is None or "origin" not in values:
            missing = "id" if not term_id else "term" if text is None else "origin"
            raise fault(message("The term section lacks something that it needs."), section, missing)
        if forms:
            values["forms"] = tuple(forms)
        values |= {"id": term_id, "text": text, "language": language}
        return values

    def _of_term(self, child: Element, values: dict[str, object]) -> None:
        tag = child.tag
        free = _TERM_FREE.get(tag)
        if free is not None:
            values[free.name] = _plain_value(free, _text(child), child)
        elif tag == _PRINTED:
            values["printed"] = _text(child)
            values["printed_language"] = kept(child.get("language") or "")
        elif tag == _FOREIGN_NOTE:
            earlier = values.get("foreign_notes")
            values["foreign_notes"] = (*(earlier if isinstance(earlier, tuple) else ()), read_note(child))
        elif tag != _LANGUAGE_TAG:
            self._unknown(child)

    def _slip(self, group: Element, term_id: str) -> None:
        name = group.get("id")
        context = group[0] if len(group) else None
        if not name or context is None or context.tag != _CONTEXT:
            self._unknown(group)
            return
        source = ""
        values: dict[str, object] = {}
        for child in list(group)[1:]:
            if child.tag == _SOURCE:
                source = record_id("source", child.get("target") or "")
            elif child.tag == _SLIP:
                values = _slip_values(child)
            else:
                self._unknown(child)
        if not source:
            raise fault(message("The slip has no source."), group, "source")
        values.setdefault("version", 1)
        values["id"], values["term_id"] = record_id("slip", name), term_id
        values["source_id"], values["text"] = source, _text(context)
        self.slips.append(msgspec.convert(values, Slip))

    # ---- order

    def _in_order(self, terms: tuple[Term, ...]) -> tuple[Term, ...]:
        if not self.term_order:
            return terms
        by_id = {t.id: t for t in terms}
        ids = [record_id("term", name) for name in self.term_order.split()]
        if sorted(ids) != sorted(by_id):
            raise fault(message("The terms are not each named once."), self.element, "termOrder")
        return tuple(by_id[i] for i in ids)

    def _definitions(self, standing: list[Definition]) -> tuple[Definition, ...]:
        if not self.definition_order:
            return tuple(standing)
        places = self.definition_order.split()
        if sorted(places) != sorted(str(n) for n in range(len(standing))):
            raise fault(message("The definitions are not each named once."), self.element, "definitionOrder")
        return tuple(standing[int(n)] for n in places)


_SOURCE, _SLIP, _FORM, _PRINTED = _own("source"), _own("slip"), _own("form"), _own("printed")
_NO_TERM, _LANGUAGE_TAG, _FOREIGN_NOTE = _own("noTerm"), _own("languageTag"), _own("foreignNote")
_CONCEPT: Final[Mapping[str, Callable[[_EntryReader, Element], None]]] = {
    **dict.fromkeys(_ENTRY_CLOSED, _EntryReader._word),
    _tag_of("relation.kind"): _EntryReader._relation,
    _own("relationOutside"): _EntryReader._relation_outside,
    _tag_of("entry.technique"): _EntryReader._technique,
    _tag_of("analogue.name"): _EntryReader._analogue,
    _tag_of("figure.caption"): _EntryReader._figure,
    _tag_of("ruling.reason"): _EntryReader._ruling,
    _tag_of("entry.language_reading"): _EntryReader._language_reading,
    _tag_of("entry.practice_reading"): _EntryReader._practice_reading,
    **dict.fromkeys(_ENTRY_FREE, _EntryReader._free_text),
    _tag_of("entry.version"): _EntryReader._version,
    _FOREIGN_NOTE: _EntryReader._foreign_note,
    _own("termOrder"): _EntryReader._terms_ordered,
    _own("definitionOrder"): _EntryReader._definitions_ordered,
    _tag_of("definition.text"): _EntryReader._definition_alone,
    _DESCRIP_GROUP: _EntryReader._group,
    _TRANSAC_GROUP: _EntryReader._transaction,
}


def _none_such(text: str, field: str) -> str:
    what = message("“%(text)s” is no %(field)s.", text=text, field=field)
    return what if text else message("The %(field)s is missing.", field=field)


def _one_of(known: Mapping[str, Closed], element: Element, field: str) -> Closed:
    return _closed_value(known, _text(element), element, field)


def _number(element: Element, text: str, field: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise fault(message("“%(text)s” is no number.", text=text), element, field)
    return int(text)


def _source(group: Element) -> str:
    for child in group:  # `find` takes five times as long
        if child.tag == _SOURCE:
            return record_id("source", child.get("target") or "")
    return ""


def _language(section: Element, otherwise: str) -> str:
    found = section.find(_LANGUAGE_TAG)
    return otherwise if found is None else _text(found)


def _signature(element: Element) -> Signature:
    by, on, reopened = (kept(element.get(name, "")) for name in ("by", "on", "reopened"))
    try:
        return Signature(by, on, _said(reopened) if reopened else NOTHING_SAID)
    except (ValueError, RecursionError) as error:
        what = message("It cannot be read: %(error)s.", error=str(error)[:200])
        raise fault(what, element, "reopened") from error


def _part(cls: type[Made], record: str, text: str, element: Element, **more: str) -> Made:
    """A part of an entry that is one element with attributes; `text` is the field that is its text."""
    values: dict[str, object] = {text: _text(element), **more}
    for name, attribute in attributes_of(record).items():
        said = element.get(attribute, "")
        field = field_of(cls, name)
        if attribute == "target":
            values[name] = record_id(name.removesuffix("_id"), said)
        elif said or not field.has_default:
            values[name] = _plain_value(field, kept(said), element)
    return msgspec.convert(values, cls)


def _plain_value(field: Declared, text: str, element: Element) -> str | int | bool | StrEnum:
    """The value of a field of plain text; an empty one of the closed list is as good as unknown."""
    if field.members and not (text and text in field.words):
        known = tuple(filter(None, field.words))
        mend = message("It can be %(known)s.", known=", ".join(known))
        raise fault(_none_such(text, str(field.word)), element, field.name, mend=mend)
    try:
        return value_of(field, text)
    except ValueError as error:
        raise fault(message("“%(text)s” is no number.", text=text), element, field.name) from error


def _slip_values(element: Element) -> dict[str, object]:
    values: dict[str, object] = {}
    for name, value in cast("dict[str, str]", element.attrib).items():
        field, text = _SLIP_ATTRIBUTES.get(name), kept(value)
        if field is None:
            raise fault(message("The slip has an attribute that is not known."), element, name)
        if isinstance(field.is_a, Date) and (wrong := fault_of_date(text)):
            raise fault(wrong, element, field.name)
        values[field.name] = _plain_value(field, text, element)
    if len(element) or element.text:
        values["note"] = _text(element)
    return values


def _closed_value(known: Mapping[str, Closed], text: str, element: Element, field: str) -> Closed:
    if (found := known.get(text)) is None:
        mend = message("It can be %(known)s.", known=", ".join(known))
        raise fault(_none_such(text, field), element, field, mend=mend)
    return found
