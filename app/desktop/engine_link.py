"""The window's side of the engine's process: starts it, passes messages, ends it."""

import contextlib
import itertools
import os
import queue
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.desktop.engine.messages import Order, Report, read_frame, write_frame

_ROOT = Path(__file__).resolve().parents[2]
_LEAVE_LIMIT_S = 12.0  # longer than the process gives itself
MODULE = "app.desktop.engine.child"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Told:
    """One report: what kind, about which order, and what."""

    kind: Report
    number: int
    what: object


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Sent:
    order: Order
    number: int
    what: object


class Link(QObject):
    """A running engine. Neither end of the pipes ever holds up the thread that made this object.

    ``told`` (Told) and, last of all, ``gone`` (how it ended, in words) arrive in that thread.

    Parameters
    ----------
    module : str
        What the process runs; where none can be started, it is gone at once.
    """

    told = Signal(object)
    gone = Signal(str)

    def __init__(self, module: str = MODULE) -> None:
        super().__init__()
        self._numbers = itertools.count(1)
        self._sent: queue.SimpleQueue[_Sent | None] = queue.SimpleQueue()
        self._child: subprocess.Popen[bytes] | None = None
        self._threads: list[threading.Thread] = []
        try:
            self._child = _start(module)
        except OSError as error:
            why = f"as it was to be started ({error.strerror})"
            QTimer.singleShot(0, self, lambda: self.gone.emit(why))
            return
        for work in (self._write, self._read):
            thread = threading.Thread(target=work, args=(self._child,), daemon=True)
            self._threads.append(thread)
            thread.start()

    @property
    def pid(self) -> int | None:
        """Its process number."""
        return None if self._child is None else self._child.pid

    @property
    def alive(self) -> bool:
        """Whether it still runs."""
        return self._child is not None and self._child.poll() is None

    def next_number(self) -> int:
        """Return a number for an order, which reports about it will carry."""
        return next(self._numbers)

    def order(self, order: Order, what: object = None, *, number: int) -> None:
        """Order something under a number, larger than that of any order before."""
        self._sent.put(_Sent(order=order, number=number, what=what))

    def stop(self, number: int) -> None:
        """Stop what plays under a number, whether or not it has begun."""
        self.order(Order.STOP, number=number)

    def kill(self) -> None:
        """End the process now; the audio process sees that and ramps to silence."""
        if self._child is not None:
            self._child.kill()

    def leave(self) -> None:
        """Let the process finish what it keeps, close the card and end; then nothing is left."""
        child = self._child
        if child is None:
            return
        self._sent.put(None)
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(_LEAVE_LIMIT_S)
        child.kill()
        child.wait()
        for thread in self._threads:
            thread.join()

    def _write(self, child: subprocess.Popen[bytes]) -> None:
        assert child.stdin is not None  # asked for below
        with contextlib.suppress(OSError):  # it is gone: the reader has seen it, too
            while (sent := self._sent.get()) is not None:
                write_frame(child.stdin, kind=sent.order, number=sent.number, what=sent.what)
        with contextlib.suppress(OSError):  # words that nobody read
            child.stdin.close()

    def _read(self, child: subprocess.Popen[bytes]) -> None:
        assert child.stdout is not None  # asked for below
        with child.stdout as pipe:
            while (frame := read_frame(pipe)) is not None:
                self.told.emit(
                    Told(kind=Report(frame.kind), number=frame.number, what=frame.what())
                )
        code = child.wait()
        self.gone.emit(f"by signal {-code}" if code < 0 else f"with exit code {code}")


def start_engine() -> Link:
    """Start one for the window."""
    return Link()


def _start(module: str) -> subprocess.Popen[bytes]:
    # Our packages first, wherever we were started.
    paths = [str(_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    return subprocess.Popen(
        [sys.executable, "-P", "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(paths)},
    )
