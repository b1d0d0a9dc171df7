"""The certificate page of a kept calibration, with recordings and history from the store."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.records.calibration_record import CalibrationRecord
    from app.records.store import Store
    from app.report.certificate_facts import Party


def print_certificate(
    record: "CalibrationRecord", *, store: "Store", folder: Path, party: "Party | None" = None
) -> tuple[Path, ...]:
    """Leave the pages of a calibration in a folder; return what lies where."""
    from app.report.calibration_plots import evidence
    from app.report.certificate import leave_certificate

    shown = evidence(
        record,
        captures=store.calibration_captures(record),
        history=store.calibrations(chain=record.chain.chain.name, link=record.link),
    )
    return leave_certificate(record, folder=folder, shown=shown, party=party)
