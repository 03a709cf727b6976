"""A change keeps the moment it was begun, so that what was played earlier that day counts as before it."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.add_column("changes", sa.Column("started_at", sa.Text(), nullable=True))
