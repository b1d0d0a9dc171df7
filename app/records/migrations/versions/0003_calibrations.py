"""Calibrations with their recordings, which takes stand on which, and that none is ever changed."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

from app.records.migrations.never_change import never_change

revision = "0003"
down_revision = "0002"

_UTC = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Make the tables; none of the older ones changes."""
    _calibrations()
    _calibration_captures()
    _take_calibrations()
    for table in ("calibrations", "calibration_captures", "take_calibrations"):
        never_change(table, what="calibrations are kept as they were")


def _calibrations() -> None:
    op.create_table(
        "calibrations",
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("purpose", sa.String(16), nullable=False),
        sa.Column("chain", sa.Text(), nullable=False),
        sa.Column("link", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("made_utc", _UTC, nullable=False),
        sa.Column("accepted", sa.Boolean(), nullable=False),
        sa.Column("holds_while", sa.Text(), nullable=False),
        sa.Column("reasons", sa.Text(), nullable=False),
        sa.Column("chain_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(
            ["chain_id"], ["snapshots.id"], name="fk_calibrations_chain_id_snapshots"
        ),
        sa.PrimaryKeyConstraint("row", name="pk_calibrations"),
        sa.UniqueConstraint("id", name="uq_calibrations_id"),
    )
    op.create_index(
        "ix_calibrations_chain_link_made_utc", "calibrations", ["chain", "link", "made_utc"]
    )


def _calibration_captures() -> None:
    op.create_table(
        "calibration_captures",
        sa.Column("calibration", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("started_utc", _UTC, nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("dropouts", sa.Integer(), nullable=False),
        sa.Column("lost_channels", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration"],
            ["calibrations.row"],
            name="fk_calibration_captures_calibration_calibrations",
        ),
        sa.ForeignKeyConstraint(
            ["sha256"], ["captures.sha256"], name="fk_calibration_captures_sha256_captures"
        ),
        sa.PrimaryKeyConstraint("calibration", "position", name="pk_calibration_captures"),
    )


def _take_calibrations() -> None:
    op.create_table(
        "take_calibrations",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("calibration", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_take_calibrations_take_takes"),
        sa.ForeignKeyConstraint(
            ["calibration"],
            ["calibrations.row"],
            name="fk_take_calibrations_calibration_calibrations",
        ),
        sa.PrimaryKeyConstraint("take", "calibration", name="pk_take_calibrations"),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_take_calibrations_calibration", "take_calibrations", ["calibration"])
