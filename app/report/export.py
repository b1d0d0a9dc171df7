"""Files of a take in open formats."""

from collections.abc import Iterable
from pathlib import Path

from app.errors import BadInputError
from app.records.take import Take
from app.report.export_csv import export_csv
from app.report.export_json import export_json
from app.report.export_wav import export_wav
from dsp.response.impulse import ImpulseResponse
from hardware.card import Capture

FORMATS = ("csv", "json", "hdf5", "wav")


def export_take(
    take: Take,
    *,
    folder: Path,
    formats: Iterable[str] = FORMATS,
    capture: Capture | None = None,
    impulse: ImpulseResponse | None = None,
) -> tuple[Path, ...]:
    """Write a take to a folder, which is made where it is not there.

    Parameters
    ----------
    take : Take
        What to write.
    folder : Path
        Files of the same names in it are replaced, each in one step.
    formats : iterable of str
        Of ``FORMATS``, in any case.
    capture, impulse : Capture, ImpulseResponse or None
        What ``wav`` and ``hdf5`` hold besides; left out where None.

    Returns
    -------
    tuple of Path, in the order of ``FORMATS``.

    Raises
    ------
    BadInputError
        No such format (nothing is written then), or the disk did not take a file.
    """
    wanted = {name.strip().lower() for name in formats}
    if unknown := wanted.difference(FORMATS):
        allowed = ", ".join(FORMATS)
        raise BadInputError("export", "no such format", given=min(unknown), allowed=allowed)
    written: list[Path] = []
    if "csv" in wanted:
        written += export_csv(take, folder=folder)
    if "json" in wanted:
        written += export_json(take, folder=folder)
    if "hdf5" in wanted:
        from app.report.export_hdf5 import export_hdf5  # noqa: PLC0415  h5py loads slowly

        written += export_hdf5(take, capture=capture, impulse=impulse, folder=folder)
    if "wav" in wanted:
        written += export_wav(capture=capture, impulse=impulse, folder=folder)
    return tuple(written)
