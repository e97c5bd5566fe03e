"""The forms of an entry's parts: their values, how they change the entry, and their options and words.

Parts are edited one at a time. A part has a name and, if there are several, a key (`term-t12`). Its form
carries a hash of the values it started from, so that two people can edit different parts at the same time.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from typing import TypeVar

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import interface_language, listed
from app.web.recordforms import RecordForm
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, NotFound, Problems
from termbase.fields.closed_lists import member, none_of_these
from termbase.fields.declarations import Path
from termbase.judging.verdict import VERDICT_WORDS
from termbase.judging.wording import ENGLISH
from termbase.languages.alphabets import double_letters, parted
from termbase.languages.folding import PARTING
from termbase.languages.tags import is_well_formed
from termbase.messages import message
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    RelationKind,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.record.entries import InflectedForm as Inflected
from termbase.record.sources import Certainty, Presence, SlipKind, locator
from termbase.record.validation import clean_entry
from termbase.search.finding import neighbours
from termbase.technique.coherence import check_mechanics
from termbase.technique.words import statements_of

__all__ = [
    "ANALOGUE",
    "ATTRIBUTE_WORDS",
    "DEFINITION",
    "FIGURE",
    "NOTES",
    "PARTS",
    "RELATION_WORDS",
    "TERM",
    "TOPIC",
    "Asked",
    "Part",
    "of_list",
    "options",
    "part_named",
    "stamped",
]


Closed = TypeVar("Closed", bound=StrEnum)

PARTED = "|"
SPARE_ANALOGUES = 2
TOPIC = RecordForm(Entry, only=("topic",))
NOTES = RecordForm(Entry, only=("usage_note", "editor_note"))
DEFINITION, ANALOGUE, FIGURE = RecordForm(Definition), RecordForm(Analogue), RecordForm(Figure)
TERM = RecordForm(
    Term,
    also=("forms",),
    unsaid={
        "origin": (
            message("The origin of the name is missing."),
            message("Choose one, so that a guess is never mistaken for a record."),
        )
    },
)
"""The forms of the parts, with a row for each definition, analogue or figure."""


KEYED = frozenset({"term"})
Options = tuple[tuple[str, str], ...]
RELATION_WORDS = tuple(dict.fromkeys(word for kind in RelationKind for word in (kind.value, kind.inverse)))
"""The words for every relation, read from either side."""
ATTRIBUTE_WORDS = {
    "his_side": "on which side of him",
    "contact_inward": "from inside or outside",
    "contact_from": "from the front or from behind",
}
"""Names of attributes that no verdict asks about."""


@dataclass(frozen=True)
class Asked:
    """The requested part of an entry.

    Attributes:
        entry: the entry as it is.
        key: which of several parts; empty if there is only one.
        languages: the termbase's languages, the working language first.
        like: id of the name that a new one is a variant of, or empty.
    """

    entry: Entry
    key: str = ""
    languages: tuple[str, ...] = ()
    like: str = ""


@dataclass(frozen=True)
class Part:
    """One part: the act that changes it, its form values, the entry that a form results in, and its path in
    the entry (empty: its fields are the entry's own)."""

    deed: Deed
    fill: Callable[[Asked], Form]
    apply: Callable[[Asked, Form], Entry]
    under: Callable[[Asked], Path] = field(default=lambda asked: ())


def part_named(part_id: str) -> tuple[Part, str]:
    """Return the part with this id and its key.

    Raises:
        NotFound: there is no such part.
    """
    name, _dash, key = part_id.partition("-")
    if name not in PARTS or (bool(key) != (name in KEYED)):
        raise NotFound(
            _("An entry does not have a part “%(id)s”.", id=part_id),
            where=part_id,
            fix=_("Choose a part on the entry's page."),
        )
    return PARTS[name], key


def stamped(form: Form) -> Form:
    """Return the form with a hash of its values in the field `version`."""
    values = sorted((name, texts) for name, texts in form.texts.items() if name != "version")
    return form.with_text("version", sha256(repr(values).encode()).hexdigest()[:16])


def of_list(kind: type[Closed], value: str, where: str) -> Closed | None:
    """Return a member of a closed list; None if nothing is chosen.

    Raises:
        BadInput: the list has no such member.
    """
    if not value:
        return None
    chosen = member(kind, value)
    if chosen is None:
        raise none_of_these(value, where)
    return chosen


def _read(form_of: RecordForm[Entry], asked: Asked, form: Form) -> Entry:
    problems = Problems()
    entry = form_of.read(form, asked.entry, problems)
    problems.check()
    return entry


def _fill_topic(asked: Asked) -> Form:
    return Form.of(**TOPIC.filled(asked.entry))


def _apply_topic(asked: Asked, form: Form) -> Entry:
    return _read(TOPIC, asked, form)


def _fill_definitions(asked: Asked) -> Form:
    rows = list(asked.entry.definitions)
    present = {d.language for d in rows}
    rows += [Definition(tag, "") for tag in asked.languages if tag not in present]
    return Form.of(**DEFINITION.filled_rows(tuple(rows)))


def _apply_definitions(asked: Asked, form: Form) -> Entry:
    definitions = DEFINITION.read_rows(form, Definition("", ""), like="text")
    return replace(asked.entry, definitions=tuple(definitions))


def _fill_notes(asked: Asked) -> Form:
    return Form.of(**NOTES.filled(asked.entry))


def _apply_notes(asked: Asked, form: Form) -> Entry:
    return _read(NOTES, asked, form)


def _fill_analogues(asked: Asked) -> Form:
    rows = (*asked.entry.analogues, *(Analogue("", "", "") for _ in range(SPARE_ANALOGUES)))
    return Form.of(**ANALOGUE.filled_rows(rows))


def _apply_analogues(asked: Asked, form: Form) -> Entry:
    analogues = ANALOGUE.read_rows(form, Analogue("", "", ""), like="name")
    return replace(asked.entry, analogues=tuple(analogues))


def _fill_figures(asked: Asked) -> Form:
    return Form.of(drop=(), **FIGURE.filled_rows(asked.entry.figures))


def _apply_figures(asked: Asked, form: Form) -> Entry:
    """Return the figures in the form; an uploaded picture already has its id at the end of `image_id`."""
    known = {f.image_id for f in asked.entry.figures} | {form.line("taken_in")}
    kept = tuple(
        figure
        for number, figure in enumerate(FIGURE.read_rows(form, Figure("", ""), like="image_id"))
        if str(number) not in form.all("drop") and figure.image_id in known
    )
    return replace(asked.entry, figures=kept)


def _fill_term(asked: Asked) -> Form:
    term = _term(asked)
    values = {
        "forms": "\n".join(f"{form.label}: {form.text}" for form in term.forms),
        "sort_text": "" if _is_parting(term) else term.sort_text.replace(PARTING, PARTED),
        "parted": _parted_places(term),
    }
    unset = {} if term.id or asked.like else {"origin": ""}
    return Form.of(**{**TERM.filled(term), **values, **unset})


def _is_parting(term: Term) -> bool:
    """Whether the sort form is the name with double letters separated, so that checkboxes can express it."""
    return term.sort_text == parted(term.text, (int(place) for place in _parted_places(term)))


def _parted_places(term: Term) -> tuple[str, ...]:
    """Return the positions of the double letters that count as two in this name."""
    places, length = set(), 0
    for letter in term.sort_text:
        if letter == PARTING:
            places.add(length - 1)
        else:
            length += 1
    return tuple(str(at) for at, _letters in double_letters(term.text, term.language) if at in places)


def _parting(form: Form) -> str:
    """Return the sort form from the ticked boxes and the typed name."""
    text, tag = " ".join(form.line("text").split()), form.line("language")
    ticked = form.all("parted")
    if not text or not ticked or not is_well_formed(tag):
        return ""
    return parted(text, (at for at, _letters in double_letters(text, tag) if str(at) in ticked))


def _term(asked: Asked) -> Term:
    """Return form values for a name; a new one gets grammar and language from the name it is a variant of."""
    if asked.key == "new":
        like = next((t for t in asked.entry.terms if t.id == asked.like), None)
        if like is None:
            return Term("", "", asked.languages[-1], Origin.IN_USE)
        return Term(
            "", "", like.language, like.origin, part_of_speech=like.part_of_speech, gender=like.gender,
            number=like.number, type=TermType.VARIANT, status=Status.ADMITTED,
        )  # fmt: skip
    result = next((t for t in asked.entry.terms if t.id == asked.key), None)
    if result is None:
        raise NotFound(
            _("The entry no longer has this name."), where=asked.key, fix=_("Check the entry's history.")
        )
    return result


def _apply_term(asked: Asked, form: Form) -> Entry:
    with Problems() as problems:
        term = _term_of(asked, form, problems)
        names = asked.entry.terms
        terms = tuple(term if t.id == term.id else t for t in names) if term.id else (*names, term)
        entry = replace(asked.entry, terms=terms)
        problems.value(entry, clean_entry, entry)  # errors from the record are reported with the rest
    return entry


def _term_of(asked: Asked, form: Form, problems: Problems) -> Term:
    """Return the name from the form; errors are collected in `problems`."""
    before = _term(asked)
    if asked.key == "new":
        before = Term(
            "", before.text, before.language, before.origin
        )  # fields that are not in the form are empty
    sort_text = form.line("sort_text").replace(PARTED, PARTING) or _parting(form)
    forms: tuple[Inflected, ...] = problems.value(before.forms, _forms, form.text("forms"))
    return TERM.read(form, before, problems, {"forms": forms, "sort_text": sort_text})


def _forms(text: str) -> tuple[Inflected, ...]:
    result = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        label, colon, form = line.partition(":")
        if not colon or not form.strip():
            raise BadInput(
                _("“%(line)s” needs a colon between the label and the form.", line=line),
                where="forms",
                fix=_("For example: “plural: ymafaelion”."),
            )
        result.append(Inflected(label.strip(), form.strip()))
    return tuple(result)


def _place_of_term(asked: Asked) -> Path:
    """Return the path of the name in the entry; a new one comes last."""
    ids = [t.id for t in asked.entry.terms]
    return ("terms", ids.index(asked.key) if asked.key in ids else len(ids))


PARTS: dict[str, Part] = {
    "topic": Part(Deed.TOPIC_CHANGED, _fill_topic, _apply_topic),
    "definitions": Part(Deed.DEFINITION_CHANGED, _fill_definitions, _apply_definitions),
    "notes": Part(Deed.NOTES_CHANGED, _fill_notes, _apply_notes),
    "analogues": Part(Deed.ANALOGUES_CHANGED, _fill_analogues, _apply_analogues),
    "figures": Part(Deed.FIGURES_CHANGED, _fill_figures, _apply_figures),
    "term": Part(Deed.NAME_CHANGED, _fill_term, _apply_term, _place_of_term),
}
"""Parts with this kind of form; relations, rulings, slips and the technique have their own views."""


def options(values: type[StrEnum] | Iterable[str], empty: str | None = None) -> Options:
    """Return the options of a select: value and words; `empty` is the label of the empty option, None for no
    such option."""
    result = tuple((str(value), _(str(value))) for value in values)
    return result if empty is None else (("", empty), *result)


def attribute_words(path: str) -> str:
    """Return what an attribute of a profile is about: `where the right hand holds`."""
    return _(ENGLISH.words.get(path) or ATTRIBUTE_WORDS.get(path, path.replace("_", " ")))


def code_name(library: Library, code_id: str) -> str:
    """Return the name of a rule code, or its id if it does not exist."""
    return next((code.name for code in library.codes if code.id == code_id), code_id)


def double_letters_of(text: str, tag: str) -> list[tuple[int, str, str]]:
    """Return the double letters of a name: position, letters, and their word with the letters separated."""
    if not is_well_formed(tag):
        return []
    return [
        (at, letters, f"{text[:at]}{letters[0]}|{text[at + 1 :]}")
        for at, letters in double_letters(text, tag)
    ]


def sort_positions(form: Form, tag: str, term_id: str) -> list[tuple[str, tuple[str, str]]]:
    """Return the heads before and after the name, each pair with its label.

    The first pair is for double letters sorted as one letter; the second, if any are ticked, for those split.
    """
    text, reader = form.text("text"), context.reader()
    places = [int(at) for at in form.all("parted") if at.isascii() and at.isdigit() and len(at) < 4]
    result = [(_("Sorted with each as one letter"), neighbours(reader, text, tag, without=term_id))]
    if places:
        as_ticked = neighbours(reader, parted(text, places), tag, without=term_id)
        result.append((_("Sorted as ticked"), as_ticked))
    return result


def said(values: Iterable[str]) -> str:
    """Return values in the reader's language."""
    return listed([_(value) for value in values])


@blueprint.context_processor
def vocabulary() -> dict[str, object]:
    """Return what the templates of this section can use."""
    return _vocabulary(interface_language())


@lru_cache(maxsize=8)
def _vocabulary(_language: str) -> dict[str, object]:
    return {
        "attribute_words": attribute_words,
        "certainty_options": options(Certainty),
        "presence_options": tuple((p.value, _(p.words)) for p in Presence),
        "code_name": code_name,
        "double_letters_of": double_letters_of,
        "gender_options": options(Gender, "–"),
        "locator_of": locator,
        "mechanics_questions": check_mechanics,
        "number_options": options(Number, "–"),
        "origin_options": options(Origin, _("choose")),
        "register_options": options(Register, "–"),
        "relation_options": options(RELATION_WORDS),
        "said": said,
        "slip_kind_options": options(SlipKind),
        "speech_options": options(PartOfSpeech, "–"),
        "statements_of": statements_of,
        "sort_positions": sort_positions,
        "status_options": options(Status, "–"),
        "topic_options": options(Topic, _("not stated yet")),
        "type_options": options(TermType, "–"),
        "verdict_options": options(VERDICT_WORDS, _("no ruling: the computed verdict applies")),
    }
