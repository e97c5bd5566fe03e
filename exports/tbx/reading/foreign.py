"""Concept entries that other systems wrote: DCA and DCT style, any dialect, and files of 2008.

A data category is known by its name, whichever element or namespace carries it. What the record has a field
for goes there; everything else is kept in the editor's note with its name and counted. Nothing is guessed: a
value that is not in our lists stays a word in the note, and where the names come from is not in such a file
at all, unless it says so in the words of an export of ours.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Final

from lxml import etree

from exports.tbx.categories import FIELDS, OTHER
from exports.tbx.reading.background import Background
from exports.tbx.reading.faults import Unread, fault, line_of, note_of
from exports.tbx.reading.markup import local_name, whole_text
from exports.tbx.reading.names import CLOSED, FREE, GROUPS, META, SECTIONS, TERMS, read_relation, read_topic
from exports.tbx.reading.opening import LANG, Head
from termbase import tags
from termbase.entries import Definition, Entry, Origin, Relation, Status, Term
from termbase.errors import BadInput
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.intake import take_entry
from termbase.sources import Slip

__all__ = ["ForeignReader"]

Element = etree._Element
_OURS: Final = "ISO 30042:2019, TBX-Basic"
_LABELS: Final = tuple(f"{field.label}: " for field in FIELDS.values())
_ORIGIN: Final = f"{FIELDS['term.origin'].label}: "
_LANGUAGE_OF: Final = f"{FIELDS['definition.language'].label}: "
_AS_PRINTED: Final = "as printed for: "
_INDENTED: Final = re.compile(r"[ \t]*\n[ \t]+")
_LAYERS: Final = frozenset({"term", "termGrp"}) | SECTIONS | TERMS


class ForeignReader:
    """Reads one file in two ways through: first what is in it, then its entries.

    Args:
        head: what its root says.
        origin: where its names come from; None while it is only looked at.
    """

    def __init__(self, head: Head, origin: Origin | None) -> None:
        self.head = head
        self.origin = origin
        self.unread = Unread()
        self.background_of = Background(head.name)
        self.entry_ids: set[str] = set()
        self.ours = False
        self.known: Callable[[str], bool] = lambda _: False
        self._numbers = [0, 0]

    def first(self, element: Element, known: Callable[[str], bool]) -> Iterator[IncomingEntry | str]:
        """First way: a piece of the file; gives the id of an entry, or all of it if the id is known here."""
        self.known = known
        name = local_name(element)
        if name in ("tbxHeader", "martifHeader"):
            self._header(element)
        elif name == "refObject":
            self.background_of.take_object(element)
        else:
            entry_id = self._entry_id(element, 0)
            self.entry_ids.add(entry_id)
            self._note_sources(element)
            if known(entry_id):
                found = _Entry(self, Unread(), element, entry_id).read()
                if found is not None:
                    yield found
            else:
                yield entry_id

    def background(self) -> Iterator[IncomingRecord]:
        """After the first way: people and sources."""
        yield from self.background_of.records(self.unread)

    def second(self, element: Element) -> IncomingEntry | None:
        """Second way: the entry of a piece; None for other pieces, and for an entry without a term."""
        if local_name(element) not in ("conceptEntry", "termEntry"):
            return None
        return _Entry(self, self.unread, element, self._entry_id(element, 1)).read()

    def _entry_id(self, element: Element, way: int) -> str:
        self._numbers[way] += 1
        return element.get("id") or f"entry.{self._numbers[way]}"

    def _header(self, header: Element) -> None:
        for element in header.iter():
            name = local_name(element)
            text = " ".join(whole_text(element).split())
            if name == "title" and not self.background_of.title:
                self.background_of.title = text
            elif name == "p" and text.startswith(_OURS):
                self.ours = True

    def _note_sources(self, entry: Element) -> None:
        for group in entry.iter():
            if (
                local_name(group) == "descripGrp"
                and len(group)
                and _category(group[0]) in ("context", "definition")
            ):
                target, text = _source_of(group)
                if target or text:
                    self.background_of.cite(target, "" if target else text)
                elif _category(group[0]) == "context":
                    self.background_of.cite_file()
            elif _category(group) == "context" and _parent_name(group) != "descripGrp":
                self.background_of.cite_file()


class _Entry:
    def __init__(self, file: ForeignReader, unread: Unread, element: Element, entry_id: str) -> None:
        self.file, self.unread, self.element, self.id = file, unread, element, entry_id
        self.values: dict[str, Any] = {}
        self.terms: list[Term] = []
        self.definitions: list[Definition] = []
        self.relations: list[Relation] = []
        self.slips: list[Slip] = []
        self.notes: list[str] = []
        self.printed: dict[str, tuple[str, str]] = {}
        self.skips_own_notes = file.ours and file.known(entry_id)

    def read(self) -> IncomingEntry | None:
        """The entry; None, and counted, where it has no term."""
        for child in self.element:
            if _is_section(child):
                self._section(child)
            else:
                self._of_concept(child)
        if not self.terms:
            self.unread.dropped["entry without a term"] += 1
            return None
        terms = self._preferred_once(tuple(self._with_printed(t) for t in self.terms))
        entry = Entry(
            self.id, terms=terms, definitions=tuple(self.definitions), relations=tuple(self.relations),
            editor_note="\n".join(self.notes), **self.values,
        )  # fmt: skip
        try:
            taken = take_entry(entry)
        except BadInput as error:
            raise fault(error.what, self.element, error.where, mend=error.mend) from error
        return IncomingEntry(taken, tuple(self.slips), f"line {line_of(self.element)}")

    # ---- the concept as a whole

    def _of_concept(self, child: Element) -> None:
        name, main = _main(child)
        if name == "subjectField" and "topic" not in self.values and (topic := read_topic(_text(main))):
            self.values["topic"] = topic
            self._beside(child, main, "")
        elif name == "definition":
            self._definition(child, main, main.get(LANG) or _said_language(child) or self.file.head.language)
        elif name == "crossReference" and _target(main) in self.file.entry_ids:
            self.relations.append(Relation(read_relation(_text(main)), _target(main)))
            self._beside(child, main, "")
        elif name == "context":
            self._slip(child, main, "")
        elif name == "transactionType":
            self._transaction(child, main)
        else:
            self._keep(child, "")

    def _transaction(self, group: Element, main: Element) -> None:
        field = {"origination": "created", "modification": "changed"}.get(_text(main))
        if field is None or group is main:
            self._keep(group, "")
            return
        for part in group:
            name = _category(part)
            if part is main:
                continue
            if name == "date":
                self.values[f"{field}_on"] = _text(part)
            elif name == "responsibility":
                self.values[f"{field}_by"] = self.file.background_of.person(_target(part), _text(part))
            else:
                self._keep(part, "")

    def _definition(self, child: Element, main: Element, language: str) -> None:
        target, text = _source_of(child) if child is not main else ("", "")
        if not language:
            raise fault("The definition is in no language.", main, "xml:lang")
        source = self.file.background_of.source_id(target, text)
        self._check_tag(language, main)
        self.definitions.append(Definition(language, self._block(main), source))
        self._markup(main)
        self._beside(child, main, f"definition ({language})", but=("source",))

    # ---- languages and terms

    def _section(self, section: Element) -> None:
        language = section.get(LANG) or section.get("lang") or ""
        if not language:
            raise fault("The language section has no language.", section, "xml:lang")
        self._check_tag(language, section)
        for child in section:
            name, main = _main(child)
            if local_name(child) in TERMS:
                self._term(child, language)
            elif name == "definition":
                self._definition(child, main, main.get(LANG) or language)
            elif name == "context":
                self._slip(child, main, "")
            else:
                self._keep(child, language)

    def _check_tag(self, language: str, element: Element) -> None:
        if not tags.is_well_formed(language):
            raise fault(
                f"“{language}” is no language tag.", element, "xml:lang",
                mend="Write a tag of BCP 47, such as cy or ga-Latg.",
            )  # fmt: skip

    def _term(self, section: Element, language: str) -> None:
        parts = list(_parts(section))
        text = next((_line(p) for p in parts if local_name(p) == "term"), "")
        if not text:
            self.unread.dropped["term without text"] += 1
            self.unread.noted[
                f"{self.file.head.name}, line {line_of(section)}: a term without text was left out."
            ] = None
            for part in parts:
                if local_name(part) != "term":
                    self._keep(part, language)
            return
        if self._is_printed_form(parts, text, language):
            return
        term_id = section.get("id") or f"{self.id}.{len(self.terms) + 1}.term"
        whose = f"{text} ({language})"
        values: dict[str, Any] = {}
        for part in parts:
            if local_name(part) == "term":
                self._markup(part)
            else:
                self._of_term(part, values, term_id, whose, language)
        origin = values.pop("origin", None) or self.file.origin or Origin.WORD_LIST
        self.terms.append(Term(term_id, text, language, origin, **values))

    def _of_term(
        self, part: Element, values: dict[str, Any], term_id: str, whose: str, language: str
    ) -> None:
        name, main = _main(part)
        text = _line(main)
        closed = CLOSED.get(name)
        if closed is not None:
            field, known = closed
            if field not in values and text in known:
                values[field] = known[text]
                self._beside(part, main, whose)
            else:
                self._keep(part, whose)
        elif name in FREE and FREE[name] not in values:
            values[FREE[name]] = self._block(main)
            self._beside(part, main, whose)
        elif name == "context":
            self._slip(part, main, term_id)
        elif name == "definition":
            self._definition(part, main, main.get(LANG) or language)
        elif name == "note" and text.startswith(_ORIGIN) and text.removeprefix(_ORIGIN) in _ORIGINS:
            values["origin"] = _ORIGINS[text.removeprefix(_ORIGIN)]
        else:
            self._keep(part, whose)

    def _is_printed_form(self, parts: list[Element], text: str, language: str) -> bool:
        """Whether this is the form as printed of another term, as an export of ours says it."""
        if (
            len(parts) != 2
            or _category(parts[1]) != "crossReference"
            or not _text(parts[1]).startswith(_AS_PRINTED)
        ):
            return False
        self.printed[_target(parts[1])] = (text, language)
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
                    self.notes.append(f"{term.text} ({tag}): also called preferred")
                    self.unread.noted[
                        "Where several names in a language were called preferred, the first is; the others "
                        "are admitted, and the editor's note says so."
                    ] = None
                seen.add(tag)
            found.append(term)
        return tuple(found)

    # ---- quotations

    def _slip(self, child: Element, main: Element, term_id: str) -> None:
        background = self.file.background_of
        target, text = _source_of(child) if child is not main else ("", "")
        source = background.source_id(target, text) or background.file_source_id()
        label = background.label_of(target)
        more = text.removeprefix(label).lstrip(" ,;:") if target and text != label else ""
        name = (child if child is not main else main).get("id")
        slip_id = name or f"{self.id}.{len(self.slips) + 1}.slip"
        note = f"Source: {more}" if more else ""
        quoted = unicodedata.normalize("NFC", self._block(main))
        if not quoted:
            self.unread.dropped["quotation without text"] += 1
            return
        self.slips.append(Slip(slip_id, source, quoted, note=note, term_id=term_id))
        self._markup(main)
        self._beside(child, main, "quotation", but=("source",))

    # ---- what there is no field for

    def _beside(self, child: Element, main: Element, whose: str, but: tuple[str, ...] = ()) -> None:
        """Keep what stands in a group beside its first element."""
        if child is main:
            return
        seen = False
        for part in child:
            if part is main:
                continue
            if _category(part) in but and not seen:
                seen = True
                continue
            self._keep(part, whose)

    def _keep(self, child: Element, whose: str) -> None:
        if not isinstance(child.tag, str):
            raise fault("There is a reference to an entity; entities are not read.", self.element)
        if local_name(child) in GROUPS:
            for part in child:
                self._keep(part, whose)
            return
        name = _category(child)
        text = _line(child)
        if self.skips_own_notes and (
            text == OTHER or text.startswith(_LABELS) or name in ("projectSubset", "xGraphic")
        ):
            return
        if not text and not child.get("target"):
            return
        if name == "note":
            self.notes.append(f"{whose}: {text}" if whose else text)
        else:
            self.unread.kept[name] += 1
            self.notes.append(note_of(child, name, whose))
        self._markup(child)

    def _block(self, element: Element) -> str:
        """Text whose line breaks count, but not the indentation of the file; an export of ours has none."""
        text = whole_text(element)
        return text if self.file.ours else _INDENTED.sub(" ", text.strip())

    def _markup(self, element: Element) -> None:
        for inner in element.iterdescendants():
            if not isinstance(inner.tag, str):
                raise fault("There is a reference to an entity; entities are not read.", element)
            self.unread.dropped[f"markup {local_name(inner)} (its text was kept)"] += 1


_ORIGINS = {origin.value: origin for origin in Origin}


def _is_section(element: Element) -> bool:
    return local_name(element) in SECTIONS


def _category(element: Element | None) -> str:
    """The name of the data category of an element: its type in DCA style, its tag in DCT."""
    if element is None:
        return ""
    name = local_name(element)
    return (element.get("type") or name) if name in META else name


def _parent_name(element: Element) -> str:
    parent = element.getparent()
    return "" if parent is None else local_name(parent)


def _main(child: Element) -> tuple[str, Element]:
    """The data category of an element, or of the first in a group, and that element."""
    main = child[0] if local_name(child) in GROUPS and len(child) else child
    return _category(main), main


def _parts(section: Element) -> Iterator[Element]:
    """What stands in a term section; in one of 2008 the term may stand in a group of its own."""
    for child in section:
        if local_name(child) == "termGrp":
            yield from child
        else:
            yield child


def _source_of(group: Element) -> tuple[str, str]:
    """Pointer and text of the source that stands in a group."""
    for part in group.iter():
        if _category(part) == "source":
            return _target(part), _line(part)
    return "", ""


def _said_language(group: Element) -> str:
    """The language of a definition as an export of ours says it where no attribute can."""
    for part in group:
        if _category(part) == "note" and _text(part).startswith(_LANGUAGE_OF):
            return _text(part).removeprefix(_LANGUAGE_OF).strip()
    return ""


def _target(element: Element) -> str:
    return (element.get("target") or "").removeprefix("#")


def _text(element: Element) -> str:
    return whole_text(element).strip()


def _line(element: Element) -> str:
    return unicodedata.normalize("NFC", " ".join(whole_text(element).split()))
