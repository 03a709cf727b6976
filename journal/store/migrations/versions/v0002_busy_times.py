"""Busy times get a table of their own; until now they were free times marked by their rule."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

MARK = "BUSY;"


def upgrade() -> None:
    op.create_table(
        "busy_times",
        sa.Column("player_id", sa.Text(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("first_day", sa.Text(), nullable=False),
        sa.Column("start_minute", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["player_id"], ["players.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("player_id", "id"),
        sqlite_strict=True,
    )
    names = ("player_id", "id", "rule", "first_day", "start_minute", "minutes")
    free, busy = (sa.table(table, *map(sa.column, names)) for table in ("free_times", "busy_times"))
    marked = free.c.rule.startswith(MARK, autoescape=True)
    kept = [sa.func.substr(c, len(MARK) + 1) if c.name == "rule" else c for c in free.c]
    op.execute(busy.insert().from_select(names, sa.select(*kept).where(marked)))
    op.execute(free.delete().where(marked))
