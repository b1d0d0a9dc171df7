"""Limits that come from elsewhere: a file of a limit set, or a table on the clipboard."""

from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from app.desktop.bench import Bench
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.words import Says
from app.desktop.presenters.limits_figures import mask_title
from app.procedure.edit_masks import points_of, with_limits
from app.procedure.limit_file import read_limit_file
from app.procedure.limit_set import LimitSet
from app.procedure.limit_table import LimitTable, read_limit_table
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS

_FILTERS = "Limits (*.toml *.csv)"


class Travelling(QObject):
    """What comes in is an edit of the draft; it can be taken back."""

    def __init__(self, bench: Bench, *, draft: Draft, says: Says, parent: QWidget) -> None:
        super().__init__(parent)
        self._bench, self._draft, self._says, self._window = bench, draft, says, parent

    @Slot()
    def ask(self) -> None:
        """Ask which file."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Import limits", "", _FILTERS)
        if name:
            self.import_from(Path(name))

    def import_from(self, path: Path) -> None:
        """Read a file, and put its masks on the bench."""
        self._bench.worker.ask(
            "limits: import",
            lambda: read_limit_file(path),
            then=lambda found: self._put(found, path=path),
            refused=lambda error: self._refuse(error, what="Not imported"),
        )

    @Slot()
    def paste(self) -> None:
        """Read the table on the clipboard as limits of the chosen mask."""
        mask, text = self._draft.mask, QGuiApplication.clipboard().text()
        if mask is None or mask.quantity in NUMBERS:
            self._says.refuse(
                "a table is for a mask over frequency",
                what="Not pasted",
                next_step="choose one at the left, or make one (N), then paste again.",
            )
            return
        relative = mask.relative_to is not None
        self._bench.worker.ask(
            "limits: paste",
            lambda: read_limit_table(text, quantity=mask.quantity, relative=relative),
            then=self._take_table,
            refused=lambda error: self._refuse(error, what="Not pasted"),
        )

    def _put(self, found: LimitSet, *, path: Path) -> None:
        self._draft.put_masks(found.masks, text=f"Import {path.name}")
        count = len(found.masks)
        self._says.tell(
            f"{count} mask{'s' if count != 1 else ''} of {path.name} are on the bench.",
            next_step="see what they change, then save the draft (Ctrl S); Ctrl Z takes them back.",
        )

    def _take_table(self, found: LimitTable) -> None:
        refused = self._draft.edit(lambda mask: _with_limits(mask, found.mask), text="Paste limits")
        if refused is not None:
            self._refuse(refused, what="Not pasted")
            return
        read_as = f" Read as: {'; '.join(found.remarks)}." if found.remarks else ""
        self._says.tell(
            f"The table is the limits of {mask_title(self._draft.name or '')}.{read_as}",
            next_step="see what they change, then save the draft (Ctrl S); Ctrl Z takes them back.",
        )

    def _refuse(self, error: Exception, *, what: str) -> None:
        self._says.refuse(str(error), what=what, next_step="put that right and try again.")


def _with_limits(mask: Mask, found: Mask) -> Mask:
    return with_limits(
        mask, upper=points_of(found, side="upper"), lower=points_of(found, side="lower")
    )
