"""A pistonphone or sound calibrator on the microphone, with the faults that such things have."""

import math

import numpy as np

from dsp import Floats
from dsp.calibration.sound_level import pressure_correction_db
from hardware.chain.schema import Chain
from hardware.chain.virtual_schema import Calibrator
from hardware.virtual.bench import Bench
from hardware.virtual.noise import REFERENCE_PA

_WANDERS_IN_S = 1.7  # one coming and going
_HUM = {1: 1.0, 3: 0.5, 5: 0.25}  # amplitudes of mains and its multiples


class CalibratorSound:
    """What the microphone hears of it from the moment at which it is switched on.

    Parameters
    ----------
    calibrator : Calibrator
        What it gives in truth.
    chain : Chain
        With the air around it and the microphone's gains.
    bench : Bench
        With the microphone's own response.
    sample_rate_hz : float
        Hz.
    rng : Generator
        How well it was seated this time, and where its tone begins.
    """

    def __init__(
        self,
        calibrator: Calibrator,
        *,
        chain: Chain,
        bench: Bench,
        sample_rate_hz: float,
        rng: np.random.Generator,
    ) -> None:
        self._calibrator = calibrator
        # As the recorder's clock counts it.
        self._step_s = 1 / (sample_rate_hz * (1 + bench.rig.clock_offset_ppm * 1e-6))
        self._at = 0
        level_db = calibrator.level_db - calibrator.leak_db
        level_db += calibrator.scatter_db * float(rng.standard_normal())
        if calibrator.kind == "pistonphone":
            level_db += pressure_correction_db(chain.ambient.pressure_kpa)
        tone = np.array([1.0, 2.0]) * calibrator.frequency_hz
        heard = bench.microphone(tone)
        self._peak_pa = math.sqrt(2) * REFERENCE_PA * 10 ** (level_db / 20)
        self._heard = np.abs(heard) * [1.0, calibrator.distortion_percent / 100]
        self._heard[tone >= sample_rate_hz / 2] = 0.0
        self._begins = float(rng.uniform(0, 2 * math.pi))
        self._hum_begins = float(rng.uniform(0, 2 * math.pi))

    def hear(self, samples: int) -> Floats:
        """Give the next stretch.

        Parameters
        ----------
        samples : int
            How many.

        Returns
        -------
        (samples,) array, Pa as the microphone hears them; its hum as the pressure it amounts to.
        """
        c = self._calibrator
        time_s: Floats = np.arange(self._at, self._at + samples, dtype=np.float64)
        time_s *= self._step_s
        self._at += samples
        level_db = c.drift_db_per_s * time_s
        level_db += c.wander_db * np.sin(2 * math.pi * time_s / _WANDERS_IN_S)
        size = self._peak_pa * 10 ** (level_db / 20)
        if c.rise_s:
            size *= -np.expm1(-time_s / c.rise_s)
        turn = 2 * math.pi * c.frequency_hz * time_s + self._begins
        sound = size * (self._heard[0] * np.cos(turn) + self._heard[1] * np.cos(2 * turn))
        if c.hum_db_spl is not None:
            sound += self._hum(time_s, level_db=c.hum_db_spl)
        out: Floats = sound
        return out

    def _hum(self, time_s: Floats, *, level_db: float) -> Floats:
        peak = math.sqrt(2) * REFERENCE_PA * 10 ** (level_db / 20)
        peak /= math.hypot(*_HUM.values())
        turn = 2 * math.pi * self._calibrator.mains_hz * time_s + self._hum_begins
        total: Floats = np.sum([part * np.cos(n * turn) for n, part in _HUM.items()], axis=0)
        return peak * total
