"""Validating records before they are stored: fields are cleaned as they are declared
(`termbase.record.cleaning`).

Each `take_` function returns the record as it may be stored, or raises an error naming the field. What they
check themselves are rules about the whole record, which no single field can declare.
"""

from dataclasses import replace
from operator import is_

from termbase.errors import BadInput, ReportedAt
from termbase.fields.declarations import Length, changed_by, path_words
from termbase.languages import tags
from termbase.messages import message
from termbase.record.cleaning import cleaned, date, has_text, verbatim
from termbase.record.entries import Entry, Status, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.record.limits import check_length
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial

__all__ = [
    "clean_date",
    "clean_entry",
    "clean_person",
    "clean_slip",
    "clean_source",
    "clean_termbase",
    "clean_trial",
    "clean_verbatim",
]


def clean_date(text: str, field: str) -> str:
    """Return an EDTF date, or an empty string.

    Raises:
        BadInput: it is not an EDTF date.
    """
    with ReportedAt(field):
        return date(text)


def clean_verbatim(text: str, field: str, length: Length = "page") -> str:
    """Return a text verbatim: NFC, line ends as \\n.

    Args:
        text: the text.
        field: its name in errors.
        length: its maximum length.

    Raises:
        BadInput: it has characters that databases and XML cannot hold, or is too long.
    """
    check_length(text, length, field)
    with ReportedAt(field):
        return verbatim(text)


def clean_termbase(termbase: Termbase) -> Termbase:
    """Clean the termbase record: it needs a title, and its languages must be valid tags.

    Raises:
        BadInput: a field is invalid, or the working language is also a vernacular.
    """
    taken = cleaned(termbase)
    if taken.working_language in taken.vernaculars:
        raise BadInput(
            message(
                "The working language %(language)s is also listed as a vernacular.",
                language=repr(taken.working_language),
            ),
            where=path_words(Termbase, ("vernaculars",)),
            fix=message("List only the other languages."),
            path=("vernaculars",),
        )
    return taken


def clean_person(person: Person) -> Person:
    """Clean a person: a name is required.

    Raises:
        BadInput: a field is invalid.
    """
    return cleaned(person)


def clean_source(source: Source) -> Source:
    """Clean a source: label and title are required, the date is EDTF, the language a tag.

    Raises:
        BadInput: a field is invalid.
    """
    return cleaned(source)


def clean_slip(slip: Slip) -> Slip:
    """Clean a slip: the quotation is required and kept verbatim, its date is EDTF.

    Raises:
        BadInput: a field is invalid.
    """
    return cleaned(slip)


def clean_trial(trial: Trial) -> Trial:
    """Clean a trial: its date is required and is EDTF.

    Raises:
        BadInput: a field is invalid.
    """
    return cleaned(trial)


def clean_entry(entry: Entry) -> Entry:
    """Clean an entry: at least one name, at most one preferred name per language, valid tags and texts.

    Empty parts are dropped: definitions, forms and notes without a text, analogues without a name, relations
    to the entry itself, the language of a missing printed form.

    Raises:
        BadInput: a field is invalid, there is no name, or two names in a language are preferred; the error
            names the last of them.
    """
    taken = cleaned(_without_empty(entry))
    _check_preferred(taken)
    if taken.relations:
        relations = dict.fromkeys(r for r in taken.relations if r.target_id != taken.id)
        taken = replace(taken, relations=tuple(relations))
    return taken


def _check_preferred(entry: Entry) -> None:
    preferred = [t.language for t in entry.terms if t.status is Status.PREFERRED]
    twice = [tag for tag in preferred if preferred.count(tag) > 1]
    if not twice:
        return
    last = max(
        n for n, t in enumerate(entry.terms) if t.status is Status.PREFERRED and t.language == twice[0]
    )
    raise BadInput(
        message("Two names in %(language)s are marked as preferred.", language=tags.display_name(twice[0])),
        where=message("status"),
        fix=message("Keep one as preferred and mark the other as admitted."),
        path=("terms", last, "status"),
    )


def _without_empty(entry: Entry) -> Entry:
    """Return the entry without empty parts; the same object if there are none."""
    made: dict[str, object] = {}
    terms = tuple(map(_without_empty_parts, entry.terms))
    if not all(map(is_, terms, entry.terms)):
        made["terms"] = terms
    if not all(has_text(d.text) for d in entry.definitions):
        made["definitions"] = tuple(d for d in entry.definitions if has_text(d.text))
    if not all(has_text(a.name) for a in entry.analogues):
        made["analogues"] = tuple(a for a in entry.analogues if has_text(a.name))
    if entry.foreign_notes:
        made["foreign_notes"] = _saying(entry.foreign_notes)
    return changed_by(entry, made) if made else entry


def _without_empty_parts(term: Term) -> Term:
    made: dict[str, object] = {}
    if term.printed_language and not has_text(term.printed):
        made["printed_language"] = ""
    if term.forms and not all(has_text(form.text) for form in term.forms):
        made["forms"] = tuple(form for form in term.forms if has_text(form.text))
    if term.foreign_notes:
        made["foreign_notes"] = _saying(term.foreign_notes)
    return changed_by(term, made) if made else term


def _saying(notes: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    return tuple(note for note in notes if has_text(note.text) or has_text(note.target))
