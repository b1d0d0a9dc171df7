import numpy as np
import pytest

from dsp import DspError
from dsp.response.align import find_start
from tests.dsp.response.played import (
    RATE,
    CurrentThrough,
    Resonant,
    Response,
    one_sweep,
    recorded,
    wire,
    with_noise,
)

SWEEP = one_sweep(duration_s=0.5)


@pytest.mark.parametrize(
    ("before", "offset_ppm"),
    [
        (0.0, 0.0),
        (1234.0, 0.0),
        (14_400.37, 5.0),
        (47_999.9, 0.0),
        (47_999.9, 300.0),
        (-2400.0, 0.0),
        (-2400.0, -1000.0),
    ],
)
def test_through_a_wire_the_start_is_found_to_a_small_part_of_a_sample(
    before: float, offset_ppm: float
) -> None:
    channel = recorded(SWEEP, wire, before_s=before / RATE, offset_ppm=offset_ppm)
    got = find_start(channel, excitation=SWEEP)
    assert got.sharp
    assert got.sample == pytest.approx(before * (1 + 1e-6 * offset_ppm), abs=1e-3)


@pytest.mark.parametrize("seed", range(3))
def test_noise_at_20_db_moves_it_by_less_than_a_fiftieth_of_a_sample(seed: int) -> None:
    channel = with_noise(recorded(SWEEP, wire), SWEEP, snr_db=20, seed=seed)
    got = find_start(channel, excitation=SWEEP)
    # Recorded ends count as silence, so that the noise is nearer 17 dB within the sweep.
    assert got.sample == pytest.approx(0.3 * RATE, abs=0.02)


@pytest.mark.parametrize(("delay_s", "q"), [(0.003, 0.7), (0.010, 4.0)])
def test_through_a_unit_the_delay_is_found_to_a_sample(delay_s: float, q: float) -> None:
    unit = Resonant(q=q, delay_s=delay_s)
    channel = with_noise(recorded(SWEEP, unit, offset_ppm=50.0), SWEEP, snr_db=20, seed=1)
    got = find_start(channel, excitation=SWEEP)
    # The unit's own roll-off at 9 kHz adds up to 0.85 samples.
    assert got.sample == pytest.approx((0.3 + delay_s) * RATE * 1.00005 + 0.4, abs=1.0)


def test_a_reversed_wire_starts_no_later() -> None:
    channel = -recorded(SWEEP, wire)
    assert find_start(channel, excitation=SWEEP).sample == pytest.approx(0.3 * RATE, abs=1e-3)


def test_current_gives_whole_samples_because_its_phase_is_its_own() -> None:
    got = find_start(recorded(SWEEP, CurrentThrough()), excitation=SWEEP)
    assert not got.sharp
    assert got.sample == pytest.approx(0.3 * RATE, abs=1.0)
    assert got.sample == round(got.sample)


def test_a_silent_recording_is_refused() -> None:
    with pytest.raises(DspError, match="the recording is silent"):
        find_start(np.zeros(80_000), excitation=SWEEP)


def other_signals() -> dict[str, np.ndarray]:
    rng = np.random.default_rng(5)
    t = np.arange(80_000) / RATE
    music = sum(
        rng.uniform(0.1, 1) * np.sin(2 * np.pi * f * t) * (np.sin(np.pi * r * t) ** 8)
        for f, r in zip(rng.uniform(100, 5000, 12), rng.uniform(0.5, 3, 12), strict=True)
    )
    clicks = np.zeros(80_000)
    clicks[rng.integers(0, 80_000, 20)] = rng.standard_normal(20)
    return {
        "noise": rng.standard_normal(80_000),
        "tone": np.sin(2 * np.pi * 1000 * t),
        "hum": np.sin(2 * np.pi * 50 * t) + 1e-4 * rng.standard_normal(80_000),
        "music": np.asarray(music) + 1e-3 * rng.standard_normal(80_000),
        "clicks": clicks + 1e-3 * rng.standard_normal(80_000),
        "another sweep": recorded(one_sweep(duration_s=0.7, start_hz=20), wire),
    }


OTHERS = other_signals()


@pytest.mark.parametrize("name", list(OTHERS))
def test_another_signal_is_refused(name: str) -> None:
    with pytest.raises(DspError, match=r"nothing like the excitation|ends before"):
        find_start(OTHERS[name], excitation=SWEEP)


@pytest.mark.parametrize("response", [wire, Resonant()])
def test_a_recording_that_ends_too_early_is_refused(response: Response) -> None:
    channel = recorded(SWEEP, response, before_s=0.1)
    for kept in (0.4, 0.75, 0.9):
        end = round(0.1 * RATE) + round(kept * SWEEP.mark_starts[1])
        with pytest.raises(DspError, match=r"ends before the excitation does: given .* s, allowed"):
            find_start(channel[:end], excitation=SWEEP)
