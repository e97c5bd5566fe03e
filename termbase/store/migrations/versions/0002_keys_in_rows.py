"""Store keys as ordinary rows with two indexes, which can be built after the rows: a faster rebuild.

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

PLAIN = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Move the keys into a table without a primary key."""
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint("pk_key", "key", type_="primary")
    else:
        _move_into()
        op.create_index("ix_key_term_id", "key", ["term_id"], unique=False)
    op.create_index("ix_key_text", "key", ["text", "kind", "term_id"], unique=True)


def downgrade() -> None:
    """Move the keys back into a table with a primary key."""
    key = sa.PrimaryKeyConstraint("text", "kind", "term_id", name=op.f("pk_key"))
    if op.get_bind().dialect.name == "postgresql":
        op.drop_index("ix_key_text", table_name="key")
        op.create_primary_key("pk_key", "key", ["text", "kind", "term_id"])
    else:
        _move_into(key, sqlite_with_rowid=False)
        op.create_index("ix_key_term_id", "key", ["term_id"], unique=False)


def _move_into(*constraints: sa.Constraint, **options: bool) -> None:
    """Replace `key` by a new table with the same rows, since SQLite cannot change it in place."""
    op.create_table(
        "new_key",
        sa.Column("text", PLAIN, nullable=False),
        sa.Column("kind", sa.SmallInteger(), autoincrement=False, nullable=False),
        sa.Column("term_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["term_id"], ["term.id"], name=op.f("fk_key_term_id"), ondelete="CASCADE"),
        *constraints,
        **options,
    )
    op.execute("INSERT INTO new_key SELECT text, kind, term_id FROM key ORDER BY text, kind, term_id")
    op.drop_table("key")
    op.rename_table("new_key", "key")
