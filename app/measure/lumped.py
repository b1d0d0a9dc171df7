"""The lumped model behind a capture's impedance: which points are its own, and what is left."""

from dataclasses import dataclass

import numpy as np

from app.measure.scene import Scene
from dsp import Floats, ValidRange
from dsp.electrical.impedance import Impedance
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, ToneSegment
from dsp.parameters.fit import LumpedFit, fit_lumped
from dsp.parameters.readings import own_noise
from dsp.response.order_window import OrderWindow, brief, order_window

_WIDE_TO_HZ = 1000.0  # about where the reading of a sweep goes over to its brief window
_LOCAL_OCTAVES = 1 / 24  # over which noise and files are fitted about each point
# Relative error of an impedance that a sound card, and the level of the take, leave beside noise.
_LEAST_RELATIVE = 1e-3
# More say nothing more, as what is left beside noise is alike over a sixth of an octave; they take
# time that a verdict waits for.
_ENOUGH_POINTS = 240


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Measured:
    """The impedance of a recording, with what its noise is apart from the chain's error.

    Attributes
    ----------
    impedance : Impedance
        At all points that were read.
    valid : ValidRange
        Where it may be believed.
    independent : (m,) array
        How much of each point's noise is its own.
    """

    impedance: Impedance
    valid: ValidRange
    independent: Floats


def measured_of(scene: Scene) -> Measured | None:
    """Return what the model is to describe; None where there is no current."""
    found, current = scene.terminals.impedance, scene.terminals.current
    if found is None or current is None:
        return None
    return Measured(
        impedance=found,
        valid=scene.valid_for(current, acoustic=False),
        independent=_own(found.frequency_hz, scene=scene),
    )


def fit_measured(found: Measured) -> LumpedFit:
    """Fit the model.

    Raises
    ------
    DspError
        Too few points, or no peak.
    """
    step = max(1, found.independent.size // _ENOUGH_POINTS)
    every = slice(None, None, step)
    return fit_lumped(
        Impedance(
            frequency_hz=found.impedance.frequency_hz[every],
            value=found.impedance.value[every],
            relative_noise=found.impedance.relative_noise[every],
            relative_chain=found.impedance.relative_chain[every],
            phase_chain_rad=found.impedance.phase_chain_rad[every],
        ),
        valid=found.valid,
        independent=np.minimum(1.0, step * found.independent[every]),
        least_relative=_LEAST_RELATIVE,
    )


def _own(frequency_hz: Floats, *, scene: Scene) -> Floats:
    # Tones and lines have a stretch of the recording each; points of a sweep share its window,
    # those of noise the band that is fitted about each.
    match scene.segment:
        case LogSweepSegment(rate_s=rate_s):
            rate_hz = scene.excitation.sample_rate_hz
            wide = order_window(order=1, rate_s=rate_s, sample_rate_hz=rate_hz)
            short = brief(wide, order=1, sample_rate_hz=rate_hz)
            wide_own, brief_own = (
                own_noise(frequency_hz, record_s=_length_s(one, rate_hz)) for one in (wide, short)
            )
            return np.where(frequency_hz < _WIDE_TO_HZ, wide_own, brief_own)
        case BroadbandSegment(period=0) if frequency_hz.size > 1:
            share: Floats = np.minimum(1.0, np.gradient(np.log2(frequency_hz)) / _LOCAL_OCTAVES)
            return share
        case BroadbandSegment() | ToneSegment():
            return np.ones(frequency_hz.shape)


def _length_s(window: OrderWindow, rate_hz: float) -> float:
    return float(np.sum(window.shape**2)) / rate_hz
