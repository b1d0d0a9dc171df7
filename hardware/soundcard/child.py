"""The audio process: the only one that loads PortAudio. It ends when whoever started it ends.

Started as ``python -m hardware.soundcard.child``; orders come in on standard input, replies go
out on standard output, a line each.
"""

import contextlib
import ctypes
import importlib
import os
import queue
import signal
import sys
import threading
from time import sleep
from types import ModuleType
from typing import BinaryIO

from hardware.soundcard.messages import DeviceInfo, Event, Reply, line_of, order_of
from hardware.soundcard.reel import Reel
from hardware.soundcard.stream import run

_ORPHAN_POLL_S = 0.25
_LEAVE_LIMIT_S = 1.0  # how long an orphan tries to end in order before it ends anyway


class Server:
    """What the process holds: the way back, the orders, and the take that is running.

    Parameters
    ----------
    orders, replies : binary files
        The two pipes.
    """

    def __init__(self, orders: BinaryIO, *, replies: BinaryIO) -> None:
        self._orders, self._replies = orders, replies
        self._parent = os.getppid()
        self._lines: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._reel: Reel | None = None
        self._leaving = False

    def serve(self) -> None:
        """Say hello, then play what is ordered until told to quit."""
        threading.Thread(target=self._listen, daemon=True).start()
        try:
            import sounddevice as portaudio  # noqa: PLC0415  loads the library as it imports
        except OSError as error:
            self.say(Reply(event=Event.NO_PORTAUDIO, reason=str(error)))
            return
        self.say(Reply(event=Event.HELLO, devices=list_devices(portaudio)))
        while line := self._next():
            run(order_of(line), portaudio=portaudio, say=self.say, playing=self._hold)
        portaudio._terminate()  # noqa: SLF001 - at exit it would come too late, after the threads

    def say(self, reply: Reply) -> None:
        """Send ``reply``; a closed pipe means that nobody is left, which ``_listen`` sees too."""
        with contextlib.suppress(OSError):
            self._replies.write(line_of(reply))
            self._replies.flush()

    def _hold(self, reel: Reel | None) -> None:
        self._reel = reel
        if reel is not None and self._leaving:
            reel.stop()

    def _next(self) -> bytes:
        while True:
            try:
                return self._lines.get(timeout=_ORPHAN_POLL_S)
            except queue.Empty:
                if os.getppid() != self._parent:  # another process may hold our pipe open
                    return b""

    def _listen(self) -> None:
        # The end of the pipe is the end of this process: what plays falls silent and closes in
        # order if it can, but PortAudio may hang, and then it ends all the same.
        for line in self._orders:
            self._lines.put(b"" if line == b"quit\n" else line)
        self._leaving = True
        self._lines.put(b"")
        reel = self._reel
        if reel is not None:
            reel.stop()
        sleep(_LEAVE_LIMIT_S)
        os._exit(0)


def list_devices(portaudio: ModuleType) -> tuple[DeviceInfo, ...]:
    """Ask PortAudio what there is.

    Returns
    -------
    tuple of DeviceInfo
    """
    apis = portaudio.query_hostapis()
    version = portaudio.get_portaudio_version()[1].split(",")[0]
    return tuple(
        DeviceInfo(
            index=device["index"],
            name=device["name"],
            host_api=(api := apis[device["hostapi"]])["name"],
            max_input_channels=device["max_input_channels"],
            max_output_channels=device["max_output_channels"],
            default_sample_rate_hz=device["default_samplerate"],
            is_default=device["index"]
            in {api["default_input_device"], api["default_output_device"]},
            portaudio=version,
        )
        for device in portaudio.query_devices()
    )


def _private_pipe() -> BinaryIO:
    # Standard output for our lines alone; what libraries print goes nowhere.
    kept = os.dup(sys.stdout.fileno())
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    return os.fdopen(kept, "wb")


def _prepare() -> None:
    """Leave Ctrl-C to the other process, and no core file behind when a library aborts."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if sys.platform != "win32":
        resource = importlib.import_module("resource")
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if sys.platform == "linux":
        # The end of the pipe tells that the other process is gone, and leaves time for a ramp;
        # a process that somebody halted could not see it, so the kernel wakes this one.
        set_parent_death_signal = 1
        ctypes.CDLL(None).prctl(set_parent_death_signal, signal.SIGCONT)


def main() -> None:
    """Serve whoever started this process, and end without PortAudio's exit handlers."""
    _prepare()
    replies = _private_pipe()
    Server(sys.stdin.buffer, replies=replies).serve()
    os._exit(0)


if __name__ == "__main__":
    main()
