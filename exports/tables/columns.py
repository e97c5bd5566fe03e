"""What a table of entries can contain: one row per name, concept or slip; columns by key.

The key of a column identifies the field (`name`, `definition:cy`, `verdict:r1`); its title is the heading,
which can be chosen. Record fields get their columns from their declarations (`exports.tables.fields`).
Special columns are defined here: names and definitions by language, sources by label, and columns that are
only exported: computed ones (evidence, verdicts) and notes from elsewhere.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Final, Literal, get_args

from exports.tables.cells import Cell, names_cell, to_cell
from exports.tables.fields import FIELDS, field_at, record_at, table_fields
from termbase.errors import BadInput
from termbase.fields.declarations import Count, Member, Text, field_of, fields_of
from termbase.languages import tags
from termbase.messages import message
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Entry, Term
from termbase.record.sources import Slip

__all__ = [
    "COMPUTED",
    "Column",
    "Row",
    "chosen",
    "columns_of_entries",
    "columns_of_names",
    "columns_of_slips",
]


Rows = Literal["names", "entries", "slips"]
"""What a row describes: a name, a concept, or a slip for a name."""
ROWS: Final[tuple[Rows, ...]] = get_args(Rows)


@dataclass(frozen=True, slots=True)
class Row:
    """The subject of a row: an entry, one of its names, one of the slips for that name."""

    article: Article
    term: Term | None = None
    slip: Slip | None = None


Get = Callable[[Row], Cell]


@dataclass(frozen=True)
class Column:
    """One column: its key, its title, and its content."""

    key: str
    title: str
    get: Get


def columns_of(library: Library, rows: Rows) -> tuple[Column, ...]:
    """Return every column of a table with such rows."""
    if rows == "slips":
        return columns_of_slips(library)
    return columns_of_names(library) if rows == "names" else columns_of_entries(library)


def columns_of_names(library: Library) -> tuple[Column, ...]:
    """Return every column of a table with one row per name."""
    return (
        *_with_definitions(_own(Entry, Term), library),
        _FOREIGN_NOTES,
        *(Column(key, title, _of_term(get)) for key, (title, get) in _COMPUTED_OF_NAMES.items()),
        *_computed(library),
    )


def columns_of_entries(library: Library) -> tuple[Column, ...]:
    """Return every column of a table with one row per concept."""
    names = (Column(f"names:{tag}", f"names ({tag})", _names(tag)) for tag in _languages(library))
    return (
        *_with_definitions(_own(Entry), library, names),
        _FOREIGN_NOTES,
        *_computed(library),
    )


def columns_of_slips(library: Library) -> tuple[Column, ...]:
    """Return every column of a table with one row per slip for a name."""
    fields = (field_at(key) for key in ("entry", "version", "name_id", "name", "language"))
    identifying = tuple(_column(field.column) for field in fields)
    return (*identifying, *(_source(library) if c.key == _SOURCE.column else c for c in _own(Slip)))


def chosen(available: Sequence[Column], asked: Iterable[str]) -> tuple[Column, ...]:
    """Return the columns asked for, each as `key` or `key=title`; `names:xx` and `definition:xx` in any
    language.

    Raises:
        BadInput: there is no such column, or two have the same title.
    """
    by_key = {column.key: column for column in available}
    columns: list[Column] = []
    for text in asked:
        key, given, title = text.partition("=")
        column = by_key.get(key.strip()) or _in_any_language(key.strip(), by_key)
        if column is None:
            raise BadInput(
                message("There is no column %(key)r.", key=key),
                where="column",
                fix=message("Use one of: %(columns)s.", columns=", ".join(by_key)),
            )
        columns.append(replace(column, title=title.strip()) if given and title.strip() else column)
    titles = [column.title for column in columns]
    if twice := next((title for title in titles if titles.count(title) > 1), None):
        raise BadInput(
            message("Two columns are both called %(twice)r.", twice=twice),
            where="column",
            fix=message("Give them different titles: key=title."),
        )
    return tuple(columns) or tuple(available)


def _in_any_language(key: str, known: dict[str, Column]) -> Column | None:
    field, colon, tag = key.partition(":")
    if not colon or not tags.is_well_formed(tag):
        return None
    if field == "definition" and any(k.startswith("definition:") for k in known):
        return _definition(tags.canonical(tag))
    if field == "names" and any(k.startswith("names:") for k in known):
        return Column(key, f"names ({tag})", _names(tags.canonical(tag)))
    return None


def _own(*records: type) -> tuple[Column, ...]:
    """Return the columns for the fields of these records, in order."""
    return tuple(_column(key) for key in FIELDS if record_at(key) in records)


def _with_definitions(
    own: Iterable[Column], library: Library, names: Iterable[Column] = ()
) -> Iterator[Column]:
    """Return the columns of an entry, with names and definitions after the fields where the entry has
    them."""
    declared = [field.name for field in fields_of(Entry)]
    later = {f.column for f in table_fields(Entry) if declared.index(f.name) > declared.index("definitions")}
    columns = tuple(own)
    yield from (column for column in columns if column.key not in later)
    yield from (*names, *_definitions(library))
    yield from (column for column in columns if column.key in later)


def _column(key: str) -> Column:
    field, record = field_at(key), record_at(key)
    value: Callable[[object], Cell] = attrgetter(field.name)
    cell = value if isinstance(field.is_a, Text | Member | Count) else lambda of: to_cell(field, value(of))

    def of_entry(row: Row) -> Cell:
        return cell(row.article.entry)

    def of_term(row: Row) -> Cell:
        return None if row.term is None else cell(row.term)

    def of_slip(row: Row) -> Cell:
        return None if row.slip is None else cell(row.slip)

    return Column(key, field.heading, {Entry: of_entry, Term: of_term, Slip: of_slip}[record])


def _of_term(get: Callable[[Article, Term], Cell]) -> Get:
    return lambda row: None if row.term is None else get(row.article, row.term)


def _source(library: Library) -> Column:
    def label(row: Row) -> Cell:
        source = library.sources.get(row.slip.source_id) if row.slip else None
        return source.label if source else None

    return Column(_SOURCE.column, _SOURCE.heading, label)


def _languages(library: Library) -> tuple[str, ...]:
    """Return the termbase's languages, then any others in the record: so that no name is left out."""
    return tuple(dict.fromkeys((*library.termbase.languages, *library.reader.languages())))


def _definitions(library: Library) -> Iterable[Column]:
    return (_definition(tag) for tag in _languages(library))


def _definition(tag: str) -> Column:
    def text(row: Row) -> Cell:
        return next((d.text for d in row.article.entry.definitions if d.language == tag), None)

    return Column(f"definition:{tag}", f"definition ({tag})", text)


def _names(tag: str) -> Get:
    return lambda row: names_cell([t.text for t in row.article.entry.terms if t.language == tag])


def _computed(library: Library) -> Iterable[Column]:
    for key, get in _COMPUTED_OF_ENTRIES.items():
        yield Column(key, key, _of_article(get))
    for code in library.codes:
        yield Column(f"{_VERDICT}:{code.id}", f"verdict ({code.name})", _verdict(code.id))


def _of_article(get: Callable[[Article], Cell]) -> Get:
    return lambda row: get(row.article)


def _verdict(code_id: str) -> Get:
    def word(row: Row) -> Cell:
        judged = next((j for j in row.article.judged if j.code.id == code_id), None)
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


def _foreign_notes(article: Article) -> Cell:
    """Return all notes from elsewhere, one per line, each with the file it came from; notes on a name come
    last."""
    notes = [("", note) for note in article.entry.foreign_notes]
    notes += [(f"{t.text} ({t.language}): ", note) for t in article.entry.terms for note in t.foreign_notes]
    lines = (f"{whose}{n.words()} [{n.file}]" if n.file else f"{whose}{n.words()}" for whose, n in notes)
    return "\n".join(lines) or None


_SOURCE: Final = field_of(Slip, "source_id")
_FOREIGN_NOTES: Final = Column(
    "foreign_notes", "notes from elsewhere", lambda row: _foreign_notes(row.article)
)
_COMPUTED_OF_NAMES: Final[dict[str, tuple[str, Callable[[Article, Term], Cell]]]] = {
    "evidence": ("evidence of the name", lambda a, t: str(a.names[t.id].words)),
    "witnesses": ("independent witnesses", lambda a, t: len(a.names[t.id].used)),
    "first": ("first witness", _first),
    "last": ("last witness", _last),
}
_COMPUTED_OF_ENTRIES: Final[dict[str, Callable[[Article], Cell]]] = {
    "ready": lambda a: "yes" if a.entry.ready else "no",
    "mechanic": lambda a: str(a.mechanic.words),
    "practice": lambda a: str(a.practice.words),
}
_VERDICT: Final = "verdict"
COMPUTED: Final = frozenset((*_COMPUTED_OF_ENTRIES, *_COMPUTED_OF_NAMES, _VERDICT, _FOREIGN_NOTES.key))
"""Columns that the program computes, and notes from elsewhere; they are exported, never imported."""
