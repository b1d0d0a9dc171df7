"""What a link does over frequency, re what it does at one."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

_EDGE_DB = 0.5  # where a link is said to end


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GainResponse:
    """Level and phase of a link.

    Attributes
    ----------
    level : Curve
        dB re the gain at the reference; valid where the link is flat within 0.5 dB.
    phase : Curve
        deg, the delay taken out.
    delay_s : float
        s by which the output of the link lags its input.
    flatness_db : float
        dB, farthest from the reference between 20 Hz and 20 kHz, whatever was read of it.
    """

    level: Curve
    phase: Curve
    delay_s: float
    flatness_db: float


def gain_response(
    after: Harmonics, *, before: Harmonics, reference_hz: float = 1000.0
) -> GainResponse:
    """Compare what comes out of a link with what goes in.

    Parameters
    ----------
    after, before : Harmonics
        In any units, at the same frequencies.
    reference_hz : float
        Hz; the nearest frequency that was read counts as 0 dB.

    Returns
    -------
    GainResponse

    Raises
    ------
    DspError
        Other frequencies, or nothing at the reference.
    """
    check_same_points("gain_response", first=after, second=before)
    hz = after.frequency_hz
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = after.fundamental / before.fundamental
        noise = np.hypot(
            after.noise[0] / np.abs(after.fundamental), before.noise[0] / np.abs(before.fundamental)
        )
    at = int(np.argmin(np.abs(np.log(hz / reference_hz))))
    if not (np.isfinite(ratio[at]) and abs(ratio[at]) > 0):
        raise DspError("gain_response", "nothing at the reference", given=f"{hz[at]:.4g} Hz")
    with np.errstate(divide="ignore"):
        level = 20 * np.log10(np.abs(ratio / ratio[at]))
    valid = _flat(level, hz=hz, at=at)
    phase = np.degrees(np.unwrap(np.angle(np.where(np.isfinite(ratio), ratio, 1.0))))
    inside = valid.holds(hz)
    delay_s = _slope(phase[inside], hz=hz[inside])
    straight = phase + 360 * hz * delay_s
    straight -= 360 * np.round(straight[at] / 360)
    audible = (hz >= 20) & (hz <= 20_000) & np.isfinite(level)
    return GainResponse(
        level=Curve(
            frequency_hz=hz,
            value=level,
            unit="dB",
            valid=valid,
            uncertainty=2 * 20 / np.log(10) * np.hypot(noise, noise[at]),
            how=f"re the gain at {hz[at]:.4g} Hz",
        ),
        phase=Curve(
            frequency_hz=hz,
            value=straight,
            unit="deg",
            valid=valid,
            uncertainty=2 * np.degrees(noise),
            how=f"{1e6 * delay_s:.4g} µs taken out",
        ),
        delay_s=delay_s,
        flatness_db=float(np.max(np.abs(level[audible]), initial=0.0)),
    )


def _flat(level: Floats, *, hz: Floats, at: int) -> ValidRange:
    off: Bools = ~(np.abs(level) <= _EDGE_DB)
    below, above = np.flatnonzero(off[:at]), np.flatnonzero(off[at:])
    low = int(below[-1]) + 1 if below.size else 0
    high = at + int(above[0]) - 1 if above.size else hz.size - 1
    return ValidRange(
        low_hz=float(hz[low]),
        high_hz=float(hz[high]),
        low_reason=f"{_EDGE_DB:g} dB" if below.size else "excitation",
        high_reason=f"{_EDGE_DB:g} dB" if above.size else "excitation",
    )


def _slope(phase_deg: Floats, *, hz: Floats) -> float:
    # Through 0° or 180° at 0 Hz; the highest frequencies tell the delay best.
    if hz.size < 2:
        return 0.0
    from_hz = hz - hz.mean()
    return float(-(from_hz @ phase_deg) / (from_hz @ from_hz) / 360)
