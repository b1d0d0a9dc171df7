"""The window's side of the audio process: starts it, speaks to it, ends it whatever it does."""

import contextlib
import os
import queue
import subprocess
import sys
import threading
import weakref
from pathlib import Path

from hardware.errors import CardLostError, CardRefusedError
from hardware.soundcard.messages import DeviceInfo, Event, PlayOrder, Reply, line_of, reply_of

_ROOT = Path(__file__).resolve().parents[2]
_HELLO_LIMIT_S = 15.0  # a driver with many devices may take seconds to list them
_QUIT_LIMIT_S = 0.5


class AudioProcess:
    """A child process that owns PortAudio; ended at the latest when this object or its owner is.

    Attributes
    ----------
    devices : tuple of DeviceInfo
        What there was when the process started; it never looks again.

    Raises
    ------
    CardRefusedError
        No PortAudio on this machine.
    CardLostError
        The process did not come up.
    """

    def __init__(self) -> None:
        self._child = subprocess.Popen(
            [sys.executable, "-P", "-m", "hardware.soundcard.child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(),
        )
        self._replies: queue.SimpleQueue[Reply] = queue.SimpleQueue()
        self._listener = threading.Thread(
            target=_listen, args=(self._child, self._replies), daemon=True
        )
        self._listener.start()
        self._finalizer = weakref.finalize(self, _end, self._child, self._listener)
        self.devices: tuple[DeviceInfo, ...] = self._hello()

    @property
    def pid(self) -> int:
        """The child's process number."""
        return self._child.pid

    @property
    def alive(self) -> bool:
        """Whether the child still runs."""
        return self._child.poll() is None

    def order(self, order: PlayOrder) -> None:
        """Send ``order``; a child that is gone shows in ``hear``."""
        self._write(line_of(order))

    def hear(self, *, timeout_s: float) -> Reply | None:
        """Wait for the child's next words.

        Parameters
        ----------
        timeout_s : float
            s.

        Returns
        -------
        Reply or None; None where nothing came in time, ``Event.ENDED`` where nothing will.
        """
        try:
            reply = self._replies.get(timeout=timeout_s)
        except queue.Empty:
            return None
        if reply.event is Event.ENDED:
            self._replies.put(reply)
        return reply

    def quit(self) -> None:
        """Let the child close PortAudio in order; where that hangs, kill it.

        Sound servers wait for seconds for a client that was killed, so this is worth half a one.
        """
        self._write(b"quit\n")
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._child.wait(_QUIT_LIMIT_S)
        self.kill()

    def kill(self) -> None:
        """End the child now; the converter falls silent with it."""
        self._finalizer()

    def exit_words(self) -> str:
        """Tell how the child ended.

        Returns
        -------
        str
        """
        try:
            code = self._child.wait(_QUIT_LIMIT_S)
        except subprocess.TimeoutExpired:
            return "without an exit code"
        return f"by signal {-code}" if code < 0 else f"with exit code {code}"

    def _hello(self) -> tuple[DeviceInfo, ...]:
        reply = self.hear(timeout_s=_HELLO_LIMIT_S)
        if reply is not None and reply.event is Event.HELLO:
            return reply.devices
        self.kill()
        if reply is not None and reply.event is Event.NO_PORTAUDIO:
            raise CardRefusedError(
                f"sound card: {reply.reason}: install it (Debian, Ubuntu: sudo apt-get install "
                "libportaudio2), or use the virtual rig, which needs no sound card"
            )
        state = f"gave no list of devices within {_HELLO_LIMIT_S:g} s"
        if reply is not None:
            state = f"ended {self.exit_words()} as it started"
        raise CardLostError(f"sound card: the audio process {state}")

    def _write(self, line: bytes) -> None:
        pipe = self._child.stdin
        if pipe is None or pipe.closed:
            return
        try:
            pipe.write(line)
            pipe.flush()
        except OSError:  # the child is gone; the listener has seen it too
            return


def _environment() -> dict[str, str]:
    # Our packages first, wherever we were started; and no sound server started by a library.
    paths = [str(_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    return os.environ | {"PYTHONPATH": os.pathsep.join(paths), "JACK_NO_START_SERVER": "1"}


def _listen(child: subprocess.Popen[bytes], replies: queue.SimpleQueue[Reply]) -> None:
    """Pass the child's lines on until its pipe closes."""
    if child.stdout is not None:
        for line in child.stdout:
            replies.put(reply_of(line))
    replies.put(Reply(event=Event.ENDED))


def _end(child: subprocess.Popen[bytes], listener: threading.Thread) -> None:
    """Kill the child, leave no zombie, thread or pipe behind."""
    child.kill()
    child.wait()
    listener.join()
    for pipe in (child.stdin, child.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):  # words that nobody read
                pipe.close()
