"""The residual over what was played and what was heard: two axes of frequency."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Floats, read_only
from dsp.bands import fractional_octave_bands
from dsp.defects.band import HIGH_HZ, LOW_HZ
from dsp.defects.reading import DefectReading
from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.tone_defects import ToneDefects

_REFERENCE_PA = 20e-6
_WINDOW_S = 0.02
_STEP_S = 0.005
_PER_OCTAVE = 6
_NOTHING_DB = -200.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResidualMap:
    """Level of the residual.

    Attributes
    ----------
    drive_hz : (m,) array
        Hz, what was played: every 5 ms of the sweep, or the tones.
    heard_hz : (k,) array
        Hz, middles of sixth octaves.
    level_db : (k, m) array
        dB re 20 µPa in each band, over 20 ms of a sweep or all of a tone; -200 for nothing.
    is_swept : bool
        Whether ``drive_hz`` runs through, or stands for single tones.
    """

    drive_hz: Floats
    heard_hz: Floats
    level_db: Floats
    is_swept: bool

    def __post_init__(self) -> None:
        for name in ("drive_hz", "heard_hz", "level_db"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def residual_map(reading: DefectReading) -> ResidualMap | None:
    """Map the residual of the sweep; where nothing was swept, that of the tones.

    Parameters
    ----------
    reading : DefectReading
        Of a take.

    Returns
    -------
    ResidualMap, or None where there is no residual.
    """
    if reading.sweep is not None:
        return _of_sweep(reading.sweep)
    return _of_tones(reading.tones) if reading.tones else None


def _of_sweep(sweep: SweepDefects) -> ResidualMap | None:
    rate_hz, segment = sweep.sample_rate_hz, sweep.segment
    length, step = round(_WINDOW_S * rate_hz), round(_STEP_S * rate_hz)
    if sweep.residual_pa.size < length:
        return None
    frames = np.lib.stride_tricks.sliding_window_view(sweep.residual_pa, length)[::step]
    middle_s = (np.arange(frames.shape[0]) * step + length / 2) / rate_hz
    drive_hz = segment.first_hz * np.exp(middle_s / segment.rate_s)
    held = (drive_hz >= segment.start_hz) & (drive_hz <= segment.stop_hz)
    return _mapped(frames[held], drive_hz=drive_hz[held], rate_hz=rate_hz, is_swept=True)


def _of_tones(tones: tuple[ToneDefects, ...]) -> ResidualMap:
    by_hz = {tone.frequency_hz: tone for tone in tones}
    rising = [by_hz[hz] for hz in sorted(by_hz)]
    maps = [
        _mapped(
            tone.residual_pa[None, :],
            drive_hz=np.array([tone.frequency_hz]),
            rate_hz=tone.sample_rate_hz,
            is_swept=False,
        )
        for tone in rising
    ]
    return ResidualMap(
        drive_hz=np.concatenate([one.drive_hz for one in maps]),
        heard_hz=maps[0].heard_hz,
        level_db=np.concatenate([one.level_db for one in maps], axis=1),
        is_swept=False,
    )


def _mapped(frames: Floats, *, drive_hz: Floats, rate_hz: float, is_swept: bool) -> ResidualMap:
    length = frames.shape[1]
    window = np.sin(np.pi * (np.arange(length) + 0.5) / length) ** 2
    spectrum = fft.rfft(frames * window, axis=1)
    # Parseval: the sum over all lines is the mean square of the frame.
    power = 2 * np.abs(spectrum) ** 2 / (length * np.sum(window**2))
    bands = fractional_octave_bands(_PER_OCTAVE, low_hz=LOW_HZ, high_hz=HIGH_HZ)
    hz = fft.rfftfreq(length, 1 / rate_hz)
    inside = bands.high_hz <= rate_hz / 2
    first = np.searchsorted(hz, bands.low_hz[inside])
    # A band narrower than a line takes the nearest one.
    last = np.maximum(np.searchsorted(hz, bands.high_hz[inside]), first + 1)
    total = np.concatenate([np.zeros((power.shape[0], 1)), np.cumsum(power, axis=1)], axis=1)
    level = (total[:, last] - total[:, first]).T / _REFERENCE_PA**2
    return ResidualMap(
        drive_hz=drive_hz,
        heard_hz=bands.midband_hz[inside],
        level_db=10 * np.log10(np.maximum(level, 10 ** (_NOTHING_DB / 10))),
        is_swept=is_swept,
    )
