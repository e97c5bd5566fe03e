"""Let a slip state how the quotation contains the name, if not in one of its forms.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column, empty for every slip."""
    op.add_column("slip", sa.Column("presence", sa.Text(), nullable=False, server_default=""))


def downgrade() -> None:
    """Drop the column."""
    op.drop_column("slip", "presence")
