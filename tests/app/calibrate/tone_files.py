"""Recordings of a calibrator's tone, made from closed forms: nothing of ours computes them."""

import math
import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
import soundfile

RATE = 48_000
SECONDS = 5.0
PREAMPLIFIER, FULL_SCALE_V = 5.0, 2.0
TRUE_MV_PER_PA = 12.6

CHAIN = f"""\
name = "bench 3"          # beside the window
[device]
backend = "virtual"
[output.drive]
channel = 1
full_scale_v = 2.0
max_terminal_v_rms = 6.0
[input.pressure]
channel = 2
full_scale_v = {FULL_SCALE_V}
full_scale_uncertainty_percent = 0.2
sensitivity_v_per_pa = 0.0125   # from the pistonphone
sensitivity_uncertainty_db = 0.2
preamplifier_gain = {PREAMPLIFIER}
preamplifier_gain_uncertainty_percent = 0.2
calibrated_on = 2026-07-27
recalibrate_after_days = 30
"""


@dataclass(frozen=True, kw_only=True)
class Tone:
    """What a microphone of known sensitivity gives in a coupler."""

    level_db: float = 94.0
    frequency_hz: float = 1000.0
    snr_db: float = 60.0
    sinks_db_per_s: float = 0.0
    hum_db: float | None = None
    sensitivity_mv_per_pa: float = TRUE_MV_PER_PA
    seed: int = 1

    def write(self, path: Path, *, at: datetime | None = None) -> Path:
        """Write two channels, the tone in the second, 1.0 = 2 V; 20 µPa is 0 dB."""
        time_s = np.arange(round(SECONDS * RATE)) / RATE
        rng = np.random.default_rng(self.seed)
        level_db = self.level_db - self.sinks_db_per_s * time_s
        rms_v = self.sensitivity_mv_per_pa * 1e-3 * 20e-6 * 10 ** (level_db / 20)
        volts = math.sqrt(2) * rms_v * np.sin(2 * math.pi * self.frequency_hz * time_s + self.seed)
        volts += rng.normal(size=time_s.size) * rms_v[0] * 10 ** (-self.snr_db / 20)
        if self.hum_db is not None:
            hum = math.sqrt(2) * rms_v[0] * 10 ** (self.hum_db / 20)
            volts += hum * np.sin(2 * math.pi * 50.0 * time_s)
        second = volts * PREAMPLIFIER / FULL_SCALE_V
        soundfile.write(path, np.column_stack([0 * second, second]), RATE, subtype="FLOAT")
        if at is not None:
            os.utime(path, (at.timestamp(), at.timestamp()))
        return path
