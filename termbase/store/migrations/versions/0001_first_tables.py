"""The first tables.

Revision ID: 0001
Revises:
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

PLAIN = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Create every table."""
    op.create_table(
        "act",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", PLAIN, nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["undoes"], ["act.id"], name=op.f("fk_act_undoes")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_act")),
    )
    op.create_table(
        "code",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_code")),
    )
    op.create_table(
        "counter",
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("kind", name=op.f("pk_counter")),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("topic", sa.Text(), nullable=True),
        sa.Column("technique", sa.Text(), nullable=True),
        sa.Column("usage_note", sa.Text(), nullable=False),
        sa.Column("editor_note", sa.Text(), nullable=False),
        sa.Column("language_reading", sa.Text(), nullable=False),
        sa.Column("practice_reading", sa.Text(), nullable=False),
        sa.Column("ready", sa.Boolean(), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.Column("created_on", sa.Text(), nullable=False),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("changed_on", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
    )
    op.create_index("ix_entry_topic", "entry", ["topic"], unique=False)
    op.create_table(
        "image",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_image")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("roles", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
    )
    op.create_table(
        "source",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("author", sa.Text(), nullable=False),
        sa.Column("editor", sa.Text(), nullable=False),
        sa.Column("container", sa.Text(), nullable=False),
        sa.Column("publisher", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("issued", sa.Text(), nullable=False),
        sa.Column("pages", sa.Text(), nullable=False),
        sa.Column("archive", sa.Text(), nullable=False),
        sa.Column("shelfmark", sa.Text(), nullable=False),
        sa.Column("url", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("styles", sa.Text(), nullable=False),
        sa.Column("rights", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("pattern", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_source")),
        sa.UniqueConstraint("label", name=op.f("uq_source_label")),
    )
    op.create_table(
        "termbase",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("working_language", sa.Text(), nullable=False),
        sa.Column("vernaculars", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("rights", sa.Text(), nullable=False),
        sa.Column("notice", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_termbase")),
    )
    op.create_table(
        "analogue",
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("style", sa.Text(), nullable=False),
        sa.Column("source_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_analogue_entry_id")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_analogue_source_id")),
    )
    op.create_index("ix_analogue_entry_id", "analogue", ["entry_id", "position"], unique=False)
    op.create_table(
        "change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("act_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("record_id", sa.String(length=32), nullable=False),
        sa.Column("before", sa.Text(), nullable=True),
        sa.Column("after", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["act_id"], ["act.id"], name=op.f("fk_change_act_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change")),
    )
    op.create_index("ix_change_act_id", "change", ["act_id"], unique=False)
    op.create_index("ix_change_record", "change", ["kind", "record_id"], unique=False)
    op.create_table(
        "definition",
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("language", PLAIN, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("source_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_definition_entry_id")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_definition_source_id")),
    )
    op.create_index("ix_definition_entry_id", "definition", ["entry_id", "position"], unique=False)
    op.create_table(
        "figure",
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("image_id", sa.String(length=32), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("rights", sa.Text(), nullable=False),
        sa.Column("source_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_figure_entry_id")),
        sa.ForeignKeyConstraint(["image_id"], ["image.id"], name=op.f("fk_figure_image_id")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_figure_source_id")),
    )
    op.create_index("ix_figure_entry_id", "figure", ["entry_id", "position"], unique=False)
    op.create_table(
        "page",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("source_id", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("transcription", sa.Text(), nullable=False),
        sa.Column("image_id", sa.String(length=32), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["image_id"], ["image.id"], name=op.f("fk_page_image_id")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_page_source_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_page")),
    )
    op.create_index("ix_page_source_id", "page", ["source_id", "number"], unique=True)
    op.create_table(
        "redirect",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("target_id", sa.String(length=32), nullable=False),
        sa.Column("entry", sa.Text(), nullable=False),
        sa.Column("beside", sa.Text(), nullable=False),
        sa.Column("made", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("trial_ids", sa.Text(), nullable=False),
        sa.Column("line_ids", sa.Text(), nullable=False),
        sa.Column("pointed", sa.Text(), nullable=False),
        sa.Column("redirect_ids", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("on", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["target_id"], ["entry.id"], name=op.f("fk_redirect_target_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_redirect")),
    )
    op.create_index("ix_redirect_target_id", "redirect", ["target_id"], unique=False)
    op.create_table(
        "relation",
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("target_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_relation_entry_id")),
        sa.ForeignKeyConstraint(["target_id"], ["entry.id"], name=op.f("fk_relation_target_id")),
    )
    op.create_index("ix_relation_entry_id", "relation", ["entry_id", "position"], unique=False)
    op.create_index("ix_relation_target_id", "relation", ["target_id"], unique=False)
    op.create_table(
        "ruling",
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code_id", sa.String(length=32), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("on", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["code_id"], ["code.id"], name=op.f("fk_ruling_code_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_ruling_entry_id")),
    )
    op.create_index("ix_ruling_entry_id", "ruling", ["entry_id", "position"], unique=False)
    op.create_table(
        "term",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("text", PLAIN, nullable=False),
        sa.Column("language", PLAIN, nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("printed", sa.Text(), nullable=False),
        sa.Column("printed_language", sa.Text(), nullable=False),
        sa.Column("part_of_speech", sa.Text(), nullable=True),
        sa.Column("gender", sa.Text(), nullable=True),
        sa.Column("number", sa.Text(), nullable=True),
        sa.Column("forms", sa.Text(), nullable=False),
        sa.Column("pronunciation", sa.Text(), nullable=False),
        sa.Column("register", sa.Text(), nullable=True),
        sa.Column("region", sa.Text(), nullable=False),
        sa.Column("usage_note", sa.Text(), nullable=False),
        sa.Column("type", sa.Text(), nullable=True),
        sa.Column("status", sa.Text(), nullable=True),
        sa.Column("sort_text", sa.Text(), nullable=False),
        sa.Column("is_head", sa.Boolean(), nullable=False),
        sa.Column("sort_key", sa.LargeBinary(), nullable=False),
        sa.Column("section", PLAIN, nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_term_entry_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_term")),
    )
    op.create_index("ix_term_entry_id", "term", ["entry_id", "position"], unique=False)
    op.create_index("ix_term_order", "term", ["language", "is_head", "sort_key", "entry_id"], unique=False)
    op.create_table(
        "trial",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("date", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("people", sa.Text(), nullable=False),
        sa.Column("code_id", sa.String(length=32), nullable=True),
        sa.Column("holds", sa.Text(), nullable=False),
        sa.Column("done", sa.Text(), nullable=False),
        sa.Column("change", sa.Text(), nullable=False),
        sa.Column("safety", sa.Text(), nullable=False),
        sa.Column("injuries", sa.Text(), nullable=False),
        sa.Column("image_ids", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["code_id"], ["code.id"], name=op.f("fk_trial_code_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_trial_entry_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trial")),
    )
    op.create_index("ix_trial_entry_id", "trial", ["entry_id"], unique=False)
    op.create_table(
        "key",
        sa.Column("text", PLAIN, nullable=False),
        sa.Column("kind", sa.SmallInteger(), autoincrement=False, nullable=False),
        sa.Column("term_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["term_id"], ["term.id"], name=op.f("fk_key_term_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("text", "kind", "term_id", name=op.f("pk_key")),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_key_term_id", "key", ["term_id"], unique=False)
    op.create_table(
        "segment",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("text", PLAIN, nullable=False),
        sa.PrimaryKeyConstraint("number", "text", name=op.f("pk_segment")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "key_build",
        sa.Column("language", PLAIN, nullable=False),
        sa.Column("version", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("language", name=op.f("pk_key_build")),
    )
    op.create_table(
        "line",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("page_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("parsed", sa.Text(), nullable=True),
        sa.Column("corrected", sa.Boolean(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["page_id"], ["page.id"], name=op.f("fk_line_page_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_line")),
    )
    op.create_index("ix_line_page_id", "line", ["page_id", "position"], unique=False)
    op.create_index("ix_line_state", "line", ["page_id", "state"], unique=False)
    op.create_table(
        "slip",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("source_id", sa.String(length=32), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("page", sa.Text(), nullable=False),
        sa.Column("column", sa.Text(), nullable=False),
        sa.Column("line", sa.Text(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("date", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("certainty", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("image_id", sa.String(length=32), nullable=True),
        sa.Column("term_id", sa.String(length=32), nullable=True),
        sa.Column("joined_to", sa.Text(), nullable=False),
        sa.Column("apart", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["image_id"], ["image.id"], name=op.f("fk_slip_image_id")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_slip_source_id")),
        sa.ForeignKeyConstraint(["term_id"], ["term.id"], name=op.f("fk_slip_term_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_slip")),
    )
    op.create_index("ix_slip_source_id", "slip", ["source_id"], unique=False)
    op.create_index("ix_slip_term_id", "slip", ["term_id"], unique=False)
    op.create_table(
        "line_entry",
        sa.Column("line_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_line_entry_entry_id")),
        sa.ForeignKeyConstraint(["line_id"], ["line.id"], name=op.f("fk_line_entry_line_id")),
    )
    op.create_index("ix_line_entry_entry_id", "line_entry", ["entry_id"], unique=False)
    op.create_index("ix_line_entry_line_id", "line_entry", ["line_id", "position"], unique=False)


def downgrade() -> None:
    """Drop every table."""
    op.drop_index("ix_line_entry_line_id", table_name="line_entry")
    op.drop_index("ix_line_entry_entry_id", table_name="line_entry")
    op.drop_table("line_entry")
    op.drop_index("ix_slip_term_id", table_name="slip")
    op.drop_index("ix_slip_source_id", table_name="slip")
    op.drop_table("slip")
    op.drop_index("ix_line_state", table_name="line")
    op.drop_index("ix_line_page_id", table_name="line")
    op.drop_table("line")
    op.drop_table("key_build")
    op.drop_table("segment")
    op.drop_index("ix_key_term_id", table_name="key")
    op.drop_table("key")
    op.drop_index("ix_trial_entry_id", table_name="trial")
    op.drop_table("trial")
    op.drop_index("ix_term_order", table_name="term")
    op.drop_index("ix_term_entry_id", table_name="term")
    op.drop_table("term")
    op.drop_index("ix_ruling_entry_id", table_name="ruling")
    op.drop_table("ruling")
    op.drop_index("ix_redirect_target_id", table_name="redirect")
    op.drop_table("redirect")
    op.drop_index("ix_relation_target_id", table_name="relation")
    op.drop_index("ix_relation_entry_id", table_name="relation")
    op.drop_table("relation")
    op.drop_index("ix_page_source_id", table_name="page")
    op.drop_table("page")
    op.drop_index("ix_figure_entry_id", table_name="figure")
    op.drop_table("figure")
    op.drop_index("ix_definition_entry_id", table_name="definition")
    op.drop_table("definition")
    op.drop_index("ix_change_record", table_name="change")
    op.drop_index("ix_change_act_id", table_name="change")
    op.drop_table("change")
    op.drop_index("ix_analogue_entry_id", table_name="analogue")
    op.drop_table("analogue")
    op.drop_table("termbase")
    op.drop_table("source")
    op.drop_table("person")
    op.drop_table("image")
    op.drop_index("ix_entry_topic", table_name="entry")
    op.drop_table("entry")
    op.drop_table("counter")
    op.drop_table("code")
    op.drop_table("act")
