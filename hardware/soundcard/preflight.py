"""A quiet trial before the real take: would an input clip, does it hear enough, what fits."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from hardware.card import Capture
from hardware.errors import HardwareError

# An analogue stage bends before the converter's rail is reached, and shows no rail.
HEADROOM_DB = 3.0
# Below this ratio of peaks the magnitude is uncertain by more than half a dB.
_ENOUGH_DB = 20.0


class InputState(StrEnum):
    """What the trial says about one input."""

    FITS = "fits"
    CLIPS = "clips"  # at full drive; the drive that fits is below 1
    TOO_LOW = "too low"  # less than 20 dB above its own noise even at full drive
    HEARS_NOTHING = "hears nothing"  # nothing above its noise in the trial


@dataclass(frozen=True, slots=True, kw_only=True)
class InputForecast:
    """One input at full drive.

    Attributes
    ----------
    channel : int
        Counted from 1.
    noise_peak : float
        Full-scale units, while the trial was silent.
    peak : float
        Full-scale units, expected at full drive; above 1 it clips.
    state : InputState
        What follows from that.
    gain_room_db : float
        dB by which the input's gain could be raised, at the drive that fits, before the headroom
        is used up.
    """

    channel: int
    noise_peak: float
    peak: float
    state: InputState
    gain_room_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What a take at full drive would do.

    Attributes
    ----------
    inputs : tuple of InputForecast
        In the order asked for.
    drive_scale : float
        Above 0, at most 1: times the full drive, the most at which every input keeps its
        headroom.
    """

    inputs: tuple[InputForecast, ...]
    drive_scale: float

    @property
    def fits(self) -> bool:
        """Whether every input neither clips nor hears too little at full drive."""
        return all(one.state is InputState.FITS for one in self.inputs)


def forecast(
    trial: Capture,
    *,
    channels: tuple[int, ...],
    quiet_frames: int,
    trial_scale: float,
    headroom_db: float = HEADROOM_DB,
) -> Forecast:
    """Predict every input at full drive from a trial at a fraction of it.

    What is above the noise is taken to grow in proportion. A loudspeaker compresses, so that
    errs to the safe side.

    Parameters
    ----------
    trial : Capture
        Of the same excitation, turned down.
    channels : tuple of int
        Inputs that matter, counted from 1.
    quiet_frames : int
        Frames at the start of ``trial`` in which the output was silent.
    trial_scale : float
        The trial's drive over the full one, above 0, at most 1.
    headroom_db : float
        dB below full scale that no input should pass.

    Returns
    -------
    Forecast

    Raises
    ------
    HardwareError
        An argument outside its range, or a channel that was not recorded.
    """
    frames, there = trial.samples.shape
    for what, given, lowest, highest in (
        ("trial_scale", trial_scale, 1e-6, 1.0),
        ("quiet_frames", quiet_frames, 1, frames - 1),
        ("headroom_db", headroom_db, 0.0, 40.0),
        *(("channel", channel, 1, there) for channel in channels),
    ):
        if not lowest <= given <= highest:
            raise HardwareError(
                f"preflight: {what} outside: given {given:g}, allowed {lowest:g} to {highest:g}"
            )
    columns = np.abs(trial.samples[:, [channel - 1 for channel in channels]]).astype(np.float64)
    noise = columns[:quiet_frames].max(axis=0)
    signal = np.maximum(columns[quiet_frames:].max(axis=0) - noise, 0.0) / trial_scale
    limit = 10 ** (-headroom_db / 20)
    # An input whose noise alone is too high is helped by no drive, and limits none.
    scales = [(limit - n) / s for n, s in zip(noise, signal, strict=True) if s > 0 and n < limit]
    drive_scale = float(min([1.0, *scales]))
    inputs = tuple(
        InputForecast(
            channel=channel,
            noise_peak=float(one_noise),
            peak=float(one_noise + one_signal),
            state=_state(one_signal, noise=one_noise, limit=limit),
            gain_room_db=_gain_room_db(one_noise + drive_scale * one_signal, limit=limit),
        )
        for channel, one_noise, one_signal in zip(channels, noise, signal, strict=True)
    )
    return Forecast(inputs=inputs, drive_scale=drive_scale)


def _state(signal: float, *, noise: float, limit: float) -> InputState:
    if noise + signal > limit:
        return InputState.CLIPS
    if signal <= 0:
        return InputState.HEARS_NOTHING
    if signal < noise * 10 ** (_ENOUGH_DB / 20):
        return InputState.TOO_LOW
    return InputState.FITS


def _gain_room_db(peak: float, *, limit: float) -> float:
    return max(0.0, 20 * float(np.log10(limit / max(peak, 1e-10))))
