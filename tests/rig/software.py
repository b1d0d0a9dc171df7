"""A dummy audio server and a card on it, each a process of its own."""

import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from hardware.card import Samples

HERE = Path(__file__).parent
PYTHON = sys.executable
RATE = 48_000
PERIOD = 1024
CARD_NAME = "Tram Bench"
CHANNELS = 4
HEARD_HEAD_BYTES = 8
HEARD_RING = 48_000 * 30
PATIENCE_S = 20.0


def wait_until(true: Callable[[], bool], what: str) -> None:
    """Wait for a condition, however slow the machine is."""
    until = time.monotonic() + PATIENCE_S
    while not true():
        if time.monotonic() > until:
            pytest.fail(f"waited {PATIENCE_S:g} s in vain: {what}")
        time.sleep(0.005)


class Server:
    """A dummy JACK server of its own name; without -S it loses samples on a busy machine."""

    def __init__(self, name: str, *, client_limit_ms: int = 500) -> None:
        if shutil.which("jackd") is None:
            pytest.fail("jackd is missing: sudo apt-get install --no-install-recommends jackd2")
        self.name, self._client_limit_ms = name, client_limit_ms
        self.cards: list[SoftwareCard] = []
        self.process = self._start()

    def _start(self) -> subprocess.Popen[bytes]:
        period, rate = str(PERIOD), str(RATE)
        dummy = ["-d", "dummy", "-r", rate, "-p", period, "-C", "0", "-P", "0"]
        server = ["jackd", "-n", self.name, "-r", "-S", "-t", str(self._client_limit_ms)]
        return subprocess.Popen(
            [PYTHON, str(HERE / "tied.py"), *server, *dummy],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def restart(self) -> None:
        """The same name takes over what a killed server left in JACK's registry."""
        self.process = self._start()

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        """TERM gives its registry slot back; there are only eight. Its cards end with it."""
        self.process.send_signal(how)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            self.restart()  # takes the slot over, so that it is given back after all
            self.process.terminate()
            self.process.wait()
        while self.cards:
            self.cards.pop().end()


class SoftwareCard:
    """``plain_card.py`` in its own process, and what it heard."""

    def __init__(
        self, server: Server, name: str, heard: Path, *, muted: int = 0, tone: float = 0.0
    ) -> None:
        self.name, self._heard = name, heard
        self.process = subprocess.Popen(
            [
                PYTHON,
                str(HERE / "plain_card.py"),
                *(server.name, name, str(CHANNELS), str(heard), str(muted), str(tone)),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == b"up\n", f"{name} did not come up"
        server.cards.append(self)

    @property
    def frames(self) -> int:
        return int(np.fromfile(self._heard, dtype=np.int64, count=1)[0])

    def heard_since(self, start: int) -> Samples:
        """What the outputs were given since frame ``start``; (n, channels)."""
        stop = self.frames
        assert stop - start <= HEARD_RING, "the ring is too short for this test"
        ring = np.fromfile(self._heard, dtype=np.float32, offset=HEARD_HEAD_BYTES)
        return ring.reshape(HEARD_RING, CHANNELS)[np.arange(start, stop) % HEARD_RING]

    def end(self) -> None:
        """Leave the server in order, or be ended; twice does no harm."""
        for pipe in (self.process.stdin, self.process.stdout):
            if pipe is not None:
                pipe.close()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
