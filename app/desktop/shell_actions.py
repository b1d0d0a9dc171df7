"""Actions of the shell itself: theme, keys, and the files that lie open."""

from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog

from app.desktop.key_sheet import KeySheet
from app.desktop.leaving import Edited, Leaving
from app.desktop.palette import tokens_of
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.style import dress
from app.desktop.window import MainWindow

_FILES = "Files of Dustcap (*.toml)"


class ShellActions(QObject):
    """Does what belongs to no bay."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.sheet: KeySheet | None = None
        self.leaving = Leaving(window)
        table = window.actions_table
        for action, slot in (
            ("theme", self._switch_theme),
            ("keys", self._show_keys),
            ("find_action", self._find_action),
            ("open_chain", self._ask_chain),
            ("open_procedure", self._ask_procedure),
        ):
            table.of(action).triggered.connect(slot)

    @Slot()
    def _switch_theme(self) -> None:
        app = QApplication.instance()
        assert isinstance(app, QApplication)  # a widget asked
        dark = not tokens_of(self._window).is_dark
        system = QGuiApplication.styleHints().colorScheme()
        # Back at the system's theme, it is followed again.
        follows = system.name == ("Dark" if dark else "Light")
        self._window.settings.dark = None if follows else dark
        dress(app, dark=self._window.settings.dark)

    @Slot()
    def _show_keys(self) -> None:
        self._open_sheet(self._window.entered)

    @Slot()
    def _find_action(self) -> None:
        self._open_sheet(None)

    def _open_sheet(self, bay: str | None) -> None:
        window = self._window
        self.sheet = KeySheet(
            window.actions_table,
            bay=bay,
            letters=window.settings.letters,
            own=window.own_keys,
            parent=window,
        )
        self.sheet.own_changed.connect(window.set_own_keys)
        self.sheet.letters_switched.connect(lambda on: window.use_letters(letters=on))
        self.sheet.finished.connect(self.sheet.deleteLater)
        self.sheet.open()

    @Slot()
    def _ask_chain(self) -> None:
        if (file := self._ask("Open a chain")) is not None:
            self.open_chain(file)

    @Slot()
    def _ask_procedure(self) -> None:
        if (file := self._ask("Open a procedure")) is not None:
            self.open_procedure(file)

    def open_chain(self, file: Path) -> None:
        """Put a chain file on the bench; can be undone. Asks before it drops edits of another."""
        self.leaving.ask(
            f"Before {file.name} opens", of=Edited.CHAIN, then=lambda: self._open_chain(file)
        )

    def open_procedure(self, file: Path) -> None:
        """Put a procedure on the bench; can be undone. Asks before it drops limits of another."""
        self.leaving.ask(
            f"Before {file.name} opens", of=Edited.LIMITS, then=lambda: self._open_procedure(file)
        )

    def _open_chain(self, file: Path) -> None:
        bench = self._window.bench
        if bench is None:
            return
        from app.desktop.bench import Wired
        from hardware.chain.load import load_chain

        bench.worker.ask(
            "open a chain",
            lambda: Wired(snapshot=load_chain(file), file=file),
            then=lambda wired: bench.edit_chain(wired, text=f"open {file.name}"),
            refused=self._refuse,
        )

    def _open_procedure(self, file: Path) -> None:
        bench = self._window.bench
        if bench is None:
            return
        from app.procedure.load import load_procedure

        bench.worker.ask(
            "open a procedure",
            lambda: load_procedure(file),
            then=lambda loaded: bench.edit_procedure(loaded, text=f"open {file.name}"),
            refused=self._refuse,
        )

    def _ask(self, title: str) -> Path | None:
        start = str(self._window.settings.chain or Path.home())
        name, _ = QFileDialog.getOpenFileName(self._window, title, start, _FILES)
        return Path(name) if name else None

    def _refuse(self, error: Exception) -> None:
        self._window.say(
            BayWords(
                happened=f"Not opened: {error}",
                next="mend the file, then open it again. Nothing changed.",
                mark=Mark.BAD,
            )
        )
