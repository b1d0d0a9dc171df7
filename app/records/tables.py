"""The tables of the store, portable between SQLite and PostgreSQL; migrations/ makes them."""

from sqlalchemy import (
    Boolean,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    false,
)

from app.records.column_types import JsonText, UtcTime, Word

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

lots = Table(
    "lots",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
)

units = Table(
    "units",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("serial", Text, nullable=False, unique=True),
)

# Under which words a lot and a unit are found; see words.py.
lot_words = Table(
    "lot_words",
    metadata,
    Column("word", Word, primary_key=True),
    Column("lot_id", ForeignKey("lots.id"), primary_key=True),
    sqlite_with_rowid=False,
)

unit_words = Table(
    "unit_words",
    metadata,
    Column("word", Word, primary_key=True),
    Column("unit_id", ForeignKey("units.id"), primary_key=True),
    Index(None, "unit_id", "word"),
    sqlite_with_rowid=False,
)

# Procedures and chains as they were, each distinct one once.
snapshots = Table(
    "snapshots",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(16), nullable=False),  # procedure, chain
    Column("sha256", String(64), nullable=False),  # of document
    Column("name", Text, nullable=False, index=True),
    Column("document", Text, nullable=False),  # JSON
    # What the document of a procedure says in its [limits]; here so that lists need not read it.
    Column("limit_set", Text),
    Column("limit_revision", Integer),
    UniqueConstraint("kind", "sha256"),
)

# Of each recording whose file lies in the folder of captures.
captures = Table(
    "captures",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("sample_rate_hz", Double, nullable=False),  # a WAV file holds whole Hz only
    Column("frames", Integer, nullable=False),
    Column("channels", Integer, nullable=False),
)

# Which folder holds the files where several stations share a store; see shared_folder.py.
captures_folder = Table(
    "captures_folder",
    metadata,
    Column("mark", String(32), primary_key=True),
)

# Of each file that an excitation played; the samples lie beside the captures.
audio_files = Table(
    "audio_files",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("frames", Integer, nullable=False),
)

takes = Table(
    "takes",
    metadata,
    Column("row", Integer, primary_key=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("unit_id", ForeignKey("units.id")),
    Column("lot_id", ForeignKey("lots.id")),
    Column("procedure_id", ForeignKey("snapshots.id"), nullable=False),
    Column("chain_id", ForeignKey("snapshots.id"), nullable=False),
    Column("started_utc", UtcTime, nullable=False),
    Column("card", Text, nullable=False),
    Column("verdict", String(16), nullable=False),
    Column("warnings", JsonText, nullable=False),
    Column("findings", JsonText, nullable=False),
    Column("software_version", Text, nullable=False),
    Column("reference_take", String(32)),
    Column("derived_from", String(32)),
    Column("capture_sha256", ForeignKey("captures.sha256"), nullable=False, index=True),
    Column("capture_offset", Integer, nullable=False),
    # What the card told about this recording, and a hash of samples cannot.
    Column("capture_started_utc", UtcTime, nullable=False),
    Column("capture_card", Text, nullable=False),
    Column("dropouts", Integer, nullable=False),
    Column("lost_channels", JsonText, nullable=False),
    # The unit's serial in plain words, here so that indexes of takes can hold it.
    Column("unit_words", Text),
    # The newest of a unit, a lot, a procedure or a verdict are what people ask for.
    Index(None, "unit_id", "started_utc"),
    Index(None, "lot_id", "started_utc"),
    Index(None, "procedure_id", "started_utc"),
    Index(None, "verdict", "started_utc"),
    Index(None, "derived_from"),
    # A text that fits many is looked for on the way through one of these, not through the rows.
    Index(
        "ix_takes_newest",
        "started_utc",
        "row",
        "lot_id",
        "procedure_id",
        "verdict",
        "unit_words",
    ),
    Index("ix_takes_tally", "lot_id", "verdict", "started_utc", "procedure_id", "unit_words"),
)


def _of_take() -> Column[int]:
    return Column("take", ForeignKey("takes.row"), primary_key=True)


take_audio = Table(
    "take_audio",
    metadata,
    _of_take(),
    Column("position", Integer, primary_key=True),
    Column("path", Text, nullable=False),  # as the procedure names it
    Column("sha256", ForeignKey("audio_files.sha256"), nullable=False),
)

# ``exact`` holds the floats of a row where its columns cannot; see exact_floats.py.
numbers = Table(
    "numbers",
    metadata,
    _of_take(),
    Column("name", Text, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("value", Double),
    Column("unit", Text, nullable=False),
    Column("uncertainty", Double),
    Column("k", Double),
    Column("how", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("exact", LargeBinary),
    Column("is_bound", Boolean, nullable=False, server_default=false()),
    sqlite_with_rowid=False,
)

masks = Table(
    "masks",
    metadata,
    _of_take(),
    Column("name", Text, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("verdict", String(16), nullable=False),
    Column("margin", Double),
    Column("nearest_hz", Double),
    Column("reason", Text, nullable=False),
    Column("exact", LargeBinary),
    sqlite_with_rowid=False,
)

# Frequencies, each distinct row of them once: the curves of a procedure share theirs.
axes = Table(
    "axes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("sha256", String(64), nullable=False, unique=True),
    Column("frequency_hz", LargeBinary, nullable=False),
)

curves = Table(
    "curves",
    metadata,
    _of_take(),
    Column("name", Text, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("axis_id", ForeignKey("axes.id"), nullable=False),
    Column("points", LargeBinary, nullable=False),  # see curve_blob.py
    Column("unit", Text, nullable=False),
    Column("low_reason", Text, nullable=False),
    Column("high_reason", Text, nullable=False),
    Column("how", Text, nullable=False),
)

# Which other takes the figures of one could not be without, and what each gave.
take_rests_on = Table(
    "take_rests_on",
    metadata,
    _of_take(),
    Column("gave", Text, primary_key=True),
    Column("other", ForeignKey("takes.row"), nullable=False, index=True),
    sqlite_with_rowid=False,
)

# What people decided; rows are only ever added, which triggers see to.
audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at_utc", UtcTime, nullable=False),
    Column("who", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("subject", Text, nullable=False, index=True),
    Column("why", Text, nullable=False),
)

# The newest row of a procedure holds.
reference_takes = Table(
    "reference_takes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("procedure", Text, nullable=False, index=True),  # its name
    Column("take", ForeignKey("takes.row"), nullable=False),
    Column("audit_id", ForeignKey("audit.id"), nullable=False),
)

# The newest row of a unit holds.
unit_marks = Table(
    "unit_marks",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("unit_id", ForeignKey("units.id"), nullable=False, index=True),
    Column("mark", String(8), nullable=False),  # good, bad
    Column("audit_id", ForeignKey("audit.id"), nullable=False),
)

# What links were found to be worth; rows are only ever added, which triggers see to.
calibrations = Table(
    "calibrations",
    metadata,
    Column("row", Integer, primary_key=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("purpose", String(16), nullable=False),  # calibration, check
    Column("chain", Text, nullable=False),  # its name
    Column("link", Text, nullable=False),  # table of the chain file, dotted
    Column("quantity", Text, nullable=False),  # key of the chain file, dotted
    Column("made_utc", UtcTime, nullable=False),
    Column("accepted", Boolean, nullable=False),
    # Said in the document, too; here so that a take need not read documents.
    Column("holds_while", JsonText, nullable=False),
    Column("reasons", JsonText, nullable=False),
    Column("chain_id", ForeignKey("snapshots.id"), nullable=False),
    Column("document", Text, nullable=False),  # JSON; see calibration_document.py
    Column("sha256", String(64), nullable=False),  # of document
    Index(None, "chain", "link", "made_utc"),
)

calibration_captures = Table(
    "calibration_captures",
    metadata,
    Column("calibration", ForeignKey("calibrations.row"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("sha256", ForeignKey("captures.sha256"), nullable=False),
    Column("started_utc", UtcTime, nullable=False),
    Column("card", Text, nullable=False),
    Column("dropouts", Integer, nullable=False),
    Column("lost_channels", JsonText, nullable=False),
)

# Which calibrations were in force when a take was made.
take_calibrations = Table(
    "take_calibrations",
    metadata,
    Column("take", ForeignKey("takes.row"), primary_key=True),
    Column("calibration", ForeignKey("calibrations.row"), primary_key=True, index=True),
    sqlite_with_rowid=False,
)

# Limit sets, revision by revision; rows are only ever added, which triggers see to.
limit_revisions = Table(
    "limit_revisions",
    metadata,
    Column("row", Integer, primary_key=True),
    Column("set_name", Text, nullable=False),
    Column("number", Integer, nullable=False),  # from 1 in each set
    Column("document", Text, nullable=False),  # JSON: masks by name
    Column("sha256", String(64), nullable=False),  # of document
    Column("audit_id", ForeignKey("audit.id"), nullable=False),
    UniqueConstraint("set_name", "number"),
)

# What became of revisions; the newest row of a revision holds, one without any is a draft. Steps
# of a set are counted: of two stations that take the same step at once, one finds it taken.
limit_steps = Table(
    "limit_steps",
    metadata,
    Column("row", Integer, primary_key=True),
    Column("set_name", Text, nullable=False),
    Column("number", Integer, nullable=False),  # from 1 in each set
    Column("revision", ForeignKey("limit_revisions.row"), nullable=False, index=True),
    Column("state", String(16), nullable=False),  # approved, retired
    Column("audit_id", ForeignKey("audit.id"), nullable=False),
    UniqueConstraint("set_name", "number"),
)
