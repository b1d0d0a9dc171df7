"""Opens the window: it paints first, and everything slow comes after."""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtWidgets import QApplication

from app.desktop.defects import Defects, log_file, open_log
from app.desktop.opening import Opened, Opening, Wanted
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.settings import Settings, settings_file
from app.desktop.shell_actions import ShellActions
from app.desktop.style import dress
from app.desktop.window import MainWindow
from hardware.chain.load import load_chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import HardwareError

if TYPE_CHECKING:
    from app.desktop.bench import Bench

_REFUSED = 2  # as app.cli.exits has it
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
    laid = lay(chain, settings)
    open_log(log_file())
    dress(app, dark=settings.dark)
    window = MainWindow(settings, chain=laid.snapshot.chain)
    start = Start(
        window,
        laid=laid,
        wanted=Wanted(store=store, procedure=procedure, last_procedure=settings.procedure),
        take=take,
    )
    window.show()
    code = app.exec()
    start.wait()
    return code or start.code


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Laid:
    """The chain to begin with, and what is to be said of it."""

    snapshot: ChainSnapshot
    file: Path | None
    sentence: str = ""


class Start(QObject):
    """Waits until the window has painted, opens what is slow, and begins.

    Parameters
    ----------
    window : MainWindow
        Not yet shown.
    laid : Laid
        Its chain.
    wanted : Wanted
        What to open.
    take : str or None
        To show at once.
    """

    def __init__(
        self, window: MainWindow, *, laid: Laid, wanted: Wanted, take: str | None = None
    ) -> None:
        super().__init__(window)
        sys.setswitchinterval(_HANDED_OVER_AFTER_S)
        self.code = 0
        self._window, self._laid, self._take = window, laid, take
        self.shell = ShellActions(window)
        self._defects = Defects(self)
        self._defects.happened.connect(window.tell_defect)
        self._defects.watch()
        self._waiting: Bench | None = None  # until the first bay is made
        self._opening = Opening(wanted)
        self._opening.done.connect(self._begin)
        self._opening.refused.connect(self._refuse)
        # After the event that painted: the window is on the screen before anything else begins.
        queued = Qt.ConnectionType.QueuedConnection
        window.strip.painted.connect(self._opening.start, queued)

    def wait(self) -> None:
        """Wait for the thread to end, and let go of what the window did not come to."""
        self._opening.wait()
        if self._waiting is not None:  # the window was left before its first bay was made
            self._waiting.close()
            self._waiting = None

    def is_opening(self) -> bool:
        """Whether the thread is at work."""
        return self._opening.isRunning()

    @Slot(object)
    def _begin(self, opened: Opened) -> None:
        from app.desktop.ahead import Ahead
        from app.desktop.bench import Bench, Wired

        window = self._window
        if window.has_closed:  # it was left before there was anything to see
            opened.store.close()
            return
        self._waiting = Bench(
            store=opened.store,
            chain=Wired(snapshot=self._laid.snapshot, file=self._laid.file),
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
        if self._laid.sentence:
            window.say(
                BayWords(
                    happened=self._laid.sentence,
                    next="open another chain; the bench in software stands in.",
                    mark=Mark.CAUTION,
                )
            )

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


def lay(chain: Path | None, settings: Settings) -> Laid:
    """Load the chain that was asked for, the one that lay open, or the one that ships."""
    if chain is not None:
        return Laid(snapshot=load_chain(chain), file=chain)
    if (last := settings.chain) is not None:
        try:
            return Laid(snapshot=load_chain(last), file=last)
        except HardwareError as error:
            return Laid(snapshot=_shipped(), file=None, sentence=f"Not opened: {error}")
    return Laid(snapshot=_shipped(), file=None)


def _shipped() -> ChainSnapshot:
    from app.procedure.shipped_files import CHAIN

    shipped = load_chain(CHAIN)
    virtual = shipped.chain.virtual
    assert virtual is not None  # the shipped chain is the rig's
    # Somebody watches: the rig takes as long as a card would, and can be stopped on its way.
    slow = shipped.chain.model_copy(
        update={"virtual": virtual.model_copy(update={"real_time": True})}
    )
    return shipped.model_copy(update={"chain": slow})
