"""A residual as a sound: one scale for all of it, slowed without loss, never beyond its cap."""

from collections.abc import Sequence

import numpy as np
import pytest

from dsp import DspError, Floats
from dsp.defects.read_defects import read_defects
from dsp.defects.reading import DefectReading
from dsp.defects.residual_map import residual_map
from dsp.defects.slowed import slowed
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.excitation.tones import tones

RATE = 48_000.0


def played(hz: Sequence[float]) -> Excitation:
    return assemble(
        [tones(sample_rate_hz=RATE, hz=hz, dwell_s=0.4, peak_v=1.0)], sample_rate_hz=RATE
    )


def reading(*added_pa: float, at_hz: float = 3000.0) -> DefectReading:
    """Pure tones, and while each is held a second sound of so many Pa peak."""
    hz = [60.0, 100.0, 160.0][: len(added_pa)]
    excitation = played(hz)
    rng = np.random.default_rng(2)
    pressure = excitation.samples + 1e-7 * rng.standard_normal(excitation.samples.size)
    (segment,) = excitation.segments
    assert isinstance(segment, ToneSegment)
    for start, stop, pa in zip(segment.hold_start, segment.hold_stop, added_pa, strict=True):
        pressure[start:stop] += pa * np.sin(2 * np.pi * at_hz * np.arange(stop - start) / RATE)
    return read_defects(np.asarray(pressure), excitation=excitation)


def strongest_hz(samples: Floats) -> float:
    return float(np.argmax(np.abs(np.fft.rfft(samples))) * RATE / samples.size)


def test_the_loudest_sample_is_the_cap_and_tells_its_pascals() -> None:
    got = slowed(reading(0.01, 0.02), slower=1, peak=0.1)
    assert np.max(np.abs(got.samples)) == pytest.approx(0.1, rel=1e-12)
    assert np.max(np.abs(got.samples)) * got.pascal == pytest.approx(0.02, rel=0.02)


def test_parts_keep_their_ratio() -> None:
    got = slowed(reading(0.01, 0.02), slower=1, peak=1.0)
    half = got.samples.size // 2
    first, second = (np.max(np.abs(part)) for part in np.split(got.samples[: 2 * half], 2))
    assert first / second == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("slower", [2, 8])
def test_slowed_it_is_as_much_lower_and_no_louder(slower: int) -> None:
    once, slow = (slowed(reading(0.01), slower=n, peak=1.0) for n in (1, slower))
    assert strongest_hz(once.samples) == pytest.approx(3000, rel=0.01)
    assert strongest_hz(slow.samples) == pytest.approx(3000 / slower, rel=0.01)
    assert slow.pascal == pytest.approx(once.pascal, rel=0.05)
    assert slow.duration_s - 0.3 == pytest.approx(slower * (once.duration_s - 0.3), rel=0.01)


@pytest.mark.parametrize(
    ("slower", "peak", "what"),
    [(0, 0.1, "slower"), (17, 0.1, "slower"), (1, 0.0, "peak"), (1, 1.1, "peak")],
)
def test_other_ways_are_refused(slower: int, peak: float, what: str) -> None:
    with pytest.raises(DspError, match=f"slowed: {what}"):
        slowed(reading(0.01), slower=slower, peak=peak)


def test_a_map_shows_a_sound_at_its_tone_its_frequency_and_its_level() -> None:
    got = residual_map(reading(1e-4, 0.02, 1e-4))
    assert got is not None
    assert not got.is_swept
    assert got.drive_hz.tolist() == [60, 100, 160]
    band, tone = np.unravel_index(np.argmax(got.level_db), got.level_db.shape)
    assert got.heard_hz[band] == pytest.approx(3000, rel=0.06)
    assert tone == 1
    # 0.02 Pa peak: 20 log10(0.02 / sqrt(2) / 20e-6) = 57.0 dB.
    assert got.level_db[band, tone] == pytest.approx(56.99, abs=0.2)
