"""The rig's calibrator: heard in silence alone, as loud as it is said to be, with its faults."""

from typing import Any

import numpy as np
import pytest

from dsp import Floats
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.bench import bench_of
from hardware.virtual.calibrator import CalibratorSound
from hardware.virtual.live import LiveRig
from tests.hardware.virtual.taking import V_PER_PA, capture, snapshot

RATE = 48_000
SILENCE = np.zeros(2 * RATE)


def heard(chain: ChainSnapshot, played: Floats = SILENCE) -> Floats:
    """Volts at the microphone's input; its full scale is 1 V and its gain 1."""
    return capture(played, chain=chain).samples[:, 1].astype(np.float64)


def settled_rms(volts: Floats) -> float:
    return float(np.sqrt(np.mean(volts[-RATE // 2 :] ** 2)))  # 500 whole periods


def on(**calibrator: Any) -> ChainSnapshot:
    return snapshot(calibrator={"rise_s": 0.05} | calibrator)


def test_94_db_is_1_002_374_pascal_and_114_db_ten_times_that() -> None:
    # ISO 1683: 20 µPa; p = 20 µPa 10^(L / 20)
    assert settled_rms(heard(on())) == pytest.approx(1.002374 * V_PER_PA, rel=1e-5)
    loud = heard(on(level_db=114.0))
    assert settled_rms(loud) == pytest.approx(10.02374 * V_PER_PA, rel=1e-5)


def test_the_microphone_s_true_sensitivity_counts_and_not_the_chain_s() -> None:
    chain = snapshot(calibrator={"rise_s": 0.05}, microphone_v_per_pa=0.04)
    assert settled_rms(heard(chain)) == pytest.approx(1.002374 * 0.04, rel=1e-5)


def test_nobody_plays_with_a_calibrator_on_the_microphone() -> None:
    rng = np.random.default_rng(7)
    played = 0.1 * rng.standard_normal(RATE // 4)
    np.testing.assert_array_equal(heard(on(), played), heard(snapshot(), played))


def test_without_one_silence_is_silent() -> None:
    assert np.abs(heard(snapshot())).max() < 1e-12


def test_a_pistonphone_is_quieter_on_a_mountain_and_a_sound_calibrator_is_not() -> None:
    # 20 lg (80 / 101.325) = -2.0525 dB
    ratios = []
    for kind in ("pistonphone", "sound calibrator"):
        chain = on(kind=kind)
        low = chain.model_copy(
            update={
                "chain": chain.chain.model_copy(
                    update={"ambient": chain.chain.ambient.model_copy(update={"pressure_kpa": 80})}
                )
            }
        )
        ratios.append(20 * np.log10(settled_rms(heard(low)) / settled_rms(heard(chain))))
    assert ratios == pytest.approx([-2.0525, 0.0], abs=1e-4)


def test_it_comes_to_rest_with_its_time_constant() -> None:
    got = heard(snapshot(calibrator={"rise_s": 0.5}))
    # One period around 0.5 s, where 1 - 1/e is reached
    around = got[RATE // 2 - 24 : RATE // 2 + 24]
    part = np.sqrt(np.mean(around**2)) / (1.002374 * V_PER_PA)
    assert part == pytest.approx(1 - np.exp(-1), rel=1e-3)


@pytest.mark.parametrize(
    ("fault", "change_db"),
    [({"leak_db": 3.0}, -3.0), ({"drift_db_per_s": -0.4}, -0.4 * 1.75)],
)
def test_leak_and_drift_take_what_they_say(fault: dict[str, Any], change_db: float) -> None:
    got = 20 * np.log10(settled_rms(heard(on(**fault))) / settled_rms(heard(on())))
    assert got == pytest.approx(change_db, abs=0.003)


def test_couplings_scatter_as_much_as_is_said() -> None:
    chain = on(scatter_db=0.1)
    bench = bench_of(chain)
    assert bench.rig.calibrator
    rng = np.random.default_rng(3)
    levels = [
        20
        * np.log10(
            settled_rms(
                CalibratorSound(
                    bench.rig.calibrator,
                    chain=chain.chain,
                    bench=bench,
                    sample_rate_hz=float(RATE),
                    rng=rng,
                ).hear(RATE)
            )
        )
        for _ in range(200)
    ]
    assert np.std(levels, ddof=1) == pytest.approx(0.1, rel=4 / np.sqrt(400))


def test_hum_is_as_loud_as_it_is_said_to_be() -> None:
    quiet, humming = heard(on()), heard(on(hum_db_spl=60.0))
    hum = settled_rms(humming) ** 2 - settled_rms(quiet) ** 2
    assert np.sqrt(hum) == pytest.approx(20e-6 * 10**3 * V_PER_PA, rel=0.01)


def test_a_device_that_others_open_hears_it_go_on_from_block_to_block() -> None:
    rig = LiveRig(on(), sample_rate_hz=float(RATE), channels=5)
    silent = np.zeros(RATE // 4, dtype=np.float32)
    whole = np.concatenate([rig.process(silent)[:, 1] for _ in range(4)])
    assert settled_rms(whole) == pytest.approx(1.002374 * V_PER_PA, rel=1e-4)
    spectrum = np.abs(np.fft.rfft(whole[RATE // 2 :]))
    assert spectrum[500] > 1e4 * np.delete(spectrum, 500).max()  # one line: no seams
