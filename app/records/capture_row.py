"""The rows that takes and calibrations share: of a recording, of a procedure or a chain."""

from sqlalchemy import Connection, insert, select

from app.procedure.schema import Procedure
from app.records import tables
from app.records.shared_rows import id_of
from app.records.snapshots import snapshot
from hardware.card import Capture
from hardware.toml_model import FileModel


def capture_row(capture: Capture, *, sha256: str, on: Connection) -> None:
    """Note a recording whose file stands; one that is noted already stays as it is."""
    known = select(tables.captures.c.sha256).where(tables.captures.c.sha256 == sha256)
    if on.execute(known).first() is None:
        frames, channels = capture.samples.shape
        on.execute(
            insert(tables.captures).values(
                sha256=sha256,
                sample_rate_hz=float(capture.sample_rate_hz),
                frames=frames,
                channels=channels,
            )
        )


def snapshot_row(model: FileModel, *, kind: str, name: str, on: Connection) -> int:
    """Return the id of the row that holds ``model`` whole; add it where it is new."""
    taken = snapshot(model)
    more: dict[str, object] = {"name": name, "document": taken.document}
    if isinstance(model, Procedure) and model.limits is not None:
        more |= {"limit_set": model.limits.set, "limit_revision": model.limits.revision}
    return id_of(tables.snapshots, key={"kind": kind, "sha256": taken.sha256}, more=more, on=on)
