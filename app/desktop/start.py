"""Opens the window: it paints first, and everything slow comes after."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer, Slot
from PySide6.QtWidgets import QApplication

from app.desktop.defects import Defects, log_file, open_log
from app.desktop.opening import Opened, Opening, Wanted
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.told_first import instead
from app.desktop.settings import Settings, settings_file
from app.desktop.style import dress
from app.desktop.window import MainWindow

if TYPE_CHECKING:
    from app.desktop.bench import Bench
    from app.desktop.laid import Laid

_REFUSED = 2  # as app.cli.exits has it
_NO_CHAIN = "open another chain (Ctrl Shift O); the bench in software stands in."
_NO_PROCEDURE = "open another procedure (Ctrl O); the line check stands in."
_BUSY_AFTER_MS = 3000
_BUSY = BayWords(
    happened="The store is slow to open: another program may be writing to it.",
    next="wait half a minute, or end that program.",
    mark=Mark.BUSY,
)
# A thread that works hands Python over five times as soon as usual, so that the window paints
# while a take is derived.
_HANDED_OVER_AFTER_S = 0.001


def run_desktop(
    *,
    store: str | None,
    chain: Path | None,
    procedure: str | None,
    take: str | None = None,
    selftest: Path | None = None,
) -> int:
    """Open the window and stay until it is closed.

    Parameters
    ----------
    store : str or None
        File or URL; None: one's own.
    chain, procedure : Path, str or None
        None: those that lay open last, or those that ship.
    take : str or None
        Id of a take to show at once.
    selftest : Path or None
        A folder: the window is driven through its users' stories and leaves pictures there.

    Returns
    -------
    int, what the shell is told.

    Raises
    ------
    HardwareError
        The chain that was asked for cannot be read.
    """
    app = QApplication.instance() or QApplication(["dustcap"])
    assert isinstance(app, QApplication)  # nobody else makes one
    app.setApplicationName("Dustcap")
    app.setDesktopFileName("dustcap")
    if selftest is not None:
        from app.desktop.selftest.run import run_selftest

        return run_selftest(app, selftest)
    settings = Settings(settings_file())
    laid = None if chain is None else _lay(chain)
    open_log(log_file())
    dress(app, dark=settings.dark)
    window = MainWindow(settings, chain=None if laid is None else laid.snapshot.chain)
    start = Start(
        window,
        wanted=Wanted(
            store=store,
            laid=laid,
            last_chain=settings.chain,
            procedure=procedure,
            last_procedure=settings.procedure,
        ),
        take=take,
    )
    window.show()
    code = app.exec()
    start.wait()
    return code or start.code


class Start(QObject):
    """Waits until the window has painted, opens what is slow, and begins.

    Parameters
    ----------
    window : MainWindow
        Not yet shown.
    wanted : Wanted
        What to open.
    take : str or None
        To show at once.
    """

    def __init__(self, window: MainWindow, *, wanted: Wanted, take: str | None = None) -> None:
        super().__init__(window)
        sys.setswitchinterval(_HANDED_OVER_AFTER_S)
        self.code = 0
        self._window, self._take = window, take
        self._defects = Defects(self)
        self._defects.happened.connect(window.tell_defect)
        self._defects.watch()
        self._missing: list[BayWords] = []  # of the files that lay open last
        self._waiting: Bench | None = None  # until the first bay is made
        self.opening = Opening(wanted)
        self.opening.laid.connect(self._show_chain)
        self.opening.done.connect(self._begin)
        self.opening.refused.connect(self._refuse)
        # After the event that painted: the window is on the screen before anything else begins.
        queued = Qt.ConnectionType.QueuedConnection
        window.strip.painted.connect(self._go_on, queued)

    def wait(self) -> None:
        """Wait for the thread to end, and let go of what the window did not come to."""
        self.opening.wait()
        if self._waiting is not None:  # the window was left before its first bay was made
            self._waiting.close()
            self._waiting = None

    def is_opening(self) -> bool:
        """Whether the thread is at work."""
        return self.opening.isRunning()

    @Slot()
    def _go_on(self) -> None:
        from app.desktop.shell_actions import ShellActions

        self.opening.start()
        QTimer.singleShot(_BUSY_AFTER_MS, self, self._tell_waiting)
        ShellActions(self._window)

    @Slot(object)
    def _show_chain(self, laid: "Laid") -> None:
        if laid.sentence:
            self._missing.append(_stands_in(laid.sentence, _NO_CHAIN))
        self._window.show_chain(laid.snapshot.chain)

    @Slot(object)
    def _begin(self, opened: Opened) -> None:
        from app.desktop.ahead import Ahead
        from app.desktop.bench import Bench, Wired

        window = self._window
        if opened.sentence:
            self._missing.append(_stands_in(opened.sentence, _NO_PROCEDURE))
        if window.has_closed:  # it was left before there was anything to see
            opened.store.close()
            return
        self._waiting = Bench(
            store=opened.store,
            chain=Wired(snapshot=opened.laid.snapshot, file=opened.laid.file),
            procedure=opened.procedure,
        )
        Ahead(window, self._waiting, first=window.settings.bay, then=self._enter)

    def _enter(self) -> None:
        window, bench = self._window, self._waiting
        assert bench is not None  # this comes after ``_begin``
        self._waiting = None
        window.begin(bench)
        if self._take is not None:
            window.open_bay("measure", self._take)
        if self._missing:
            # One line; the other is seen when this one is mended.
            window.tell_first(instead(self._missing[0]))

    @Slot()
    def _tell_waiting(self) -> None:
        if self.opening.is_at_store and self.is_opening():
            self._window.say(_BUSY)

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        self.code = _REFUSED
        self._window.say(
            BayWords(
                happened=f"Not opened: {sentence}",
                next="mend it, or name another, and start again.",
                mark=Mark.BAD,
            )
        )


def _lay(chain: Path) -> "Laid":
    from app.desktop.laid import lay  # slow: only where somebody asked for a chain

    return lay(chain)


def _stands_in(sentence: str, next_: str) -> BayWords:
    return BayWords(happened=f"{sentence.rstrip('.')}.", next=next_, mark=Mark.CAUTION)
