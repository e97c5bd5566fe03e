"""Term sections: one name of a concept, its grammar, its slips."""

from dataclasses import dataclass
from enum import StrEnum
from operator import attrgetter

from exports.tbx.categories import OTHER, Level
from exports.tbx.context import Context, is_english
from exports.tbx.foreignnotes import NoteWriter
from exports.tbx.tags import FIELDS, noted_fields
from exports.tbx.xmltext import xml_id
from termbase.entries import Term
from termbase.evidence import Evidence
from termbase.fields import fields_of
from termbase.sources import Slip, locator

__all__ = ["TermSections"]

_NOTED = noted_fields("term")
_IN_PICKLISTS = tuple(
    p.removeprefix("term.") for p, f in FIELDS.items() if f.values and p.startswith("term.")
)
_IN_NOTES = tuple(field.name for field in _NOTED if field.members)
_FREE = tuple(field for field in _NOTED if not field.members and field.name not in ("printed", "forms"))
_free = attrgetter(*(field.name for field in _FREE))
_common = attrgetter(*_IN_PICKLISTS, *_IN_NOTES)
_SLIP_NOTES = sorted(noted_fields("slip"), key=lambda field: field.name not in ("kind", "certainty"))
"""Fields of a slip that are notes: first what the quotation does with the name, and how sure it is."""
_WHEREABOUTS = tuple(
    field.name
    for field in fields_of(Slip)
    if (row := FIELDS[f"slip.{field.name}"]).place == "source" and row.path != "slip.source_id"
)


@dataclass(slots=True)
class _Kind:
    """What terms of the same grammar, status and origin have in common: written once, counted by use."""

    term_notes: str
    notes: str
    carried: tuple[str, ...]
    noted: tuple[str, ...]
    uses: int = 0


class TermSections:
    """Writes term sections into a list of pieces of text."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self._kinds: dict[tuple[object, ...], _Kind] = {}
        self._in_place = 0
        self._attested = 0
        self._note_writer = NoteWriter(context)
        dialect = context.dialect
        self._region = dialect.start("geographicalUsage"), dialect.end("geographicalUsage") + "\n"
        self._quoted = {"": dialect.start("context")}
        self._end_of_quotation = dialect.end("context") + "\n"
        self._end_of_source = dialect.end("source") + "\n"

    def write(
        self, out: list[str], term: Term, language: str, slips: tuple[Slip, ...], evidence: Evidence | None
    ) -> None:
        """Write a term; `language` is the tag of its section."""
        context, escape = self.context, self.context.escaper.text
        notes = context.notes_in(language)
        kind = self._kind(term, language)
        out += (
            f'<termSec id="{xml_id("term", term.id)}">\n<term>', escape(term.text),
            "</term>\n", kind.term_notes,
        )  # fmt: skip
        foreign = term.foreign_notes
        if foreign:
            first, foreign = self._note_writer.term_notes(foreign, language, _taken(term))
            out.append(first)
        if term.region:
            out += (self._region[0], escape(term.region), self._region[1])
            context.tally.carried["term.region"] += 1
        for slip in slips:
            self._slip(out, slip, language, notes)
        out.append(kind.notes)
        for note in foreign:
            self._note_writer.write(out, note, Level.TERM, language, _taken(term))
        if term.language == language:
            self._in_place += 1
        else:
            context.note(out, notes, "term.language", term.language)
        if evidence:
            reasons = escape(" ".join(evidence.reasons))
            out += (notes["evidence.name"], evidence.words, f". {reasons}</note>\n")
            self._attested += 1
        # Most terms have none of these: asked for here, since a call for each would be a third of the time.
        if term.printed:
            context.note(out, notes, "term.printed", _printed(term))
        for form in term.forms:
            context.note(out, notes, "term.forms", f"{form.label}: {form.text}")
        values = _free(term)
        if any(values):
            for field, value in zip(_FREE, values, strict=True):
                context.note(out, notes, f"term.{field.name}", _word(value))
        out.append("</termSec>\n")

    def write_printed(self, out: list[str], term: Term) -> None:
        """Write the form as printed as a term under its own tag, pointing at the term it is a form of."""
        dialect, escape = self.context.dialect, self.context.escaper.text
        start = dialect.start("crossReference", target=xml_id("term", term.id))
        out += ("<termSec>\n<term>", escape(term.printed), "</term>\n", start)
        out += ("as printed for: ", escape(term.text), dialect.end("crossReference"), "\n</termSec>\n")
        self.context.tally.carried["term.printed_language"] += 1

    def finish(self) -> None:
        """Put into the tally what was counted on the way; called once, at the end."""
        tally = self.context.tally
        tally.carried["term.language"] += self._in_place
        tally.noted["evidence.name"] += self._attested
        for kind in self._kinds.values():
            tally.terms += kind.uses
            tally.carried["term.id"] += kind.uses
            tally.carried["term.text"] += kind.uses
            for path in kind.carried:
                tally.carried[path] += kind.uses
            for path in kind.noted:
                tally.noted[path] += kind.uses

    def _kind(self, term: Term, language: str) -> _Kind:
        key = (*_common(term), is_english(language))
        found = self._kinds.get(key)
        if found is None:
            found = self._kinds[key] = self._new_kind(term, language)
        found.uses += 1
        return found

    def _new_kind(self, term: Term, language: str) -> _Kind:
        dialect = self.context.dialect
        opening = self.context.notes_in(language)
        term_notes, notes, carried, noted = "", "", [], []
        for name in _IN_PICKLISTS:
            path = f"term.{name}"
            recorded: StrEnum | None = getattr(term, name)
            values = FIELDS[path].values
            if recorded is None or values is None:
                continue
            place, value = FIELDS[path].place, values[recorded.value]
            term_notes += f"{dialect.start(place)}{value}{dialect.end(place)}\n"
            if value == OTHER and recorded.value != OTHER:
                notes += f"{opening[path]}{recorded.value}</note>\n"
                noted.append(path)
            else:
                carried.append(path)
        for name in _IN_NOTES:
            recorded = getattr(term, name)
            if recorded is not None:
                notes += f"{opening[f'term.{name}']}{recorded.value}</note>\n"
                noted.append(f"term.{name}")
        return _Kind(term_notes, notes, tuple(carried), tuple(noted))

    def _slip(self, out: list[str], slip: Slip, language: str, notes: dict[str, str]) -> None:
        context, escape = self.context, self.context.escaper.text
        cited = context.cite(slip.source_id)
        date = context.library.date_of(slip)
        where = ", ".join(filter(None, (locator(slip), date)))
        quoted = self._quotation(cited.language, language)
        out += (f'<descripGrp id="{xml_id("slip", slip.id)}">\n', quoted, escape(slip.text))
        out += (self._end_of_quotation, cited.start, cited.label)
        if where:
            out += (", ", escape(where))
        out.append(self._end_of_source)
        for field in _SLIP_NOTES:
            if value := getattr(slip, field.name):
                context.note(out, notes, f"slip.{field.name}", _word(value))
        out.append("</descripGrp>\n")
        self._count(slip)

    def _quotation(self, language: str, section: str) -> str:
        spoken = "" if language == section else language
        found = self._quoted.get(spoken)
        if found is None:
            found = self._quoted[spoken] = self.context.dialect.start("context", language=spoken)
        return found

    def _count(self, slip: Slip) -> None:
        carried, left_out = self.context.tally.carried, self.context.tally.left_out
        for path in ("slip.id", "slip.source_id", "slip.text", "slip.term_id"):
            carried[path] += 1
        for name in _WHEREABOUTS:
            if getattr(slip, name):
                carried[f"slip.{name}"] += 1
        if slip.image_id:
            left_out["slip.image_id"] += 1
        left_out["slip.version"] += 1


def _word(value: object) -> str:
    """A value as it stands in a note; empty for none and for no."""
    if value in (None, False):
        return ""
    return "yes" if value is True else str(value)


def _taken(term: Term) -> frozenset[str]:
    """The data categories that the record fills of a name, each once."""
    fields = ("region", *_IN_PICKLISTS)
    return frozenset(FIELDS[f"term.{name}"].place for name in fields if getattr(term, name))


def _printed(term: Term) -> str:
    tag = term.printed_language
    return f"{term.printed} ({tag})" if tag and tag != term.language else term.printed
