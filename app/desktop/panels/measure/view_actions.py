"""What the keys of the view do: another view, intervals, proportions, difference, table, copies."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from app.desktop.actions import Actions
from app.desktop.panels.measure.export_shown import FILTERS, export_shown, suffix_of
from app.desktop.panels.measure.plots import Plots
from app.desktop.panels.measure.presenting import Presenting
from app.desktop.presenters.measure_scene import CURVE_VIEWS, View
from app.desktop.presenters.measure_words import words_said
from app.errors import AppError

if TYPE_CHECKING:
    from app.desktop.presenters.bay_words import BayWords

_PROPORTIONS: tuple[float | None, ...] = (None, 50.0, 25.0)  # dB a decade, IEC 60263
_NEXT = "go on, or press Play."


class ViewActions(QObject):
    """Connects the actions; ``said`` (BayWords) tells what a key did where it cannot be seen."""

    said = Signal(object)

    def __init__(
        self,
        actions: Actions,
        *,
        plots: Plots,
        presenting: Presenting,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._plots, self._presenting = plots, presenting
        self._bands = False
        self._proportion = 0
        self._before = plots.view
        for action, slot in (
            ("other_view", self.turn_view),
            ("parameters", partial(self.turn_to, View.PARAMETERS)),
            ("box", partial(self.turn_to, View.BOX)),
            ("over_ladder", partial(self.turn_to, View.LADDER)),
            ("defects", partial(self.turn_to, View.DEFECTS)),
            ("merge", partial(self.turn_to, View.MERGED)),
            ("intervals", self.turn_intervals),
            ("proportions", self.turn_proportions),
            ("difference", self.turn_difference),
            ("whole_range", plots.whole_range),
            ("table", self.turn_table),
            ("copy", self.copy),
            ("copy_picture", self.copy_picture),
            ("export", self.ask_export),
        ):
            actions.of(action).triggered.connect(slot)

    @Slot()
    def turn_view(self) -> None:
        """Go on to the next view over curves; from another one, back to the first."""
        view = self._plots.view
        after = CURVE_VIEWS.index(view) + 1 if view in CURVE_VIEWS else 0
        self._plots.set_view(CURVE_VIEWS[after % len(CURVE_VIEWS)])

    def turn_to(self, view: View) -> None:
        """Go to a view, or from it back to where a person came from."""
        if self._plots.view is view:
            self._plots.set_view(self._before)
            return
        if self._plots.view in CURVE_VIEWS:
            self._before = self._plots.view
        self._plots.set_view(view)

    @Slot()
    def turn_intervals(self) -> None:
        """Show intervals, or hide them."""
        self._bands = not self._bands
        self._plots.show_bands(shown=self._bands)

    @Slot()
    def turn_proportions(self) -> None:
        """Go on from free proportions to 50 and to 25 dB a decade."""
        self._proportion = (self._proportion + 1) % len(_PROPORTIONS)
        self._plots.set_db_per_decade(_PROPORTIONS[self._proportion])

    @Slot()
    def turn_difference(self) -> None:
        """Show differences, or the curves again."""
        self._presenting.difference = not self._presenting.difference
        self._presenting.present_plots()

    @Slot()
    def turn_table(self) -> None:
        """Show the curves as numbers, or as plots again."""
        self._plots.show_table(shown=not self._plots.shows_table)

    @Slot()
    def copy(self) -> None:
        """Copy all curves, tab-separated; with Ctrl C what stands at the cursor, if it stands."""
        held = QGuiApplication.keyboardModifiers() & Qt.KeyboardModifier.ControlModifier
        if held and self._plots.cursor_hz is not None:
            QGuiApplication.clipboard().setText(self._plots.readout_text())
            self._tell("What stands at the cursor is on the clipboard.")
            return
        QGuiApplication.clipboard().setText(self._plots.copied())
        self._tell(self._plots.copied_words)

    @Slot()
    def copy_picture(self) -> None:
        """Copy the plots as a picture."""
        QGuiApplication.clipboard().setImage(self._plots.to_image())
        self._tell("The plots are on the clipboard as a picture.")

    @Slot()
    def ask_export(self) -> None:
        """Ask where to write what is shown."""
        chosen = self._presenting.chosen
        start = f"take-{chosen.number}" if chosen else "plots"
        name, given = QFileDialog.getSaveFileName(
            self._plots, "Export what is shown", start, ";;".join(FILTERS)
        )
        if name:
            self.export_to(suffix_of(Path(name), given))

    def export_to(self, path: Path) -> None:
        """Write what is shown to a file; its ending decides the form."""
        try:
            export_shown(self._plots, path)
        except AppError as error:
            self.said.emit(words_said(f"{error}.", next_step="choose another place."))
            return
        self._tell(f"What is shown is written to {path.name}.")

    def _tell(self, happened: str) -> None:
        words: BayWords = words_said(happened, next_step=_NEXT)
        self.said.emit(words)
