"""What a table of entries can hold: one row for a name, or one for a concept; columns by their key.

The key of a column says the field (`name`, `definition:cy`, `verdict:r1`); its title is what stands in the
heading and can be chosen. Computed columns (evidence, verdicts) go out only.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from exports.tables.cells import forms_text, names_cell
from termbase import tags
from termbase.articles import Article, Library
from termbase.entries import Term
from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["Column", "chosen", "columns_of_entries", "columns_of_names"]

Cell = str | int | None
Get = Callable[[Article, Term | None], Cell]


@dataclass(frozen=True)
class Column:
    """One column: its key, its title, and what stands in it."""

    key: str
    title: str
    get: Get


def columns_of_names(library: Library) -> tuple[Column, ...]:
    """Every column of a table with one row for each name."""
    return (
        _entry("entry", "entry", lambda a: a.entry.id),
        _entry("version", "version", lambda a: a.entry.version),
        _entry("topic", "topic", lambda a: a.entry.topic),
        *(Column(key, title, _of_term(get)) for key, title, get in _OF_NAMES),
        *_definitions(library),
        *_OF_BOTH,
        Column("evidence", "evidence of the name", _of_term_in(lambda a, t: str(a.names[t.id].words))),
        Column("witnesses", "independent witnesses", _of_term_in(lambda a, t: len(a.names[t.id].used))),
        Column("first", "first witness", _of_term_in(_first)),
        Column("last", "last witness", _of_term_in(_last)),
        *_computed(library),
    )


def columns_of_entries(library: Library) -> tuple[Column, ...]:
    """Every column of a table with one row for each concept."""
    return (
        _entry("entry", "entry", lambda a: a.entry.id),
        _entry("version", "version", lambda a: a.entry.version),
        _entry("topic", "topic", lambda a: a.entry.topic),
        *(_entry(f"names:{tag}", f"names ({tag})", _names(tag)) for tag in _languages(library)),
        *_definitions(library),
        *_OF_BOTH,
        *_computed(library),
    )


def chosen(available: Sequence[Column], asked: Iterable[str]) -> tuple[Column, ...]:
    """The columns asked for, each as `key` or `key=title`; `names:xx` and `definition:xx` in any language.

    Raises:
        BadInput: there is no such column, or two get one title.
    """
    by_key = {column.key: column for column in available}
    found: list[Column] = []
    for text in asked:
        key, given, title = text.partition("=")
        column = by_key.get(key.strip()) or _in_any_language(key.strip(), by_key)
        if column is None:
            raise BadInput(
                message("There is no column %(key)r.", key=key),
                where="column",
                mend=message("There are: %(columns)s.", columns=", ".join(by_key)),
            )
        found.append(replace(column, title=title.strip()) if given and title.strip() else column)
    titles = [column.title for column in found]
    if twice := next((title for title in titles if titles.count(title) > 1), None):
        raise BadInput(
            message("Two columns are called %(twice)r.", twice=twice),
            where="column",
            mend=message("Name them apart: key=title."),
        )
    return tuple(found) or tuple(available)


def _in_any_language(key: str, known: dict[str, Column]) -> Column | None:
    field, colon, tag = key.partition(":")
    if not colon or not tags.is_well_formed(tag):
        return None
    if field == "definition":
        return _definition(tags.canonical(tag))
    if field == "names" and any(k.startswith("names:") for k in known):
        return _entry(key, f"names ({tag})", _names(tags.canonical(tag)))
    return None


def _entry(key: str, title: str, get: Callable[[Article], Cell]) -> Column:
    return Column(key, title, lambda article, _: get(article))


def _of_term(get: Callable[[Term], Cell]) -> Get:
    return lambda _, term: None if term is None else get(term)


def _of_term_in(get: Callable[[Article, Term], Cell]) -> Get:
    return lambda article, term: None if term is None else get(article, term)


def _languages(library: Library) -> tuple[str, ...]:
    """Those of the termbase, then whatever else is in the record: a table leaves no name out."""
    return tuple(dict.fromkeys((*library.languages(), *library.reader.languages())))


def _definitions(library: Library) -> Iterable[Column]:
    return (_definition(tag) for tag in _languages(library))


def _definition(tag: str) -> Column:
    def text(article: Article) -> Cell:
        return next((d.text for d in article.entry.definitions if d.language == tag), None)

    return _entry(f"definition:{tag}", f"definition ({tag})", text)


def _names(tag: str) -> Callable[[Article], Cell]:
    return lambda article: names_cell([t.text for t in article.entry.terms if t.language == tag])


def _computed(library: Library) -> Iterable[Column]:
    yield _entry("ready", "ready", lambda a: "yes" if a.entry.ready else "no")
    yield _entry("mechanic", "mechanic", lambda a: str(a.mechanic.words))
    yield _entry("practice", "practice", lambda a: str(a.practice.words))
    for code in library.codes:
        yield _entry(f"verdict:{code.id}", f"verdict ({code.name})", _verdict(code.id))


def _verdict(code_id: str) -> Callable[[Article], Cell]:
    def word(article: Article) -> Cell:
        judged = next((j for j in article.judged if j.code.id == code_id), None)
        if judged is None:
            return None
        if judged.ruling is None:
            return judged.verdict.word
        return f"{judged.verdict.word}; ruled {judged.ruling.verdict} by {judged.ruling.by}"

    return word


def _first(article: Article, term: Term) -> Cell:
    return next((w.date for w in article.names[term.id].used if w.date), None)


def _last(article: Article, term: Term) -> Cell:
    return next((w.date for w in reversed(article.names[term.id].used) if w.date), None)


_OF_NAMES: Final[tuple[tuple[str, str, Callable[[Term], Cell]], ...]] = (
    ("name_id", "name id", lambda t: t.id),
    ("name", "name", lambda t: t.text),
    ("language", "language", lambda t: t.language),
    ("origin", "origin", lambda t: t.origin),
    ("status", "status", lambda t: t.status),
    ("type", "type", lambda t: t.type),
    ("part_of_speech", "part of speech", lambda t: t.part_of_speech),
    ("gender", "gender", lambda t: t.gender),
    ("number", "number", lambda t: t.number),
    ("forms", "inflected forms", lambda t: forms_text(t.forms)),
    ("pronunciation", "pronunciation", lambda t: t.pronunciation),
    ("register", "register", lambda t: t.register),
    ("region", "region", lambda t: t.region),
    ("name_note", "note on the name", lambda t: t.usage_note),
    ("printed", "as printed", lambda t: t.printed),
    ("printed_language", "language as printed", lambda t: t.printed_language),
    ("sort_form", "sort form", lambda t: t.sort_text),
)


def _foreign_notes(article: Article) -> Cell:
    """All notes from elsewhere, one a line, each with the file it came from; those on a name behind it."""
    notes = [("", note) for note in article.entry.foreign_notes]
    notes += [(f"{t.text} ({t.language}): ", note) for t in article.entry.terms for note in t.foreign_notes]
    lines = (f"{whose}{n.words()} [{n.file}]" if n.file else f"{whose}{n.words()}" for whose, n in notes)
    return "\n".join(lines) or None


_OF_BOTH: Final = (
    _entry("usage_note", "usage note", lambda a: a.entry.usage_note),
    _entry("editor_note", "editor's note", lambda a: a.entry.editor_note),
    _entry("foreign_notes", "notes from elsewhere", lambda a: _foreign_notes(a)),
)
