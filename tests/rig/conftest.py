"""A dummy audio server and a card on it, so that tests go through PortAudio itself."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from hardware.card import Samples
from hardware.chain.schema import Device
from hardware.soundcard.card import SoundCard

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

    def __init__(self, name: str) -> None:
        if shutil.which("jackd") is None:
            pytest.fail("jackd is missing: sudo apt-get install --no-install-recommends jackd2")
        self.name = name
        self.process = self._start()

    def _start(self) -> subprocess.Popen[bytes]:
        period, rate = str(PERIOD), str(RATE)
        dummy = ["-d", "dummy", "-r", rate, "-p", period, "-C", "0", "-P", "0"]
        return subprocess.Popen(
            [PYTHON, str(HERE / "tied.py"), "jackd", "-n", self.name, "-r", "-S", *dummy],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def restart(self) -> None:
        """The same name takes over what a killed server left in JACK's registry."""
        self.process = self._start()

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        """TERM gives its registry slot back; there are only eight."""
        self.process.send_signal(how)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


class SoftwareCard:
    """``plain_card.py`` in its own process, and what it heard."""

    def __init__(self, server: Server, name: str, heard: Path, *, muted: int = 0) -> None:
        self.name, self._heard = name, heard
        self.process = subprocess.Popen(
            [
                PYTHON,
                str(HERE / "plain_card.py"),
                *(server.name, name, str(CHANNELS), str(heard), str(muted)),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == b"up\n", f"{name} did not come up"

    @property
    def frames(self) -> int:
        return int(np.fromfile(self._heard, dtype=np.int64, count=1)[0])

    def heard_since(self, start: int) -> Samples:
        """What the outputs were given since frame ``start``; (n, channels)."""
        stop = self.frames
        assert stop - start <= HEARD_RING, "the ring is too short for this test"
        ring = np.fromfile(self._heard, dtype=np.float32, offset=HEARD_HEAD_BYTES)
        return ring.reshape(HEARD_RING, CHANNELS)[np.arange(start, stop) % HEARD_RING]

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        self.process.send_signal(how)
        self.process.wait(10)
        for pipe in (self.process.stdin, self.process.stdout):
            if pipe is not None:
                pipe.close()


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    running = Server(f"dustcap-test-{os.getpid()}")
    yield running
    running.end()


@pytest.fixture(scope="session")
def bench(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Iterator[SoftwareCard]:
    card = SoftwareCard(server, CARD_NAME, tmp_path_factory.mktemp("bench") / "heard")
    yield card
    card.end()


@pytest.fixture
def use_server(server: Server, monkeypatch: pytest.MonkeyPatch) -> Server:
    monkeypatch.setenv("JACK_DEFAULT_SERVER", server.name)
    return server


@pytest.fixture
def make_card(use_server: Server) -> Iterator[Callable[[Device], SoundCard]]:
    """Sound cards that are closed whatever the test does."""
    made: list[SoundCard] = []

    def make(device: Device) -> SoundCard:
        made.append(SoundCard(device))
        return made[-1]

    yield make
    for card in made:
        card.close()


@pytest.fixture
def card(bench: SoftwareCard, make_card: Callable[[Device], SoundCard]) -> SoundCard:
    return make_card(Device(name=bench.name))
