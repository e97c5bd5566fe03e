"""Writes term sections: one name of a concept, its grammar, its slips."""

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import compress
from typing import Final

from exports.tbx.categories import Level
from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.notes import NoteWriter
from exports.tbx.plans import Draft, Element, Part, Ready, Values, Written, step_of
from exports.tbx.styles import AS_PRINTED
from exports.tbx.tags import FIELDS, Fate, free_fields, noted_fields
from exports.tbx.xmltext import xml_id
from termbase.evidence.scales import Evidence
from termbase.fields.declarations import Member, field_of, fields_of
from termbase.record.entries import InflectedForm, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.record.sources import Slip, locator

__all__ = ["TermSections"]

_ALWAYS: Final = frozenset({"slip.id", "slip.source_id", "slip.text", "slip.term_id", "slip.version"})
"""Fields of a slip that are counted even if they are empty."""
_NONE: Final[Sequence[str]] = ()


class TermSections:
    """Writes term sections to a list of text pieces."""

    def __init__(self, context: Context, values: Values) -> None:
        self._context, self._whole, self._escape = context, context.style.whole, context.escape
        closed, free = _closed_fields(self._whole), _free_fields(self._whole)
        rare = ("foreign_notes", "printed", "printed_language", "forms", *free)
        self._closed = tuple(step_of(context, "term", field_of(Term, name)) for name in closed)
        self._free = tuple(step_of(context, "term", field_of(Term, name)) for name in free)
        self._places = tuple(FIELDS[f"term.{name}"].place for name in (*closed, *free))
        self._named = values.texts("term", ("id", "text"))
        self._fields, self._known = values.of("term", (*closed, "language", *rare)), len(closed) + 1
        self._nothing = values.of("term", rare)(values.new_term)
        self._ready = Ready(context, self._made)
        self._forms = values.within(tuple[InflectedForm, ...])
        self._foreign = values.within(tuple[ForeignNote, ...])
        self._notes = NoteWriter(context)
        self._slips = _Slips(context, values)
        self._attested = 0

    def write(
        self,
        out: list[str],
        term: Part,
        section: str,
        slips: Mapping[str, Sequence[Part]],
        names: Mapping[str, Evidence],
    ) -> None:
        """Write a term.

        Args:
            out: receives its pieces.
            term: the term.
            section: language tag of its section.
            slips: slips of all terms, by term id.
            names: the evidence for each name, by its id, which TBX-Basic reports.
        """
        term_id, text = self._named(term)
        fields, escape = self._fields(term), self._escape
        known, rare = fields[: self._known], fields[self._known :]
        ready = self._ready[known]
        ready.uses += 1
        out += (f'<termSec id="{xml_id("term", term_id)}">\n<term>', escape(text), "</term>\n", ready.front)
        notes, last = _NONE, _NONE
        if rare != self._nothing:
            notes, last = self._write_rare(out, known, rare, section)
        for slip in slips.get(term_id, ()):
            self._slips.write(out, slip, section)
        if self._whole:
            out.append("</termSec>\n")
            return
        out += (ready.notes, *notes, ready.behind)
        if evidence := names.get(term_id):
            opening = self._context.notes_in(section)["evidence.name"]
            out += (opening, evidence.words, ". ", escape(" ".join(evidence.reasons)), "</note>\n")
            self._attested += 1
        out += (*last, "</termSec>\n")

    def write_printed(self, out: list[str], term: Term) -> None:
        """Write the printed form as a term under its own tag, pointing to the term that it is a form of."""
        style, escape = self._context.style, self._escape
        start = style.start("crossReference", target=xml_id("term", term.id))
        out += ("<termSec>\n<term>", escape(term.printed), "</term>\n", start)
        out += (AS_PRINTED, escape(term.text), style.end("crossReference"), "\n</termSec>\n")
        self._context.tally.carried["term.printed_language"] += 1

    def finish(self) -> None:
        """Add the counts of writing to the totals; call it once, at the end."""
        self._ready.count()
        self._slips.count()
        self._context.count(((Fate.NOTED, "evidence.name"),), self._attested)
        self._context.tally.terms = self._context.tally.carried["term.id"]

    def _made(self, key: tuple[object, ...]) -> Written:
        """Write the words from closed lists, and the language."""
        *closed, language = key
        language = str(language)
        tag = self._context.tag(language)
        draft, last = (Draft(self._context.notes_in(tag)) for _ in range(2))
        draft.counts += ((Fate.CARRIED, "term.id"), (Fate.CARRIED, "term.text"))
        draft.take(self._closed, closed)
        if tag == language:
            draft.counts.append((Fate.CARRIED, "term.language"))
        elif self._whole:
            draft.front.append(f"<wh:languageTag>{self._escape(language)}</wh:languageTag>\n")
        elif language:
            last.note("term.language", self._escape(language))
        return draft.done(last)

    def _write_rare(
        self, out: list[str], known: tuple[object, ...], rare: tuple[object, ...], section: str
    ) -> tuple[Sequence[str], Sequence[str]]:
        """Write what few names have; the values in `known`, which `_made` handles, are already written.

        Returns:
            notes from other files; and the notes that come last.
        """
        foreign, printed, printed_language, forms, *free = rare
        draft, notes = Draft(self._context.notes_in(section), counts=self._context.gathered), list[str]()
        draft.front = out
        if foreign != self._nothing[0] and not self._whole:
            taken = tuple(compress(self._places, (*known[:-1], *free)))
            for note in self._foreign(foreign):
                self._notes.write(out, notes, note, Level.TERM, section, taken)
        if printed or printed_language:
            self._printed(draft, str(printed), str(printed_language), str(known[-1]))
        if forms != self._nothing[3]:
            for form in self._forms(forms):
                self._form(draft, form)
        draft.take(self._free, free)
        if foreign != self._nothing[0] and self._whole:
            out.append(self._notes.elements(self._foreign(foreign)))
        self._context.settle()
        return notes, draft.notes

    def _printed(self, draft: Draft, printed: str, tag: str, language: str) -> None:
        escape = self._escape
        if self._whole:
            more = f' language="{self._context.escaper.attribute(tag)}"' if tag else ""
            if printed or tag:
                draft.front.append(f"<wh:printed{more}>{escape(printed)}</wh:printed>\n")
        elif printed:
            draft.note("term.printed", escape(f"{printed} ({tag})" if tag and tag != language else printed))

    def _form(self, draft: Draft, form: InflectedForm) -> None:
        escape = self._escape
        if self._whole:
            label = self._context.escaper.attribute(form.label)
            draft.front.append(f'<wh:form label="{label}">{escape(form.text)}</wh:form>\n')
        else:
            draft.note("term.forms", escape(f"{form.label}: {form.text}"))


class _Slips:
    """Writes slips: the quotation, its source, and what else is known about it."""

    def __init__(self, context: Context, values: Values) -> None:
        self._context, self._whole, self._escape = context, context.style.whole, context.escape
        self._own = values.texts("slip", ("id", "source_id", "text"))
        self._quoted = {"": context.style.start("context")}
        self._end = f"{context.style.end('context')}\n"
        self._element = Element(context, "slip", values)
        self._elements = Ready(context, self._as_element)
        noted = noted_fields("slip")  # first how the quotation uses the name, and how certain that is
        names = sorted((f.name for f in noted), key=lambda name: name not in ("kind", "certainty"))
        self._steps = tuple(step_of(context, "slip", field_of(Slip, name)) for name in names)
        self._noted = values.of("slip", names)
        others = [f"slip.{f.name}" for f in fields_of(Slip) if f.name not in names]
        self._others = tuple((fate, path) for path in others if (fate := context.fate(path)))
        self._others_of = values.of("slip", [path.removeprefix("slip.") for path in others])
        self._filled: Counter[tuple[bool, ...]] = Counter()
        tags = ("", WORDS_LANGUAGE)
        self._drafts = tuple(Draft(context.notes_in(tag), counts=context.gathered) for tag in tags)

    def write(self, out: list[str], slip: Part, section: str) -> None:
        """Write a slip in a section of this language."""
        context, escape = self._context, self._escape
        slip_id, source_id, text = self._own(slip)
        cited = context.cite(source_id)
        out.append(f'<descripGrp id="{xml_id("slip", slip_id)}">\n')
        if not isinstance(slip, Slip):
            rest = self._elements[self._element.get(slip)].front
            out += (self._quoted[""], escape(text), self._end, cited.closed, rest, "</descripGrp>\n")
            return
        where = ", ".join(filter(None, (locator(slip), context.library.date_of(slip))))
        out += (self._quotation(cited.language, section), escape(text), self._end, cited.opened)
        if where:
            out += (", ", escape(where))
        out.append(context.end_of_source)
        draft = self._drafts[is_english(section)]
        draft.notes = out
        draft.take(self._steps, self._noted(slip))
        out.append("</descripGrp>\n")
        self._filled[tuple(map(bool, self._others_of(slip)))] += 1
        context.settle()

    def count(self) -> None:
        """Add the counts of writing to the totals."""
        for filled, number in self._filled.items():
            always = zip(self._others, filled, strict=True)
            self._context.count(
                (fate for fate, is_filled in always if is_filled or fate[1] in _ALWAYS), number
            )

    def _as_element(self, values: tuple[object, ...]) -> Written:
        """Return all that TBX-Wordhold says about a slip except its quotation and source."""
        text = self._element.text(values)
        return Written("" if text == self._element.nothing else text)

    def _quotation(self, language: str, section: str) -> str:
        own = "" if language == section else language
        start = self._quoted.get(own)
        if start is None:
            start = self._quoted[own] = self._context.style.start("context", language=own)
        return start


def _closed_fields(whole: bool) -> tuple[str, ...]:
    """Return the fields with a closed list; in TBX-Basic first those that have a data category."""
    names = [field.name for field in fields_of(Term) if isinstance(field.is_a, Member)]
    if not whole:
        order = list(FIELDS)
        names.sort(key=lambda name: (not FIELDS[f"term.{name}"].values, order.index(f"term.{name}")))
    return tuple(names)


def _free_fields(whole: bool) -> tuple[str, ...]:
    """Return the text, number and flag fields; in TBX-Wordhold in the order of the standard."""
    free = free_fields("term")
    return free if whole else tuple(field.name for field in fields_of(Term) if field.name in free)
