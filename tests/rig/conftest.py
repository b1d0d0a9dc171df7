"""A dummy audio server and a card on it, so that tests go through PortAudio itself."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from hardware.chain.schema import Device
from hardware.soundcard.card import SoundCard
from tests.rig.rig_device import CHAIN, RIG
from tests.rig.software import CARD_NAME, HERE, PYTHON, Server, SoftwareCard


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


@pytest.fixture(autouse=True)
def use_server(server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("JACK_DEFAULT_SERVER", server.name)


@pytest.fixture
def mortal(monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    """A server that a test may hurt; it waits less long than usual for a client that was killed.

    Its name is fixed, so that a start takes over what a kill left.
    """
    running = Server("dustcap-test-mortal", client_limit_ms=200)
    monkeypatch.setenv("JACK_DEFAULT_SERVER", running.name)
    yield running
    running.end()


@pytest.fixture
def plug(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., SoftwareCard]]:
    """Put a software card on a server; it is gone after the test at the latest."""
    plugged: list[SoftwareCard] = []

    def plug(server: Server, name: str, **how: Any) -> SoftwareCard:
        heard = tmp_path_factory.mktemp("card") / "heard"
        plugged.append(SoftwareCard(server, name, heard, **how))
        return plugged[-1]

    yield plug
    for card in plugged:
        card.end()


@pytest.fixture
def make_card() -> Iterator[Callable[[Device], SoundCard]]:
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


@pytest.fixture
def chain_file(tmp_path: Path) -> Path:
    path = tmp_path / "chain.toml"
    path.write_text(CHAIN.replace("DEVICE", 'backend = "virtual"') + RIG)
    return path


@pytest.fixture
def device(server: Server, chain_file: Path) -> Iterator[subprocess.Popen[bytes]]:
    module = ["-m", "hardware.virtual.jack_client", "--server", server.name]
    process = subprocess.Popen(
        [
            *(PYTHON, str(HERE / "tied.py"), sys.executable),
            *(*module, "--name", "Tram Rig", "--chain", str(chain_file)),
        ],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert process.stdout is not None
    with process, process.stdout:
        came = process.stdout.readline()
        yield process
        process.terminate()
        assert process.wait(10) == 0
    assert came == b"up\n"
