"""The rig in software as a device of its own: the whole way through PortAudio, with a truth."""

import subprocess
import sys
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from hardware.card import PlayRequest, Samples
from hardware.chain.load import load_chain
from hardware.open_card import open_card
from hardware.soundcard.card import SoundCard
from hardware.soundcard.devices import devices
from hardware.virtual.live import LiveRig
from tests.rig.rig_device import CHAIN
from tests.rig.software import RATE, Server


def tones() -> Samples:
    at_s = np.arange(RATE // 2) / RATE
    hz = np.array([[80.0], [400.0], [2000.0], [9000.0]])
    output = 0.05 * np.sin(2 * np.pi * hz * at_s + hz).sum(axis=0)
    output *= np.clip((at_s - 0.05) / 0.05, 0, 1) * np.clip((0.4 - at_s) / 0.05, 0, 1)
    tones: Samples = output.astype(np.float32)
    return tones


@pytest.mark.usefixtures("device")
def test_a_sound_card_chain_hears_the_rig_through_portaudio(
    chain_file: Path, tmp_path: Path
) -> None:
    rig, output = load_chain(chain_file), tones()
    measuring = tmp_path / "measuring.toml"
    measuring.write_text(CHAIN.replace("DEVICE", 'name = "Tram Rig"'))
    request = PlayRequest(
        output=output,
        output_channel=2,
        input_channels=4,
        sample_rate_hz=float(RATE),
        ceiling=0.5,
    )
    (listed,) = [one for one in devices() if one.name == "Tram Rig"]
    assert (listed.max_output_channels, listed.max_input_channels) == (2, 4)
    with closing(open_card(load_chain(measuring))) as card:
        assert isinstance(card, SoundCard)
        heard = card.play(request, on_progress=lambda _: None, should_stop=lambda: False).samples
    truth = LiveRig(rig, sample_rate_hz=float(RATE), channels=4).process(output)
    # Later by a whole number of samples, which the wired-back output tells.
    delay = int(np.argmax(np.correlate(heard[:, 3], truth[:, 3], mode="full"))) - (RATE // 2 - 1)
    assert delay > 0
    early, late = truth[: RATE // 2 - delay], heard[delay:]
    # Noise is the only difference: 20 dB SPL at the microphone is 1e-5 of full scale.
    off = np.abs(late - early).max(axis=0)
    assert off[0] < 1e-4
    assert np.all(off[[2, 3]] < 1e-6)
    assert np.all(np.abs(early[:, [0, 2, 3]]).max(axis=0) > 100 * off[[0, 2, 3]])


def test_what_cannot_run_is_one_line_and_exit_2(server: Server, tmp_path: Path) -> None:
    asked = [sys.executable, "-m", "hardware.virtual.jack_client", "--server", server.name]
    done = subprocess.run(
        [*asked, "--name", "Tram Rig", "--chain", str(tmp_path / "none.toml")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "none.toml" in done.stderr
