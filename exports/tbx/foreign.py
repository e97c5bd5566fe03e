"""Files that other systems wrote: DCA and DCT style, any dialect, and files of 2008.

A data category is known by its name, whichever element or namespace carries it. Nothing is guessed: a value
that is not in our lists stays a word in a note; where the names come from, and what a quotation does with
them, is not in such a file at all and stays *not stated*, unless its header bears our mark: then it is
TBX-Basic of ours, and its notes hold fields of the record.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

import msgspec

from exports.tbx.background import Background
from exports.tbx.basicnotes import is_computed, read_slip_notes, read_term_note, read_whereabouts
from exports.tbx.binding import Row, elsewhere
from exports.tbx.concepts import ConceptReader, TermValues
from exports.tbx.elements import (
    ENTRIES,
    GROUPS,
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
    own_text,
    parent_of,
    parts_of,
    source_in,
    target_of,
    text_of,
    whole_text,
)
from exports.tbx.faults import fault, place_of
from exports.tbx.header import LANGUAGES, MARK
from exports.tbx.keeping import Keeping
from exports.tbx.nameset import NameSet
from exports.tbx.opening import Head
from exports.tbx.reports import Unread
from exports.tbx.styles import DIALECTS
from exports.tbx.tags import FIELDS
from termbase import tags
from termbase.entries import Entry, Origin, Relation, RelationKind, Status
from termbase.errors import BadInput
from termbase.foreignnotes import ForeignNote
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.intake import take_entry
from termbase.messages import joined, message
from termbase.sources import Certainty, Slip, SlipKind

__all__ = ["Foreign", "is_quotation"]

_FORMER: Final = frozenset(f"ISO 30042:2019, {d.title}" for d in DIALECTS.values() if d.type == "TBX-Basic")
"""What the header of our exports said before it bore our mark, together with the languages."""
_LANGUAGE_OF: Final = f"{FIELDS['definition.language'].label}: "
_AS_PRINTED: Final = "as printed for: "
_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d")
_DONE: Final = {"origination": "created", "modification": "changed"}
_NOT_STATED: Final = {"kind": SlipKind.NOT_STATED, "certainty": Certainty.NOT_STATED}


class Foreign:
    """Reads one file of another system in two ways through: first what is in it, then its entries; see
    `exports.tbx.concepts.Policy`.

    Args:
        head: what its root says.
        origin: where its names come from that do not say so.
        ids: all ids of the file, once it was read through the first time.

    Attributes:
        ours: its header bears our mark.
        entry_ids: of the concepts that become entries.
        background_of: people and sources.
    """

    first_counts = True
    new_entry: Mapping[str, object] = MappingProxyType({})
    passed: frozenset[str] = frozenset()

    def __init__(self, head: Head, origin: Origin, ids: NameSet) -> None:
        self.head, self.origin, self.ids = head, origin, ids
        self.bindings = elsewhere()
        self.background_of = Background(head.name)
        self.entry_ids: set[str] = set()
        self.ours = False
        self._keeping = Keeping(self)
        self._known: Callable[[str], bool] = lambda _: False
        self._numbers = [0, 0]

    # ---- the file

    def known(self, entry_id: str, /) -> bool:
        """Whether an entry of this id is here."""
        return self._known(entry_id)

    def first(
        self, element: Element, known: Callable[[str], bool], unread: Unread
    ) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First way: a piece of the file; gives the id of an entry, or all of it if the id is known here."""
        self._known = known
        name = local_name(element)
        if name in HEADERS:
            self._header(element, unread)
        elif name == "refObject":
            self.background_of.take_object(element)
        elif name in ENTRIES:
            entry_id = self._entry_id(element, 0)
            self._cite_sources(element)
            if not is_named(element):
                self.background_of.cite_file()
                return
            self.entry_ids.add(entry_id)
            if known(entry_id):
                found = ConceptReader(self, Unread(), element, entry_id).read()
                if isinstance(found, IncomingEntry):
                    yield found
            else:
                yield entry_id

    def background(self, unread: Unread) -> Iterator[IncomingRecord]:
        """After the first way: people and sources."""
        self._numbers[1] = 0
        yield from self.background_of.records(unread)

    def second(self, element: Element, unread: Unread) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second way: the entry of a piece, or the slips that a concept without a term becomes; nothing for
        other pieces."""
        if local_name(element) in ENTRIES:
            found = ConceptReader(self, unread, element, self._entry_id(element, 1)).read()
            yield from (found,) if isinstance(found, IncomingEntry) else found

    def has_entry(self, file_id: str, ids: NameSet) -> bool:
        """Whether the file has an entry of this id."""
        return file_id in self.entry_ids

    def _entry_id(self, element: Element, way: int) -> str:
        self._numbers[way] += 1
        return element.get("id") or f"entry {self._numbers[way]}"  # which no XML name can be

    def _header(self, header: Element, unread: Unread) -> None:
        said = {line_text(element) for element in header.iter() if local_name(element) == "p"}
        former = not _FORMER.isdisjoint(said) and any(text.startswith(LANGUAGES) for text in said)
        self.ours = self.background_of.ours = MARK in said or former
        for element in header.iter():
            name, text = local_name(element), line_text(element)
            if name == "title" and not self.background_of.title:
                self.background_of.title = text
            elif name == "p" and self.ours and (text in (MARK, *_FORMER) or text.startswith(LANGUAGES)):
                continue
            elif own_text(element):
                unread.dropped[message("header %(name)s", name=name)] += 1

    def _cite_sources(self, entry: Element) -> None:
        """Take note of the sources of quotations and definitions, as they will be looked for."""
        for element in entry.iter():
            name = category(element)
            if name not in ("context", "definition"):
                continue
            found = _source_beside(element)
            if found is not None and (target_of(found) or line_text(found)):
                self.background_of.cite(target_of(found), line_text(found))
            elif name == "context":
                self.background_of.cite_file()

    # ---- what an entry says

    def word(self, element: Element) -> str:
        """The text on one line."""
        return line_text(element)

    def text(self, element: Element) -> str:
        """Text without the indentation of the file; of ours as it stands."""
        return whole_text(element) if self.ours else block_of(element)

    def parts(self, term: Element) -> Iterable[Element]:
        """What stands in a term section, and in a group of its own there."""
        return parts_of(term)

    def keep(self, concept: ConceptReader, element: Element, whose: str = "") -> None:
        """Quotations as slips, the rest as notes."""
        self._keeping.keep(concept, element, whose)

    def keep_markup(self, concept: ConceptReader, element: Element, whose: str) -> None:
        """As notes, where it says more than its text."""
        self._keeping.markup(concept, element, whose)

    def not_one_of(self, concept: ConceptReader, child: Element, main: Element, row: Row) -> None:
        """A note, unless a topic is only written in other letters."""
        word = line_text(main).casefold()
        if row.name == "topic" and row.name not in concept.at and word in row.known:
            concept.at["topic"] = row.known[word]
            concept.beside(child, main)
        else:
            self.keep(concept, child)

    def relation(self, concept: ConceptReader, element: Element) -> Relation | None:
        """A relation that leads to another entry of the file, and is not there yet; *see also* where its text
        does not begin with a kind of ours (`broader: trip`)."""
        text, target = line_text(element), target_of(element)
        kind = text.partition(":")[0].strip().casefold()
        said = kind in RelationKind._value2member_map_
        relation = Relation(RelationKind(kind) if said else RelationKind.SEE_ALSO, target)
        if target not in self.entry_ids or target == concept.id or relation in concept.relations:
            return None
        if text and not said:
            self._keeping.element(concept, element, "")
        else:
            self._keeping.markup(concept, element, "")
        return relation

    def language(self, concept: ConceptReader, group: Element, definition: Element) -> str:
        """That which it says, or around it; with the concept that which a note of ours says."""
        language = definition.get(LANG) or (
            language_around(definition) if concept.term_id else concept.language
        )
        note = next((p for p in group if category(p) == "note" and text_of(p).startswith(_LANGUAGE_OF)), None)
        noted = "" if note is None else text_of(note).removeprefix(_LANGUAGE_OF).strip()
        language = language or noted or self.head.language
        if not language:
            raise fault(message("The definition is in no language."), definition, "xml:lang")
        _check_tag(language, definition)
        if note is not None and noted == language:
            concept.done.add(note)  # written again, it would come back as one note more
        return str(language)

    def source(self, concept: ConceptReader, group: Element, whose: str) -> str:
        """The source of a definition, in the back matter or in words; what the words say more is kept."""
        found = source_in(group)
        if found is None:
            return ""
        target, text = target_of(found), line_text(found)
        concept.done.add(found)
        if not self.ours and self.background_of.more(target, text):
            self._keeping.element(concept, found, whose)
        return self.background_of.source_id(target, text)

    def transaction(self, concept: ConceptReader, group: Element, main: Element) -> str:
        """The first that is said; the last change only of ours: else it is that of who takes the file in."""
        done = _DONE.get(line_text(main), "")
        if group is main or (done == "changed" and not self.ours):
            return ""
        return "" if f"{done}_on" in concept.values or f"{done}_by" in concept.values else done

    def transacted(self, concept: ConceptReader, part: Element, field: str) -> str | None:
        """A day, or who is pointed at or named; another name beside it is kept."""
        if field in concept.values:
            return None
        text = line_text(part)
        if field.endswith("_on"):
            return text if _DAY.fullmatch(text) else None
        target = target_of(part)
        who = self.background_of.person(target, text)
        if text not in ("", who) or self.background_of.is_loose(target):
            self.keep(concept, part, "origination" if field.startswith("created") else "modification")
        return who

    def section(self, concept: ConceptReader, section: Element) -> str:
        """The language, which must be said."""
        language = section.get(LANG) or section.get("lang") or ""
        if not language:
            raise fault(message("The language section has no language."), section, "xml:lang")
        _check_tag(language, section)
        return language

    def bare_section(self, concept: ConceptReader, section: Element) -> None:
        """A note says that it was there."""
        self._keeping.text(concept, local_name(section), concept.language)

    def begin_term(self, concept: ConceptReader, section: Element) -> TermValues | None:
        """Id, text and language; None for a section without a name, and for a form as printed."""
        parts = list(parts_of(section))
        texts = [text for p in parts if local_name(p) == "term" and (text := line_text(p))]
        if not texts:
            self._without_text(concept, section, parts)
        elif not self._is_printed_form(concept, parts, texts[0]):
            name = section.get("id") or _made_id(concept)
            return {"id": name, "text": texts[0], "language": concept.language}
        return None

    def name(self, concept: ConceptReader, element: Element) -> None:
        """Known already."""
        self._keeping.markup(concept, element, "")

    def note(self, concept: ConceptReader, child: Element, main: Element) -> None:
        """A field of ours behind its label; any other note is kept."""
        own = self.ours and child is main
        if own and read_term_note(child, concept.at, language_around(child)):
            return
        if own and is_computed(child):
            concept.unread.dropped[message("evidence, which is computed here again")] += 1
        else:
            self.keep(concept, child)

    def end_term(self, concept: ConceptReader, section: Element, values: TermValues) -> None:
        """Add the name, and any other name in the same section."""
        origin = values.setdefault("origin", self.origin)
        concept.terms.append(values)
        others = [text for p in parts_of(section) if local_name(p) == "term" and (text := line_text(p))][1:]
        for text in others:  # no grammar allows it, but no name is lost
            concept.terms.append(
                {"id": _made_id(concept), "text": text, "language": concept.language, "origin": origin}
            )

    def _without_text(self, concept: ConceptReader, section: Element, parts: Iterable[Element]) -> None:
        concept.unread.dropped[message("term without text")] += 1
        place = joined((self.head.name, place_of(section)), ", ")
        told = message("%(place)s: a term without text was left out.", place=place)
        concept.unread.noted[told] = None
        for part in parts:
            if local_name(part) != "term":
                self.keep(concept, part)

    def _is_printed_form(self, concept: ConceptReader, parts: list[Element], text: str) -> bool:
        """Whether this is the form as printed of another term, as an export of ours says it."""
        if not self.ours or len(parts) != 2 or category(parts[1]) != "crossReference":
            return False
        target = target_of(parts[1])
        if not text_of(parts[1]).startswith(_AS_PRINTED) or target in concept.printed:
            return False
        if not any(e.get("id") == target for e in concept.element.iter() if local_name(e) in TERMS):
            return False
        concept.printed[target] = text, concept.language
        return True

    # ---- quotations

    def quotation(self, concept: ConceptReader, child: Element, main: Element, whose: str = "") -> None:
        """A slip with the source that is said, or else the file itself.

        Only an export of ours says what a quotation does with a name and how sure it is; of any other file
        that is not stated.
        """
        found = _source_beside(main)
        text = whole_text(main).strip() if self.ours else block_of(main)
        if quoted := unicodedata.normalize("NFC", text):
            concept.slips.append(self._slip(concept, child, quoted, found, whose or concept.language))
            if found is not None:
                concept.done.add(found)
        else:
            concept.unread.dropped[message("quotation without text")] += 1
        self._keeping.markup(concept, main, "quotation")
        concept.beside(child, main, "quotation")

    def _slip(
        self, concept: ConceptReader, holder: Element, quoted: str, source: Element | None, whose: str
    ) -> Slip:
        background = self.background_of
        target, said = ("", "") if source is None else (target_of(source), line_text(source))
        source_id = background.source_id(target, said) or background.file_source_id()
        more = background.more(target, said)
        where = read_whereabouts(more, background.issued(source_id)) if self.ours else None
        values: dict[str, object] = {
            "id": holder.get("id") or f"{concept.id} slip {len(concept.slips) + 1}",
            "source_id": source_id,
            "text": quoted,
            "term_id": concept.term_id,
            **_NOT_STATED,
            **(where or {}),
        }
        if self.ours:
            fields, read = read_slip_notes(holder, self.ids)
            values |= fields
            concept.done.update(read)
        notes = [
            values.get("note", ""),
            f"Source: {more}" if more and where is None else "",
            "" if concept.term_id or self.ours else self._stands(concept, whose),
        ]
        values["note"] = "\n".join(filter(None, map(str, notes)))
        return msgspec.convert(values, Slip)

    def _stands(self, concept: ConceptReader, whose: str) -> str:
        place = f"Concept {concept.id} of the file {self.head.name}"
        return f"{place}: {whose}." if whose else f"{place}."

    # ---- the whole concept

    def settle(self, concept: ConceptReader) -> tuple[Slip, ...] | None:
        """Put printed forms with their names, and let one name a language be preferred; a concept without a
        name becomes slips that wait unsorted."""
        if not concept.terms:
            return self._without_name(concept)
        for values in concept.terms:
            found = concept.printed.get(str(values["id"]))
            if found:
                values["printed"], values["printed_language"] = found
        self._prefer_once(concept)
        return None

    def checked(self, concept: ConceptReader, entry: Entry) -> Entry:
        """The entry, its texts in order."""
        try:
            return take_entry(entry)
        except BadInput as error:
            raise fault(error.what, concept.element, error.where, mend=error.mend) from error

    def _prefer_once(self, concept: ConceptReader) -> None:
        """One name a language is preferred; further ones are admitted, and the report says so."""
        seen: set[str] = set()
        for values in concept.terms:
            if values.get("status") is not Status.PREFERRED:
                continue
            tag = tags.canonical(str(values["language"]))
            if tag in seen:
                values["status"] = Status.ADMITTED
                concept.begin(values)
                self._keeping.text(concept, "administrativeStatus", "preferredTerm-admn-sts")
                concept.end(values)
                told = message(
                    "Where several names in a language were called preferred, the first is; the others are "
                    "admitted, and a note on each says so."
                )
                concept.unread.noted[told] = None
            seen.add(tag)

    def _without_name(self, concept: ConceptReader) -> tuple[Slip, ...]:
        """The slips that a concept without a term becomes: definitions, notes, quotations."""
        notes = [f"{name}: {value}" for name, value in concept.values.items()]
        notes += [f"{r.kind}: {r.target_id}" for r in concept.relations]
        for note in concept.lists.get("foreign_notes", ()):
            if isinstance(note, ForeignNote):
                notes.append(": ".join(filter(None, (note.language, note.words()))))
        stands, file_source = self._stands(concept, ""), self.background_of.file_source_id()
        slips = [
            Slip(
                f"{concept.id} definition {n}", d.source_id or file_source, d.text, kind=SlipKind.DEFINITION,
                certainty=Certainty.NOT_STATED, note=f"{stands}\nIn {d.language}.",
            )
            for n, d in enumerate(concept.definitions, 1)
        ]  # fmt: skip
        if notes:
            slips.append(
                Slip(
                    f"{concept.id} notes", file_source, "\n".join(notes), kind=SlipKind.NOT_STATED,
                    certainty=Certainty.NOT_STATED, note=stands,
                )
            )  # fmt: skip
        slips += concept.slips
        if slips:
            concept.unread.kept[message("concept without a term")] += 1
            told = message("Concepts without a term became slips that wait unsorted.")
        else:
            concept.unread.dropped[message("concept that holds nothing")] += 1
            place = joined((self.head.name, place_of(concept.element)), ", ")
            told = message("%(place)s: the concept holds nothing.", place=place)
        concept.unread.noted[told] = None
        return tuple(slips)


def is_quotation(slip: Slip) -> bool:
    """Whether a slip of a concept without a term was a quotation in the file."""
    return not slip.id.endswith(" notes") and " definition " not in slip.id


def _source_beside(element: Element) -> Element | None:
    """The source that is named in the group that an element stands in."""
    group = parent_of(element)
    return source_in(group) if group is not None and local_name(group) in GROUPS else None


def _made_id(concept: ConceptReader) -> str:
    """An id that no XML name can be."""
    return f"{concept.id} term {len(concept.terms) + 1}"


def _check_tag(language: str, element: Element) -> None:
    if not tags.is_well_formed(language):
        raise fault(
            message("“%(language)s” is no language tag.", language=language[:80]),
            element,
            "xml:lang",
            mend=message("Write a tag of BCP 47, such as cy or ga-Latg."),
        )
