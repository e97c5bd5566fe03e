"""Add notes imported from elsewhere to entries and names.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add an empty list of notes to every entry and name."""
    for table in ("entry", "term"):
        op.add_column(table, sa.Column("foreign_notes", sa.Text(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """Drop the notes."""
    for table in ("entry", "term"):
        op.drop_column(table, "foreign_notes")
