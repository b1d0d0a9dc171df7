"""Which folder holds the recordings of a store that several stations share."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    """Make the table; a store in a file has its folder beside it, and leaves it empty."""
    op.create_table(
        "captures_folder",
        sa.Column("mark", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("mark", name="pk_captures_folder"),
    )
