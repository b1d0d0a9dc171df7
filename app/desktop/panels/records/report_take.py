"""Writes the report of a stored take to a folder."""

from dataclasses import dataclass
from pathlib import Path

from app.desktop.panels.records.export_take import name_of
from app.records.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Reported:
    """Where the report lies, and whether the recording still gives the kept figures."""

    file: Path
    standing: str
    holds: bool


def report_stored(store: Store, *, take_id: str, folder: Path) -> Reported:
    """Write the report of a take as a PDF inside ``folder``.

    Raises
    ------
    BadInputError
        No such take, or the disk did not take it.
    """
    from app.measure.read_again import read_again
    from app.report.take_report import leave_report

    found = read_again(store, take_id)
    file = folder.expanduser() / f"{name_of(found.record.take)}.pdf"
    return Reported(file=leave_report(found, file=file), standing=found.standing, holds=found.holds)
