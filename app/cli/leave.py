"""Leave a take's pictures and files in a folder."""

from pathlib import Path

from app.measure.events import Finished
from hardware.card import Capture


def leave_files(finished: Finished, *, folder: Path, capture: Capture) -> tuple[Path, ...]:
    """Draw the pictures and write the files of a take; return what lies where."""
    from app.report.export import export_take
    from app.report.figures import draw_take
    from app.report.residual_files import leave_map

    derived = finished.derived
    pictures = draw_take(finished.take, impulse=derived.impulse, model=derived.model, folder=folder)
    reading = derived.defects
    if reading is not None:
        pictures += leave_map(reading, take=finished.take, folder=folder)
    files = export_take(
        finished.take,
        folder=folder,
        formats=("csv", "json", "hdf5", "wav"),
        capture=capture,
        impulse=derived.impulse,
    )
    return (*pictures, *files)
