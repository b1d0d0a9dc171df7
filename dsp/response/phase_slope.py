"""How much later one signal is than another, from the slope of the phase between them."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats

_TURNS = 4  # of refinement; the second one already moves by less than 1e-6 samples
_FINER = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseSlope:
    """A delay between two signals.

    Attributes
    ----------
    delay : float
        Samples by which the second is later.
    deviation : float
        Standard deviation of ``delay``, from how far the phases scatter about the slope.
    likeness : float
        1 where the two differ by the delay (and a factor) alone, 0 where they are unrelated.
    """

    delay: float
    deviation: float
    likeness: float


def phase_slope(second: Complexes, first: Complexes, *, weight: Floats) -> PhaseSlope:
    """Fit a delay through the phases between two spectra.

    Parameters
    ----------
    second, first : (k,) complex arrays
        One-sided spectra (as of rfft) of windows of the same even length; positional because
        their order is that of a quotient.
    weight : (k,) array
        Not negative; 0 where there is nothing but noise.

    Returns
    -------
    PhaseSlope
    """
    cross: Complexes = second * np.conj(first) * weight
    size = 2 * (cross.size - 1)
    omega = np.pi * np.arange(cross.size) / (cross.size - 1)
    # The peak to 1/16 sample first, so that no phase within the fit can wrap.
    peaks = np.fft.irfft(cross, _FINER * size)
    at = int(np.argmax(np.abs(peaks)))
    delay = (at if at < peaks.size // 2 else at - peaks.size) / _FINER
    sign = 1.0 if peaks[at] >= 0 else -1.0
    power = float(np.sum(np.abs(cross)))
    if power <= 0:
        return PhaseSlope(delay=0.0, deviation=float("inf"), likeness=0.0)
    turned = sign * cross
    for _ in range(_TURNS):
        turned = sign * cross * np.exp(1j * omega * delay)
        stiffness = float(np.sum(omega**2 * turned.real))
        if stiffness <= 0:
            return PhaseSlope(delay=delay, deviation=float("inf"), likeness=0.0)
        delay -= float(np.sum(omega * turned.imag)) / stiffness
    return PhaseSlope(
        delay=delay,
        deviation=float(np.sqrt(np.sum((omega * turned.imag) ** 2)) / stiffness),
        likeness=float(np.sum(turned.real)) / power,
    )
