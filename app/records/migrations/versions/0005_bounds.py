"""A number may be a bound, as points of curves were from the start: noise hides what is there."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Numbers that are kept already are values."""
    is_bound = sa.Column("is_bound", sa.Boolean, nullable=False, server_default=sa.false())
    op.add_column("numbers", is_bound)
