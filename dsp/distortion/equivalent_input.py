"""Harmonics referred to the input: what the drive would have to hold to sound the same."""

import numpy as np
from scipy.interpolate import make_interp_spline

from dsp.arrays import Bools, Floats
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics

WIDEST_OCTAVES = 1 / 3  # between two points farther apart a resonance may hide
_DEGREE = 3
_SLACK = 1e-9


def equivalent_input(pressure: Harmonics, *, voltage: Harmonics) -> Harmonics:
    """Divide every order by the linear response at the frequency where it sounds.

    Parameters
    ----------
    pressure : Harmonics, (k, m)
        Pa, of the microphone's channel.
    voltage : Harmonics, (any, m)
        V across the terminals, at the same frequencies; its fundamental counts.

    Returns
    -------
    Harmonics, (k, m), V: order n at f is p_n(nf) / |H(nf)| with H = p_1 / v_1, order 1 is v_1, so
    its ratios are the equivalent input distortion. What the microphone does at n f cancels, for
    both are read there; the noise of H(nf) joins that of the order. NaN where H(nf) cannot be
    read: beyond the excitation, or between points more than a third of an octave apart.

    Raises
    ------
    DspError
        The two stand at different frequencies.

    Notes
    -----
    H is interpolated by a cubic spline through log |H| over log f.

    References
    ----------
    IEC 60268-21, equivalent input harmonic distortion.
    """
    if not np.array_equal(pressure.frequency_hz, voltage.frequency_hz):
        raise DspError("equivalent_input", "pressure and voltage at different frequencies")
    hz = pressure.frequency_hz
    sent, heard = np.abs(voltage.fundamental), np.abs(pressure.fundamental)
    amplitude = np.full(pressure.amplitude.shape, np.nan, dtype=np.complex128)
    noise = np.full(pressure.noise.shape, np.nan)
    amplitude[0], noise[0] = voltage.fundamental, voltage.noise[0]
    held = (heard > 0) & (sent > 0)  # False for NaN
    if held.any():
        octaves = np.log2(hz[held])
        gain = np.log(heard[held] / sent[held])
        share = np.hypot(pressure.noise[0] / heard, voltage.noise[0] / sent)[held]
        spline = make_interp_spline(octaves, gain, k=min(_DEGREE, octaves.size - 1))
        orders = np.arange(2, pressure.amplitude.shape[0] + 1)
        at = np.log2(orders[:, np.newaxis] * hz)
        inside = np.clip(at, octaves[0], octaves[-1])
        over = np.where(_reached(at, octaves=octaves), np.exp(-spline(inside)), np.nan)
        of_gain = np.abs(pressure.amplitude[1:]) * np.interp(at, octaves, share)
        amplitude[1:] = pressure.amplitude[1:] * over
        noise[1:] = np.hypot(pressure.noise[1:], of_gain) * over
    return Harmonics(frequency_hz=hz, amplitude=amplitude, noise=noise)


def _reached(at: Floats, *, octaves: Floats) -> Bools:
    # On a point, or between two that are near each other.
    last = octaves.size - 1
    above = np.minimum(np.searchsorted(octaves, at - _SLACK), last)
    below = np.maximum(np.searchsorted(octaves, at + _SLACK, side="right") - 1, 0)
    inside = (at >= octaves[0] - _SLACK) & (at <= octaves[-1] + _SLACK)
    reached: Bools = inside & (octaves[above] - octaves[below] <= WIDEST_OCTAVES + _SLACK)
    return reached
