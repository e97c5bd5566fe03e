"""Reads files written by other systems: DCA and DCT style, any dialect, and files of 2008.

A data category is identified by its name, whichever element or namespace carries it. Nothing is guessed: a
value that is not in our lists is kept as text in a note. Such a file does not say where names come from,
unless its header has our mark: then it is our own TBX-Basic, and its notes hold fields of the record.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Final

from exports.tbx.backmatter import Background
from exports.tbx.binding import Bindings, Row, foreign_bindings
from exports.tbx.categories import OTHER
from exports.tbx.concepts import DONE, Values
from exports.tbx.elements import (
    ENTRIES,
    HEADERS,
    LANG,
    TERMS,
    Element,
    block_of,
    category,
    is_named,
    language_around,
    line_text,
    local_name,
    parts_of,
    source_beside,
    source_in,
    target_of,
    text_of,
    whole_text,
)
from exports.tbx.faults import fault, place_of
from exports.tbx.keeping import KeepingReader, is_computed, read_term_note
from exports.tbx.opening import Head
from exports.tbx.parts import value_of
from exports.tbx.reports import Unread
from exports.tbx.styles import AS_PRINTED
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import NameSet
from termbase.errors import BadInput
from termbase.fields.declarations import DeclaredField
from termbase.importing.records import IncomingEntry, IncomingRecord
from termbase.languages import tags
from termbase.messages import joined, message
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Status
from termbase.record.foreign_notes import ForeignNote
from termbase.record.sources import Certainty, Slip, SlipKind
from termbase.record.validation import clean_entry

__all__ = ["ForeignFile", "is_quotation"]

_LANGUAGE_OF: Final = f"{FIELDS['definition.language'].label}: "
_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d")


class ForeignFile:
    """Reads the pieces of one file of another system in two passes: first its contents, then its entries.

    Args:
        head: the data of the root element.
        origin: the origin of names that state none.
        ids: all ids of the file, known after the first pass.
    """

    def __init__(self, head: Head, origin: Origin, ids: NameSet) -> None:
        self._file = Background(head, origin, ids)
        self._bindings = foreign_bindings()
        self._numbers = [0, 0]

    def first(
        self, element: Element, known: Callable[[str], bool], unread: Unread
    ) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First pass: read a piece; yield the id of its entry, or the entry if the termbase has the id."""
        file, name = self._file, local_name(element)
        file.known = known
        if name in HEADERS:
            file.take_header(element, unread)
        elif name == "refObject":
            file.take_object(element)
        elif name in ENTRIES:
            entry_id = self._entry_id(element, 0)
            self._cite_sources(element)
            if not is_named(element):
                file.cite_file()
                return
            file.entry_ids.add(entry_id)
            if known(entry_id):
                records = self._read(element, Unread(), entry_id)
                yield from (entry for entry in records if isinstance(entry, IncomingEntry))
            else:
                yield entry_id

    def background(self, unread: Unread) -> Iterator[IncomingRecord]:
        """After the first pass: yield people and sources."""
        self._numbers[1] = 0
        yield from self._file.records(unread)

    def second(self, element: Element, unread: Unread) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second pass: yield the entry of a piece, or the slips made from a concept without a term."""
        if local_name(element) in ENTRIES:
            yield from self._read(element, unread, self._entry_id(element, 1))

    def has_entry(self, file_id: str) -> bool:
        """Return whether the file has an entry with this id."""
        return file_id in self._file.entry_ids

    def _read(
        self, element: Element, unread: Unread, entry_id: str
    ) -> tuple[IncomingEntry | IncomingRecord, ...]:
        concept = ForeignConcept(self._file, self._bindings, unread, element, entry_id)
        concept.read()
        if concept.terms:
            return (concept.entry(),)
        place = place_of(element)
        return tuple(IncomingRecord("slip", slip, place) for slip in concept.without_name(place))

    def _entry_id(self, element: Element, nth_pass: int) -> str:
        self._numbers[nth_pass] += 1
        return element.get("id") or f"entry {self._numbers[nth_pass]}"  # no XML name has a space

    def _cite_sources(self, entry: Element) -> None:
        """Record the sources of quotations and definitions, in the form in which they will be looked up."""
        for element in entry.iter():
            name = category(element)
            if name not in ("context", "definition"):
                continue
            source = source_beside(element)
            if source is not None and (target_of(source) or line_text(source)):
                self._file.cite(target_of(source), line_text(source))
            elif name == "context":
                self._file.cite_file()


class ForeignConcept(KeepingReader):
    """Reads one concept entry of another system; handles what differs from our own dialect."""

    first_counts = True

    def __init__(
        self, file: Background, bindings: Bindings, unread: Unread, element: Element, concept_id: str
    ) -> None:
        super().__init__(file, bindings, unread, element, concept_id)
        self.printed: dict[str, tuple[str, str]] = {}
        """By id of a name: its printed form and that form's language, from a separate section."""

    def checked(self, entry: Entry) -> Entry:
        """Return the entry with clean texts (`clean_entry`)."""
        try:
            return clean_entry(entry)
        except BadInput as error:
            raise fault(error.what, self.element, error.where, fix=error.fix) from error

    def word(self, element: Element) -> str:
        """Return the word of a closed list, on one line."""
        return line_text(element)

    def text(self, element: Element) -> str:
        """Return the text without the indentation of the file; unchanged for our own files."""
        return whole_text(element) if self.file.ours else block_of(element)

    def not_one_of(self, child: Element, main: Element, row: Row) -> None:
        """Keep the value as a note, unless it is a topic that differs only in case, or our own `other`."""
        topic = row.known.get(line_text(main).casefold())
        if row.name == "topic" and topic and "topic" not in self.at:
            self.at["topic"] = topic
        elif row.name not in self.at and row.declared and self._is_our_other(child, row.declared):
            if not self.file.known(self.id):  # an entry in the termbase keeps its topic if a note says so
                self.at[row.name] = value_of(row.declared, OTHER)
        else:
            self.keep(child)
            return
        self._rest(child, main)

    def relation(self, element: Element) -> Relation | None:
        """Return a relation to another entry of the file; None if it cannot be one or is there already.

        It is *see also* unless its text begins with one of our kinds (`broader: trip`).
        """
        text, target = line_text(element), target_of(element)
        kind = text.partition(":")[0].strip().casefold()
        known = kind in RelationKind._value2member_map_
        relation = Relation(RelationKind(kind) if known else RelationKind.SEE_ALSO, target)
        if target not in self.file.entry_ids or target == self.id or relation in self.relations:
            return None
        if text and not known:
            self.keep_element(element, "")
        else:
            self.keep_markup(element)
        return relation

    def language_of(self, group: Element, definition: Element) -> str:
        """Return the language of the definition or around it; at concept level also from one of our notes."""
        around = language_around(definition) if self.term_id else self.language
        note = next((p for p in group if category(p) == "note" and text_of(p).startswith(_LANGUAGE_OF)), None)
        noted = "" if note is None else text_of(note).removeprefix(_LANGUAGE_OF).strip()
        language = str(definition.get(LANG) or around or noted or self.file.head.language)
        if not language:
            raise fault(message("The definition has no language."), definition, "xml:lang")
        _check_tag(language, definition)
        if note is not None and noted == language:
            self.done.add(note)  # otherwise each export would bring back one more note
        return language

    def source(self, group: Element, whose: str) -> str:
        """Return the source, from the back matter or from words; keep any further words."""
        element = source_in(group)
        if element is None:
            return ""
        target, text = target_of(element), line_text(element)
        self.done.add(element)
        if not self.file.ours and self.file.more(target, text):
            self.keep_element(element, whose)
        return self.file.source_id(target, text)

    def transaction(self, group: Element, main: Element) -> str:
        """Return the prefix of the first transaction of its kind.

        The last change counts only in our own files; otherwise the last change is the import.
        """
        done = DONE.get(line_text(main), "")
        if group is main or (done == "changed" and not self.file.ours):
            return ""
        return "" if f"{done}_on" in self.values or f"{done}_by" in self.values else done

    def transacted(self, part: Element, field: str) -> str | None:
        """Return a date, or the person pointed to or named; a different name beside it is kept too."""
        if field in self.values:
            return None
        text, target = line_text(part), target_of(part)
        if field.endswith("_on"):
            return text if _DAY.fullmatch(text) else None
        who = self.file.person(target, text)
        if text not in ("", who) or self.file.is_loose(target):
            self.keep(part, next(kind for kind, done in DONE.items() if field.startswith(done)))
        return who

    def section_language(self, section: Element) -> str:
        """Return the language of a section, which is required."""
        language = section.get(LANG) or section.get("lang") or ""
        if not language:
            raise fault(message("The language section has no language."), section, "xml:lang")
        _check_tag(language, section)
        return language

    def bare_section(self, section: Element) -> None:
        """Keep a note that the section existed."""
        self.keep_text(local_name(section), self.language)

    def size(self) -> int:
        """Return how much has been read so far."""
        return super().size() + len(self.printed)

    def parts(self, section: Element) -> Iterable[Element]:
        """Yield the elements of a term section, including those in a group of their own."""
        return parts_of(section)

    def new_term(self, section: Element) -> Values | None:
        """Return id, text and language; None for a section without a name, and for a printed form."""
        parts = list(parts_of(section))
        texts = _texts(parts)
        if not texts:
            self._without_text(section, parts)
        elif not self._is_printed_form(parts, texts[0]):
            return self._named(texts[0], section.get("id"))
        return None

    def add_term(self, section: Element, values: Values) -> None:
        """Add the name, and any other name in the same section."""
        origin = values.setdefault("origin", self.file.origin)
        self.terms.append(values)
        for text in _texts(parts_of(section))[1:]:  # no grammar allows it, but no name is lost
            self.terms.append(self._named(text, "") | {"origin": origin})

    def name(self, child: Element, main: Element, row: Row) -> None:
        """Skip the text, which has been read already."""
        self.keep_markup(child)

    def note(self, child: Element, main: Element, row: Row) -> None:
        """Read one of our fields after its label; keep any other note."""
        ours = self.file.ours and child is main
        if ours and read_term_note(child, self.at, language_around(child)):
            return
        if ours and is_computed(child):
            self.unread.dropped[message("evidence, which is computed here again")] += 1
        else:
            self.keep(child)

    def entry(self) -> IncomingEntry:
        """Return the entry; if a language has several preferred names, only the first stays preferred."""
        preferred: set[str] = set()
        for values in self.terms:
            if printed := self.printed.get(str(values["id"])):
                values["printed"], values["printed_language"] = printed
            if values.get("status") is not Status.PREFERRED:
                continue
            tag = tags.canonical(str(values["language"]))
            if tag in preferred:
                values["status"] = Status.ADMITTED
                self.begin(values)
                self.keep_text("administrativeStatus", "preferredTerm-admn-sts")
                self.end()
                notice = message(
                    "Where a language had several preferred names, the first stays preferred; "
                    "the others are now admitted, and a note on each says so."
                )
                self.unread.noted[notice] = None
            preferred.add(tag)
        return super().entry()

    def without_name(self, place: str) -> tuple[Slip, ...]:
        """Return the slips made from a concept without a term: definitions, notes, quotations.

        Args:
            place: its place in the file.
        """
        notes = [f"{name}: {value}" for name, value in self.values.items()]
        notes += [f"{r.kind}: {r.target_id}" for r in self.relations]
        for note in self.lists.get("foreign_notes", ()):
            if isinstance(note, ForeignNote):
                notes.append(": ".join(filter(None, (note.language, note.words()))))
        place_words, whole = self.place_in_words(), self.file.file_source_id()
        slips = [
            _slip(
                f"{self.id} definition {n}", d.source_id or whole, d.text, f"{place_words}\nIn {d.language}.",
                SlipKind.DEFINITION,
            )
            for n, d in enumerate(self.definitions, 1)
        ]  # fmt: skip
        slips += [_slip(f"{self.id} notes", whole, "\n".join(notes), place_words)] if notes else []
        slips += self.slips
        if slips:
            self.unread.kept[message("concept without a term")] += 1
            notice = message("Concepts without a term became unsorted slips.")
        else:
            self.unread.dropped[message("empty concept")] += 1
            where = joined((self.file_name, place), ", ")
            notice = message("%(place)s: the concept is empty.", place=where)
        self.unread.noted[notice] = None
        return tuple(slips)

    def _named(self, text: str, name: str | None) -> Values:
        """Return the values of a name; without an id in the file it gets one that no XML name can equal."""
        made = name or f"{self.id} term {len(self.terms) + 1}"
        return {"id": made, "text": text, "language": self.language}

    def _without_text(self, section: Element, parts: list[Element]) -> None:
        self.unread.dropped[message("term without text")] += 1
        place = joined((self.file_name, place_of(section)), ", ")
        self.unread.noted[message("%(place)s: a term without text was left out.", place=place)] = None
        for part in parts:
            if local_name(part) != "term":
                self.keep(part)

    def _is_our_other(self, child: Element, field: DeclaredField) -> bool:
        """Return whether `other` in one of our files is a value of the record.

        That comes right after the term; a note from another file that says so comes after all fields.
        """
        before = child.getprevious()
        first = before is not None and local_name(before) == "term"
        return self.file.ours and first and OTHER in field.words and line_text(child) == OTHER

    def _is_printed_form(self, parts: list[Element], text: str) -> bool:
        """Return whether this is the printed form of another term, as written by our export."""
        if not self.file.ours or len(parts) != 2 or category(parts[1]) != "crossReference":
            return False
        target = target_of(parts[1])
        if not text_of(parts[1]).startswith(AS_PRINTED) or target in self.printed:
            return False
        if not any(e.get("id") == target for e in self.element.iter() if local_name(e) in TERMS):
            return False
        self.printed[target] = text, self.language
        return True


def is_quotation(slip: Slip) -> bool:
    """Return whether a slip of a concept without a term was a quotation in the file."""
    return not slip.id.endswith(" notes") and " definition " not in slip.id


def _slip(slip_id: str, source_id: str, text: str, note: str, kind: SlipKind = SlipKind.NOT_STATED) -> Slip:
    return Slip(slip_id, source_id, text, kind=kind, certainty=Certainty.NOT_STATED, note=note)


def _texts(parts: Iterable[Element]) -> list[str]:
    """Return the names in a term section that have a text."""
    return [text for part in parts if local_name(part) == "term" and (text := line_text(part))]


def _check_tag(language: str, element: Element) -> None:
    if not tags.is_well_formed(language):
        raise fault(
            message("“%(language)s” is not a language tag.", language=language[:80]),
            element,
            "xml:lang",
            fix=message("Use a BCP 47 tag, such as cy or ga-Latg."),
        )
