"""The tables of the database. Records are mapped to them in `termbase.store.rows`; see also `migrations/`.

Sort keys and search keys are computed on write and compare by bytes on every database, never by the server's
collation. The columns of a record are derived from its fields (`columns_of`); keys, indexes and computed
columns are defined here. Leaf lists (inflected forms, vernaculars, roles) are JSON text.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    SmallInteger,
    String,
    Table,
    Text,
)

from termbase.fields.declarations import (
    Count,
    Data,
    DeclaredField,
    Flag,
    Id,
    Items,
    Lines,
    Member,
    Members,
    Nested,
    Reason,
    Reference,
    fields_of,
)
from termbase.fields.declarations import Text as TextField
from termbase.record.entries import Analogue, Definition, Entry, Figure, Redirect, Relation, Ruling, Term
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial

__all__ = [
    "AnyColumn",
    "Plain",
    "columns_of",
    "id_column",
    "list_column",
    "metadata",
    "reference_column",
    "text_column",
]


AnyColumn = Column[str] | Column[int] | Column[bool] | Column[bytes]

# Byte order everywhere: PostgreSQL would otherwise compare by the collation of its locale.
Plain: Final = Text().with_variant(Text(collation="C"), "postgresql")


def text_column(name: str) -> Column[str]:
    """Return a text column, empty by default."""
    return Column(name, Text, nullable=False, default="")


def list_column(name: str) -> Column[str]:
    """Return a column for a list as JSON text, with a server default for existing rows."""
    return Column(name, Text, nullable=False, default="[]", server_default="[]")


def id_column(name: str = "id") -> Column[str]:
    """Return the column for the id of the row's own record."""
    return Column(name, String(32), primary_key=True)


def reference_column(name: str, target: str, *, optional: bool = False) -> Column[str]:
    """Return a column for the id of another record, which must exist; NULL for none, if `optional`."""
    return Column(name, String(32), ForeignKey(target), nullable=optional)


def columns_of(
    cls: type, *, by_hand: Mapping[str, AnyColumn] | None = None, elsewhere: frozenset[str] = frozenset()
) -> Iterator[AnyColumn]:
    """Return the columns of the table that stores the records of a class, the id first.

    Args:
        cls: the class.
        by_hand: columns that are not derived from the declaration, by field name.
        elsewhere: fields stored as rows of other tables.

    Raises:
        TypeError: no column type fits the values of a field.
    """
    explicit = by_hand or {}
    fields = [field for field in fields_of(cls) if field.name not in elsewhere]
    for field in sorted(fields, key=lambda field: not isinstance(field.is_a, Id)):
        yield explicit[field.name] if field.name in explicit else _column(field)


def _column(field: DeclaredField) -> AnyColumn:
    name = field.name
    match field.is_a:
        case Id():
            return id_column(name)
        case Reference(to=kind):
            return reference_column(name, f"{kind}.id", optional=field.has_default)
        case TextField() | Reason() | Lines() | Members() | Items():
            return text_column(name)
        case Member() | Nested() if field.optional:
            return Column(name, Text)
        case Member():
            return text_column(name)
        case Nested():
            return Column(name, Text, nullable=False)
        case Count(bookkeeping=counted):
            return Column(name, Integer, nullable=field.optional, default=0 if counted else None)
        case Flag():
            return Column(name, Boolean, nullable=field.optional, default=None if field.optional else False)
        case Data():
            return Column(name, LargeBinary, nullable=False)
    raise TypeError(f"{name} fits no column type: {type(field.is_a).__name__}.")


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_COMPARED = {name: Column(name, Plain, nullable=False) for name in ("text", "language")}
"""Name columns that are searched and sorted."""
_ROWS = frozenset({"terms", "definitions", "relations", "analogues", "figures", "rulings"})
"""Parts of an entry that have their own rows."""


def _of_entry() -> tuple[Column[str], Column[int]]:
    """Return the columns for the entry that a part belongs to, and for its position."""
    return reference_column("entry_id", "entry.id"), Column("position", Integer, nullable=False)


termbase = Table("termbase", metadata, *columns_of(Termbase))

person = Table("person", metadata, *columns_of(Person))

image = Table("image", metadata, *columns_of(Image))

source = Table(
    "source", metadata,
    *columns_of(Source, by_hand={"label": Column("label", Text, nullable=False, unique=True)}),
)  # fmt: skip

# A rule code is stored whole: the database never searches its clauses.
code = Table(
    "code", metadata, id_column(), text_column("name"), Column("body", Text, nullable=False),
    Column("version", Integer, nullable=False, default=0),
)  # fmt: skip

entry = Table(
    "entry", metadata,
    *columns_of(Entry, by_hand={"foreign_notes": list_column("foreign_notes")}, elsewhere=_ROWS),
    Column("ready", Boolean, nullable=False, default=False),
    Index("ix_entry_topic", "topic"),
)  # fmt: skip

term = Table(
    "term", metadata, *_of_entry(),
    *columns_of(Term, by_hand={**_COMPARED, "foreign_notes": list_column("foreign_notes")}),
    Column("is_head", Boolean, nullable=False, default=False),
    Column("sort_key", LargeBinary, nullable=False),
    Column("section", Plain, nullable=False, default=""),
    Index("ix_term_entry_id", "entry_id", "position"),
    Index("ix_term_order", "language", "is_head", "sort_key", "entry_id"),
)  # fmt: skip

# The keys of names (termbase.store.keys). The index by text contains whole rows, so that a look-up reads only
# neighbouring ones; both can be built after the rows are inserted, which takes half the time.
key = Table(
    "key", metadata,
    Column("text", Plain, nullable=False), Column("kind", SmallInteger, nullable=False),
    Column("term_id", String(32), ForeignKey("term.id", ondelete="CASCADE"), nullable=False),
    Index("ix_key_text", "text", "kind", "term_id", unique=True), Index("ix_key_term_id", "term_id"),
)  # fmt: skip

segment = Table(
    "segment", metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Plain, primary_key=True),
    sqlite_with_rowid=False,
)  # fmt: skip

# The words of texts by which entries are found (termbase.store.textwords).
text_word = Table(
    "text_word", metadata,
    Column("word", Plain, nullable=False),
    Column("entry_id", String(32), ForeignKey("entry.id", ondelete="CASCADE"), nullable=False),
    Column("place", SmallInteger, nullable=False), Column("language", Plain, nullable=False),
    Index("ix_text_word_word", "word", "entry_id", "place", "language", unique=True),
    Index("ix_text_word_entry_id", "entry_id"),
)  # fmt: skip

key_build = Table(
    "key_build", metadata, Column("language", Plain, primary_key=True), text_column("version"),
)  # fmt: skip

definition = Table(
    "definition", metadata, *_of_entry(),
    *columns_of(Definition, by_hand={"language": Column("language", Plain, nullable=False)}),
    Index("ix_definition_entry_id", "entry_id", "position"),
)  # fmt: skip

relation = Table(
    "relation", metadata, *_of_entry(), *columns_of(Relation),
    Index("ix_relation_entry_id", "entry_id", "position"), Index("ix_relation_target_id", "target_id"),
)  # fmt: skip

# Merged entries; `termbase.record.entries`.
redirect = Table(
    "redirect", metadata, *columns_of(Redirect), Index("ix_redirect_target_id", "target_id"),
)  # fmt: skip

analogue = Table(
    "analogue", metadata, *_of_entry(), *columns_of(Analogue),
    Index("ix_analogue_entry_id", "entry_id", "position"),
)  # fmt: skip

figure = Table(
    "figure", metadata, *_of_entry(), *columns_of(Figure),
    Index("ix_figure_entry_id", "entry_id", "position"),
)  # fmt: skip

ruling = Table(
    "ruling", metadata, *_of_entry(), *columns_of(Ruling),
    Index("ix_ruling_entry_id", "entry_id", "position"),
)  # fmt: skip

slip = Table(
    "slip", metadata,
    # a slip may be joined to one that is written after it, so there is no foreign key
    *columns_of(Slip, by_hand={"joined_to": text_column("joined_to")}),
    Index("ix_slip_term_id", "term_id"), Index("ix_slip_source_id", "source_id"),
)  # fmt: skip

page = Table(
    "page", metadata, *columns_of(Page),
    Index("ix_page_source_id", "source_id", "number", unique=True),
)  # fmt: skip

line = Table(
    "line", metadata, *columns_of(Line, elsewhere=frozenset({"entry_ids"})),
    Index("ix_line_page_id", "page_id", "position"), Index("ix_line_state", "page_id", "state"),
)  # fmt: skip

line_entry = Table(
    "line_entry", metadata,
    Column("line_id", String(32), ForeignKey("line.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("entry_id", String(32), ForeignKey("entry.id"), nullable=False),
    Index("ix_line_entry_line_id", "line_id", "position"), Index("ix_line_entry_entry_id", "entry_id"),
)  # fmt: skip

trial = Table("trial", metadata, *columns_of(Trial), Index("ix_trial_entry_id", "entry_id"))

counter = Table("counter", metadata, Column("kind", String(16), primary_key=True),
                Column("value", Integer, nullable=False))  # fmt: skip

act = Table(
    "act", metadata, Column("id", Integer, primary_key=True), Column("at", Plain, nullable=False),
    text_column("by"), text_column("what"), Column("undoes", Integer, ForeignKey("act.id")),
)  # fmt: skip

change = Table(
    "change", metadata, Column("id", Integer, primary_key=True),
    Column("act_id", Integer, ForeignKey("act.id"), nullable=False),
    Column("kind", String(16), nullable=False), Column("record_id", String(32), nullable=False),
    Column("before", Text), Column("after", Text),
    Index("ix_change_act_id", "act_id"), Index("ix_change_record", "kind", "record_id"),
)  # fmt: skip

# Work (termbase.store.workrows) that is not part of the record, nor of any backup, digest or history.
# Times are ISO, UTC, to the microsecond; empty if there is none.
job = Table(
    "job", metadata, id_column(),
    *map(text_column, ("title", "back", "by", "language", "state", "started", "ended", "expires", "result")),
    text_column("error"),
    Index("ix_job_started", "started"),
)  # fmt: skip

kept_file = Table(
    "kept_file", metadata, id_column(), text_column("kind"), text_column("name"),
    Column("size", BigInteger, nullable=False),
    *map(text_column, ("sha256", "job_id", "about", "by", "made", "expires", "removed")),
    Index("ix_kept_file_kind", "kind", "made"),
)  # fmt: skip

wrong_key = Table(
    "wrong_key", metadata, Column("id", Integer, primary_key=True), text_column("address"), text_column("at"),
    Index("ix_wrong_key_address", "address", "at"),
)  # fmt: skip
