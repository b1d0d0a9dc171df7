"""An input's voltage scale from the output wired to it, whose scale is known."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.calibration.budget import WrittenBudget
from dsp.calibration.calibration import Calibration
from dsp.calibration.scale import known, scale_of
from dsp.calibration.steady_sine import read_steady_sine
from dsp.calibration.voltage_scale import InputLink, noise_line, recorded_checks
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownOutput:
    """An output whose voltage is known.

    Attributes
    ----------
    full_scale_v : float
        V peak at the jack for digital 1.0, unloaded.
    uncertainty_percent : float
        %, k = 2.
    source_ohm : float
        ohm of the output.
    """

    full_scale_v: float
    uncertainty_percent: float
    source_ohm: float = 0.0


def loopback_scale(
    channels: Sequence[Floats],
    *,
    sample_rate_hz: float,
    frequency_hz: float,
    peaks: Sequence[float],
    output: KnownOutput,
    link: InputLink = "loopback",
    input_ohm: float = math.inf,
    expected_v: float | None = None,
) -> Calibration:
    """Find the peak voltage at an input jack for digital 1.0, without a meter.

    Parameters
    ----------
    channels : sequence of (n,) arrays
        What the input recorded, full-scale units, once or more.
    sample_rate_hz, frequency_hz : float
        Hz; of the sine that was played.
    peaks : sequence of float
        Of the sines that were played, full-scale units, one for each recording.
    output : KnownOutput
        What played.
    link : str
        Which input.
    input_ohm : float
        ohm of the input; what it takes from the output's voltage is taken into account.
    expected_v : float or None
        V, as the chain states it or as last found.

    Returns
    -------
    Calibration, V; budget in %.

    Raises
    ------
    DspError
        No recording, other counts, silence, or less than half a second of tone.
    """
    if not channels or len(channels) != len(peaks):
        given = f"{len(channels)} recordings, {len(peaks)} peaks"
        raise DspError("loopback_scale", "recordings", given=given, allowed="one peak for each")
    left = 1 / (1 + output.source_ohm / input_ohm)
    volts = [output.full_scale_v * peak / math.sqrt(2) * left for peak in peaks]
    sines = [
        read_steady_sine(one, sample_rate_hz=sample_rate_hz, near_hz=frequency_hz)
        for one in channels
    ]
    scale = scale_of(volts, peaks=[sine.peak for sine in sines], expected_v=expected_v)
    lines = [known("output voltage scale", percent=output.uncertainty_percent / 2, of_chain=True)]
    lines += [] if scale.repeatability is None else [scale.repeatability]
    lines.append(noise_line(sines))
    if left < 1:
        # Neither resistance is known better than by its order.
        lines.append(known("load of the input", percent=100 * (1 - left) / np.sqrt(3)))
    return Calibration(
        quantity=f"input.{link}.full_scale_v",
        value=scale.full_scale_v,
        unit="V",
        budget=WrittenBudget(unit="%", lines=tuple(lines)),
        checks=(
            *recorded_checks(sines, frequencies_hz=[frequency_hz] * len(sines)),
            *scale.checks,
        ),
    )
