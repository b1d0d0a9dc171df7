"""Files of what the bay shows: trial as a table, plots as a picture or drawing, limits."""

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QObject, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from app.desktop.bench import Bench
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.panels.limits.units_plot import UnitsPlot
from app.desktop.panels.limits.words import Says
from app.measure.in_force import limit_set_of
from app.measure.trial_rows import trial_rows
from app.procedure.limit_set import LimitSet, limit_set_text
from app.report.atomic import write_whole
from app.report.export_trial import export_trial

_FILTERS = (
    "Units as a table (*.csv)",
    "Limits (*.toml)",
    "Picture (*.png)",
    "Drawing (*.svg)",
)
_ENDINGS = (".csv", ".toml", ".png", ".svg")
_WRITTEN = {".csv": "The trial is", ".toml": "The limits are"}


class Export(QObject):
    """Copies and writes; the worker does what waits for a disk."""

    def __init__(self, bench: Bench, *, keeper: TrialKeeper, units: UnitsPlot, says: Says) -> None:
        super().__init__(units)
        self._bench, self._keeper, self._units, self._says = bench, keeper, units, says

    @Slot()
    def copy(self) -> None:
        """Copy curves and margins, tab-separated."""
        QGuiApplication.clipboard().setText(self._units.table())
        self._says.tell("Curves and margins are on the clipboard as tables.")

    @Slot()
    def copy_picture(self) -> None:
        """Copy the plots as a picture."""
        QGuiApplication.clipboard().setImage(self._units.to_image())
        self._says.tell("The plots are on the clipboard as a picture.")

    @Slot()
    def ask(self) -> None:
        """Ask where to."""
        name, chosen = QFileDialog.getSaveFileName(
            self._units, "Export the trial", "trial", ";;".join(_FILTERS)
        )
        if name:
            self.export_to(_with_ending(Path(name), chosen))

    def export_to(self, path: Path) -> None:
        """Write a file; its ending decides the form."""
        behind, seen = self._keeper.behind, self._keeper.seen
        if behind is None or seen is None:
            return
        if path.suffix.lower() == ".csv":
            self._bench.worker.ask(
                "limits: export",
                lambda: export_trial(trial_rows(behind.trial, seen.found), path=path),
                then=self._written,
                refused=self._refuse,
            )
            return
        if path.suffix.lower() == ".toml":
            procedure = self._bench.procedure.procedure
            limits = LimitSet(
                name=limit_set_of(procedure), procedure=procedure.name, masks=procedure.masks
            )
            self._bench.worker.ask(
                "limits: export",
                lambda: write_whole(path, limit_set_text(limits).encode()),
                then=self._written,
                refused=self._refuse,
            )
            return
        # Painting is the window's; only the disk is waited for elsewhere.
        drawing = path.suffix.lower() == ".svg"
        content = self._units.to_svg() if drawing else _png(self._units)
        self._bench.worker.ask(
            "limits: export",
            lambda: write_whole(path, content),
            then=self._written,
            refused=self._refuse,
        )

    def _written(self, path: Path) -> None:
        what = _WRITTEN.get(path.suffix.lower(), "The plots are")
        self._says.tell(f"{what} written to {path.name}.")

    def _refuse(self, error: Exception) -> None:
        self._says.tell(f"{error}.", next_step="choose another place.")


def _with_ending(path: Path, chosen: str) -> Path:
    if path.suffix.lower() in _ENDINGS:
        return path
    ending = next((one for one in _ENDINGS if f"*{one}" in chosen), _ENDINGS[0])
    return path.with_name(path.name + ending)


def _png(units: UnitsPlot) -> bytes:
    written = QByteArray()
    buffer = QBuffer(written)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    units.to_image().save(buffer, "PNG")  # type: ignore[call-overload]  # the stub wants bytes
    buffer.close()
    return bytes(written.data())
