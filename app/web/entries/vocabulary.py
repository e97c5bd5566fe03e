"""The record's closed lists as form options, and the words that the article's templates use."""

from collections.abc import Iterable
from enum import StrEnum
from functools import lru_cache

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import interface_language, listed
from termbase.judging.verdict import VERDICT_WORDS
from termbase.judging.wording import ENGLISH
from termbase.languages.alphabets import double_letters, parted
from termbase.languages.tags import is_well_formed
from termbase.lookup.neighbours import neighbours
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    RelationKind,
    Status,
    TermType,
    Topic,
)
from termbase.record.sources import Certainty, Presence, SlipKind, locator
from termbase.technique.coherence import check_mechanics
from termbase.technique.stating import statements_of

__all__ = ["ATTRIBUTE_WORDS", "RELATION_WORDS", "options"]

Options = tuple[tuple[str, str], ...]

RELATION_WORDS = tuple(dict.fromkeys(word for kind in RelationKind for word in (kind.value, kind.inverse)))
"""Every relation as it reads from either side."""

ATTRIBUTE_WORDS = {
    "his_side": "on which side of him",
    "contact_inward": "from inside or outside",
    "contact_from": "from the front or from behind",
}
"""Names of attributes that no verdict asks about."""


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


def stands_of(form: Form, tag: str, term_id: str) -> list[tuple[str, tuple[str, str]]]:
    """Return between which heads the name is sorted, with its double letters as one and, if any is separated,
    as two."""
    text, reader = form.text("text"), context.reader()
    places = [int(at) for at in form.all("parted") if at.isascii() and at.isdigit() and len(at) < 4]
    result = [("One letter each, it stands", neighbours(reader, text, tag, without=term_id))]
    if places:
        as_ticked = neighbours(reader, parted(text, places), tag, without=term_id)
        result.append(("As ticked, it stands", as_ticked))
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
        "stands_of": stands_of,
        "status_options": options(Status, "–"),
        "topic_options": options(Topic, _("not stated yet")),
        "type_options": options(TermType, "–"),
        "verdict_options": options(VERDICT_WORDS, _("no ruling: the computed verdict applies")),
    }
