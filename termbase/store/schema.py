"""The tables. Records are mapped to them in `termbase.store.rows`; migrations live in `migrations/`.

Sort keys and finding keys are computed on write and compare by bytes on every database, never by the
collation of the server. Leaf lists (inflected forms, vernaculars, roles) are JSON text.
"""

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

__all__ = ["metadata"]

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# Byte order everywhere: PostgreSQL would otherwise compare by the collation of its locale.
Plain = Text().with_variant(Text(collation="C"), "postgresql")


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, default="")


def _list(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, default="[]", server_default="[]")


def _id(name: str = "id") -> Column[str]:
    return Column(name, String(32), primary_key=True)


def _ref(name: str, target: str, *, optional: bool = False) -> Column[str]:
    return Column(name, String(32), ForeignKey(target), nullable=optional)


def _version() -> Column[int]:
    return Column("version", Integer, nullable=False, default=0)


termbase = Table(
    "termbase", metadata, _id(), _text("title"), _text("working_language"), _text("vernaculars"),
    _text("licence"), _text("rights"), _text("notice"), _version(),
)  # fmt: skip

person = Table("person", metadata, _id(), _text("name"), _text("roles"), _version())

image = Table(
    "image", metadata, _id(), _text("media_type"),
    Column("width", Integer, nullable=False), Column("height", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
)  # fmt: skip

source = Table(
    "source", metadata, _id(), Column("label", Text, nullable=False, unique=True),
    _text("kind"), _text("title"),
    _text("author"), _text("editor"), _text("container"), _text("publisher"), _text("place"), _text("issued"),
    _text("pages"), _text("archive"), _text("shelfmark"), _text("url"), _text("language"), _text("styles"),
    _text("rights"), _text("note"), _text("pattern"), _version(),
)  # fmt: skip

code = Table(
    "code", metadata, _id(), _text("name"), Column("body", Text, nullable=False), _version(),
)  # fmt: skip

entry = Table(
    "entry", metadata, _id(), Column("topic", Text), Column("technique", Text),
    _text("usage_note"), _text("editor_note"), _list("foreign_notes"),
    Column("language_reading", Text, nullable=False),
    Column("practice_reading", Text, nullable=False), Column("ready", Boolean, nullable=False, default=False),
    _text("created_by"), _text("created_on"), _text("changed_by"), _text("changed_on"), _version(),
    Index("ix_entry_topic", "topic"),
)  # fmt: skip

term = Table(
    "term", metadata, _id(), _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    Column("text", Plain, nullable=False), Column("language", Plain, nullable=False), _text("origin"),
    _text("printed"), _text("printed_language"), Column("part_of_speech", Text), Column("gender", Text),
    Column("number", Text), _text("forms"), _text("pronunciation"), Column("register", Text), _text("region"),
    _text("usage_note"), Column("type", Text), Column("status", Text), _text("sort_text"),
    _list("foreign_notes"),
    Column("is_head", Boolean, nullable=False, default=False),
    Column("sort_key", LargeBinary, nullable=False),
    Column("section", Plain, nullable=False, default=""),
    Index("ix_term_entry_id", "entry_id", "position"),
    Index("ix_term_order", "language", "is_head", "sort_key", "entry_id"),
)  # fmt: skip

# What names are found by (termbase.store.keys). The index by text has whole rows, so that a look-up reads
# neighbouring ones only; both can be made after the rows are in, which takes half the time.
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

# The words of texts that entries are found by (termbase.store.textwords).
text_word = Table(
    "text_word", metadata,
    Column("word", Plain, nullable=False),
    Column("entry_id", String(32), ForeignKey("entry.id", ondelete="CASCADE"), nullable=False),
    Column("place", SmallInteger, nullable=False), Column("language", Plain, nullable=False),
    Index("ix_text_word_word", "word", "entry_id", "place", "language", unique=True),
    Index("ix_text_word_entry_id", "entry_id"),
)  # fmt: skip

key_build = Table(
    "key_build", metadata, Column("language", Plain, primary_key=True), _text("version"),
)  # fmt: skip

definition = Table(
    "definition", metadata, _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    Column("language", Plain, nullable=False), _text("text"), _ref("source_id", "source.id", optional=True),
    Index("ix_definition_entry_id", "entry_id", "position"),
)  # fmt: skip

relation = Table(
    "relation", metadata, _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    _text("kind"), _ref("target_id", "entry.id"),
    Index("ix_relation_entry_id", "entry_id", "position"), Index("ix_relation_target_id", "target_id"),
)  # fmt: skip

# Entries that became one with another; `termbase.redirects`.
redirect = Table(
    "redirect", metadata, _id(), _ref("target_id", "entry.id"), _text("entry"), _text("beside"),
    _text("made"), _text("folded"), _text("trial_ids"), _text("line_ids"), _text("pointed"),
    _text("redirect_ids"),
    _text("by"), _text("on"), _version(),
    Index("ix_redirect_target_id", "target_id"),
)  # fmt: skip

analogue = Table(
    "analogue", metadata, _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    _text("name"), _text("language"), _text("style"), _ref("source_id", "source.id", optional=True),
    Index("ix_analogue_entry_id", "entry_id", "position"),
)  # fmt: skip

figure = Table(
    "figure", metadata, _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    _ref("image_id", "image.id"), _text("caption"), _text("maker"), _text("rights"),
    _ref("source_id", "source.id", optional=True),
    Index("ix_figure_entry_id", "entry_id", "position"),
)  # fmt: skip

ruling = Table(
    "ruling", metadata, _ref("entry_id", "entry.id"), Column("position", Integer, nullable=False),
    _ref("code_id", "code.id"), _text("verdict"), _text("by"), _text("on"), _text("reason"),
    Index("ix_ruling_entry_id", "entry_id", "position"),
)  # fmt: skip

slip = Table(
    "slip", metadata, _id(), _ref("source_id", "source.id"), _text("text"), _text("name"), _text("page"),
    _text("column"), _text("line"), _text("item"), _text("date"), _text("place"), _text("kind"),
    _text("certainty"), _text("note"), _ref("image_id", "image.id", optional=True),
    _ref("term_id", "term.id", optional=True), _text("joined_to"),
    Column("apart", Boolean, nullable=False, default=False), _text("presence"), _version(),
    Index("ix_slip_term_id", "term_id"), Index("ix_slip_source_id", "source_id"),
)  # fmt: skip

page = Table(
    "page", metadata, _id(), _ref("source_id", "source.id"), _text("number"), _text("transcription"),
    _ref("image_id", "image.id", optional=True), _version(),
    Index("ix_page_source_id", "source_id", "number", unique=True),
)  # fmt: skip

line = Table(
    "line", metadata, _id(), _ref("page_id", "page.id"), Column("position", Integer, nullable=False),
    _text("text"), Column("first", Integer, nullable=False), Column("parsed", Text),
    Column("corrected", Boolean, nullable=False, default=False),
    _text("state"), _text("reason"), _version(),
    Index("ix_line_page_id", "page_id", "position"), Index("ix_line_state", "page_id", "state"),
)  # fmt: skip

line_entry = Table(
    "line_entry", metadata,
    Column("line_id", String(32), ForeignKey("line.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("entry_id", String(32), ForeignKey("entry.id"), nullable=False),
    Index("ix_line_entry_line_id", "line_id", "position"), Index("ix_line_entry_entry_id", "entry_id"),
)  # fmt: skip

trial = Table(
    "trial", metadata, _id(), _ref("entry_id", "entry.id"), _text("date"), _text("outcome"),
    _text("place"), _text("people"), _ref("code_id", "code.id", optional=True), _text("holds"), _text("done"),
    _text("change"), _text("safety"), _text("injuries"), _text("image_ids"), _version(),
    Index("ix_trial_entry_id", "entry_id"),
)  # fmt: skip

counter = Table("counter", metadata, Column("kind", String(16), primary_key=True),
                Column("value", Integer, nullable=False))  # fmt: skip

act = Table(
    "act", metadata, Column("id", Integer, primary_key=True), Column("at", Plain, nullable=False),
    _text("by"), _text("what"), Column("undoes", Integer, ForeignKey("act.id")),
)  # fmt: skip

change = Table(
    "change", metadata, Column("id", Integer, primary_key=True),
    Column("act_id", Integer, ForeignKey("act.id"), nullable=False),
    Column("kind", String(16), nullable=False), Column("record_id", String(32), nullable=False),
    Column("before", Text), Column("after", Text),
    Index("ix_change_act_id", "act_id"), Index("ix_change_record", "kind", "record_id"),
)  # fmt: skip

# Work beside the record (termbase.store.workrows): no part of it, and in no backup, digest or history.
# Times are ISO, UTC, to the microsecond; empty where there is none.
job = Table(
    "job", metadata, _id(), _text("title"), _text("back"), _text("by"), _text("language"), _text("state"),
    _text("started"), _text("ended"), _text("expires"), _text("result"), _text("error"),
    Index("ix_job_started", "started"),
)  # fmt: skip

kept_file = Table(
    "kept_file", metadata, _id(), _text("kind"), _text("name"),
    Column("size", BigInteger, nullable=False), _text("sha256"), _text("job_id"), _text("about"),
    _text("by"), _text("made"), _text("expires"), _text("removed"),
    Index("ix_kept_file_kind", "kind", "made"),
)  # fmt: skip

wrong_key = Table(
    "wrong_key", metadata, Column("id", Integer, primary_key=True), _text("address"), _text("at"),
    Index("ix_wrong_key_address", "address", "at"),
)  # fmt: skip
