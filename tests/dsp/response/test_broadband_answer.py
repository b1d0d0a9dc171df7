from dataclasses import replace

import numpy as np
import pytest
from scipy.fft import next_fast_len

from dsp import DspError, Floats
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.file_signal import file_signal
from dsp.excitation.multitone import multitone
from dsp.excitation.noise import Colour, noise
from dsp.excitation.segment import BroadbandSegment
from dsp.response.broadband_answer import broadband_answer, broadband_transfer, drive_rms_v
from dsp.response.harmonics import Harmonics
from tests.dsp.response.played import (
    RATE,
    CurrentThrough,
    Resonant,
    Response,
    answer,
    one_sweep,
    wire,
)

POINTS = np.geomspace(20, 20_000, 121)
LEVEL_V = 2.83


def hiss(colour: Colour = "pink", *, duration_s: float = 2.0) -> Excitation:
    part = noise(
        sample_rate_hz=RATE,
        colour=colour,
        start_hz=20,
        stop_hz=20_000,
        duration_s=duration_s,
        rms_v=LEVEL_V,
        crest_db=12,
        rng=np.random.default_rng(3),
    )
    return assemble([part], sample_rate_hz=RATE)


def chord(duration_s: float = 2.0) -> Excitation:
    part = multitone(
        sample_rate_hz=RATE,
        start_hz=20,
        stop_hz=20_000,
        per_octave=6,
        duration_s=duration_s,
        rms_v=LEVEL_V,
        rng=np.random.default_rng(3),
    )
    return assemble([part], sample_rate_hz=RATE)


def speech() -> Excitation:
    rng = np.random.default_rng(9)
    t = np.arange(96_000) / RATE
    wave = rng.standard_normal(t.size) * (1 + np.sin(2 * np.pi * 4 * t))
    part = file_signal(wave, sample_rate_hz=RATE, start_hz=20, stop_hz=20_000, rms_v=LEVEL_V)
    return assemble([part], sample_rate_hz=RATE)


HISS, CHORD, SPEECH = hiss(), chord(), speech()


def read(channel: Floats, excitation: Excitation, *, reference: Floats | None = None) -> Harmonics:
    return broadband_answer(
        channel,
        reference=reference,
        excitation=excitation,
        segment_index=0,
        frequency_hz=POINTS,
    )


@pytest.mark.parametrize("excitation", [HISS, CHORD, SPEECH], ids=["noise", "multitone", "file"])
def test_a_channel_that_repeats_the_drive_holds_its_rms_everywhere(excitation: Excitation) -> None:
    got = read(excitation.samples, excitation)
    np.testing.assert_allclose(got.fundamental, LEVEL_V, rtol=1e-9)
    assert drive_rms_v(excitation, segment_index=0) == pytest.approx(LEVEL_V, rel=1e-9)


@pytest.mark.parametrize(
    ("excitation", "allowed_db", "allowed_deg"),
    [(HISS, 0.01, 0.1), (SPEECH, 0.01, 0.1), (CHORD, 0.001, 0.01)],
    ids=["noise", "file", "multitone"],
)
@pytest.mark.parametrize("unit", [Resonant(), CurrentThrough(), Resonant(delay_s=0.0203)])
def test_without_noise_a_linear_unit_is_read_as_its_response(
    *, excitation: Excitation, unit: Response, allowed_db: float, allowed_deg: float
) -> None:
    got = read(answer(excitation, unit), excitation)
    ratio = got.fundamental / LEVEL_V / unit(got.frequency_hz)
    assert np.max(np.abs(20 * np.log10(np.abs(ratio)))) < allowed_db
    assert np.max(np.abs(np.degrees(np.angle(ratio)))) < allowed_deg


def test_a_multitone_is_read_at_its_own_lines() -> None:
    got = read(CHORD.samples, CHORD)
    segment = CHORD.segments[0]
    assert isinstance(segment, BroadbandSegment)
    np.testing.assert_allclose(got.frequency_hz, segment.frequency_hz, rtol=1e-12)


@pytest.mark.parametrize(
    "excitation", [HISS, CHORD, chord(4.0)], ids=["noise", "one period", "several periods"]
)
@pytest.mark.parametrize("colour", ["white", "pink"])
def test_two_sigma_hold_the_truth_in_93_to_97_of_a_hundred(
    excitation: Excitation, colour: str
) -> None:
    unit = Resonant()
    clean = answer(excitation, unit)
    rng = np.random.default_rng(12)
    held = []
    length = next_fast_len(clean.size, real=True)
    f = np.maximum(np.fft.rfftfreq(length, 1 / RATE), 5)
    for _ in range(30):
        added = rng.standard_normal(length)
        if colour == "pink":
            added = np.fft.irfft(np.fft.rfft(added) / np.sqrt(f / 1000), length)
        got = read(clean + 0.05 * added[: clean.size], excitation)
        off = (got.fundamental - LEVEL_V * unit(got.frequency_hz)) / got.noise[0]
        held += [np.abs(off.real) < 2, np.abs(off.imag) < 2]
    assert 0.93 < np.mean(held) < 0.97


@pytest.mark.parametrize("excitation", [HISS, CHORD], ids=["noise", "multitone"])
def test_a_channel_as_reference_divides_out_what_both_share(excitation: Excitation) -> None:
    amplifier, unit = CurrentThrough(), Resonant()
    terminal = answer(excitation, amplifier)
    channel = answer(excitation, lambda f: amplifier(f) * unit(f))
    got = read(channel, excitation, reference=terminal)
    ratio = got.fundamental / LEVEL_V / unit(got.frequency_hz)
    assert np.max(np.abs(20 * np.log10(np.abs(ratio)))) < 0.02


@pytest.mark.parametrize("excitation", [hiss("white", duration_s=4.0), CHORD])
def test_coherence_is_the_share_of_power_that_the_reference_explains(
    excitation: Excitation,
) -> None:
    segment = excitation.segments[0]
    added = np.random.default_rng(2).standard_normal(excitation.samples.size) * 0.5
    channel = excitation.samples + added
    got = broadband_transfer(
        channel, reference=None, excitation=excitation, segment_index=0, frequency_hz=POINTS
    )
    assert np.all((got.coherence >= 0) & (got.coherence <= 1))
    if isinstance(segment, BroadbandSegment) and not segment.period:
        # White in white: signal in 19.98 kHz, noise in 24 kHz of it; also heard in 0.15 s silence
        length = 4.15 / 4
        signal, noise_power = LEVEL_V**2 / 19_980, 0.25 / 24_000 * length
        above = got.coherence[POINTS > 1000]
        assert np.median(above) == pytest.approx(signal / (signal + noise_power), abs=2e-3)
    quiet = broadband_transfer(
        excitation.samples,
        reference=None,
        excitation=excitation,
        segment_index=0,
        frequency_hz=POINTS,
    )
    np.testing.assert_allclose(quiet.coherence, 1.0, rtol=0, atol=1e-9)


def test_outside_the_span_of_the_noise_nothing_is_told() -> None:
    got = broadband_answer(
        HISS.samples,
        reference=None,
        excitation=HISS,
        segment_index=0,
        frequency_hz=np.array([10.0, 19.9, 20.0, 1000.0, 20_000.0, 20_001.0]),
    )
    np.testing.assert_array_equal(
        np.isfinite(got.fundamental), [False, False, True, True, True, False]
    )


def test_what_is_played_next_does_not_disturb_a_part() -> None:
    part = noise(
        sample_rate_hz=RATE,
        colour="pink",
        start_hz=20,
        stop_hz=20_000,
        duration_s=1.0,
        rms_v=LEVEL_V,
        crest_db=12,
        rng=np.random.default_rng(3),
    )
    excitation = assemble([part, part], sample_rate_hz=RATE)
    unit = Resonant()
    for index in (0, 1):
        got = broadband_answer(
            answer(excitation, unit),
            reference=None,
            excitation=excitation,
            segment_index=index,
            frequency_hz=POINTS,
        )
        ratio = got.fundamental / LEVEL_V / unit(POINTS)
        assert np.max(np.abs(20 * np.log10(np.abs(ratio)))) < 0.02


def test_a_span_where_the_file_holds_nothing_is_not_told() -> None:
    excitation = replace(HISS, samples=np.zeros(HISS.samples.size))
    got = read(HISS.samples, excitation)
    assert np.all(np.isnan(got.fundamental))


def test_what_cannot_be_read_is_refused() -> None:
    sweep = one_sweep(duration_s=0.2)
    with pytest.raises(DspError, match="not a broadband segment: given LogSweepSegment"):
        read(sweep.samples, sweep)
    with pytest.raises(DspError, match="channel too short: given 1000"):
        read(HISS.samples[:1000], HISS)
    with pytest.raises(DspError, match="not finite"):
        read(HISS.samples * np.nan, HISS)
    with pytest.raises(DspError, match="frequencies do not rise"):
        broadband_answer(
            answer(HISS, wire),
            reference=None,
            excitation=HISS,
            segment_index=0,
            frequency_hz=np.array([100.0, 100.0]),
        )
