"""Add a table of the words of definitions, notes and analogues, by which entries can be found.

`Store.upgrade` fills it afterwards: it is computed from the record.

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

PLAIN = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Create the table, empty."""
    op.create_table(
        "text_word",
        sa.Column("word", PLAIN, nullable=False),
        sa.Column("entry_id", sa.String(length=32), nullable=False),
        sa.Column("place", sa.SmallInteger(), autoincrement=False, nullable=False),
        sa.Column("language", PLAIN, nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entry.id"], name=op.f("fk_text_word_entry_id"), ondelete="CASCADE"
        ),
    )
    op.create_index("ix_text_word_word", "text_word", ["word", "entry_id", "place", "language"], unique=True)
    op.create_index("ix_text_word_entry_id", "text_word", ["entry_id"])


def downgrade() -> None:
    """Drop the table."""
    op.drop_table("text_word")
    op.execute("DELETE FROM key_build WHERE language = ''")
