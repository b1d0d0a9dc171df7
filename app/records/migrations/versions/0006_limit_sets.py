"""Limit sets with numbered revisions, and that what was decided is never changed."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

from app.records.migrations.never_change import never_change

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the tables; procedures that are kept already name no revision of limits."""
    op.add_column("snapshots", sa.Column("limit_set", sa.Text()))
    op.add_column("snapshots", sa.Column("limit_revision", sa.Integer()))
    _limit_revisions()
    _limit_steps()
    never_change("audit", what="decisions are kept as they were")
    for table in ("limit_revisions", "limit_steps"):
        never_change(table, what="revisions of limits are kept as they were")


def _limit_revisions() -> None:
    op.create_table(
        "limit_revisions",
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("set_name", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("audit_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_limit_revisions_audit_id"),
        sa.PrimaryKeyConstraint("row", name="pk_limit_revisions"),
        sa.UniqueConstraint("set_name", "number", name="uq_limit_revisions_set_name_number"),
    )


def _limit_steps() -> None:
    op.create_table(
        "limit_steps",
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("set_name", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("audit_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_limit_steps_audit_id"),
        sa.ForeignKeyConstraint(
            ["revision"], ["limit_revisions.row"], name="fk_limit_steps_revision"
        ),
        sa.PrimaryKeyConstraint("row", name="pk_limit_steps"),
        sa.UniqueConstraint("set_name", "number", name="uq_limit_steps_set_name_number"),
    )
    op.create_index("ix_limit_steps_revision", "limit_steps", ["revision"])
