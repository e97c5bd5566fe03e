"""Validating records before they are stored: fields are cleaned as they are declared
(`termbase.record.cleaning`).

Each `clean_` function returns the record ready to be stored, or raises an error naming the field. It only
adds rules about the whole record, which no single field can declare.
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
    cleaned_termbase = cleaned(termbase)
    if cleaned_termbase.working_language in cleaned_termbase.vernaculars:
        raise BadInput(
            message(
                "The working language %(language)s is also listed as a vernacular.",
                language=repr(cleaned_termbase.working_language),
            ),
            where=path_words(Termbase, ("vernaculars",)),
            fix=message("List only the other languages."),
            path=("vernaculars",),
        )
    return cleaned_termbase


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
    cleaned_entry = cleaned(_without_empty(entry))
    _check_preferred(cleaned_entry)
    if cleaned_entry.relations:
        relations = dict.fromkeys(r for r in cleaned_entry.relations if r.target_id != cleaned_entry.id)
        cleaned_entry = replace(cleaned_entry, relations=tuple(relations))
    return cleaned_entry


def _check_preferred(entry: Entry) -> None:
    preferred = [t.language for t in entry.terms if t.status is Status.PREFERRED]
    repeated = [tag for tag in preferred if preferred.count(tag) > 1]
    if not repeated:
        return
    last = max(
        n for n, t in enumerate(entry.terms) if t.status is Status.PREFERRED and t.language == repeated[0]
    )
    raise BadInput(
        message(
            "Two names in %(language)s are marked as preferred.", language=tags.display_name(repeated[0])
        ),
        where=message("status"),
        fix=message("Keep one as preferred and mark the other as admitted."),
        path=("terms", last, "status"),
    )


def _without_empty(entry: Entry) -> Entry:
    """Return the entry without empty parts; the same object if there are none."""
    changed: dict[str, object] = {}
    terms = tuple(map(_without_empty_parts, entry.terms))
    if not all(map(is_, terms, entry.terms)):
        changed["terms"] = terms
    if not all(has_text(d.text) for d in entry.definitions):
        changed["definitions"] = tuple(d for d in entry.definitions if has_text(d.text))
    if not all(has_text(a.name) for a in entry.analogues):
        changed["analogues"] = tuple(a for a in entry.analogues if has_text(a.name))
    if entry.foreign_notes:
        changed["foreign_notes"] = _with_content(entry.foreign_notes)
    return changed_by(entry, changed) if changed else entry


def _without_empty_parts(term: Term) -> Term:
    changed: dict[str, object] = {}
    if term.printed_language and not has_text(term.printed):
        changed["printed_language"] = ""
    if term.forms and not all(has_text(form.text) for form in term.forms):
        changed["forms"] = tuple(form for form in term.forms if has_text(form.text))
    if term.foreign_notes:
        changed["foreign_notes"] = _with_content(term.foreign_notes)
    return changed_by(term, changed) if changed else term


def _with_content(notes: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    return tuple(note for note in notes if has_text(note.text) or has_text(note.target))
