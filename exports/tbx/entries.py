"""Writes concept entries: what applies to the whole concept, then its language sections.

`EntryWriter` writes an entry in either dialect. `OwnElements` writes what only TBX-Wordhold has elements for:
technique, readings, parts, orders.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import msgspec

from exports.tbx.categories import Level
from exports.tbx.context import Context
from exports.tbx.notes import NoteWriter, Remarks
from exports.tbx.parts import NAME, NOTE
from exports.tbx.plans import Draft, Element, Part, Ready, Values, Written, step_of
from exports.tbx.tags import FIELDS, Fate, free_fields
from exports.tbx.terms import TermSections
from exports.tbx.wording import statements
from exports.tbx.xmltext import UNDETERMINED, safe_tag, xml_id, xml_language
from termbase.dates import edtf
from termbase.evidence.scales import Evidence
from termbase.fields.declarations import Member, field_of, fields_of
from termbase.overviews.articles import Article
from termbase.record.entries import Entry, Signature, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.technique.profile import Profile

__all__ = ["EntryWriter", "OwnElements", "Parts"]

_NO_TERM: Final = '<langSec xml:lang="und">\n<termSec>\n<term/>\n<wh:noTerm/>\n</termSec>\n</langSec>\n'
_READINGS: Final = ("language_reading", "practice_reading")
_MADE: Final = ("created_by", "created_on", "changed_by", "changed_on")
_PARTS: Final = (("analogue", True), ("figure", True), ("ruling", False))
"""Parts of an entry that are one element each, and whether they may have a source."""


class OwnElements:
    """Writes the elements of the private module to a list of text pieces."""

    def __init__(self, context: Context, values: Values) -> None:
        self._context, self._escape, self._attribute = context, context.escape, context.escaper.attribute
        self._notes = NoteWriter(context)
        self._own_fields = values.of("entry", ("technique", "foreign_notes", *_READINGS, "version"))
        self._empty = self._own_fields(values.new_entry)
        self._profile, self._foreign = values.within(Profile), values.within(tuple[ForeignNote, ...])
        self._states = Ready(context, self._made_state)
        self._signature = values.within(Signature)
        self._relation = values.texts("relation", ("kind", "target_id"))
        self._parts = tuple(
            (Element(context, record, values), values.text(record, "source_id") if cited else None)
            for record, cited in _PARTS
        )
        self._term_id = values.text("term", "id")

    def concept(self, out: list[str], entry: Part, plain: str) -> None:
        """Write the technique, then `plain` (the elements that are ready), other notes, readings, version."""
        values = self._own_fields(entry)
        if values == self._empty:
            out.append(plain)
            return
        technique, notes, *state = values
        if technique is not None:
            self._technique(out, technique)
        out.append(plain)
        if notes != self._empty[1]:
            out.append(self._notes.elements(self._foreign(notes)))
        out.append(self._states[tuple(state)].front)

    def parts(self, out: list[str], relations: Sequence[Part], others: Sequence[Sequence[Part]]) -> None:
        """Write relations, then analogues, figures and rulings, each with its source."""
        selected, style = self._context.selected, self._context.style
        for relation in relations:
            kind, target = self._relation(relation)
            # The target of a relation always exists; in a selection, it must be among the entries written.
            if selected is None or target in selected:
                start = style.start("crossReference", target=xml_id("entry", target))
                out.append(f"{start}{kind}{style.end('crossReference')}\n")
            else:
                start = f'<wh:relationOutside entry="{self._attribute(target)}">'
                out.append(f"{start}{kind}</wh:relationOutside>\n")
        for (element, source), those in zip(self._parts, others, strict=False):
            for part in those:
                text, cited = element.text(element.get(part)), source(part) if source else ""
                if cited:
                    text = f"<descripGrp>\n{text}{self._context.cite(cited).closed}</descripGrp>\n"
                out.append(text)

    def order_of_definitions(
        self, out: list[str], recorded: Sequence[object], in_file: Sequence[object]
    ) -> None:
        """Write the order of the definitions in the record, if the file has them in another order."""
        # By position, not by value: two definitions may be equal.
        order = {id(definition): place for place, definition in enumerate(in_file)}
        places = [order[id(definition)] for definition in recorded]
        if places != sorted(places):
            out.append(f"<wh:definitionOrder>{' '.join(map(str, places))}</wh:definitionOrder>\n")

    def order_of_terms(
        self, out: list[str], recorded: Sequence[Part], sections: Mapping[str, Sequence[Part]]
    ) -> None:
        """Write the order of the terms in the record, if their sections have them in another order."""
        if [term for those in sections.values() for term in those] != recorded:
            ids = " ".join(xml_id("term", self._term_id(term)) for term in recorded)
            out.append(f"<wh:termOrder>{ids}</wh:termOrder>\n")

    def _technique(self, out: list[str], technique: object) -> None:
        """Write an element for each stated point, each further name, and the note."""
        profile, before = self._profile(technique), len(out)
        for hand, point, stated in statements(profile):
            value = stated.value
            if isinstance(value, bool):
                text = "yes" if value else "no"
            else:
                text = "; ".join(value) if isinstance(value, tuple) else str(value)
            attributes = {
                "point": f"{hand}.{point}" if hand else point,
                "basis": stated.basis,
                "ref": stated.ref,
            }
            out.append(f"<wh:technique{self._attributes(attributes)}>{self._escape(text)}</wh:technique>\n")
        more = [*((NAME, name) for name in profile.names), *((NOTE, n) for n in (profile.note,) if n)]
        out += (f'<wh:technique point="{p}">{self._escape(text)}</wh:technique>\n' for p, text in more)
        if len(out) == before:
            out.append("<wh:technique/>\n")

    def _made_state(self, key: tuple[object, ...]) -> Written:
        *readings, version = key
        out = []
        for name, value in zip(_READINGS, readings, strict=True):
            signature = self._signature(value)
            reopened = msgspec.json.encode(signature.reopened).decode() if signature.reopened else ""
            attributes = self._attributes({"by": signature.by, "on": signature.on, "reopened": reopened})
            if attributes:
                out.append(f"<{FIELDS[f'entry.{name}'].tag}{attributes}/>\n")
        if version != 1:
            out.append(f"<wh:version>{version}</wh:version>\n")
        return Written("".join(out))

    def _attributes(self, values: Mapping[str, str]) -> str:
        return "".join(f' {name}="{self._attribute(text)}"' for name, text in values.items() if text)


@dataclass(slots=True)
class Parts:
    """An entry with its parts: records, or table rows.

    Attributes:
        slips: by the id of their term.
        article: the article of the entry, if records are written.
    """

    entry: Part
    terms: Sequence[Part]
    definitions: Sequence[Part]
    relations: Sequence[Part]
    others: Sequence[Sequence[Part]]
    slips: Mapping[str, Sequence[Part]]
    article: Article | None = None


@dataclass(frozen=True, slots=True)
class _Printed:
    """The printed form of a term, in the section of its own tag."""

    term: Term


class EntryWriter:
    """Writes entries as concept entries."""

    def __init__(self, context: Context, values: Values) -> None:
        self._context, self._whole, self._escape = context, context.style.whole, context.escape
        self._opening = context.notes_in(context.working_language)
        self._order = {tag: rank for rank, tag in enumerate(context.library.termbase.languages)}
        self._terms = TermSections(context, values)
        self._notes = NoteWriter(context)
        self._own = OwnElements(context, values)
        self._remarks = Remarks(context)
        closed, free = [f.name for f in fields_of(Entry) if isinstance(f.is_a, Member)], free_fields("entry")
        self._closed = tuple(
            step_of(context, "entry", field_of(Entry, name), self._remarks.words_language) for name in closed
        )
        self._free = tuple(step_of(context, "entry", field_of(Entry, name)) for name in free)
        self._id = values.text("entry", "id")
        self._words = values.of("entry", closed)
        self._texts = values.of("entry", free)
        self._abouts = Ready(context, self._made_about)
        self._made = values.of("entry", _MADE)
        self._transactions = Ready(context, self._made_transactions)
        self._start = context.style.start("definition")
        self._end = f"{context.style.end('definition')}\n"
        self._definition = values.texts("definition", ("language", "text", "source_id"))
        self._language = values.text("term", "language")

    def write(self, parts: Parts) -> str:
        """Return an entry as text; empty, and counted as left out, if TBX-Basic has no term for it."""
        entry_id = self._id(parts.entry)
        sections = self._sections(parts)
        if not (sections or self._whole):
            self._context.tally.left_out["entry.terms"] += 1
            return ""
        definitions = [self._definition(definition) for definition in parts.definitions]
        apart: list[tuple[str, ...]] = []
        in_section: dict[str, list[tuple[str, ...]]] = {}
        for definition in definitions:
            tag = definition[0] if self._whole else safe_tag(definition[0])
            (in_section.setdefault(tag, []) if tag in sections else apart).append(definition)
        out = [f'<conceptEntry id="{xml_id("entry", entry_id)}">\n']
        about, made = self._abouts[self._words(parts.entry)], self._transactions[self._made(parts.entry)]
        about.uses += 1
        made.uses += 1
        out.append(about.front)
        notes = about.notes + self._free_texts(parts.entry)
        if parts.article is None:
            self._own.concept(out, parts.entry, notes)
            self._own.parts(out, parts.relations, parts.others)
            for definition in apart:
                self._write_definition(out, definition, apart=True)
            if len(definitions) > 1:
                in_file = [*apart, *(d for tag in sections for d in in_section.get(tag, ()))]
                self._own.order_of_definitions(out, definitions, in_file)
            if 1 < len(sections) < len(parts.terms):
                self._own.order_of_terms(out, parts.terms, sections)
        else:
            self._in_notes(out, parts.article, notes, sections, apart)
        out.append(made.front)
        names: Mapping[str, Evidence] = parts.article.names if parts.article else {}
        slips, write = parts.slips, self._terms.write
        for tag, terms in sections.items():
            out.append(f'<langSec xml:lang="{xml_language(tag) if self._whole else tag}">\n')
            for definition in in_section.get(tag, ()):
                self._write_definition(out, definition, apart=False)
            if parts.article:
                self._notes_of_section(out, parts.article, tag)
            for term in terms:
                if isinstance(term, _Printed):
                    self._terms.write_printed(out, term.term)
                else:
                    write(out, term, tag, slips, names)
            out.append("</langSec>\n")
        out.append("</conceptEntry>\n" if sections else f"{_NO_TERM}</conceptEntry>\n")
        return "".join(out)

    def finish(self) -> None:
        """Add the counts of writing to the totals; call it once, at the end."""
        self._terms.finish()
        self._abouts.count()
        self._transactions.count()
        self._context.settle(0)
        self._context.tally.entries = self._context.tally.carried["entry.id"]

    # ---- sections

    def _sections(self, parts: Parts) -> Mapping[str, Sequence[Part]]:
        """Return the terms by the language of their section."""
        if parts.article is not None:
            return self._basic_sections(parts.article)
        sections: dict[str, list[Part]] = {}
        for term in parts.terms:
            language = self._language(term)
            if language in sections:
                sections[language].append(term)
            else:
                sections[language] = [term]
        return sections

    def _basic_sections(self, article: Article) -> Mapping[str, Sequence[Part]]:
        """Return the terms with text, in the order of the termbase's languages.

        A printed form also appears under its own tag, unless a term there has the same text.
        """
        sections: dict[str, list[Term | _Printed]] = {}
        terms, left_out = [], self._context.tally.left_out
        for term in article.entry.terms:
            if term.text and not term.text.isspace():
                terms.append(term)
                sections.setdefault(safe_tag(term.language), []).append(term)
            else:
                left_out["term.text"] += 1
                left_out["slip.text"] += len(article.slips.get(term.id, ()))
        for term in terms:
            tag = term.printed_language
            if not (term.printed and tag) or tag == term.language or safe_tag(tag) == UNDETERMINED:
                continue
            section = sections.setdefault(safe_tag(tag), [])
            if all((t.term.printed if isinstance(t, _Printed) else t.text) != term.printed for t in section):
                section.append(_Printed(term))
        order, last = self._order, len(self._order)
        return dict(sorted(sections.items(), key=lambda item: order.get(item[0], last)))

    # ---- the concept

    def _in_notes(
        self,
        out: list[str],
        article: Article,
        notes: str,
        sections: Mapping[str, Sequence[Part]],
        apart: Sequence[tuple[str, ...]],
    ) -> None:
        """Write what TBX-Basic says about a concept, mostly in notes; `notes` are those already prepared."""
        entry, remarks = article.entry, self._remarks
        remarks.verdicts(out, article)
        remarks.relations(out, article)
        remarks.figures(out, article)
        for definition in apart:
            self._write_definition(out, definition, apart=True)
        remarks.rest(out, article)
        out.append(notes)
        remarks.readings(out, entry)
        for note in entry.foreign_notes:
            if not note.language or safe_tag(note.language) not in sections:
                self._notes.write(out, out, note, Level.CONCEPT, self._context.working_language)

    def _notes_of_section(self, out: list[str], article: Article, tag: str) -> None:
        for note in article.entry.foreign_notes:
            if note.language and safe_tag(note.language) == tag:
                self._notes.write(out, out, note, Level.LANGUAGE, tag)

    def _made_about(self, key: tuple[object, ...]) -> Written:
        """Write the topic and other words from closed lists."""
        draft = Draft(self._opening)
        draft.counts += ((Fate.CARRIED, "entry.id"), (Fate.LEFT_OUT, "entry.version"))
        draft.take(self._closed, key)
        return draft.done()

    def _free_texts(self, entry: Part) -> str:
        """Write texts, numbers and flags: they rarely repeat between entries, so they are not cached."""
        values = self._texts(entry)
        if not any(values):
            return ""
        draft = Draft(self._opening, counts=self._context.gathered)
        draft.take(self._free, values)
        self._context.settle()
        return "".join((*draft.front, *draft.notes))

    def _made_transactions(self, key: tuple[object, ...]) -> Written:
        """Write who created and who changed the entry, and when."""
        made_by, made_on, changed_by, changed_on = map(str, key)
        style, escape, draft = self._context.style, self._escape, Draft(self._opening)
        start, end = style.start("transactionType"), style.end("transactionType")
        for kind, name, by, on in (
            ("origination", "created", made_by, made_on),
            ("modification", "changed", changed_by, changed_on),
        ):
            if not (by or on):
                continue
            path = f"entry.{name}_on"
            draft.front.append(f"<transacGrp>\n{start}{kind}{end}\n")
            if edtf.is_iso_date(on) and not on.startswith("0000"):
                draft.front.append(f"<date>{on}</date>\n")
                draft.counts.append((Fate.CARRIED, path))
            elif on and self._whole:
                draft.front.append(f"<wh:dateAsKept>{escape(on)}</wh:dateAsKept>\n")
            elif on:
                draft.front.append(f"{self._opening[path]}{escape(on)}</note>\n")
                draft.counts.append((Fate.NOTED, path))
            if by:
                draft.front.append(self._context.responsible(by))
                draft.counts.append((Fate.CARRIED, f"entry.{name}_by"))
            draft.front.append("</transacGrp>\n")
        return draft.done()

    # ---- definitions

    def _write_definition(self, out: list[str], definition: tuple[str, ...], *, apart: bool) -> None:
        """Write a definition; `apart` puts it with the concept, because no section has its language."""
        context, escape = self._context, self._escape
        language, text, source_id = definition
        cited = context.cite(source_id).closed if source_id else ""
        if self._whole:
            first = f"{self._start}{escape(text)}{self._end}"
            if apart or not language:
                first += f"<wh:definitionLanguage>{escape(language)}</wh:definitionLanguage>\n"
            grouped = apart or not language or cited
            out.append(f"<descripGrp>\n{first}{cited}</descripGrp>\n" if grouped else first)
            return
        tag, carried = context.tag(language), context.tally.carried
        start = context.style.start("definition", language=tag) if apart else self._start
        first = f"{start}{escape(text)}{self._end}"
        out += ("<descripGrp>\n", first, cited)
        if apart and (tag != language or context.style.style == "dct"):
            context.note(out, self._opening, "definition.language", language)
        elif tag == language:
            carried["definition.language"] += 1
        out.append("</descripGrp>\n")
        carried["definition.text"] += 1
        carried["definition.source_id"] += bool(source_id)
