"""Defects of known level through a whole reading: heard or not, and at which tone."""

import numpy as np
import pytest

from dsp import Floats
from dsp.audibility.audible_defects import AudibleDefects, audible_tones
from dsp.audibility.audible_excess import Known
from dsp.audibility.hearing_threshold import hearing_threshold_db
from dsp.defects.read_defects import read_defects
from dsp.excitation.assemble import assemble
from dsp.excitation.tones import tones
from dsp.response.quiet_noise import quiet_noise
from dsp.response.tone_answer import tone_answer

RATE = 48_000.0
PEAK_PA = 20e-6 * 10 ** (80 / 20) * np.sqrt(2)  # 80 dB SPL
PLAYED = assemble(
    [tones(sample_rate_hz=RATE, hz=[60.0, 100.0], dwell_s=0.5, peak_v=1.0)], sample_rate_hz=RATE
)


def heard(added_db: float, *, at_hz: float, while_hz: float, noise_pa: float = 1e-7) -> Floats:
    """A pure pressure, and a second sound while one of the tones is held."""
    rng = np.random.default_rng(8)
    (segment,) = PLAYED.segments
    pressure = PEAK_PA * PLAYED.samples + noise_pa * rng.standard_normal(PLAYED.samples.size)
    tone = list(getattr(segment, "frequency_hz")).index(while_hz)  # noqa: B009  tones alone
    start, stop = getattr(segment, "hold_start")[tone], getattr(segment, "hold_stop")[tone]  # noqa: B009
    time = np.arange(stop - start) / RATE
    pressure[start:stop] += (
        np.sqrt(2) * 20e-6 * 10 ** (added_db / 20) * np.sin(2 * np.pi * at_hz * time)
    )
    return np.asarray(pressure)


def audible(pressure: Floats) -> AudibleDefects:
    return audible_tones(
        read_defects(pressure, excitation=PLAYED),
        pressure=tone_answer(pressure, excitation=PLAYED, segment_index=0, orders=20),
        noise=quiet_noise(pressure, excitation=PLAYED),
        known=Known(level_db=0.0, ratio_db=0.0),
    )


def test_a_high_order_is_heard_by_its_level_over_the_threshold() -> None:
    # 50 times 60 Hz, 30 dB SPL: ISO 226 puts the threshold at 3 kHz near -5.6 dB, and 80 dB at
    # 60 Hz, 14 Bark below, cover none of it.
    got = audible(heard(30.0, at_hz=3000.0, while_hz=60.0))
    assert got.frequency_hz.tolist() == [60, 100]
    threshold_db = hearing_threshold_db(np.array([3000.0]))[0]
    assert got.excess_db[0] == pytest.approx(30 - threshold_db, abs=1.0)
    assert got.heard_hz[0] == pytest.approx(3000, rel=0.1)
    assert not got.is_bound[0]
    assert got.excess_db[1] < 0


def test_one_below_the_threshold_is_not() -> None:
    got = audible(heard(-12.0, at_hz=3000.0, while_hz=60.0))
    assert got.excess_db.max() < 0


def test_steady_noise_of_the_hall_covers_what_it_covers() -> None:
    # 45 dB SPL of white noise over 24 kHz: about 28 dB in the critical band at 3 kHz.
    quiet = audible(heard(30.0, at_hz=3000.0, while_hz=60.0))
    loud = audible(heard(30.0, at_hz=3000.0, while_hz=60.0, noise_pa=20e-6 * 10 ** (45 / 20)))
    assert loud.excess_db[0] == pytest.approx(2, abs=3)
    assert quiet.excess_db[0] > loud.excess_db[0] + 25
