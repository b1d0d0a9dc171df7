"""A take may rest on others: a second one with an added mass, a near field below a far field."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the table; what is kept already rests on no other take."""
    op.create_table(
        "take_rests_on",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("gave", sa.Text(), nullable=False),
        sa.Column("other", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_take_rests_on_take_takes"),
        sa.ForeignKeyConstraint(["other"], ["takes.row"], name="fk_take_rests_on_other_takes"),
        sa.PrimaryKeyConstraint("take", "gave", name="pk_take_rests_on"),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_take_rests_on_other", "take_rests_on", ["other"])
