"""The words of the record that the interface shows: closed lists, verdicts, questions, cautions, dates.

In `termbase` they are plain English; they are read from its own tables, so that a word added there is
offered for translation.
"""

from collections.abc import Iterator
from enum import StrEnum
from typing import Final

from app.web.entries.forms import ATTRIBUTE_WORDS, RELATION_WORDS
from app.web.jobs import State
from app.web.pages.correcting import WHYS
from app.web.pages.patterns import OPTIONS
from app.web.rules.section import FAMILY_WORDS
from app.web.technique import ASKS, GROUPS
from app.web.templating import SECTIONS
from exports.tables.fields import FIELDS, field_at
from exports.tbx.tags import FIELDS as CARRIED
from termbase.dates.wording import ENGLISH as DATE_WORDS
from termbase.evidence.scales import MechanicScale, NameScale, PracticeScale
from termbase.fields.declarations import fields_of, records_within
from termbase.judging.verdict import VERDICT_WORDS
from termbase.judging.wording import ENGLISH
from termbase.languages.files import language, shipped_tags
from termbase.proofing.checks import CHECKS
from termbase.record.cautions import OWN_CAUTIONS
from termbase.record.entries import (
    Entry,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Status,
    TermType,
    Topic,
)
from termbase.record.lines import PARTS_OF_PARTS, PrintedWhy
from termbase.record.merging import question_subject
from termbase.record.pages import LineState
from termbase.record.people import CAUTIONS, Role
from termbase.record.sources import Certainty, SlipKind, SourceKind
from termbase.record.trials import Outcome
from termbase.rules.clauses import FAMILIES
from termbase.rules.questions import QUESTIONS
from termbase.rules.sentences import CLAUSE_WORDS
from termbase.search.hits import HOWS
from termbase.store.entry_lists import STAGES
from termbase.store.rows import KINDS
from termbase.technique.phrases import PHRASES
from termbase.technique.words import ATTRIBUTES, BASES
from termbase.wordlists.stock import STOCK

__all__ = ["asked_words", "field_words", "mutation_words", "record_words"]


def field_words() -> Iterator[str]:
    """Yield the name of each field of every kind of record, and the words of its closed list."""
    for kind in KINDS.values():
        for record in records_within(kind.cls):
            for field in fields_of(record):
                if not field.is_a.bookkeeping:
                    yield str(field.word)
                yield from (str(word) for word in field.words)


def asked_words() -> Iterator[str]:
    """Yield the subjects of the questions asked when two entries are merged."""
    yield from (str(question_subject(f)) for f in fields_of(Entry) if f.is_a.merge in ("ask", "ask both"))


def mutation_words() -> Iterator[str]:
    """Yield the names of the mutations of every language that has a file, as search results show them."""
    for tag in shipped_tags():
        yield from (mutation.name.replace("_", " ") for mutation in language(tag).mutations)


_LISTS: Final[tuple[type[StrEnum], ...]] = (
    *(Topic, Origin, Status, TermType, PartOfSpeech, Gender, Number, Register),
    *(SourceKind, SlipKind, Certainty, Outcome, Role, LineState),
    *(NameScale, MechanicScale, PracticeScale, State),
)
_KINDS: Final = ("termbase", "person", "entry", "source", "slip", "page", "line", "trial", "code", "image")
_ANY: Final = ("any topic", "of any origin", "any stage", "any verdict")


def record_words() -> tuple[str, ...]:
    """Return every English word, phrase and sentence of the record that is shown translated."""
    return tuple(dict.fromkeys(word for word in _all() if word))


def _all() -> Iterator[str]:
    for closed in _LISTS:
        yield from (member.value for member in closed)
    yield from (*RELATION_WORDS, *VERDICT_WORDS, *STAGES, *BASES, *HOWS, *FAMILIES, *_KINDS, *_ANY)
    yield from (section.name for section in SECTIONS)
    yield from (label for rows in OPTIONS.values() for _value, label in rows if len(label) > 3)
    yield from (*FAMILY_WORDS.values(), *(field_at(key).heading for key in FIELDS))
    yield from (CAUTIONS, *OWN_CAUTIONS.values())
    yield from (check.title for check in CHECKS)
    yield from WHYS.values()
    for pattern in STOCK.values():
        yield from (pattern.name, pattern.description)
    for questions in QUESTIONS.values():
        for question in questions:
            yield from (question.asks, *question.values)
    for attribute in ATTRIBUTES:
        yield from attribute.values
    yield from (*PHRASES, *CLAUSE_WORDS)
    yield from (title for title, _paths in GROUPS)
    yield from (*ASKS.values(), *ATTRIBUTE_WORDS.values())
    yield from (*ENGLISH.templates.values(), *ENGLISH.words.values(), *ENGLISH.places.values())
    yield from ("right (of a hand)", "left (of a hand)", "origin", "ruling", "version")
    for path, field in CARRIED.items():
        if field.fate or not field.tag:  # what a report can name
            yield from (path.partition(".")[0], field.label, field.why)
    yield from (
        *PARTS_OF_PARTS,
        *PrintedWhy,
        *field_words(),
        *asked_words(),
        *mutation_words(),
    )
    yield from DATE_WORDS.months
    yield from (*DATE_WORDS.groupings.values(), *DATE_WORDS.templates.values())
