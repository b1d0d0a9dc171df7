"""However the window's process ends, the audio process ends with it and the card falls silent."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.rig.software import PERIOD, RATE, SoftwareCard, wait_until

PLAYER = """
import sys
import numpy as np
from hardware.card import PlayRequest
from hardware.chain.schema import Device
from hardware.soundcard.card import SoundCard

card = SoundCard(Device(name=sys.argv[1]))
told = False

def tell(progress):
    global told
    if progress.frames_played > 12_000 and not told:
        told = True
        print(card.process_id, flush=True)

card.play(
    PlayRequest(
        output=np.full(48_000 * 20, 0.5, dtype=np.float32),
        output_channel=1,
        input_channels=2,
        sample_rate_hz=48_000.0,
        ceiling=0.5,
    ),
    on_progress=tell,
    should_stop=lambda: False,
)
"""


@pytest.fixture
def player(bench: SoftwareCard) -> Iterator[subprocess.Popen[bytes]]:
    """A program that plays for 20 s and tells its audio process's number."""
    process = subprocess.Popen(
        [sys.executable, "-c", PLAYER, bench.name],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert process.stdout is not None
    yield process
    process.kill()
    process.wait()
    process.stdout.close()


def running(pid: int) -> bool:
    """Whether a process is there and more than a zombie that nobody has waited for yet."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes in /proc")
@pytest.mark.parametrize(
    ("how", "halted"),
    [
        (signal.SIGKILL, False),
        (signal.SIGKILL, True),
        (signal.SIGTERM, False),
        (signal.SIGINT, False),
    ],
)
def test_no_audio_process_outlives_the_program(
    player: subprocess.Popen[bytes], bench: SoftwareCard, *, how: signal.Signals, halted: bool
) -> None:
    assert player.stdout is not None
    child = int(player.stdout.readline())
    start = bench.frames
    if halted:
        os.kill(child, signal.SIGSTOP)
    player.send_signal(how)
    wait_until(lambda: not running(child), "the audio process ends")
    player.wait(10)
    after = bench.frames
    wait_until(lambda: bench.frames > after + 4 * PERIOD, "four periods")
    assert not np.any(bench.heard_since(after + 2 * PERIOD))
    if not halted:
        heard = bench.heard_since(start)[:, 0]
        assert np.abs(np.diff(heard, append=0)).max() < 0.5 * np.pi / 2 / 240 * 1.001
    assert bench.frames - start < 20 * RATE
