"""Whether a positive voltage on the marked terminal moves the diaphragm outward."""

import numpy as np

from dsp.acoustic.delay import ExcessDelay, excess_delay
from dsp.arrays import Complexes, Floats
from dsp.number import Number
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

_BAND = (1.5, 5.0)  # times the resonance: mass-controlled, long waves, small inductance
_HIGHEST_RESONANCE_HZ = 4000.0
_ENOUGH = 0.5  # of all phasors' length must point one way
_DIRECTIONS = {1: "outward", -1: "inward"}


def polarity(
    pressure: Harmonics,
    *,
    voltage: Harmonics,
    current: Harmonics | None = None,
    delay_s: float | None = None,
    excess: ExcessDelay | None = None,
) -> Number:
    """Tell the polarity: +1 where positive voltage on the marked terminal compresses the air.

    The answer comes from physics at low frequencies: the pressure per ampere of a moving-coil
    unit is real and positive above its resonance fs once the delay is taken out,
    rho Sd Bl / (2 pi r Mms (1 - fs^2 / f^2)). The check comes from all frequencies: the sign that
    the response keeps beyond its minimum phase. Where the two differ nothing is decided. The
    convention is that of IEC 60268-5; a microphone or an amplifier that inverts inverts this too.

    Parameters
    ----------
    pressure, voltage : Harmonics
        Pa and V across the unit, at the same frequencies.
    current : Harmonics or None
        A through the unit; without it the pressure per volt stands in, and the resonance is
        where that leads by 90 degrees.
    delay_s : float or None
        s, output to microphone, right to about an eighth of a period at 5 fs; None: the excess
        delay is taken.
    excess : ExcessDelay or None
        Of pressure per volt, where that may be believed; None: found here, from all of it.

    Returns
    -------
    Number, +1 or -1, unit 1, no uncertainty; with a reason where it is not to be trusted.
    """
    check_same_points("polarity", first=pressure, second=voltage)
    hz = pressure.frequency_hz
    with np.errstate(divide="ignore", invalid="ignore"):
        per_volt = pressure.fundamental / voltage.fundamental
        check = excess or excess_delay(per_volt, frequency_hz=hz)
        backwards = ""
        lag = check.delay.value if delay_s is None else delay_s
        advance = np.exp(2j * np.pi * hz * lag)
        if current is None:
            fs_hz, transfer = _resonance_of_response(per_volt * advance, hz=hz), per_volt
            kind = "pressure per volt"
        else:
            check_same_points("polarity", first=pressure, second=current)
            impedance = voltage.fundamental / current.fundamental
            fs_hz, transfer = _resonance_of_impedance(impedance, hz=hz), per_volt * impedance
            if np.median(impedance.real[np.isfinite(impedance)]) < 0:
                backwards = "current and voltage are opposed: a channel is wired backwards"
            kind = "pressure per ampere"
    towards = _direction(transfer * advance, hz=hz, fs_hz=fs_hz)
    value = -1 if towards < 0 else 1
    reason = backwards or _doubt(towards, check=check)
    return Number(
        value=float(value),
        unit="1",
        how=f"{kind} above {fs_hz:.0f} Hz is {_DIRECTIONS[value]}, "
        f"transfer phase {_DIRECTIONS[check.sign]}",
        reason=reason,
    )


def _doubt(towards: float, *, check: ExcessDelay) -> str:
    if not abs(towards) >= _ENOUGH:  # NaN is doubt, too
        return "low frequencies do not point either way"
    if check.coherence < _ENOUGH or not check.delay.trusted:
        return "no delay explains the transfer phase"
    if np.sign(towards) != check.sign:
        return "low frequencies and transfer phase disagree"
    return ""


def _direction(transfer: Complexes, *, hz: Floats, fs_hz: float) -> float:
    # -1 to 1: how far the phasors point towards positive pressure. All weigh the same.
    band = (hz >= _BAND[0] * fs_hz) & (hz <= _BAND[1] * fs_hz)
    band &= np.isfinite(transfer) & (transfer != 0)
    if not band.any():
        return float("nan")
    return float(np.mean((transfer[band] / np.abs(transfer[band])).real))


def _resonance_of_impedance(impedance: Complexes, *, hz: Floats) -> float:
    # The highest of the places where the phase falls through 0: the inductance rises through it.
    known = np.isfinite(impedance) & (hz <= _HIGHEST_RESONANCE_HZ)
    hz, impedance = hz[known], impedance[known]
    falling = np.flatnonzero((impedance.imag[:-1] > 0) & (impedance.imag[1:] <= 0))
    if falling.size:
        return float(hz[falling[np.argmax(np.abs(impedance[falling]))]])
    return float(hz[0] / _BAND[0]) if hz.size else float("nan")


def _resonance_of_response(transfer: Complexes, *, hz: Floats) -> float:
    # Below the resonance the pressure opposes the drive, above it follows: the real part crosses.
    known = np.isfinite(transfer) & (hz <= _HIGHEST_RESONANCE_HZ)
    hz, transfer = hz[known], transfer[known]
    if hz.size < 2:
        return float("nan")
    loud = np.abs(transfer) > 0.1 * np.median(np.abs(transfer))
    crossing = np.flatnonzero((transfer.real[:-1] * transfer.real[1:] < 0) & loud[:-1])
    return float(hz[crossing[0]]) if crossing.size else float(hz[0] / _BAND[0])
