"""Figures that one impedance tells by itself: resistance, resonance, damping, inductance."""

from collections.abc import Sequence

import numpy as np

from dsp.arrays import Floats
from dsp.parameters.circuit import Circuit
from dsp.parameters.estimates import Estimates, Inputs, estimates
from dsp.parameters.fit import LumpedFit
from dsp.parameters.fit_doubts import COIL, Doubt
from dsp.parameters.resonance import inductance_h, resonance

SMALL_SIGNAL = ("re_ohm", "res_ohm", "fs_hz", "qms", "qes", "qts", "le_mh")
LE_HZ = 1000.0  # where the inductance is stated unless another place is asked for


def small_signal(fit: LumpedFit, *, le_hz: float = LE_HZ) -> Estimates:
    """State what a fit tells.

    Parameters
    ----------
    fit : LumpedFit
        The unit's lumped model.
    le_hz : float
        Hz, where the inductance is stated: a lossy one falls with frequency.

    Returns
    -------
    Estimates of ``SMALL_SIGNAL``.
    """

    def rule(rows: Floats) -> Floats:
        return small_signal_rows(fit.circuit, rows, le_hz=le_hz)

    return estimates(
        rule,
        names=SMALL_SIGNAL,
        inputs=joint([fit]),
        how=small_signal_how(fit, le_hz=le_hz),
        doubts=small_signal_doubts(fit, le_hz=le_hz),
    )


def small_signal_rows(circuit: Circuit, rows: Floats, *, le_hz: float) -> Floats:
    """Compute ``SMALL_SIGNAL`` of a vector.

    Parameters
    ----------
    circuit : Circuit
        Whose.
    rows : (k, ...) array
        Its vector, or many.
    le_hz : float
        Hz.

    Returns
    -------
    (7, ...) array, each figure in its unit.
    """
    at = resonance(circuit, rows)
    le_mh = 1e3 * inductance_h(circuit, rows, hz=le_hz)
    return np.stack([at.re_ohm, at.res_ohm, at.fs_hz, at.qms, at.qes, at.qts, le_mh])


def small_signal_how(fit: LumpedFit, *, le_hz: float) -> tuple[str, ...]:
    """Say for each of ``SMALL_SIGNAL`` where it came from.

    Parameters
    ----------
    fit : LumpedFit
        The unit's lumped model.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    tuple of str, one line each.
    """
    fitted = f"fit of the impedance: {fit.circuit.words}"
    return (*[fitted] * (len(SMALL_SIGNAL) - 1), f"{fitted}; reactance at {le_hz:.4g} Hz")


def small_signal_doubts(fit: LumpedFit, *, le_hz: float) -> tuple[Doubt, ...]:
    """Collect what speaks against ``SMALL_SIGNAL``.

    Parameters
    ----------
    fit : LumpedFit
        The unit's lumped model.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    tuple of Doubt
    """
    low, high = fit.data.frequency_hz[0], fit.data.frequency_hz[-1]
    if not low <= le_hz <= high:
        words = f"the inductance is stated at {le_hz:.4g} Hz, outside the span that was measured"
        return (*fit.doubts, Doubt(reason=words, about=COIL))
    if fit.circuit.inductance == "none":
        return (*fit.doubts, Doubt(reason="the data show no inductance", about=COIL))
    return fit.doubts


def joint(fits: Sequence[LumpedFit], *, more: Inputs | None = None) -> Inputs:
    """Put vectors of takes through one chain together: own noise, common error of the chain.

    Parameters
    ----------
    fits : sequence of LumpedFit
        One after the other.
    more : Inputs or None
        Further inputs, independent of them, behind them.

    Returns
    -------
    Inputs
    """
    mean = np.concatenate([fit.vector for fit in fits])
    size = mean.size + (more.mean.size if more else 0)
    covariance = np.zeros((size, size))
    at = 0
    for fit in fits:
        own = slice(at, at + fit.vector.size)
        covariance[own, own] = fit.covariance
        at = own.stop
    common = np.hstack([fit.common for fit in fits])
    covariance[:at, :at] += common.T @ common
    if more is not None:
        covariance[at:, at:] = more.covariance
        mean = np.concatenate([mean, more.mean])
    return Inputs(mean=mean, covariance=covariance)
