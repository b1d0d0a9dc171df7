"""The first schema: units, lots, takes and what hangs on them, references, marks, audit trail."""

import sqlalchemy as sa
from alembic import op  # noqa: TID253  Alembic alone imports this file

revision = "0001"
down_revision = None

_UTC = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Make every table, those first that others point at."""
    _audio_files()
    _audit()
    _axes()
    _captures()
    _lots()
    _snapshots()
    _units()
    _takes()
    _unit_marks()
    _curves()
    _masks()
    _numbers()
    _reference_takes()
    _take_audio()


def _audio_files() -> None:
    op.create_table(
        "audio_files",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("frames", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_audio_files"),
    )


def _audit() -> None:
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at_utc", _UTC, nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_audit"),
    )
    op.create_index("ix_audit_subject", "audit", ["subject"])


def _axes() -> None:
    op.create_table(
        "axes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("frequency_hz", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_axes"),
        sa.UniqueConstraint("sha256", name="uq_axes_sha256"),
    )


def _captures() -> None:
    op.create_table(
        "captures",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("sample_rate_hz", sa.Double(), nullable=False),
        sa.Column("frames", sa.Integer(), nullable=False),
        sa.Column("channels", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_captures"),
    )


def _lots() -> None:
    op.create_table(
        "lots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_lots"),
        sa.UniqueConstraint("name", name="uq_lots_name"),
    )


def _snapshots() -> None:
    op.create_table(
        "snapshots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_snapshots"),
        sa.UniqueConstraint("kind", "sha256", name="uq_snapshots_kind_sha256"),
    )
    op.create_index("ix_snapshots_name", "snapshots", ["name"])


def _units() -> None:
    op.create_table(
        "units",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_units"),
        sa.UniqueConstraint("serial", name="uq_units_serial"),
    )


def _takes() -> None:
    op.create_table(
        "takes",
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("unit_id", sa.Integer()),
        sa.Column("lot_id", sa.Integer()),
        sa.Column("procedure_id", sa.Integer(), nullable=False),
        sa.Column("chain_id", sa.Integer(), nullable=False),
        sa.Column("started_utc", _UTC, nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("verdict", sa.String(16), nullable=False),
        sa.Column("warnings", sa.Text(), nullable=False),
        sa.Column("findings", sa.Text(), nullable=False),
        sa.Column("software_version", sa.Text(), nullable=False),
        sa.Column("reference_take", sa.String(32)),
        sa.Column("derived_from", sa.String(32)),
        sa.Column("capture_sha256", sa.String(64), nullable=False),
        sa.Column("capture_offset", sa.Integer(), nullable=False),
        sa.Column("capture_started_utc", _UTC, nullable=False),
        sa.Column("capture_card", sa.Text(), nullable=False),
        sa.Column("dropouts", sa.Integer(), nullable=False),
        sa.Column("lost_channels", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["capture_sha256"], ["captures.sha256"], name="fk_takes_capture_sha256"
        ),
        sa.ForeignKeyConstraint(["chain_id"], ["snapshots.id"], name="fk_takes_chain_id"),
        sa.ForeignKeyConstraint(["lot_id"], ["lots.id"], name="fk_takes_lot_id"),
        sa.ForeignKeyConstraint(["procedure_id"], ["snapshots.id"], name="fk_takes_procedure_id"),
        sa.ForeignKeyConstraint(["unit_id"], ["units.id"], name="fk_takes_unit_id"),
        sa.PrimaryKeyConstraint("row", name="pk_takes"),
        sa.UniqueConstraint("id", name="uq_takes_id"),
    )
    op.create_index("ix_takes_capture_sha256", "takes", ["capture_sha256"])
    op.create_index("ix_takes_lot_id_started_utc", "takes", ["lot_id", "started_utc"])
    op.create_index("ix_takes_procedure_id_started_utc", "takes", ["procedure_id", "started_utc"])
    op.create_index("ix_takes_started_utc", "takes", ["started_utc"])
    op.create_index("ix_takes_unit_id_started_utc", "takes", ["unit_id", "started_utc"])
    op.create_index("ix_takes_verdict_started_utc", "takes", ["verdict", "started_utc"])


def _unit_marks() -> None:
    op.create_table(
        "unit_marks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.String(8), nullable=False),
        sa.Column("audit_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_unit_marks_audit_id"),
        sa.ForeignKeyConstraint(["unit_id"], ["units.id"], name="fk_unit_marks_unit_id"),
        sa.PrimaryKeyConstraint("id", name="pk_unit_marks"),
    )
    op.create_index("ix_unit_marks_unit_id", "unit_marks", ["unit_id"])


def _curves() -> None:
    op.create_table(
        "curves",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("axis_id", sa.Integer(), nullable=False),
        sa.Column("points", sa.LargeBinary(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("low_reason", sa.Text(), nullable=False),
        sa.Column("high_reason", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["axis_id"], ["axes.id"], name="fk_curves_axis_id"),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_curves_take"),
        sa.PrimaryKeyConstraint("take", "name", name="pk_curves"),
    )


def _masks() -> None:
    op.create_table(
        "masks",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("verdict", sa.String(16), nullable=False),
        sa.Column("margin", sa.Double()),
        sa.Column("nearest_hz", sa.Double()),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("exact", sa.LargeBinary()),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_masks_take"),
        sa.PrimaryKeyConstraint("take", "name", name="pk_masks"),
        sqlite_with_rowid=False,
    )


def _numbers() -> None:
    op.create_table(
        "numbers",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("value", sa.Double()),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("uncertainty", sa.Double()),
        sa.Column("k", sa.Double()),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("exact", sa.LargeBinary()),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_numbers_take"),
        sa.PrimaryKeyConstraint("take", "name", name="pk_numbers"),
        sqlite_with_rowid=False,
    )


def _reference_takes() -> None:
    op.create_table(
        "reference_takes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("procedure", sa.Text(), nullable=False),
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("audit_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name="fk_reference_takes_audit_id"),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_reference_takes_take"),
        sa.PrimaryKeyConstraint("id", name="pk_reference_takes"),
    )
    op.create_index("ix_reference_takes_procedure", "reference_takes", ["procedure"])


def _take_audio() -> None:
    op.create_table(
        "take_audio",
        sa.Column("take", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(["sha256"], ["audio_files.sha256"], name="fk_take_audio_sha256"),
        sa.ForeignKeyConstraint(["take"], ["takes.row"], name="fk_take_audio_take"),
        sa.PrimaryKeyConstraint("take", "position", name="pk_take_audio"),
    )
