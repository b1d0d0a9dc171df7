"""The rig block by block gives the figures of the rig at once."""

import numpy as np
import pytest

from hardware.chain.snapshot import ChainSnapshot, ResponseTable
from hardware.virtual.live import LiveRig
from tests.hardware.virtual.taking import capture, multitone, snapshot

RATE = 48_000.0
TABLE = ResponseTable(hz=(20.0, 1000.0, 25_000.0), db=(-1.0, 0.0, 3.0))


@pytest.mark.parametrize("block", [64, 1024])
@pytest.mark.parametrize(
    ("chain", "limit"),
    [
        (snapshot(latency_samples=480.4, reflection=0.4, faults={"lead_slap": 0.5}), 1e-5),
        (snapshot(TABLE, latency_samples=480.0), 1e-3),
    ],
    ids=["plain", "table"],
)
def test_blocks_hear_what_a_whole_take_hears(
    chain: ChainSnapshot, limit: float, block: int
) -> None:
    volts = multitone(v_rms=1.0).volts[:24_576] / 10.0
    ends = np.minimum(np.arange(volts.size), np.arange(volts.size)[::-1])
    output = (volts * np.clip((ends - 300) / 2400, 0, 1)).astype(np.float32)
    whole = capture(output.astype(np.float64), chain=chain).samples
    rig = LiveRig(chain, sample_rate_hz=RATE, channels=5)
    parts = [rig.process(output[n : n + block]) for n in range(0, output.size, block)]
    # Its own chance draws the lead's strikes as the first take of a card does.
    loudest = np.max(np.abs(whole), axis=0) + 1e-12
    off = np.max(np.abs(np.concatenate(parts) - whole), axis=0)
    wired = [0, 1, 3, 4]
    assert np.all(off[wired] / loudest[wired] < limit)


def test_the_least_latency_is_stated() -> None:
    rig = LiveRig(snapshot(latency_samples=0.0), sample_rate_hz=RATE, channels=5)
    click = np.zeros(4096, dtype=np.float32)
    click[100] = 0.5
    heard = rig.process(click)[:, 4]
    assert int(np.argmax(np.abs(heard))) - 100 == rig.latency_samples


def test_noise_of_the_microphone_is_there_from_the_first_block() -> None:
    rig = LiveRig(snapshot(noise_db_spl=60.0), sample_rate_hz=RATE, channels=5)
    heard = np.concatenate([rig.process(np.zeros(512, dtype=np.float32)) for _ in range(20)])
    level_db = 20 * np.log10(np.std(heard[:, 1]) / 0.05 / 20e-6)
    assert level_db == pytest.approx(60, abs=0.5)
