"""A concept entry of any TBX file as an entry here: one way through it for every dialect and style.

Each element is looked up (`exports.tbx.binding`) and put where the record has a field for it; what has no
row is kept as a note from elsewhere. Where kinds of file truly differ, a `Policy` says how:
`exports.tbx.ours` for our own dialect, `exports.tbx.foreign` for the files of other systems.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Final, Protocol

import msgspec

from exports.tbx.binding import Binding, Bindings, Role, Row
from exports.tbx.elements import Element, category
from exports.tbx.faults import fault, place_of
from exports.tbx.parts import not_one_of, plain_value, read_note, read_part, read_profile, read_signature
from exports.tbx.reports import Unread
from exports.tbx.xmltext import kept, record_id, text_of
from termbase.entries import Analogue, Definition, Entry, Figure, Form, Relation, RelationKind, Ruling, Term
from termbase.fields import changed_by
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.messages import message
from termbase.sources import Slip

__all__ = ["ConceptReader", "Policy", "TermValues", "relation_kind"]

TermValues = dict[str, object]
"""The fields of a name while they are read; names are made records all at once, which takes half the time."""
Action = Callable[["ConceptReader", Element, Element, Row], None]
_NO_ENTRY: Final = Entry("")
_OF_TRANSACTION: Final = {"date": "on", "dateAsKept": "on", "responsibility": "by", "transactionType": ""}
_KINDS: Final = {kind.value: kind for kind in RelationKind}


class Policy(Protocol):
    """How a file is read where kinds of file differ; one for each file.

    `whose` says what a note is said of, where it stands in a group.

    Attributes:
        bindings: what its elements are.
        first_counts: of a field that is said twice; what is said again is kept as a note. Else the last.
        new_entry: fields of an entry of which nothing is said.
        passed: tags in a group that are read together with its first element.
    """

    bindings: Bindings
    first_counts: bool
    new_entry: Mapping[str, object]
    passed: frozenset[str]

    def word(self, element: Element, /) -> str:
        """What stands in the place of a word of a closed list."""

    def text(self, element: Element, /) -> str:
        """Text whose line breaks count."""

    def parts(self, term: Element, /) -> Iterable[Element]:
        """What stands in a term section."""

    def keep(self, concept: "ConceptReader", element: Element, whose: str = "", /) -> None:
        """Keep an element that has no row, with all that stands in it."""

    def keep_markup(self, concept: "ConceptReader", element: Element, whose: str, /) -> None:
        """Keep what the markup in a text says besides the text."""

    def not_one_of(self, concept: "ConceptReader", child: Element, main: Element, row: Row, /) -> None:
        """A field of a closed list has a word that is not in it, or stands there again."""

    def relation(self, concept: "ConceptReader", element: Element, /) -> Relation | None:
        """The relation that an element says; None where it is kept as a note."""

    def language(self, concept: "ConceptReader", group: Element, definition: Element, /) -> str:
        """The language of a definition."""

    def source(self, concept: "ConceptReader", group: Element, whose: str, /) -> str:
        """The id of the source that is named in a group; empty for none."""

    def transaction(self, concept: "ConceptReader", group: Element, main: Element, /) -> str:
        """The fields that a transaction fills, `created` or `changed`; empty where it is kept as a note."""

    def transacted(self, concept: "ConceptReader", part: Element, field: str, /) -> str | None:
        """When or by whom something was done; None where that is kept as a note."""

    def section(self, concept: "ConceptReader", section: Element, /) -> str:
        """The language of a language section."""

    def bare_section(self, concept: "ConceptReader", section: Element, /) -> None:
        """Nothing was found in a language section."""

    def begin_term(self, concept: "ConceptReader", section: Element, /) -> TermValues | None:
        """What of a name is known before its section is read; None where there is no name in it."""

    def name(self, concept: "ConceptReader", element: Element, /) -> None:
        """The name itself."""

    def note(self, concept: "ConceptReader", child: Element, main: Element, /) -> None:
        """A plain note on a name."""

    def end_term(self, concept: "ConceptReader", section: Element, values: TermValues, /) -> None:
        """Add a name whose section was read."""

    def quotation(self, concept: "ConceptReader", child: Element, main: Element, whose: str = "", /) -> None:
        """A quotation, alone or at the head of a group: a slip."""

    def settle(self, concept: "ConceptReader", /) -> tuple[Slip, ...] | None:
        """After all was read: what can only be said of the whole; slips where it can be no entry."""

    def checked(self, concept: "ConceptReader", entry: Entry, /) -> Entry:
        """The entry, if it can be taken in."""


class ConceptReader:
    """Reads one concept entry.

    Args:
        how: what differs between kinds of file.
        unread: counts what has no field.
        element: the concept entry.
        concept_id: its id.

    Attributes:
        values: fields of the entry that were read so far.
        at: fields of what is being read: of a name, or of the entry.
        many: fields that are lists, of the same.
        terms, definitions, relations, slips: those read so far.
        language: of the language section that is being read; empty outside.
        term_id: id of the name that is being read; empty outside.
        printed: by id of a name, its printed form and the language of that, where it stands in a section of
            its own.
        done: elements that went somewhere already.
    """

    def __init__(self, how: Policy, unread: Unread, element: Element, concept_id: str) -> None:
        self.how, self.unread, self.element, self.id = how, unread, element, concept_id
        self.values: TermValues = {**how.new_entry}
        self.lists: dict[str, list[object]] = {}
        self.at, self.many = self.values, self.lists
        self.terms: list[TermValues] = []
        self.definitions: list[Definition] = []
        self.relations: list[Relation] = []
        self.slips: list[Slip] = []
        self.language = self.term_id = ""
        self.printed: dict[str, tuple[str, str]] = {}
        self.done: set[Element] = set()
        self._points: list[Element] = []
        self._term_order = self._definition_order = ""

    def read(self) -> IncomingEntry | tuple[IncomingRecord, ...]:
        """The entry with its slips; of a concept that can be no entry the slips that it becomes.

        Raises:
            BadInput: something cannot be taken; the place names line, element and field.
        """
        self._each(self.element, self.how.bindings.concept)
        slips = self.how.settle(self)
        place = place_of(self.element)
        if slips is not None:
            return tuple(IncomingRecord("slip", slip, place) for slip in slips)
        if self._points:
            self.values["technique"] = read_profile(self._points)
        entry = changed_by(
            _NO_ENTRY,
            self.values,
            id=self.id,
            terms=self._in_order(msgspec.convert(self.terms, tuple[Term, ...])),
            definitions=self._definitions_in_order(),
            relations=tuple(self.relations),
            **{name: tuple(found) for name, found in self.lists.items()},
        )
        return IncomingEntry(self.how.checked(self, entry), tuple(self.slips), place)

    def begin(self, values: TermValues) -> None:
        """What is read from here on is said of a name."""
        self.at, self.term_id = values, str(values["id"])
        self.many = {name: value for name, value in values.items() if isinstance(value, list)}

    def end(self, values: TermValues) -> None:
        """What is read from here on is said of the entry."""
        values.update(self.many)
        self.at, self.many, self.term_id = self.values, self.lists, ""

    def add(self, name: str, record: object) -> None:
        """Add to a list of what is being read."""
        found = self.many.get(name)
        if found is None:
            self.many[name] = [record]
        else:
            found.append(record)

    def beside(self, child: Element, main: Element, whose: str = "") -> None:
        """Keep what stands in a group beside the element that heads it."""
        if child is not main:
            passed = self.how.passed
            for part in child:
                if part is not main and part.tag not in passed:
                    self.how.keep(self, part, whose)

    def _each(self, parts: Iterable[Element], binding: Binding) -> None:
        known = binding.known
        for child in parts:
            row = known.get(child.tag)
            if row is not None:
                _ACTIONS[row.role](self, child, child, row)
            else:
                row, main = binding.look(child)
                _ACTIONS[row.role](self, child, main, row)

    # ---- fields of an entry or a name

    def _closed(self, child: Element, main: Element, row: Row) -> None:
        how, declared = self.how, row.declared
        value = row.known.get(how.word(main))
        if declared is None or value is None or (how.first_counts and declared.name in self.at):
            how.not_one_of(self, child, main, row)
        else:
            self.at[declared.name] = value
            self._rest(child, main)

    def _free(self, child: Element, main: Element, row: Row) -> None:
        how, declared, text = self.how, row.declared, self.how.text(main)
        if declared is None or (how.first_counts and (declared.name in self.at or not text.strip())):
            how.keep(self, child)
        else:
            self.at[declared.name] = plain_value(declared, text, main)
            self._rest(child, main)

    def _rest(self, child: Element, main: Element, whose: str = "") -> None:
        """What stands within an element that was read, and beside it."""
        if len(main):
            self.how.keep_markup(self, main, whose)
        if child is not main:
            self.beside(child, main, whose)

    def _keep(self, child: Element, main: Element, row: Row) -> None:
        self.how.keep(self, child)

    def _pass(self, child: Element, main: Element, row: Row) -> None:
        """It is read with something else."""

    def _foreign_note(self, child: Element, main: Element, row: Row) -> None:
        self.add("foreign_notes", read_note(child))

    # ---- the concept as a whole

    def _relation(self, child: Element, main: Element, row: Row) -> None:
        relation = self.how.relation(self, main)
        if relation is None:
            self.how.keep(self, child)
        else:
            self.relations.append(relation)
            self.beside(child, main)

    def _relation_outside(self, child: Element, main: Element, row: Row) -> None:
        self.relations.append(Relation(relation_kind(child), kept(child.get("entry") or "")))

    def _definition(self, child: Element, main: Element, row: Row) -> None:
        how = self.how
        text = how.text(main)
        if how.first_counts and not text.strip():
            how.keep(self, child)
            return
        language = how.language(self, child, main)
        whose = f"definition ({language})"
        source = how.source(self, child, whose) if child is not main else ""
        self.definitions.append(Definition(language, text, source))
        self._rest(child, main, whose)

    def _transaction(self, group: Element, main: Element, row: Row) -> None:
        how = self.how
        done = how.transaction(self, group, main)
        if not done:
            how.keep(self, group)
            return
        for part in group:
            key = _OF_TRANSACTION.get(category(part))
            if part is main or (main is group and key == ""):
                continue
            said = how.transacted(self, part, f"{done}_{key}") if key else None
            if said is None:
                how.keep(self, part, how.word(main) if how.first_counts else "")
            else:
                self.values[f"{done}_{key}"] = said

    def _analogue(self, child: Element, main: Element, row: Row) -> None:
        source = self.how.source(self, child, "")
        self.add("analogues", read_part(Analogue, "analogue", "name", main, source_id=source))
        self.beside(child, main)

    def _figure(self, child: Element, main: Element, row: Row) -> None:
        source = self.how.source(self, child, "")
        self.add("figures", read_part(Figure, "figure", "caption", main, source_id=source))
        self.beside(child, main)

    def _ruling(self, child: Element, main: Element, row: Row) -> None:
        self.add("rulings", read_part(Ruling, "ruling", "reason", child))

    def _reading(self, child: Element, main: Element, row: Row) -> None:
        self.values[row.name] = read_signature(child)

    def _technique(self, child: Element, main: Element, row: Row) -> None:
        self._points.append(child)

    def _order_of_terms(self, child: Element, main: Element, row: Row) -> None:
        self._term_order = text_of(child)

    def _order_of_definitions(self, child: Element, main: Element, row: Row) -> None:
        self._definition_order = text_of(child)

    # ---- languages and names

    def _section(self, section: Element, main: Element, row: Row) -> None:
        before = self._size()
        self.language = self.how.section(self, section)
        self._each(section, self.how.bindings.section)
        if before == self._size():
            self.how.bare_section(self, section)
        self.language = ""

    def _size(self) -> int:
        """How much was read so far."""
        notes = len(self.lists.get("foreign_notes", ()))
        return len(self.terms) + len(self.definitions) + notes + len(self.printed)

    def _term(self, section: Element, main: Element, row: Row) -> None:
        how = self.how
        values = how.begin_term(self, section)
        if values is None:
            return
        self.begin(values)
        self._each(how.parts(section), how.bindings.term)
        self.end(values)
        how.end_term(self, section, values)

    def _name(self, child: Element, main: Element, row: Row) -> None:
        self.how.name(self, child)

    def _no_term(self, child: Element, main: Element, row: Row) -> None:
        self.at["id"] = None

    def _note(self, child: Element, main: Element, row: Row) -> None:
        self.how.note(self, child, main)

    def _form(self, child: Element, main: Element, row: Row) -> None:
        self.add("forms", Form(kept(child.get("label") or ""), text_of(child)))

    def _printed(self, child: Element, main: Element, row: Row) -> None:
        self.at["printed"] = text_of(child)
        self.at["printed_language"] = kept(child.get("language") or "")

    def _quotation(self, child: Element, main: Element, row: Row) -> None:
        self.how.quotation(self, child, main)

    # ---- order

    def _in_order(self, terms: tuple[Term, ...]) -> tuple[Term, ...]:
        if not self._term_order:
            return terms
        by_id = {t.id: t for t in terms}
        ids = [record_id("term", name) for name in self._term_order.split()]
        if sorted(ids) != sorted(by_id):
            raise fault(message("The terms are not each named once."), self.element, "termOrder")
        return tuple(by_id[i] for i in ids)

    def _definitions_in_order(self) -> tuple[Definition, ...]:
        if not self._definition_order:
            return tuple(self.definitions)
        places = self._definition_order.split()
        if sorted(places) != sorted(str(n) for n in range(len(self.definitions))):
            raise fault(message("The definitions are not each named once."), self.element, "definitionOrder")
        return tuple(self.definitions[int(n)] for n in places)


def relation_kind(element: Element) -> RelationKind:
    """The kind of relation that an element of ours says.

    Raises:
        BadInput: it says none of ours.
    """
    text = text_of(element)
    if (kind := _KINDS.get(text)) is None:
        raise not_one_of(text, "kind of relation", element, "kind of relation", _KINDS)
    return kind


_ACTIONS: Final[Mapping[Role, Action]] = {
    "analogue": ConceptReader._analogue,
    "closed": ConceptReader._closed,
    "definition": ConceptReader._definition,
    "definition order": ConceptReader._order_of_definitions,
    "figure": ConceptReader._figure,
    "foreign note": ConceptReader._foreign_note,
    "form": ConceptReader._form,
    "free": ConceptReader._free,
    "keep": ConceptReader._keep,
    "name": ConceptReader._name,
    "no term": ConceptReader._no_term,
    "note": ConceptReader._note,
    "pass": ConceptReader._pass,
    "printed": ConceptReader._printed,
    "quotation": ConceptReader._quotation,
    "reading": ConceptReader._reading,
    "relation": ConceptReader._relation,
    "relation outside": ConceptReader._relation_outside,
    "ruling": ConceptReader._ruling,
    "section": ConceptReader._section,
    "technique": ConceptReader._technique,
    "term": ConceptReader._term,
    "term order": ConceptReader._order_of_terms,
    "transaction": ConceptReader._transaction,
}
