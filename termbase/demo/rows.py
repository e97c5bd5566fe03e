"""The rows of the demo's hand-written files, the records they describe, and the demo as loaded."""

from dataclasses import dataclass

from msgspec import Struct, field

from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Certainty, Presence, Slip, SlipKind, Source
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode

__all__ = [
    "DecisionRow",
    "Demo",
    "EntryRow",
    "FigureRow",
    "PageRow",
    "Report",
    "SlipRow",
    "TermRow",
    "TrialRow",
]


class _Row(Struct, frozen=True, forbid_unknown_fields=True):
    """A row that accepts no unknown fields."""


class TermRow(_Row, frozen=True):
    """One term; `pos` is its part of speech, `ipa` its pronunciation, `note` its usage note."""

    term: str
    origin: Origin
    printed: str = ""
    pos: PartOfSpeech | None = None
    gender: Gender | None = None
    number: Number | None = None
    forms: dict[str, str] = field(default_factory=dict)
    ipa: str = ""
    register: Register | None = None
    region: str = ""
    note: str = ""
    type: TermType | None = None
    status: Status | None = None

    def record(self, term_id: str, language: str) -> Term:
        """The term under its id."""
        return Term(
            term_id,
            self.term,
            language,
            self.origin,
            printed=self.printed,
            printed_language=language if self.printed else "",
            part_of_speech=self.pos,
            gender=self.gender,
            number=self.number,
            forms=tuple(InflectedForm(*pair) for pair in self.forms.items()),
            pronunciation=self.ipa,
            register=self.register,
            region=self.region,
            usage_note=self.note,
            type=self.type,
            status=self.status,
        )


class FigureRow(_Row, frozen=True):
    """A figure, given by the file of its picture."""

    file: str
    caption: str
    maker: str = ""
    rights: str = ""
    source: str = ""


class _AnalogueRow(_Row, frozen=True):
    name: str
    language: str
    style: str
    source: str = ""


class _RulingRow(_Row, frozen=True):
    code: str
    verdict: str
    by: str
    on: str
    reason: str


class EntryRow(_Row, frozen=True):
    """One entry: definitions by language, terms in `en` and `cy`, relations as lists of entry ids."""

    id: str
    topic: Topic
    en: tuple[TermRow, ...] = ()
    cy: tuple[TermRow, ...] = ()
    definition: dict[str, str] = field(default_factory=dict)
    definition_source: dict[str, str] = field(default_factory=dict)
    broader: tuple[str, ...] = ()
    counter_to: tuple[str, ...] = ()
    follows: tuple[str, ...] = ()
    contrasts_with: tuple[str, ...] = ()
    see_also: tuple[str, ...] = ()
    analogue: tuple[_AnalogueRow, ...] = ()
    figure: tuple[FigureRow, ...] = ()
    ruling: tuple[_RulingRow, ...] = ()
    usage_note: str = ""
    editor_note: str = ""
    language_reading: Signature = Signature()
    practice_reading: Signature = Signature()

    def record(self, terms: tuple[Term, ...]) -> Entry:
        """Return the entry with its terms; technique and figures, which are in other files, are left out."""
        return Entry(
            id=self.id,
            topic=self.topic,
            terms=terms,
            definitions=tuple(
                Definition(tag, text, self.definition_source.get(tag, ""))
                for tag, text in self.definition.items()
            ),
            relations=tuple(self._relations()),
            analogues=tuple(Analogue(a.name, a.language, a.style, a.source) for a in self.analogue),
            rulings=tuple(Ruling(r.code, r.verdict, r.by, r.on, r.reason) for r in self.ruling),
            usage_note=self.usage_note,
            editor_note=self.editor_note,
            language_reading=self.language_reading,
            practice_reading=self.practice_reading,
        )

    def _relations(self) -> list[Relation]:
        targets = {
            RelationKind.BROADER: self.broader,
            RelationKind.COUNTER_TO: self.counter_to,
            RelationKind.FOLLOWS: self.follows,
            RelationKind.CONTRASTS: self.contrasts_with,
            RelationKind.SEE_ALSO: self.see_also,
        }
        return [Relation(kind, target) for kind, ids in targets.items() for target in ids]


class SlipRow(_Row, frozen=True):
    """One slip; `bears` names the entry and term it is evidence for: `c0015 back-heel`."""

    id: str
    source: str
    text: str
    name: str = ""
    bears: str = ""
    page: str = ""
    column: str = ""
    line: str = ""
    item: str = ""
    date: str = ""
    place: str = ""
    kind: SlipKind = SlipKind.USE
    certainty: Certainty = Certainty.SECURE
    note: str = ""
    joined_to: str = ""
    apart: bool = False
    presence: Presence = Presence.FORM

    def record(self, term_id: str) -> Slip:
        """Return the slip, sorted to a term or (empty id) unsorted."""
        return Slip(
            self.id,
            self.source,
            self.text,
            name=self.name,
            page=self.page,
            column=self.column,
            line=self.line,
            item=self.item,
            date=self.date,
            place=self.place,
            kind=self.kind,
            certainty=self.certainty,
            note=self.note,
            term_id=term_id,
            joined_to=self.joined_to,
            apart=self.apart,
            presence=self.presence,
        )


class TrialRow(_Row, frozen=True):
    """One trial."""

    id: str
    entry: str
    date: str
    outcome: Outcome
    code: str = ""
    place: str = ""
    people: str = ""
    holds: str = ""
    done: str = ""
    change: str = ""
    safety: str = ""
    injuries: str = ""

    def record(self) -> Trial:
        """The trial."""
        return Trial(
            self.id,
            self.entry,
            self.date,
            self.outcome,
            place=self.place,
            people=self.people,
            code_id=self.code,
            holds=self.holds,
            done=self.done,
            change=self.change,
            safety=self.safety,
            injuries=self.injuries,
        )


class DecisionRow(_Row, frozen=True):
    """The decision on a line: the printed line it starts on (from 1), how that begins, and one of three
    outcomes.

    A line without a row is still to be worked.
    """

    line: int
    begins: str
    made: tuple[str, ...] = ()
    attached: tuple[str, ...] = ()
    set_aside: CodedText = NOTHING_SAID


class PageRow(_Row, frozen=True):
    """A page of the word-list: its text and picture files, and its worked lines."""

    source: str
    number: str
    text: str
    image: str
    lines: tuple[DecisionRow, ...] = ()


@dataclass(frozen=True)
class Report:
    """A period text to read: a newspaper report, a letter, a transcribed recording.

    `name` is its file name without the extension; `date` is EDTF.
    """

    name: str
    source_id: str
    date: str
    title: str
    text: str
    page: str = ""
    column: str = ""


@dataclass(frozen=True)
class Demo:
    """The whole demo: records ready for storing, version 0, with fixed ids in order.

    Lines are divided by the source's pattern and have their worked state; each name of an entry that comes
    from an attached or worked line has its headword slip.
    """

    termbase: Termbase
    people: tuple[Person, ...]
    images: tuple[Image, ...]
    sources: tuple[Source, ...]
    codes: tuple[RuleCode, ...]
    entries: tuple[Entry, ...]
    slips: tuple[Slip, ...]
    pages: tuple[Page, ...]
    lines: tuple[Line, ...]
    trials: tuple[Trial, ...]
    reports: tuple[Report, ...]
