"""What may come into the record: text is normalised (NFC, no invisible characters), the rest is checked.

Each `take_` function gives the record as it may be stored, or says what is wrong with which field. Verbatim
text (slips, transcriptions) is only brought to NFC, never otherwise touched.
"""

import unicodedata
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from termbase import dates, tags
from termbase.entries import Analogue, Definition, Entry, Form, Status, Term
from termbase.errors import BadInput, Problems
from termbase.foreignnotes import ForeignNote
from termbase.languages import folding
from termbase.limits import Kind, check_length, check_lengths
from termbase.messages import message
from termbase.people import Person, Termbase
from termbase.sources import Slip, Source
from termbase.technique import Profile
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


_TITLE, _NAME, _LABEL = message("title"), message("name"), message("label")
_DATE, _ISSUED, _LANGUAGE = message("date"), message("issued"), message("language")
_OF_DEFINITION, _OF_ANALOGUE = message("definition, language"), message("analogue, language")


def take_date(text: str, field: str) -> str:
    """An EDTF date, or nothing.

    Raises:
        BadInput: it is no EDTF date.
    """
    given = text.strip()
    if given:
        try:
            dates.parse(given)
        except BadInput as error:
            raise BadInput(error.what, where=field, mend=error.mend) from error
    return given


def take_tag(text: str, field: str) -> str:
    """A BCP 47 language tag in canonical case.

    Raises:
        BadInput: it is none.
    """
    try:
        return tags.canonical(text.strip())
    except BadInput as error:
        raise BadInput(error.what, where=field, mend=error.mend) from error


def take_termbase(termbase: Termbase) -> Termbase:
    """The termbase: it has a title and languages that exist as tags."""
    check_lengths(termbase)
    with Problems() as problems:
        title = problems.value("", _needed, termbase.title, _TITLE)
        working = problems.value("", take_tag, termbase.working_language, message("working language"))
        tags_of = (problems.value("", take_tag, t, message("vernaculars")) for t in termbase.vernaculars)
        vernaculars = tuple(dict.fromkeys(tags_of))
        if working and working in vernaculars:
            raise BadInput(
                message(
                    "The working language %(language)s is named as a vernacular too.", language=repr(working)
                ),
                where=message("vernaculars"),
                mend=message("Name the other languages only."),
            )
    return replace(
        termbase,
        title=title,
        working_language=working,
        vernaculars=vernaculars,
        licence=_line(termbase.licence),
        rights=_block(termbase.rights),
        notice=_block(termbase.notice),
    )


def take_person(person: Person) -> Person:
    """A person with a name."""
    check_lengths(person)
    return replace(person, name=_needed(person.name, _NAME))


def take_source(source: Source) -> Source:
    """A source: label and title are needed, the date is EDTF, the language a tag."""
    check_lengths(source)
    lines = ("author", "editor", "container", "publisher", "place", "pages", "archive", "shelfmark", "url")
    with Problems() as problems:
        label = problems.value("", _needed, source.label, _LABEL)
        title = problems.value("", _needed, source.title, _TITLE)
        issued = problems.value("", take_date, source.issued, _ISSUED)
        tag = problems.value("", take_tag, source.language, _LANGUAGE) if source.language.strip() else ""
    return replace(
        source,
        label=label,
        title=title,
        issued=issued,
        language=tag,
        styles=tuple(filter(None, (_line(s) for s in source.styles))),
        rights=_block(source.rights),
        note=_block(source.note),
        **_tidied(source, _line, lines),
    )


def take_slip(slip: Slip) -> Slip:
    """A slip: the quotation is needed and kept verbatim, its date is EDTF."""
    check_lengths(slip)
    lines = ("name", "page", "column", "line", "item", "place")
    with Problems() as problems:
        text = problems.value("", _quotation, slip.text)
        date = problems.value("", take_date, slip.date, _DATE)
    return replace(
        slip,
        text=text,
        date=date,
        note=_block(slip.note),
        **_tidied(slip, _line, lines),
    )


def _quotation(text: str) -> str:
    if not text.strip():
        raise BadInput(
            message("The quotation is empty."),
            where=message("text"),
            mend=message("Type what the source says, word for word."),
        )
    return _verbatim(text)


def take_trial(trial: Trial) -> Trial:
    """A trial: its date is needed and is EDTF."""
    check_lengths(trial)
    if not trial.date.strip():
        raise BadInput(
            message("The date is missing."),
            where=message("date"),
            mend=message("Give the day, or 2026-05 or 2026 if unsure."),
        )
    blocks = ("place", "people", "holds", "done", "change", "safety", "injuries")
    return replace(trial, date=take_date(trial.date, _DATE), **_tidied(trial, _block, blocks))


def take_entry(entry: Entry) -> Entry:
    """An entry: at least one name, at most one preferred name a language, tags and texts in order."""
    check_lengths(entry)
    with Problems() as problems:
        terms = tuple(problems.value(t, _term, t, n) for n, t in enumerate(entry.terms, 1))
    if not terms:
        raise BadInput(
            message("The entry has no name."),
            where=message("terms"),
            mend=message("Give it at least one name in any language."),
        )
    preferred = Counter(t.language for t in terms if t.status is Status.PREFERRED)
    twice = [tag for tag, number in preferred.items() if number > 1]
    if twice:
        name = tags.display_name(twice[0])
        raise BadInput(
            message("Two names in %(language)s are preferred.", language=name),
            where=message("status"),
            mend=message("Keep one as preferred; call the other admitted."),
        )
    return replace(
        entry,
        terms=terms,
        definitions=tuple(_definition(d) for d in entry.definitions if d.text.strip()),
        analogues=tuple(_analogue(a) for a in entry.analogues if a.name.strip()),
        technique=_technique(entry.technique) if entry.technique else None,
        relations=tuple(dict.fromkeys(r for r in entry.relations if r.target_id != entry.id)),
        usage_note=_block(entry.usage_note),
        editor_note=_block(entry.editor_note),
        foreign_notes=_foreign_notes(entry.foreign_notes),
    )


def _technique(profile: Profile) -> Profile:
    if not (profile.names or profile.note):
        return profile
    names = dict.fromkeys(filter(None, map(_line, profile.names)))
    return replace(profile, names=tuple(names), note=_block(profile.note))


def _term(term: Term, number: int) -> Term:
    with Problems() as problems:
        text = problems.value("", _name, term.text, number)
        tag = problems.value("", _language, term, number)
        printed = _line(term.printed)
        printed_tag = problems.value("", _printed_language, term, number) if printed else ""
    forms = tuple(Form(_line(f.label), _line(f.text)) for f in term.forms if f.text.strip())
    return replace(
        term,
        text=text,
        language=tag,
        printed=printed,
        printed_language=printed_tag,
        forms=forms,
        pronunciation=_line(term.pronunciation),
        region=_line(term.region),
        usage_note=_block(term.usage_note),
        sort_text=folding.clean_sort_form(term.sort_text),
        foreign_notes=_foreign_notes(term.foreign_notes),
    )


def _foreign_notes(notes: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    """Notes from elsewhere: texts in order, none that says nothing."""
    lines = ("category", "file", "language", "about", "text_language", "target")
    found = (replace(n, text=_block(n.text), **_tidied(n, _line, lines)) for n in notes)
    return tuple(n for n in found if n.text or n.target)


def _name(text: str, number: int) -> str:
    line = _line(text)
    if not line:
        raise BadInput(
            message("It is empty."),
            where=message("name %(number)s", number=number),
            mend=message("Type something, or take it away."),
            path=("terms", number - 1, "text"),
        )
    return line


def _language(term: Term, number: int) -> str:
    try:
        return tags.canonical(term.language.strip())
    except BadInput as error:
        where = message("name %(number)s, language", number=number)
        path = ("terms", number - 1, "language")
        raise BadInput(error.what, where=where, mend=error.mend, path=path) from error


def _printed_language(term: Term, number: int) -> str:
    """The language that a printed spelling is in, where it is said."""
    given = term.printed_language.strip()
    try:
        return tags.canonical(given) if given else ""
    except BadInput as error:
        where = message("name %(number)s, printed language", number=number)
        path = ("terms", number - 1, "printed_language")
        raise BadInput(error.what, where=where, mend=error.mend, path=path) from error


def _definition(definition: Definition) -> Definition:
    tag = take_tag(definition.language, _OF_DEFINITION)
    return replace(definition, language=tag, text=_block(definition.text))


def _analogue(analogue: Analogue) -> Analogue:
    tag = take_tag(analogue.language, _OF_ANALOGUE) if analogue.language.strip() else ""
    return replace(analogue, name=_line(analogue.name), language=tag, style=_line(analogue.style))


def take_verbatim(text: str, field: str, kind: Kind = "page") -> str:
    """Text that is kept as it stands: NFC, line ends as \\n.

    Args:
        text: the text.
        field: what it is called in errors.
        kind: of the field: how long it may be.

    Raises:
        BadInput: it holds characters that no database and no XML can hold, or is too long.
    """
    check_length(text, kind, field)
    try:
        return _verbatim(text)
    except BadInput as error:
        raise BadInput(error.what, where=field, mend=error.mend) from error


def _verbatim(text: str) -> str:
    """NFC, line ends as \\n; characters that no database and no XML can hold are refused."""
    if "\0" in text or any("\ud800" <= c <= "\udfff" for c in text):
        raise BadInput(
            message("The text holds characters that are no text (NUL or half a character)."),
            where=message("text"),
            mend=message("Paste it again from the original, or save the file as UTF-8."),
        )
    return unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))


def _block(text: str) -> str:
    return folding.clean(_verbatim(text)).strip()


def _line(text: str) -> str:
    return " ".join(_block(text).split())


def _tidied(record: object, tidy: Callable[[str], str], names: tuple[str, ...]) -> dict[str, Any]:
    """The named text fields of a record, each brought in order."""
    return {name: tidy(getattr(record, name)) for name in names}


def _needed(text: str, field: str) -> str:
    line = _line(text)
    if not line:
        raise BadInput(message("It is empty."), where=field, mend=message("Type something, or take it away."))
    return line
