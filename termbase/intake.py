"""What may come into the record: fields are brought in order as they are declared (`termbase.cleaning`).

Each `take_` function gives the record as it may be stored, or says what is wrong with which field. What they
check themselves are rules of the whole record, which no field can say of itself.
"""

from dataclasses import replace
from operator import is_

from termbase import tags
from termbase.cleaning import cleaned, date, says, verbatim
from termbase.entries import Entry, Status, Term
from termbase.errors import BadInput, ToldAt
from termbase.fields import Length, changed_by, path_words
from termbase.foreignnotes import ForeignNote
from termbase.limits import check_length
from termbase.messages import message
from termbase.people import Person, Termbase
from termbase.sources import Slip, Source
from termbase.trials import Trial

__all__ = [
    "take_date",
    "take_entry",
    "take_person",
    "take_slip",
    "take_source",
    "take_termbase",
    "take_trial",
    "take_verbatim",
]


def take_date(text: str, field: str) -> str:
    """An EDTF date, or nothing.

    Raises:
        BadInput: it is no EDTF date.
    """
    with ToldAt(field):
        return date(text)


def take_verbatim(text: str, field: str, length: Length = "page") -> str:
    """Text that is kept as it stands: NFC, line ends as \\n.

    Args:
        text: the text.
        field: what it is called in errors.
        length: how long it may be.

    Raises:
        BadInput: it holds characters that no database and no XML can hold, or is too long.
    """
    check_length(text, length, field)
    with ToldAt(field):
        return verbatim(text)


def take_termbase(termbase: Termbase) -> Termbase:
    """The termbase: it has a title and languages that exist as tags.

    Raises:
        BadInput: a field cannot be taken, or the working language is a vernacular too.
    """
    taken = cleaned(termbase)
    if taken.working_language in taken.vernaculars:
        raise BadInput(
            message(
                "The working language %(language)s is also listed as a vernacular.",
                language=repr(taken.working_language),
            ),
            where=path_words(Termbase, ("vernaculars",)),
            mend=message("List only the other languages."),
            path=("vernaculars",),
        )
    return taken


def take_person(person: Person) -> Person:
    """A person with a name.

    Raises:
        BadInput: a field cannot be taken.
    """
    return cleaned(person)


def take_source(source: Source) -> Source:
    """A source: label and title are needed, the date is EDTF, the language a tag.

    Raises:
        BadInput: a field cannot be taken.
    """
    return cleaned(source)


def take_slip(slip: Slip) -> Slip:
    """A slip: the quotation is needed and kept verbatim, its date is EDTF.

    Raises:
        BadInput: a field cannot be taken.
    """
    return cleaned(slip)


def take_trial(trial: Trial) -> Trial:
    """A trial: its date is needed and is EDTF.

    Raises:
        BadInput: a field cannot be taken.
    """
    return cleaned(trial)


def take_entry(entry: Entry) -> Entry:
    """An entry: at least one name, at most one preferred name a language, tags and texts in order.

    What says nothing is left out: definitions, forms and notes without a text, analogues without a name,
    relations to the entry itself, the language of a printed form that there is not.

    Raises:
        BadInput: a field cannot be taken, there is no name, or two names in a language are preferred; that
            is told of the last of them.
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
        mend=message("Keep one as preferred and mark the other as admitted."),
        path=("terms", last, "status"),
    )


def _without_empty(entry: Entry) -> Entry:
    """The entry without what says nothing; the same object where everything in it says something."""
    made: dict[str, object] = {}
    terms = tuple(map(_without_empty_parts, entry.terms))
    if not all(map(is_, terms, entry.terms)):
        made["terms"] = terms
    if not all(says(d.text) for d in entry.definitions):
        made["definitions"] = tuple(d for d in entry.definitions if says(d.text))
    if not all(says(a.name) for a in entry.analogues):
        made["analogues"] = tuple(a for a in entry.analogues if says(a.name))
    if entry.foreign_notes:
        made["foreign_notes"] = _saying(entry.foreign_notes)
    return changed_by(entry, made) if made else entry


def _without_empty_parts(term: Term) -> Term:
    made: dict[str, object] = {}
    if term.printed_language and not says(term.printed):
        made["printed_language"] = ""
    if term.forms and not all(says(form.text) for form in term.forms):
        made["forms"] = tuple(form for form in term.forms if says(form.text))
    if term.foreign_notes:
        made["foreign_notes"] = _saying(term.foreign_notes)
    return changed_by(term, made) if made else term


def _saying(notes: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    return tuple(note for note in notes if says(note.text) or says(note.target))
