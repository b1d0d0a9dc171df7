"""The engine's process; it ends when the window that started it ends, and is silent then.

Started as ``python -m app.desktop.engine.child``; orders come in on standard input, reports go out
on standard output.
"""

import contextlib
import os
import signal
import sys
import traceback
from types import TracebackType
from typing import BinaryIO

from app.desktop.engine.messages import Broken, Report, write_frame
from app.desktop.engine.orders import Orders


class Reports:
    """The way back to the window.

    Parameters
    ----------
    pipe : binary file
        Where they go out.
    """

    def __init__(self, pipe: BinaryIO) -> None:
        self._pipe = pipe

    def tell(self, kind: Report, number: int, what: object) -> None:
        """Send a report; a closed pipe means that nobody is left, which ``Orders`` sees, too."""
        with contextlib.suppress(OSError):
            write_frame(self._pipe, kind=kind, number=number, what=what)

    def tell_defect(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Tell of an exception that nobody expected, as the last thing that this process does."""
        lines = traceback.format_exception(kind, error, trace)
        what = f"{kind.__name__}: {error}".strip().removesuffix(":")
        self.tell(Report.DEFECT, 0, Broken(what=what, trace="".join(lines)))
        os._exit(1)


def _private_pipe() -> BinaryIO:
    # Standard output for our frames alone; what libraries print goes nowhere.
    kept = os.dup(sys.stdout.fileno())
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    return os.fdopen(kept, "wb")


def main() -> None:
    """Serve the window that started this process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the window, which ends this one
    reports = Reports(_private_pipe())
    sys.excepthook = reports.tell_defect
    orders = Orders(sys.stdin.buffer)
    # Slow to import: orders wait meanwhile, and what is stopped meanwhile never plays.
    from app.desktop.engine.player import Player

    player = Player(orders, tell=reports.tell)
    while (frame := orders.next()) is not None:
        player.do(frame)
    player.close()
    os._exit(0)  # nobody waits for what libraries do as they are unloaded


if __name__ == "__main__":
    main()
