"""A microphone's sensitivity: found, with an interval that holds, or refused with its reason."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.calibration.budget import Kind
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import CertifiedLimits, Instrument, InstrumentKind
from dsp.calibration.microphone import (
    PRIOR_DEGREES,
    PRIOR_SCATTER_DB,
    QUANTITY,
    MicrophoneLink,
    calibrate_microphone,
)
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits
from dsp.calibration.sound_level import pressure_correction_db
from tests.dsp.calibration.coupled import (
    PASCAL,
    V_PER_PA,
    Sound,
    calibrated,
    calibrator,
    link,
    off_db,
    refused_for,
)

SEED = 60942


def rng() -> np.random.Generator:
    return np.random.default_rng(SEED)


@pytest.mark.parametrize("snr_db", [20.0, 40.0, 60.0, 80.0])
def test_sensitivity_comes_back_from_a_tone_of_known_pressure(snr_db: float) -> None:
    draw = rng()
    got = calibrated(*(Sound(snr_db=snr_db).samples(draw) for _ in range(3)))
    assert got.calibration.accepted, got.calibration.reasons
    assert got.calibration.quantity == QUANTITY
    # The bound of an amplitude in white noise, s sqrt(2 / n) (Rife and Boorstyn, IEEE Trans. Inf.
    # Theory 20 (1974) 591), over three couplings of 4 s; 0.01 dB at 60 dB is what is asked for.
    bound_db = 20 / np.log(10) * 10 ** (-snr_db / 20) / np.sqrt(4 * 48_000 * 3)
    assert abs(off_db(got)) < max(4 * bound_db, 1e-5)
    assert bound_db < 0.01
    assert got.sensitivity_db == pytest.approx(-38.0618, abs=0.01)  # 12.5 mV/Pa
    assert got.readings[0].snr_db == pytest.approx(snr_db, abs=1.0)


def test_the_noise_that_is_told_is_that_of_the_bound() -> None:
    draw = rng()
    one = calibrated(Sound(snr_db=30.0).samples(draw)).readings[0]
    bound_db = 20 / np.log(10) * 10**-1.5 / np.sqrt(4 * 48_000)
    assert one.noise_db == pytest.approx(bound_db, rel=0.1)


@settings(max_examples=25)
@given(
    hz=st.floats(246.0, 1006.0),
    gain_db=st.floats(-40.0, 20.0),
    snr_db=st.floats(25.0, 80.0),
    seed=st.integers(0, 2**32 - 1),
)
def test_any_frequency_and_any_level_read_the_same(
    hz: float, gain_db: float, snr_db: float, seed: int
) -> None:
    scale = 10 ** (gain_db / 20)
    sound = Sound(hz=hz, snr_db=snr_db, rate=8000, seconds=2.5)
    samples = scale * sound.samples(np.random.default_rng(seed))
    got = calibrated(
        samples,
        instrument=calibrator(hz=hz),
        expected=Expected(before_v_per_pa=scale * V_PER_PA),
        rate=8000,
    )
    bound_db = 20 / np.log(10) * 10 ** (-snr_db / 20) / np.sqrt(samples.size)
    assert off_db(got) - gain_db == pytest.approx(0.0, abs=6 * bound_db + 1e-5)
    assert got.readings[0].frequency_hz == pytest.approx(hz, abs=0.01)


# Each fault alone, the check that it has to fail, and what its reason has to say.
FAULTS: dict[str, tuple[Sound, str, str]] = {
    "114 dB for 94": (Sound(pascal=PASCAL[114.0]), "level", r"reads as 114 dB where 94 dB"),
    "124 dB for 94": (Sound(pascal=0.998 * 31.697864), "level", r"reads as 124 dB where 94 dB"),
    "a leak": (Sound(pascal=0.7 * PASCAL[94.0]), "level", r"3\.1 dB below the 94 dB.*leak"),
    "a small leak": (Sound(pascal=0.92 * PASCAL[94.0]), "history", r"−0\.72 dB.*leak"),
    "a leak that sinks": (Sound(drift_db_per_s=-0.3), "settled", r"sinks by 0\.30 dB/s.*leak"),
    "drift": (Sound(drift_db_per_s=-0.025), "drift", r"sinks by 0\.025 dB/s.*leaks or the batt"),
    "still rising": (Sound(drift_db_per_s=0.025), "drift", r"rises by 0\.025 dB/s"),
    "wandering": (Sound(wander_db=0.12), "steadiness", r"comes and goes by 0\.1\d* dB"),
    "wrong frequency": (Sound(hz=1012.0), "frequency", r"1012\.00 Hz where 1000 Hz"),
    "another frequency": (Sound(hz=250.0), "frequency", r"250\.00 Hz where 1000 Hz"),
    "50 Hz hum": (Sound(hum_db=-35.0), "hum", r"hum of 50 Hz mains at −35\.\d dB"),
    "60 Hz hum": (Sound(hum_db=-35.0, mains_hz=60.0), "hum", r"hum of 60 Hz mains"),
    "distortion": (Sound(second_harmonic=0.04), "distortion", r"distortion 4\.00 %.*2\.5 %"),
    "too little": (Sound(snr_db=8.0), "signal", r"too little signal"),
    "too short": (Sound(from_s=1.0, until_s=2.5), "settled", r"not settled"),
}


@pytest.mark.parametrize("name", FAULTS)
@pytest.mark.parametrize("snr_db", [40.0, 80.0])
def test_a_fault_is_refused_with_its_own_reason(name: str, snr_db: float) -> None:
    sound, check, reason = FAULTS[name]
    if check != "signal":
        sound = replace(sound, snr_db=snr_db)
    quiet = 0.05 if sound.pascal > 5 else 1.0  # 124 dB must not clip as well
    scaled = quiet * sound.samples(rng())
    got = calibrated(scaled, expected=Expected(before_v_per_pa=quiet * V_PER_PA))
    assert not got.calibration.accepted
    assert check in refused_for(got)
    assert any(re.search(reason, said) for said in got.calibration.reasons)
    assert refused_for(got) == {check}  # no other fault is made up, and no consequence told twice


def test_at_20_db_a_leak_that_sinks_is_still_found() -> None:
    got = calibrated(Sound(snr_db=20.0, drift_db_per_s=-0.05, seconds=6.0).samples(rng()))
    assert "drift" in refused_for(got)


def test_where_no_tone_is_heard_nothing_else_is_made_of_it() -> None:
    draw = rng()
    nothing = 1e-3 * draw.standard_normal(4 * 48_000)
    got = calibrated(Sound().samples(draw), nothing)
    assert refused_for(got) == {"signal"}
    assert got.calibration.reasons[0].startswith("coupling 2: tone ")
    assert "too little signal; is the instrument on" in got.calibration.reasons[0]


def test_a_clipped_input_is_refused() -> None:
    samples = np.clip(60 * Sound().samples(rng()), -1.0, 1.0)
    # A rail makes harmonics and takes level: neither is told as a fault of its own.
    got = calibrated(samples, expected=Expected(before_v_per_pa=60 * V_PER_PA))
    assert refused_for(got) == {"clipping"}
    assert "turn its gain down" in got.calibration.reasons[0]


def test_a_clipped_coupling_does_not_hide_what_is_wrong_with_another() -> None:
    draw = rng()
    clipped = np.clip(60 * Sound().samples(draw), -1.0, 1.0)
    got = calibrated(clipped, Sound(hum_db=-30.0).samples(draw))
    assert refused_for(got) == {"clipping", "hum"}
    assert got.calibration.reasons[0].startswith("coupling 1: the input ran into its rail")


def test_limits_of_the_certificate_take_the_place_of_the_class_s() -> None:
    draw = rng()
    fast, bent = Sound(hz=1009.0).samples(draw), Sound(second_harmonic=0.02).samples(draw)
    assert refused_for(calibrated(fast)) == {"frequency"}
    wide = replace(calibrator(), certified=CertifiedLimits(frequency_percent=1.0))
    assert calibrated(fast, instrument=wide).calibration.accepted
    assert calibrated(bent).calibration.accepted
    clean = replace(calibrator(), certified=CertifiedLimits(distortion_percent=1.0))
    got = calibrated(bent, instrument=clean)
    assert got.calibration.reasons == ("distortion 2.00 %, its certificate allows 1 %",)
    with pytest.raises(DspError, match="fluctuation_db outside"):
        CertifiedLimits(fluctuation_db=0.0)


def test_a_knock_while_it_is_put_on_is_not_read() -> None:
    draw = rng()
    samples = Sound(from_s=1.5, until_s=5.0, seconds=6.0).samples(draw)
    samples[48_000:50_000] += 0.9 * np.hanning(2000)
    samples[30_000:31_000] = 1.0  # clips before it has come to rest
    got = calibrated(samples)
    assert got.calibration.accepted, got.calibration.reasons
    assert abs(off_db(got)) < 1e-3
    start, stop = got.readings[0].settled_s
    assert start >= 1.5
    assert stop <= 5.0
    assert stop - start > 3.2


def test_allowed_hum_and_a_wandering_frequency_change_nothing_that_counts() -> None:
    humming = calibrated(Sound(hum_db=-42.0, hz=1003.0).samples(rng()))
    wandering = calibrated(Sound(fm_hz=0.3, seconds=8.0).samples(rng()))
    for got in (humming, wandering):
        assert got.calibration.accepted, got.calibration.reasons
        assert abs(off_db(got)) < 0.001


def test_hum_under_a_pistonphone_s_tone_is_told_in_the_budget() -> None:
    # 250 Hz is the fifth multiple of 50 Hz: what cannot be seen there is taken from 200 or 300 Hz.
    instrument = replace(calibrator(), frequency_hz=250.0)
    sound = Sound(hz=250.0)
    time_s = np.arange(4 * 48_000) / 48_000
    lines = sum(np.cos(2 * np.pi * hz * time_s) for hz in (50.0, 200.0, 300.0))
    peak = np.sqrt(2) * PASCAL[94.0] * V_PER_PA * 5.0 / 2.0
    got = calibrated(sound.samples(rng()) + 0.004 * peak * lines, instrument=instrument)
    assert got.calibration.accepted, got.calibration.reasons
    # Any phase: r / sqrt(2) of the level
    wanted = 20 / np.log(10) * 0.004 / np.sqrt(2)
    (line,) = [one for one in got.calibration.budget.lines if one.source == "hum"]
    assert line.contribution == pytest.approx(wanted, rel=0.05)
    assert calibrated(sound.samples(rng())).readings[0].hum_under_tone_db == 0.0


def couplings(*levels_db: float) -> list[Floats]:
    draw = rng()
    return [Sound(pascal=PASCAL[94.0] * 10 ** (db / 20)).samples(draw) for db in levels_db]


def test_scatter_of_couplings_is_type_a_of_their_mean() -> None:
    got = calibrated(*couplings(-0.03, 0.0, 0.03))
    (line,) = [one for one in got.calibration.budget.lines if one.source == "repeatability"]
    assert line.kind is Kind.REPEATED
    # Pooled with what is assumed of a hand; s / sqrt(n).
    assert line.degrees == 2 + PRIOR_DEGREES
    scatter = np.sqrt((2 * 0.03**2 + PRIOR_DEGREES * PRIOR_SCATTER_DB**2) / (2 + PRIOR_DEGREES))
    assert line.contribution == pytest.approx(scatter / np.sqrt(3), rel=1e-2)
    assert off_db(got) == pytest.approx(0.0, abs=1e-4)
    # The noise is in it already.
    assert "noise" not in {one.source for one in got.calibration.budget.lines}


def test_one_coupling_stands_on_what_is_known_or_on_what_a_careful_hand_does() -> None:
    alone = calibrated(*couplings(0.0))
    known = calibrated(
        *couplings(0.0), expected=Expected(coupling_scatter_db=0.02, coupling_degrees=12.0)
    )
    pooled = calibrated(
        *couplings(0.04, -0.04),
        expected=Expected(coupling_scatter_db=0.02, coupling_degrees=12.0),
    )
    begun = calibrated(
        *couplings(0.04, -0.04), expected=Expected(coupling_scatter_db=0.02, coupling_degrees=3.0)
    )
    lines = [
        next(one for one in got.calibration.budget.lines if one.source == "repeatability")
        for got in (alone, known, pooled, begun)
    ]
    assert [one.degrees for one in lines] == [8.0, 12.0, 13.0, 9.0]
    # JCGM 100:2008, 4.2.4: variances pooled by their degrees of freedom. What is assumed makes way
    # for what is known: of its eight degrees five are left beside three.
    squares = [
        PRIOR_SCATTER_DB**2,
        0.02**2,
        (12 * 0.02**2 + 2 * 0.04**2) / 13 / 2,
        (3 * 0.02**2 + 5 * PRIOR_SCATTER_DB**2 + 2 * 0.04**2) / 9 / 2,
    ]
    got_squares = [one.contribution**2 for one in lines]
    assert got_squares == pytest.approx(squares, rel=1e-2)


def test_what_is_as_it_should_be_is_said_in_plain_words() -> None:
    got = calibrated(*couplings(0.0), expected=Expected(before_v_per_pa=1.0001 * V_PER_PA))
    said = {check.name: check.sentence for check in got.calibration.checks}
    assert said["drift"] == "no drift stands out, allowed 0.005 dB/s"
    assert said["steadiness"].startswith("level comes and goes by no more than noise")
    assert said["hum"].startswith("no hum stands out of the noise, allowed −40 dB")
    assert said["history"] == "+0.00 dB from the last calibration, allowed 0.5 dB either way"
    assert said["level"] == "level fits the 94 dB that were named"


def test_couplings_that_differ_too_much_are_refused() -> None:
    got = calibrated(*couplings(-0.08, 0.0, 0.08))
    assert refused_for(got) == {"spread"}
    assert "3 couplings lie within 0.160 dB, allowed 0.1 dB" in got.calibration.reasons[0]


def test_the_coupling_that_failed_is_named() -> None:
    draw = rng()
    got = calibrated(Sound().samples(draw), Sound(hum_db=-30.0).samples(draw))
    assert refused_for(got) == {"hum"}
    assert got.calibration.reasons[0].startswith("coupling 2: hum of 50 Hz")


def test_history_and_certificate_are_compared_each_with_its_own_limit() -> None:
    samples = couplings(0.0)
    far = V_PER_PA * 10 ** (0.6 / 20)
    assert refused_for(calibrated(*samples, expected=Expected(before_v_per_pa=far))) == {"history"}
    assert not refused_for(calibrated(*samples, expected=Expected(certificate_v_per_pa=far)))
    other = V_PER_PA * 10 ** (1.2 / 20)
    got = calibrated(*samples, expected=Expected(certificate_v_per_pa=other))
    assert refused_for(got) == {"certificate"}
    assert "−1.20 dB from its certificate, allowed 1 dB" in got.calibration.reasons[0]
    assert "level" not in {
        c.name for c in calibrated(*samples, expected=Expected()).calibration.checks
    }


def test_response_and_pressure_are_taken_out() -> None:
    low_kpa = 80.0
    instrument = Instrument(
        kind=InstrumentKind.PISTONPHONE, level_db=124.0, frequency_hz=250.0, accuracy_class="LS"
    )
    heard = PASCAL[124.0] * low_kpa / 101.325 * 10 ** (0.3 / 20)
    got = calibrate_microphone(
        [Sound(hz=250.0, pascal=heard).samples(rng()) * 0.2],
        link=MicrophoneLink(
            sample_rate_hz=48_000,
            full_scale_v=2.0,
            preamplifier_gain=1.0,
            response_db=0.3,
            response_uncertainty_db=0.1,
        ),
        instrument=instrument,
        conditions=Conditions(pressure_kpa=low_kpa),
        expected=Expected(before_v_per_pa=V_PER_PA),
        limits=MicrophoneLimits(),
    )
    assert off_db(got) == pytest.approx(0.0, abs=1e-3)
    assert got.corrections_db == pytest.approx({"static pressure": -2.0525}, abs=1e-4)
    assert got.level_db == pytest.approx(121.9475, abs=1e-4)


@pytest.mark.parametrize(
    ("samples", "message"),
    [
        (np.zeros(96_000), "recording is silent"),
        (np.full(96_000, np.nan), "not numbers"),
        (np.ones((96_000, 2)), "not one channel"),
        (np.ones(4_800), r"recording too short: given 0\.1 s, allowed from 1 s"),
    ],
)
def test_what_is_no_recording_of_a_tone_says_so(samples: Floats, message: str) -> None:
    with pytest.raises(DspError, match=message):
        calibrated(samples)


def test_no_coupling_is_no_calibration() -> None:
    with pytest.raises(DspError, match="no coupling"):
        calibrated()


def drawn(draw: np.random.Generator, *, count: int) -> tuple[bool, bool, float]:
    """Calibrate once with everything as far off as its uncertainty says; held, accepted, k.

    Hands differ: the scatter of one is drawn as widely as the assumption about it says.
    """
    scatter_db = PRIOR_SCATTER_DB * np.sqrt(PRIOR_DEGREES / draw.chisquare(PRIOR_DEGREES))
    rate, kpa = 4000, 97.0
    true_kpa = draw.normal(kpa, 0.25)
    level_db = draw.normal(124.0, 0.05) + pressure_correction_db(true_kpa)
    off_percent = draw.normal(0.0, 0.2) - draw.normal(0.0, 0.2)
    response_db = draw.normal(0.05, 0.03)
    snr_db = draw.uniform(20.0, 80.0)
    sounds = [
        Sound(
            rate=rate,
            seconds=1.2,
            hz=250.0 * (1 + draw.uniform(-0.003, 0.003)),
            snr_db=snr_db,
            pascal=20e-6
            * 10 ** ((level_db + response_db + draw.normal(0.0, scatter_db)) / 20)
            * (1 + off_percent / 100)
            / 20,
        )
        for _ in range(count)
    ]
    got = calibrate_microphone(
        [20 * sound.samples(draw) / 8 for sound in sounds],
        link=replace(
            link(rate),
            preamplifier_gain=5.0 / 8,
            full_scale_uncertainty_percent=0.4,
            preamplifier_gain_uncertainty_percent=0.4,
            response_db=0.05,
            response_uncertainty_db=0.06,
        ),
        instrument=Instrument(
            kind=InstrumentKind.PISTONPHONE,
            level_db=124.0,
            frequency_hz=250.0,
            level_uncertainty_db=0.1,
        ),
        conditions=Conditions(pressure_kpa=kpa, pressure_uncertainty_kpa=0.5),
        expected=Expected(before_v_per_pa=V_PER_PA),
        limits=MicrophoneLimits(spread_db=0.5, least_settled_s=1.0),
    )
    budget = got.calibration.budget
    return abs(off_db(got)) <= budget.expanded, got.calibration.accepted, budget.k


@pytest.mark.parametrize(("count", "runs"), [(1, 400), (2, 400), (3, 200)])
def test_the_stated_interval_holds_in_93_to_97_of_100_runs(count: int, runs: int) -> None:
    draw = rng()
    results = np.array([drawn(draw, count=count) for _ in range(runs)])
    held, accepted, k = results.mean(axis=0)
    assert accepted > 0.98
    assert 0.93 <= held <= 0.97
    assert k < 2.2  # two couplings are enough for an interval that can be used
