"""Add tables that are not part of the record: long jobs, stored files, wrong access keys.

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the tables, empty."""
    op.create_table(
        "job",
        sa.Column("id", sa.String(length=32), nullable=False),
        *_texts("title", "back", "by", "language", "state", "started", "ended", "expires", "result", "error"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    op.create_index("ix_job_started", "job", ["started"])
    op.create_table(
        "kept_file",
        sa.Column("id", sa.String(length=32), nullable=False),
        *_texts("kind", "name"),
        sa.Column("size", sa.BigInteger(), nullable=False),
        *_texts("sha256", "job_id", "about", "by", "made", "expires", "removed"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kept_file")),
    )
    op.create_index("ix_kept_file_kind", "kept_file", ["kind", "made"])
    op.create_table(
        "wrong_key",
        sa.Column("id", sa.Integer(), nullable=False),
        *_texts("address", "at"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wrong_key")),
    )
    op.create_index("ix_wrong_key_address", "wrong_key", ["address", "at"])


def downgrade() -> None:
    """Drop the tables."""
    for table in ("wrong_key", "kept_file", "job"):
        op.drop_table(table)


def _texts(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text(), nullable=False) for name in names]
