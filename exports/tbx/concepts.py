"""Reads a concept entry of any TBX file as an entry of the record, the same way for every dialect and style.

Each element is looked up (`exports.tbx.binding`) and goes into its field of the record; an element without a
row is kept as a note. Files in our own dialect are complete: an unknown or missing value is an
error. `exports.tbx.foreign` handles what differs in files of other systems.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Final, get_args

import msgspec

from exports.tbx.binding import Binding, Bindings, Role, Row, own_tag
from exports.tbx.categories import OTHER
from exports.tbx.elements import LANG, Element, category
from exports.tbx.faults import check_lengths_in, fault, place_of
from exports.tbx.parts import (
    not_in_list,
    plain_value,
    read_note,
    read_part,
    read_profile,
    read_signature,
    read_slip_fields,
)
from exports.tbx.reports import Unread
from exports.tbx.xmltext import UNDETERMINED, record_id, text_of, unescape
from termbase.fields.declarations import changed_by
from termbase.importing.records import IncomingEntry
from termbase.messages import message
from termbase.record.entries import Definition, Entry, InflectedForm, Relation, RelationKind, Term
from termbase.record.sources import Slip

__all__ = ["ConceptReader", "Values"]

Values = dict[str, object]
"""Fields of a record while it is read. Names are converted to records all at once, in half the time."""
Action = Callable[["ConceptReader", Element, Element, Row], None]
DONE: Final = {"origination": "created", "modification": "changed"}
_NO_ENTRY: Final = Entry("")
_OF_TRANSACTION: Final = {"date": "on", "dateAsKept": "on", "responsibility": "by"}
_KINDS: Final = {kind.value: kind for kind in RelationKind}
_SOURCE, _SLIP = own_tag("source"), own_tag("slip")
_DEFINITION_LANGUAGE, _LANGUAGE_TAG = own_tag("definitionLanguage"), own_tag("languageTag")
_READ_WITH: Final = frozenset({_SOURCE, _DEFINITION_LANGUAGE})
"""Elements that are read together with the main element of their group."""


class ConceptReader:
    """Reads one concept entry of our own dialect; a subclass handles what differs in other files.

    Args:
        bindings: how its elements are handled.
        file_name: name of the file, which is recorded in notes from it.
        unread: counts what has no field.
        element: the concept entry.
        concept_id: its id.

    Attributes:
        values: fields of the entry read so far.
        at: fields of the current name, otherwise of the entry.
        many: list fields of the current name, otherwise of the entry.
        terms, definitions, relations, slips: those read so far.
        language: language of the current language section; empty outside one.
        term_id: id of the current name; empty outside one.
    """

    first_counts = False
    """Whether the first of two values for a field counts, and the other is kept as a note, or the last."""

    def __init__(
        self, bindings: Bindings, file_name: str, unread: Unread, element: Element, concept_id: str
    ) -> None:
        self.bindings, self.file_name, self.unread = bindings, file_name, unread
        self.element, self.id = element, concept_id
        self.values: Values = {}
        self.lists: dict[str, list[object]] = {}
        self.at, self.many = self.values, self.lists
        self.terms: list[Values] = []
        self.definitions: list[Definition] = []
        self.relations: list[Relation] = []
        self.slips: list[Slip] = []
        self.language = self.term_id = ""
        self._points: list[Element] = []
        self._terms_as = self._definitions_as = ""

    def read(self) -> None:
        """Read the entry.

        Raises:
            BadInput: something cannot be read; `where` names line, element and field.
        """
        self._each(self.element, self.bindings.concept)

    def entry(self) -> IncomingEntry:
        """Return the entry with its slips.

        Raises:
            BadInput: it is not valid.
        """
        if self._points:
            self.values["technique"] = read_profile(self._points)
        entry = changed_by(
            _NO_ENTRY,
            self.values,
            id=self.id,
            terms=self._in_order(msgspec.convert(self.terms, tuple[Term, ...])),
            definitions=self._definitions_in_order(),
            relations=tuple(self.relations),
            **{name: tuple(records) for name, records in self.lists.items()},
        )
        return IncomingEntry(self.checked(entry), tuple(self.slips), place_of(self.element))

    def begin(self, values: Values) -> None:
        """Start reading a name."""
        self.at, self.term_id = values, str(values["id"])
        notes = values.get("foreign_notes")
        self.many = {"foreign_notes": notes} if isinstance(notes, list) else {}

    def end(self) -> None:
        """Return to reading the entry."""
        self.at.update(self.many)
        self.at, self.many, self.term_id = self.values, self.lists, ""

    def add(self, name: str, record: object) -> None:
        """Add to a list field of the current name or entry."""
        self.many.setdefault(name, []).append(record)

    def _each(self, parts: Iterable[Element], binding: Binding) -> None:
        known = binding.known
        for child in parts:
            row = known.get(child.tag)
            if row is not None:
                _ACTIONS[row.role](self, child, child, row)
            else:
                row, main = binding.look(child)
                _ACTIONS[row.role](self, child, main, row)

    # ---- hooks for other files

    def size(self) -> int:
        """Return how much has been read so far."""
        return len(self.terms) + len(self.definitions) + len(self.lists.get("foreign_notes", ()))

    def checked(self, entry: Entry) -> Entry:
        """Return the entry if it is valid."""
        check_lengths_in(self.element, entry, *self.slips)
        return entry

    def word(self, element: Element) -> str:
        """Return the word of a closed list that an element holds."""
        return text_of(element)

    def text(self, element: Element) -> str:
        """Return text in which line breaks count."""
        return text_of(element)

    def keep(self, element: Element, whose: str = "") -> None:
        """Keep an element that has no row, with everything in it.

        Args:
            element: the element.
            whose: what it describes, if it is in a group.
        """
        self.lists.setdefault("foreign_notes", []).append(self.unread.note(element, self.file_name))

    def keep_markup(self, element: Element, whose: str = "") -> None:
        """Keep what the markup in a text adds to it; our own dialect has no markup."""

    def beside(self, child: Element, main: Element, whose: str = "") -> None:
        """Keep the elements of a group other than its main one."""
        if child is not main:
            for part in child:
                if part is not main and part.tag not in _READ_WITH:
                    self.keep(part, whose)

    def not_one_of(self, child: Element, main: Element, row: Row) -> None:
        """Handle a word that is not in the closed list of its field (or a second value)."""
        text = text_of(main)
        if text in row.known:
            self.at[row.name] = row.known[text]
        elif not (row.in_full and self.word(main) == OTHER):  # another element gives the value in full
            known = row.known if self.at is self.values else ()
            raise not_in_list(text, row.name.replace("_", " "), child, row.name, known)

    def relation(self, element: Element) -> Relation | None:
        """Return the relation that an element holds; None to keep it as a note."""
        if not (target := element.get("target")):
            raise fault(message("The relation has no target."), element, "target")
        return Relation(_kind(element), record_id("entry", target))

    def language_of(self, group: Element, definition: Element) -> str:
        """Return the language of a definition."""
        if self.language:
            return self.language
        element = group.find(_DEFINITION_LANGUAGE)
        if element is None:
            raise fault(message("The definition has no language."), group, "definitionLanguage")
        return text_of(element)

    def source(self, group: Element, whose: str) -> str:
        """Return the id of the source cited in a group; empty if none."""
        for part in group:  # `find` takes five times as long
            if part.tag == _SOURCE:
                return record_id("source", part.get("target") or "")
        return ""

    def transaction(self, group: Element, main: Element) -> str:
        """Return the prefix of the fields that a transaction fills; empty to keep it as a note."""
        kind = ""
        for part in group:
            if category(part) == "transactionType":
                kind = text_of(part)
                break
        if kind not in DONE:
            raise not_in_list(kind, "kind of transaction", group, "transactionType")
        return DONE[kind]

    def transacted(self, part: Element, field: str) -> str | None:
        """Return the date or person of a transaction; None to keep it as a note."""
        return text_of(part)

    def section_language(self, section: Element) -> str:
        """Return the language of a section; a tag that XML does not allow is given with the names."""
        tag = section.get(LANG) or ""
        if tag != UNDETERMINED:
            return tag
        tags = [text_of(element) for element in section.iter(_LANGUAGE_TAG)]
        return tags[-1] if tags else tag

    def bare_section(self, section: Element) -> None:
        """Handle an empty language section: in our own dialect it means nothing."""

    def parts(self, section: Element) -> Iterable[Element]:
        """Return the elements of a term section."""
        return section

    def new_term(self, section: Element) -> Values | None:
        """Return the known values of a name before its section is read; None if the section holds no name."""
        return {"id": record_id("term", section.get("id") or ""), "language": self.language}

    def add_term(self, section: Element, values: Values) -> None:
        """Add the name of a section that has been read, unless it says that the entry has no name."""
        if values["id"] is None:
            return
        if not values["id"] or "text" not in values or "origin" not in values:
            missing = "id" if not values["id"] else "origin" if "text" in values else "term"
            raise fault(message("The term section is incomplete."), section, missing)
        self.terms.append(values)

    def name(self, child: Element, main: Element, row: Row) -> None:
        """Read the text of a name."""
        self.at["text"] = text_of(child)

    def note(self, child: Element, main: Element, row: Row) -> None:
        """Read a plain note on a name."""
        self.keep(child)

    def quotation(self, group: Element, main: Element, whose: str) -> None:
        """Read a quotation as a slip."""
        if not (name := group.get("id")):
            self.keep(group)
            return
        values: Values = {"version": 1}
        source = ""
        for part in group:
            if part is main:
                continue
            if part.tag == _SOURCE:
                source = record_id("source", part.get("target") or "")
            elif part.tag == _SLIP:
                values |= read_slip_fields(part)
            else:
                self.keep(part)
        if not source:
            raise fault(message("The slip has no source."), group, "source")
        values["id"], values["term_id"] = record_id("slip", name), self.term_id
        values["source_id"], values["text"] = source, text_of(main)
        self.slips.append(msgspec.convert(values, Slip))

    # ---- fields of an entry or a name

    def _closed(self, child: Element, main: Element, row: Row) -> None:
        value = row.known.get(self.word(main) if self.first_counts or len(main) else main.text or "")
        if value is None or (self.first_counts and row.name in self.at):
            self.not_one_of(child, main, row)
        else:
            self.at[row.name] = value
            if len(main) or child is not main:
                self._rest(child, main)

    def _free(self, child: Element, main: Element, row: Row) -> None:
        text = self.text(main)
        if row.declared is None or (self.first_counts and (row.name in self.at or not text.strip())):
            self.keep(child)
        else:
            self.at[row.name] = plain_value(row.declared, text, main)
            self._rest(child, main)

    def _rest(self, child: Element, main: Element, whose: str = "") -> None:
        """Keep what is inside an element that was read, and beside it."""
        if len(main):
            self.keep_markup(main, whose)
        self.beside(child, main, whose)

    def _keep(self, child: Element, main: Element, row: Row) -> None:
        self.keep(child)

    def _pass(self, child: Element, main: Element, row: Row) -> None:
        """Skip an element that is read together with another."""

    def _foreign_note(self, child: Element, main: Element, row: Row) -> None:
        self.add("foreign_notes", read_note(child))

    # ---- the concept

    def _relation(self, child: Element, main: Element, row: Row) -> None:
        relation = self.relation(main)
        if relation is None:
            self.keep(child)
        else:
            self.relations.append(relation)
            self.beside(child, main)

    def _relation_outside(self, child: Element, main: Element, row: Row) -> None:
        self.relations.append(Relation(_kind(child), unescape(child.get("entry") or "")))

    def _definition(self, child: Element, main: Element, row: Row) -> None:
        text = self.text(main)
        if self.first_counts and not text.strip():
            self.keep(child)
            return
        language = self.language_of(child, main)
        whose = f"definition ({language})"
        source = self.source(child, whose) if child is not main else ""
        self.definitions.append(Definition(language, text, source))
        self._rest(child, main, whose)

    def _transaction(self, group: Element, main: Element, row: Row) -> None:
        done = self.transaction(group, main)
        if not done:
            self.keep(group)
            return
        for part in group:
            name = category(part)
            if part is main or (main is group and name == "transactionType"):
                continue
            key = _OF_TRANSACTION.get(name)
            value = self.transacted(part, f"{done}_{key}") if key else None
            if value is None:
                self.keep(part, self.word(main))
            else:
                self.values[f"{done}_{key}"] = value

    def _part(self, child: Element, main: Element, row: Row) -> None:
        source = self.source(child, "") if child is not main else ""
        self.add(f"{row.record}s", read_part(row.record, main, source))
        self.beside(child, main)

    def _reading(self, child: Element, main: Element, row: Row) -> None:
        self.values[row.name] = read_signature(child)

    def _technique(self, child: Element, main: Element, row: Row) -> None:
        self._points.append(child)

    def _term_order(self, child: Element, main: Element, row: Row) -> None:
        self._terms_as = text_of(child)

    def _definition_order(self, child: Element, main: Element, row: Row) -> None:
        self._definitions_as = text_of(child)

    # ---- languages and names

    def _section(self, section: Element, main: Element, row: Row) -> None:
        language = self.section_language(section)
        before = self.size() if self.first_counts else -1
        self.language = language
        self._each(section, self.bindings.section)
        if before == self.size():
            self.bare_section(section)
        self.language = ""

    def _term(self, section: Element, main: Element, row: Row) -> None:
        values = self.new_term(section)
        if values is not None:
            self.begin(values)
            self._each(self.parts(section), self.bindings.term)
            self.end()
            self.add_term(section, values)

    def _no_term(self, child: Element, main: Element, row: Row) -> None:
        self.at["id"] = None

    def _form(self, child: Element, main: Element, row: Row) -> None:
        self.add("forms", InflectedForm(unescape(child.get("label") or ""), text_of(child)))

    def _printed(self, child: Element, main: Element, row: Row) -> None:
        self.at["printed"] = text_of(child)
        self.at["printed_language"] = unescape(child.get("language") or "")

    def _name(self, child: Element, main: Element, row: Row) -> None:
        self.name(child, main, row)

    def _note(self, child: Element, main: Element, row: Row) -> None:
        self.note(child, main, row)

    def _quotation(self, child: Element, main: Element, row: Row) -> None:
        self.quotation(child, main, "")

    # ---- order

    def _in_order(self, terms: tuple[Term, ...]) -> tuple[Term, ...]:
        if not self._terms_as:
            return terms
        by_id = {t.id: t for t in terms}
        ids = [record_id("term", name) for name in self._terms_as.split()]
        if sorted(ids) != sorted(by_id):
            raise fault(message("Every term must be listed exactly once."), self.element, "termOrder")
        return tuple(by_id[i] for i in ids)

    def _definitions_in_order(self) -> tuple[Definition, ...]:
        if not self._definitions_as:
            return tuple(self.definitions)
        places = self._definitions_as.split()
        if sorted(places) != sorted(str(n) for n in range(len(self.definitions))):
            raise fault(
                message("Every definition must be listed exactly once."), self.element, "definitionOrder"
            )
        return tuple(self.definitions[int(n)] for n in places)


def _kind(element: Element) -> RelationKind:
    text = text_of(element)
    if (kind := _KINDS.get(text)) is None:
        raise not_in_list(text, "kind of relation", element, "kind of relation", _KINDS)
    return kind


_ACTIONS: Final[Mapping[Role, Action]] = {
    role: getattr(ConceptReader, f"_{role.replace(' ', '_')}") for role in get_args(Role)
}
