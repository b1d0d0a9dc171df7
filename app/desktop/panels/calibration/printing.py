"""Prints the certificate of a kept calibration, away from the window's thread."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.records.store import Store

FOLDER = "certificates"


class Printing(QObject):
    """``printed`` (a path) tells where the page lies; ``refused`` (a sentence) why it does not."""

    printed = Signal(object)
    refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench

    @property
    def folder(self) -> Path:
        """Beside the chain's file; in the person's own folder where it has none."""
        file = self._bench.wired.file
        return (Path.home() if file is None else file.absolute().parent) / FOLDER

    def print_page(self, calibration_id: str) -> None:
        """Print the page of a calibration."""
        store, folder = self._bench.store, self.folder
        self._bench.worker.ask(
            "certificate of a calibration",
            lambda: _print(store, calibration_id, folder=folder),
            then=self.printed.emit,
            refused=lambda error: self.refused.emit(str(error)),
        )


def _print(store: Store, calibration_id: str, *, folder: Path) -> Path:
    from app.report.print_certificate import print_certificate

    pages = print_certificate(store.calibration(calibration_id), store=store, folder=folder)
    return pages[0]
