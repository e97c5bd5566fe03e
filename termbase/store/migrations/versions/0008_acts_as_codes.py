"""Store acts as codes with values, or as a person's own words, instead of English sentences.

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op

from termbase.store.oldtexts.acts import act_column

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

CHANGES = {"act.what": "acts are stored as codes with values; their meaning is the same in every language"}

ACT = sa.table("act", sa.column("id", sa.Integer), sa.column("what", sa.Text))
BATCH = 5000  # acts read and written at a time


def upgrade() -> None:
    """Parse every sentence into a code; any other text is stored as own words."""
    connection = op.get_bind()
    write = sa.update(ACT).where(ACT.c.id == sa.bindparam("act")).values(what=sa.bindparam("kept"))
    last = 0
    while rows := connection.execute(
        sa.select(ACT.c.id, ACT.c.what).where(ACT.c.id > last).order_by(ACT.c.id).limit(BATCH)
    ).all():
        last = rows[-1].id
        connection.execute(write, [{"act": row.id, "kept": act_column(row.what)} for row in rows])


def downgrade() -> None:
    """Do nothing: an older program shows the codes."""
