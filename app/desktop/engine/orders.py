"""The orders of the window, heard in a thread of their own: Stop acts whatever is being done."""

import os
import queue
import threading
from collections.abc import Callable
from time import sleep
from typing import BinaryIO

from app.desktop.engine.messages import Frame, Order, read_frame

_LEAVE_LIMIT_S = 10.0  # a take that is being kept gets that long after the window has gone
_ALL = 2**62  # above every number


class Orders:
    """Passes orders on one by one; which is the newest, and what was stopped, is known at once.

    The end of the pipe is the end of the window: everything is stopped then, and the process ends
    at the latest after ten seconds.

    Parameters
    ----------
    pipe : binary file
        Where they come in.
    """

    def __init__(self, pipe: BinaryIO) -> None:
        self._pipe = pipe
        self._waiting: queue.SimpleQueue[Frame | None] = queue.SimpleQueue()
        self._newest, self._stopped = 0, 0
        self._stop: Callable[[], None] | None = None
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def next(self) -> Frame | None:
        """Wait for the next order; None: leave."""
        return self._waiting.get()

    def is_newest(self, number: int) -> bool:
        """Whether nobody has ordered anything since."""
        return number == self._newest

    def hold(self, stop: Callable[[], None] | None, *, number: int) -> None:
        """Say how to stop what an order has begun, None: nothing any more; it may be so already."""
        self._stop = stop
        if stop is not None and number <= self._stopped:
            stop()

    def _listen(self) -> None:
        while (frame := read_frame(self._pipe)) is not None:
            if frame.kind == Order.STOP:
                self._stop_up_to(frame.number)
            else:
                self._newest = frame.number
                self._waiting.put(frame)
        self._newest = _ALL
        self._stop_up_to(_ALL)
        self._waiting.put(None)
        sleep(_LEAVE_LIMIT_S)
        os._exit(1)

    def _stop_up_to(self, number: int) -> None:
        self._stopped = number
        if (stop := self._stop) is not None:
            stop()
