"""Couplings of a calibrator on a microphone of known sensitivity, made here and nowhere else."""

from dataclasses import dataclass

import numpy as np

from dsp import Floats
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument, InstrumentKind
from dsp.calibration.microphone import (
    MicrophoneCalibration,
    MicrophoneLink,
    calibrate_microphone,
)
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits

V_PER_PA = 0.0125
FULL_SCALE_V, GAIN = 2.0, 5.0
PASCAL = {94.0: 1.002374, 114.0: 10.023745, 124.0: 31.697864}  # ISO 1683


@dataclass(frozen=True, kw_only=True)
class Sound:
    """What arrives at the microphone, and what comes with it; levels re the tone in dB."""

    pascal: float = PASCAL[94.0]
    hz: float = 1000.0
    rate: int = 48_000
    seconds: float = 4.0
    snr_db: float = 60.0
    hum_db: float | None = None
    mains_hz: float = 50.0
    drift_db_per_s: float = 0.0
    wander_db: float = 0.0
    second_harmonic: float = 0.0
    fm_hz: float = 0.0
    from_s: float = 0.0
    until_s: float = np.inf

    def samples(self, rng: np.random.Generator) -> Floats:
        """Full-scale units; the ratio to noise holds in all of half the sample rate."""
        time_s = np.arange(round(self.rate * self.seconds)) / self.rate
        peak = np.sqrt(2) * self.pascal * V_PER_PA * GAIN / FULL_SCALE_V
        level_db = self.drift_db_per_s * time_s
        level_db += self.wander_db * np.sin(2 * np.pi * time_s / 1.3)
        turn = 2 * np.pi * self.hz * time_s + rng.uniform(0, 2 * np.pi)
        turn += self.fm_hz / 0.2 * np.sin(2 * np.pi * 0.2 * time_s)
        tone = np.cos(turn) + self.second_harmonic * np.cos(2 * turn)
        tone *= 10 ** (level_db / 20) * ((time_s >= self.from_s) & (time_s < self.until_s))
        if self.hum_db is not None:
            tone += self._hum(time_s, rng=rng)
        noise = rng.standard_normal(time_s.size) * np.sqrt(0.5) * 10 ** (-self.snr_db / 20)
        out: Floats = peak * (tone + noise)
        return out

    def _hum(self, time_s: Floats, *, rng: np.random.Generator) -> Floats:
        assert self.hum_db is not None
        parts = {1: 0.8, 2: 0.36, 3: 0.48}  # squares add up to 1
        turn = 2 * np.pi * self.mains_hz * time_s + rng.uniform(0, 2 * np.pi)
        whole: Floats = np.sum([a * np.cos(n * turn) for n, a in parts.items()], axis=0)
        return whole * 10 ** (self.hum_db / 20)


def link(rate: int = 48_000) -> MicrophoneLink:
    return MicrophoneLink(
        sample_rate_hz=rate,
        full_scale_v=FULL_SCALE_V,
        full_scale_uncertainty_percent=0.2,
        preamplifier_gain=GAIN,
        preamplifier_gain_uncertainty_percent=0.2,
    )


def calibrator(level_db: float = 94.0, *, hz: float = 1000.0) -> Instrument:
    return Instrument(
        kind=InstrumentKind.CALIBRATOR,
        level_db=level_db,
        frequency_hz=hz,
        level_uncertainty_db=0.1,
    )


def calibrated(
    *couplings: Floats,
    instrument: Instrument | None = None,
    expected: Expected | None = None,
    limits: MicrophoneLimits | None = None,
    rate: int = 48_000,
) -> MicrophoneCalibration:
    return calibrate_microphone(
        couplings,
        link=link(rate),
        instrument=instrument or calibrator(),
        conditions=Conditions(),
        expected=expected or Expected(before_v_per_pa=V_PER_PA),
        limits=limits or MicrophoneLimits(),
    )


def off_db(got: MicrophoneCalibration) -> float:
    return float(20 * np.log10(got.calibration.value / V_PER_PA))


def refused_for(got: MicrophoneCalibration) -> set[str]:
    return {check.name for check in got.calibration.checks if not check.passed}
