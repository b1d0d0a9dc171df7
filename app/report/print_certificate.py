"""The certificate page of a kept calibration, with recordings and history from the store."""

from pathlib import Path

from app.records.calibration_record import CalibrationRecord
from app.records.store import Store
from app.report.calibration_plots import evidence
from app.report.certificate import leave_certificate
from app.report.certificate_facts import Party


def print_certificate(
    record: CalibrationRecord, *, store: Store, folder: Path, party: Party | None = None
) -> tuple[Path, ...]:
    """Leave the pages of a calibration in a folder.

    Parameters
    ----------
    record : CalibrationRecord
        As kept.
    store : Store
        What knows its recordings and the calibrations before it.
    folder : Path
        Where the pages go.
    party : Party or None
        As ``leave_certificate`` takes it.

    Returns
    -------
    tuple of Path: the PDF first.

    Raises
    ------
    BadInputError
        A recording is missing or changed, or the disk did not take a page.
    """
    shown = evidence(
        record,
        captures=store.calibration_captures(record),
        history=store.calibrations(chain=record.chain.chain.name, link=record.link),
    )
    return leave_certificate(record, folder=folder, shown=shown, party=party)
