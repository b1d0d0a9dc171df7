"""The chain file chooses the backend, and a sound card pays for nothing of the rig."""

import subprocess
import sys
from contextlib import closing

import pytest

from hardware.chain.snapshot import ChainSnapshot
from hardware.open_card import open_card
from hardware.soundcard.card import SoundCard
from hardware.virtual.card import VirtualCard
from tests.hardware.virtual.taking import snapshot


def with_backend(backend: str) -> ChainSnapshot:
    whole = snapshot().model_dump()
    whole["chain"]["device"]["backend"] = backend
    if backend != "virtual":
        del whole["chain"]["virtual"]
    return ChainSnapshot.model_validate(whole)


@pytest.mark.parametrize(("backend", "kind"), [("soundcard", SoundCard), ("virtual", VirtualCard)])
def test_the_backend_is_the_chains(backend: str, kind: type) -> None:
    with closing(open_card(with_backend(backend))) as card:
        assert isinstance(card, kind)


def test_neither_portaudio_nor_compiled_loops_are_loaded_for_a_sound_card() -> None:
    code = (
        "import sys, hardware.open_card;"
        "sys.exit(bool({'numba', 'sounddevice', 'scipy.signal'} & sys.modules.keys()))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
