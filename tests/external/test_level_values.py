"""Levels, sensitivities, noise and delays in figures that a handbook prints.

Sources: ISO 1683 (20 µPa), ISO 80000-8 (level), IEC 60942 and common practice for the nominal
levels of calibrators; rules for adding and correcting levels by energy (any acoustics handbook).
Closed forms, evaluated apart from our code.
"""

import math
from datetime import UTC, datetime

import numpy as np
import pytest

from app.measure.channels import channels
from app.measure.excite import ceiling
from app.measure.predicted import predicted
from app.procedure.schema import Geometry
from dsp import Floats, ValidRange
from dsp.acoustic.delay import excess_delay, level_phase
from dsp.acoustic.level import level
from dsp.acoustic.noise_level import noise_level
from dsp.excitation.assemble import assemble
from dsp.excitation.tones import tones
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from tests.dsp.analytic_unit import log_frequencies, phasors

RATE = 48_000
EVERYWHERE = ValidRange(low_hz=1.0, high_hz=24_000.0)


def spl(pressure_pa: float) -> float:
    hz = np.array([1000.0])
    curve = level(
        phasors(hz, np.array([pressure_pa + 0j])),
        voltage=phasors(hz, np.array([2.83 + 0j])),
        reference_v=2.83,
        distance_m=1.0,
        reference_distance_m=1.0,
        valid=EVERYWHERE,
    )
    return float(curve.value[0])


def sine(rms: float, *, hz: float, seconds: float = 1.0) -> Floats:
    t = np.arange(round(seconds * RATE)) / RATE
    return np.asarray(math.sqrt(2) * rms * np.sin(2 * np.pi * hz * t))


def chain(**pressure: float) -> Chain:
    return Chain.model_validate(
        {
            "name": "bench",
            "output": {
                "drive": {
                    "channel": 1,
                    "full_scale_v": 2.0,
                    "amplifier_gain": 10.0,
                    "max_terminal_v_rms": 2.83,
                    "nominal_ohm": 8.0,
                }
            },
            "input": {"pressure": {"channel": 1, "full_scale_v": 1.0, **pressure}},
        }
    )


@pytest.mark.parametrize(
    ("level_db", "pascal"),
    [
        (74, 0.100237),
        (84, 0.316979),
        (94, 1.002374),
        (104, 3.169786),
        (114, 10.023745),
        (120, 20.0),
        (124, 31.697864),
        (134, 100.237447),
    ],
)
def test_levels_are_those_of_20_micropascal(level_db: float, pascal: float) -> None:
    rounding = 8.686 * 5e-7 / pascal  # half a unit of the last digit of the pressure, in dB
    assert spl(pascal) == pytest.approx(level_db, abs=1.01 * rounding)


def test_one_pascal_is_93_98_db_and_not_94() -> None:
    assert spl(1.0) == pytest.approx(93.979400, abs=5e-7)
    assert abs(spl(1.0) - 94.0) > 0.02


@pytest.mark.parametrize("level_db", [94.0, 114.0])
def test_a_calibrator_s_tone_reads_its_level_in_the_band_of_1_khz(level_db: float) -> None:
    found = noise_level(sine(20e-6 * 10 ** (level_db / 20), hz=1000.0), sample_rate_hz=RATE)
    at = int(np.argmin(np.abs(found.bands.frequency_hz - 1000)))
    assert found.bands.value[at] == pytest.approx(level_db, abs=0.01)
    assert found.overall.value == pytest.approx(level_db, abs=0.01)


def test_50_millivolts_a_pascal_put_out_50_12_mv_at_94_db() -> None:
    # What the jack carries comes back as 1.002374 Pa; with 20 dB of preamplifier, as much more.
    volts = sine(50.1187e-3, hz=1000.0, seconds=0.1)
    for gain in (1.0, 10.0):
        capture = Capture(
            samples=(volts * gain).astype(np.float32)[:, None],
            sample_rate_hz=RATE,
            started_utc=datetime(2026, 1, 1, tzinfo=UTC),
            card="made",
        )
        wired = channels(capture, chain=chain(sensitivity_v_per_pa=0.05, preamplifier_gain=gain))
        assert wired.pressure_pa is not None
        rms = math.sqrt(float(np.mean(wired.pressure_pa**2)))
        assert spl(rms) == pytest.approx(94.0, abs=1e-4)


def test_90_and_80_db_of_different_sounds_are_90_41_db_together() -> None:
    heard = sine(20e-6 * 10**4.5, hz=500.0) + sine(20e-6 * 10**4.0, hz=4000.0)
    got = noise_level(heard, sample_rate_hz=RATE).overall.value
    assert got == pytest.approx(90.413927, abs=0.01)
    assert abs(got - 92.387) > 1  # added as pressures


def test_two_equal_sounds_are_3_db_more_when_they_differ() -> None:
    one = noise_level(sine(0.1, hz=500.0), sample_rate_hz=RATE).overall.value
    two = noise_level(sine(0.1, hz=500.0) + sine(0.1, hz=4000.0), sample_rate_hz=RATE).overall.value
    assert two - one == pytest.approx(3.0103, abs=0.01)
    assert abs(two - one - 6.0206) > 3


def test_pink_noise_holds_a_31st_of_its_power_in_each_third_octave() -> None:
    # -14.9136 dB; a band of width B in T seconds scatters by 4.34 dB / sqrt(B T).
    seconds, rng = 20, np.random.default_rng(31)
    spectrum = np.fft.rfft(rng.standard_normal(seconds * RATE))
    f = np.fft.rfftfreq(seconds * RATE, 1 / RATE)
    low, high = 1000 * 10 ** (-1.75), 1000 * 10**1.35
    inside = (f >= low) & (f <= high)
    shaped = np.where(inside, spectrum / np.sqrt(np.maximum(f, 1.0)), 0)
    pink = np.fft.irfft(shaped, seconds * RATE)
    found = noise_level(pink, sample_rate_hz=RATE)
    assert found.bands.value.size == 31
    counted = found.bands.frequency_hz * (10**0.05 - 10**-0.05) * seconds
    whole = np.sum(1 / counted) / 31**2  # the sum of all bands scatters, too
    allowed = 4 * 4.343 * np.sqrt(1 / counted + whole)
    away = found.bands.value - found.overall.value + 14.9136
    assert np.all(np.abs(away) < allowed)


def test_a_band_of_white_noise_is_as_uncertain_as_its_width_and_time_say() -> None:
    rng = np.random.default_rng(4)
    found = [noise_level(rng.standard_normal(RATE // 2), sample_rate_hz=RATE) for _ in range(60)]
    at = int(np.argmin(np.abs(found[0].bands.frequency_hz - 1000)))
    told = found[0].bands.uncertainty
    assert told is not None
    # 4.34 dB / sqrt(230.8 Hz 0.5 s) = 0.404 dB; told k = 2.
    assert told[at] == pytest.approx(2 * 4.343 / math.sqrt(230.77 * 0.5), rel=1e-3)
    seen = np.std([one.bands.value[at] for one in found])
    assert seen == pytest.approx(0.404, rel=4 / math.sqrt(2 * 60))


# Time


def test_one_sample_at_48_khz_is_7_5_degrees_at_1_khz() -> None:
    hz = np.array([500.0, 1000.0, 2000.0])
    late = phasors(hz, np.exp(-2j * np.pi * hz / RATE))
    curve = level_phase(
        late, voltage=phasors(hz, np.ones(3, complex)), delay_s=0.0, valid=EVERYWHERE
    )
    np.testing.assert_allclose(curve.value, [-3.75, -7.5, -15.0], rtol=1e-9)
    gone = level_phase(
        late, voltage=phasors(hz, np.ones(3, complex)), delay_s=20.8333333e-6, valid=EVERYWHERE
    )
    np.testing.assert_allclose(gone.value, 0, atol=1e-6)


def test_one_metre_of_air_is_2_907_ms_within_what_a_blind_estimate_can_tell() -> None:
    # 1 m at 343.9867 m/s, 139.5403 samples; the magnitude above the band is not known, and what
    # is assumed of it (-6 dB an octave) is wrong for a flat source: the interval must hold it.
    hz = log_frequencies(20.0, 20_000.0, 24)
    found = excess_delay(np.exp(-2j * np.pi * hz * 2.907089e-3), frequency_hz=hz).delay
    assert found.uncertainty is not None
    assert abs(found.value - 2.907089e-3) < found.uncertainty
    assert found.uncertainty < 1 / RATE


# What is said before anything is played


@pytest.mark.parametrize(
    ("distance_m", "more_db"), [(0.1, 20.0), (0.316, 10.0063), (0.5, 6.0206), (2.0, -6.0206)]
)
def test_the_level_that_is_warned_of_grows_towards_the_unit(
    distance_m: float, more_db: float
) -> None:
    part = tones(sample_rate_hz=RATE, hz=[1000.0], dwell_s=0.2, peak_v=2.83 * math.sqrt(2))
    played = assemble([part], sample_rate_hz=RATE)
    told = predicted(
        played,
        ChainSnapshot(chain=chain(sensitivity_v_per_pa=0.05)),
        geometry=Geometry(distance_m=distance_m),
        sensitivity_db=90.0,
    )
    assert told.spl_db is not None
    # The ramps take a few hundredths of a decibel of the rms.
    assert told.spl_db == pytest.approx(90.0 + more_db, abs=0.2)
    assert told.peak_dbfs == pytest.approx(20 * math.log10(2.83 * math.sqrt(2) / 20), abs=1e-3)


def test_2_83_v_rms_of_a_sine_may_reach_4_volts_and_not_2_83() -> None:
    # Crest factor of a sine 3.0103 dB; full scale there is 20 V.
    allowed = ceiling(ChainSnapshot(chain=chain(sensitivity_v_per_pa=0.05)))
    assert 20 * allowed == pytest.approx(4.002224, abs=5e-7)
