"""A concept entry of another system's file as an entry here.

What the record has a field for goes there. Everything else is kept as a note where it stood, marked with the
file and its data category, and counted: nothing that says anything is passed over. A concept without a name
can be no entry here; what is said of it becomes slips that wait unsorted.
"""

import re
from dataclasses import replace
from typing import Final, Protocol

from exports.tbx.background import Background
from exports.tbx.elements import (
    GROUPS,
    LANG,
    SECTIONS,
    TERMS,
    Element,
    block_of,
    category,
    holds_blocks,
    line_text,
    local_name,
    main_of,
    own_text,
    parent_of,
    parts_of,
    source_in,
    target_of,
    text_of,
    whole_text,
)
from exports.tbx.faults import fault, place_of
from exports.tbx.keeping import Kept, language_around
from exports.tbx.names import CLOSED, FREE, read_relation, read_topic, says_relation
from exports.tbx.nameset import NameSet
from exports.tbx.opening import Head
from exports.tbx.ownnotes import is_computed, read_term_note
from exports.tbx.quotations import Quotations
from exports.tbx.reports import Unread
from exports.tbx.tags import FIELDS
from termbase import tags
from termbase.entries import Definition, Entry, Origin, Relation, Status, Term
from termbase.errors import BadInput
from termbase.fields import changed_by
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.intake import take_entry
from termbase.messages import joined, message

__all__ = ["ForeignHead", "read_concept"]

_LANGUAGE_OF: Final = f"{FIELDS['definition.language'].label}: "
_AS_PRINTED: Final = "as printed for: "
_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d")
_NO_ENTRY: Final = Entry("")
_NO_TERM: Final = Term("", "", "", Origin.NOT_STATED)
_CHANGES: Final = {"origination": "created", "modification": "changed"}


class ForeignHead(Protocol):
    """What of its file a concept must know.

    Attributes:
        head: what the root says.
        origin: where the names come from that do not say so.
        ours: its header bears our mark, so that its notes hold fields of the record.
        background_of: people and sources.
        entry_ids: of the concepts that become entries.
        ids: all ids of the file, once it was read through the first time.
        known: whether an entry of this id is here.
    """

    head: Head
    origin: Origin
    ours: bool
    background_of: Background
    entry_ids: set[str]
    ids: NameSet

    def known(self, entry_id: str, /) -> bool:
        """Whether an entry of this id is here."""


def read_concept(
    file: ForeignHead, unread: Unread, element: Element, entry_id: str
) -> IncomingEntry | tuple[IncomingRecord, ...]:
    """The entry of a concept, with its slips; of a concept without a name the slips that it becomes.

    Raises:
        BadInput: something cannot be taken; the place names line, element and field.
    """
    return _Concept(file, unread, element, entry_id).read()


class _Concept:
    def __init__(self, file: ForeignHead, unread: Unread, element: Element, entry_id: str) -> None:
        self.file, self.unread, self.element, self.id = file, unread, element, entry_id
        self.values: dict[str, object] = {}
        self.terms: list[Term] = []
        self.definitions: list[Definition] = []
        self.relations: list[Relation] = []
        self.kept = Kept(file, unread, skips_own=file.ours and file.known(entry_id))
        self.printed: dict[str, tuple[str, str]] = {}
        self.quotations = Quotations(file, unread, entry_id)
        self.done: set[Element] = set()  # parts of a group that went somewhere already

    def read(self) -> IncomingEntry | tuple[IncomingRecord, ...]:
        for child in self.element:
            if local_name(child) in SECTIONS:
                self._section(child)
            else:
                self._of_concept(child)
        place = place_of(self.element)
        if not self.terms:
            return self._without_name(place)
        terms = self._preferred_once(tuple(self._with_printed(t) for t in self.terms))
        terms = tuple(replace(t, foreign_notes=tuple(self.kept.of_term.get(t.id, ()))) for t in terms)
        entry = changed_by(
            _NO_ENTRY, self.values, id=self.id, terms=terms, definitions=tuple(self.definitions),
            relations=tuple(self.relations), foreign_notes=tuple(self.kept.of_entry),
        )  # fmt: skip
        try:
            taken = take_entry(entry)
        except BadInput as error:
            raise fault(error.what, self.element, error.where, mend=error.mend) from error
        return IncomingEntry(taken, tuple(self.quotations.slips), place)

    def _without_name(self, place: str) -> tuple[IncomingRecord, ...]:
        notes = [f"{name}: {value}" for name, value in self.values.items()]
        notes += [f"{r.kind}: {r.target_id}" for r in self.relations]
        for kept in (*self.kept.of_entry, *(n for those in self.kept.of_term.values() for n in those)):
            notes.append(f"{kept.language}: {kept.words()}" if kept.language else kept.words())
        slips = self.quotations.of_nameless(self.definitions, notes)
        if slips:
            self.unread.kept[message("concept without a term")] += 1
            told = message("Concepts without a term became slips that wait unsorted.")
        else:
            self.unread.dropped[message("concept that holds nothing")] += 1
            told = message("%(place)s: the concept holds nothing.", place=self._placed(place))
        self.unread.noted[told] = None
        return tuple(IncomingRecord("slip", slip, place) for slip in slips)

    # ---- the concept as a whole

    def _of_concept(self, child: Element) -> None:
        name, main = main_of(child)
        text = text_of(main)
        if name == "subjectField" and "topic" not in self.values and (topic := read_topic(text)):
            self.values["topic"] = topic
            self._beside(child, main, "")
        elif name == "definition":
            self._definition(child, main, main.get(LANG) or _language_in(child) or self.file.head.language)
        elif name == "crossReference" and self._leads(target_of(main)):
            self._relation(child, main)
        elif name == "transactionType":
            self._transaction(child, main)
        else:
            self._keep(child, "")

    def _leads(self, target: str) -> bool:
        return target in self.file.entry_ids and target != self.id

    def _relation(self, child: Element, main: Element) -> None:
        text, target = line_text(main), target_of(main)
        relation = Relation(read_relation(text), target)
        if relation in self.relations:
            self._keep(child, "")
            return
        self.relations.append(relation)
        if not says_relation(text):
            self.kept.element(main, "")
        else:
            self.kept.markup(main, "")
        self._beside(child, main, "")

    def _transaction(self, group: Element, main: Element) -> None:
        field = _CHANGES.get(text_of(main))
        if field == "changed" and not self.file.ours:
            field = None  # the last change is that of who takes it in
        if field is None or group is main or f"{field}_on" in self.values or f"{field}_by" in self.values:
            self._keep(group, "")
            return
        for part in group:
            name, text = category(part), line_text(part)
            if part is main:
                continue
            if name == "date" and _DAY.fullmatch(text) and f"{field}_on" not in self.values:
                self.values[f"{field}_on"] = text
            elif name == "responsibility" and f"{field}_by" not in self.values:
                who = self.file.background_of.person(target_of(part), text)
                self.values[f"{field}_by"] = who
                if text not in ("", who) or self.file.background_of.is_loose(target_of(part)):
                    self._keep(part, str(text_of(main)))
            else:
                self._keep(part, str(text_of(main)))

    def _definition(self, child: Element, main: Element, language: str) -> None:
        text = whole_text(main) if self.file.ours else block_of(main)
        if not text.strip():
            self._keep(child, "")
            return
        if not language:
            raise fault(message("The definition is in no language."), main, "xml:lang")
        self._check_tag(language, main)
        whose = f"definition ({language})"
        background, found = self.file.background_of, source_in(child)
        source = ""
        if found is not None and child is not main:
            source = background.source_id(target_of(found), line_text(found))
            self.done.add(found)
            if not self.file.ours and background.more(target_of(found), line_text(found)):
                self.kept.element(found, whose)
        if (said := _said_language(child)) is not None and _language_in(child) == language:
            self.done.add(said)  # read as the language; written again, it would come back as one note more
        self.definitions.append(Definition(language, text, source))
        self.kept.markup(main, whose)
        self._beside(child, main, whose)

    # ---- languages and terms

    def _section(self, section: Element) -> None:
        language = section.get(LANG) or section.get("lang") or ""
        if not language:
            raise fault(message("The language section has no language."), section, "xml:lang")
        self._check_tag(language, section)
        before = self._size()
        self.kept.language = language
        for child in section:
            name, main = main_of(child)
            if local_name(child) in TERMS:
                self._term(child, language)
            elif name == "definition":
                self._definition(child, main, main.get(LANG) or language)
            else:
                self._keep(child, "")
        if before == self._size():
            self.kept.text(local_name(section), language)
        self.kept.language = ""

    def _size(self) -> int:
        """How much was read so far."""
        return len(self.terms) + len(self.definitions) + len(self.kept.of_entry) + len(self.printed)

    def _check_tag(self, language: str, element: Element) -> None:
        if not tags.is_well_formed(language):
            raise fault(
                message("“%(language)s” is no language tag.", language=language[:80]),
                element,
                "xml:lang",
                mend=message("Write a tag of BCP 47, such as cy or ga-Latg."),
            )

    def _term(self, section: Element, language: str) -> None:
        parts = list(parts_of(section))
        names = [p for p in parts if local_name(p) == "term" and line_text(p)]
        if not names:
            self._without_text(section, parts, language)
            return
        text = line_text(names[0])
        if self._is_printed_form(parts, text, language):
            return
        term_id = section.get("id") or self._made_id()
        values: dict[str, object] = {}
        self.kept.term_id = term_id
        for part in parts:
            if local_name(part) == "term":
                self.kept.markup(part, "")
            else:
                self._of_term(part, values, term_id)
        self.kept.term_id = ""
        said = values.pop("origin", None)
        origin = said if isinstance(said, Origin) else self.file.origin
        term = changed_by(_NO_TERM, values, id=term_id, text=text, language=language, origin=origin)
        self.terms.append(term)
        for other in names[1:]:  # no grammar allows it, but no name is lost
            self.terms.append(Term(self._made_id(), line_text(other), language, origin))

    def _made_id(self) -> str:
        """An id that no XML name can be."""
        return f"{self.id} term {len(self.terms) + 1}"

    def _placed(self, place: str) -> str:
        """A place with the file's name before it."""
        return joined((self.file.head.name, place), ", ")

    def _without_text(self, section: Element, parts: list[Element], language: str) -> None:
        self.unread.dropped[message("term without text")] += 1
        place = self._placed(place_of(section))
        self.unread.noted[message("%(place)s: a term without text was left out.", place=place)] = None
        for part in parts:
            if local_name(part) != "term":
                self._keep(part, "")

    def _of_term(self, part: Element, values: dict[str, object], term_id: str) -> None:
        name, main = main_of(part)
        text = line_text(main)
        closed = CLOSED.get(name)
        if self.file.ours and read_term_note(part, values, language_around(part)):
            return
        if self.file.ours and is_computed(part):
            self.unread.dropped[message("evidence, which is computed here again")] += 1
            return
        if closed is not None:
            field, known = closed
            if field not in values and text in known:
                values[field] = known[text]
                self.kept.markup(main, "")
                self._beside(part, main, "", term_id)
            else:
                self._keep(part, "", term_id)
        elif name in FREE and FREE[name] not in values and text:
            values[FREE[name]] = whole_text(main) if self.file.ours else block_of(main)
            self.kept.markup(main, "")
            self._beside(part, main, "", term_id)
        elif name == "definition":
            language = main.get(LANG) or language_around(main)
            self._definition(part, main, language)
        else:
            self._keep(part, "", term_id)

    def _is_printed_form(self, parts: list[Element], text: str, language: str) -> bool:
        """Whether this is the form as printed of another term, as an export of ours says it."""
        if not self.file.ours or len(parts) != 2 or category(parts[1]) != "crossReference":
            return False
        target = target_of(parts[1])
        if not text_of(parts[1]).startswith(_AS_PRINTED) or target in self.printed:
            return False
        if not any(e.get("id") == target for e in self.element.iter() if local_name(e) in TERMS):
            return False
        self.printed[target] = (text, language)
        return True

    def _with_printed(self, term: Term) -> Term:
        found = self.printed.get(term.id)
        return replace(term, printed=found[0], printed_language=found[1]) if found else term

    def _preferred_once(self, terms: tuple[Term, ...]) -> tuple[Term, ...]:
        """One name a language is preferred; further ones are admitted, and the report says so."""
        seen: set[str] = set()
        found = []
        for term in terms:
            if term.status is Status.PREFERRED:
                tag = tags.canonical(term.language)
                if tag in seen:
                    term = replace(term, status=Status.ADMITTED)
                    self.kept.term_id = term.id
                    self.kept.text("administrativeStatus", "preferredTerm-admn-sts")
                    self.kept.term_id = ""
                    self.unread.noted[
                        message(
                            "Where several names in a language were called preferred, the first is; the "
                            "others are admitted, and a note on each says so."
                        )
                    ] = None
                seen.add(tag)
            found.append(term)
        return tuple(found)

    # ---- what there is no field for

    def _quotation(self, child: Element, main: Element, term_id: str, whose: str) -> None:
        group = parent_of(main) if child is main else child
        inside = group is not None and local_name(group) in GROUPS
        found = source_in(group) if inside and group is not None else None
        read = self.quotations.take(child, main, found, term_id, whose or self.kept.language)
        if read is None:
            self.unread.dropped[message("quotation without text")] += 1
        else:
            self.done.update(read)
            if found is not None:
                self.done.add(found)
        self.kept.markup(main, "quotation")
        self._beside(child, main, "quotation", term_id)

    def _beside(self, child: Element, main: Element, whose: str, term_id: str = "") -> None:
        """Keep what stands in a group beside its main element."""
        if child is main:
            return
        for part in child:
            if part is not main:
                self._keep(part, whose, term_id)

    def _keep(self, child: Element, whose: str, term_id: str = "") -> None:
        """Keep an element with all that stands in it: quotations as slips, the rest as notes."""
        if not isinstance(child.tag, str):
            raise fault(message("There is a reference to an entity; entities are not read."), self.element)
        if child in self.done:
            return
        name, main = main_of(child)
        if name == "context":
            self._quotation(child, main, term_id, whose)
        elif local_name(child) in GROUPS:
            for part in child:
                self._keep(part, whose, term_id)
        elif holds_blocks(child):
            inner = ", ".join(filter(None, (whose, name)))
            if text := own_text(child):
                self.kept.text(name, text, whose)
            for part in child:
                self._keep(part, inner, term_id)
        else:
            self.kept.element(child, whose)


def _said_language(group: Element) -> Element | None:
    """The note by which an export of ours says the language of a definition where no attribute can."""
    return next((p for p in group if category(p) == "note" and text_of(p).startswith(_LANGUAGE_OF)), None)


def _language_in(group: Element) -> str:
    """The language that such a note says; empty where there is none."""
    note = _said_language(group)
    return "" if note is None else text_of(note).removeprefix(_LANGUAGE_OF).strip()
