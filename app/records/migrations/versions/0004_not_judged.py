"""Takes without any mask were kept as not decided; now they are told apart: not judged."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Give them the word in the column that is counted and indexed already."""
    takes = sa.table("takes", sa.column("row", sa.Integer), sa.column("verdict", sa.String(16)))
    masks = sa.table("masks", sa.column("take", sa.Integer))
    judged = sa.exists().where(masks.c.take == takes.c.row)
    op.execute(sa.update(takes).where(~judged).values(verdict="not judged"))
