"""Parameters over the drive: what they are at no drive at all, and how far a level moves them.

Stiffness and force factor change with displacement, to lowest order by its square, and displacement
follows the voltage: each figure is fitted as p(0) + a V^2, with a V^4 from four levels on.
The mass does not change, so that compliance goes with 1 / fs^2, and the force factor with the root
of what motion adds at the top times damping, Bl^2 = ws Mms Res / Qms.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.curve import Curve
from dsp.errors import DspError
from dsp.number import Number
from dsp.parameters.coil_temperature import coil_temperature_c
from dsp.parameters.fit import LumpedFit
from dsp.parameters.resonance import Resonance, resonance

_FOURTH_FROM = 4  # levels
_MOVED = 0.01  # relative: from here a level counts as no longer small
_WARM_K = 5.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Driven:
    """The fit of one take, and V rms across the unit around resonance while it was taken."""

    drive_v: float
    fit: LumpedFit


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OverDrive:
    """Parameters at each drive, rising; n of them.

    Attributes
    ----------
    drive_v : (n,) array
        V rms.
    fs_hz, qms, qes, qts, re_ohm : (n,) array
        Hz; 1; ohm.
    fs_standard_hz, qts_standard : (n,) array
        From noise alone: the chain's error is the same at all levels.
    at_rest : tuple of Number
        fs and Qts that the levels lead to at no drive, in Hz and 1.
    compliance_ratio, force_ratio : (n,) array
        Cms and Bl over what they are at no drive.
    coil_c : (n,) array
        degrees Celsius, from the resistance against that at the lowest drive: a hint.
    small_to_v : float
        V rms, the highest drive up to which fs and Qts stay within 1 % of those at no drive; 0
        where not even the lowest does.
    reasons : tuple of str
        What a person should know, one sentence each.
    """

    drive_v: Floats
    fs_hz: Floats
    qms: Floats
    qes: Floats
    qts: Floats
    re_ohm: Floats
    fs_standard_hz: Floats
    qts_standard: Floats
    at_rest: tuple[Number, Number]
    compliance_ratio: Floats
    force_ratio: Floats
    coil_c: Floats
    small_to_v: float
    reasons: tuple[str, ...]

    def __post_init__(self) -> None:
        for name in ("drive_v", "fs_hz", "qms", "qes", "qts", "re_ohm", "fs_standard_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))
        for name in ("qts_standard", "compliance_ratio", "force_ratio", "coil_c"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def over_drive(takes: Sequence[Driven], *, cold_c: float) -> OverDrive:
    """Compare the parameters of one unit at several drives.

    Parameters
    ----------
    takes : sequence of Driven
        Two or more, in any order, through the same chain.
    cold_c : float
        degrees Celsius of the coil at the lowest drive.

    Returns
    -------
    OverDrive

    Raises
    ------
    DspError
        Fewer than two drives that differ.
    """
    ordered = sorted(takes, key=lambda one: one.drive_v)
    drive = np.array([one.drive_v for one in ordered])
    if np.unique(drive).size < 2:
        allowed = "two or more that differ"
        raise DspError("over_drive", "drives", given=np.unique(drive).size, allowed=allowed)
    found = [resonance(one.fit.circuit, one.fit.vector) for one in ordered]
    fs, qms, qes, qts, re = (
        np.array([float(getattr(one, name)) for one in found])
        for name in ("fs_hz", "qms", "qes", "qts", "re_ohm")
    )
    spread = np.array([_spread(one.fit) for one in ordered])
    motor = np.array([_motor(one) for one in found])
    rest_fs = _rest(fs, drive=drive, standard=spread[:, 0] * fs)
    rest_qts = _rest(qts, drive=drive, standard=spread[:, 1] * qts)
    rest_motor = _rest(motor, drive=drive, standard=spread[:, 1] * motor)
    moved = np.maximum(np.abs(fs / rest_fs.value - 1), np.abs(qts / rest_qts.value - 1))
    coil_c = np.array([coil_temperature_c(float(one / re[0]), cold_c=cold_c) for one in re])
    small = drive[: int(np.argmax(moved > _MOVED))] if np.any(moved > _MOVED) else drive
    small_to_v = float(small[-1]) if small.size else 0.0
    return OverDrive(
        drive_v=drive,
        fs_hz=fs,
        qms=qms,
        qes=qes,
        qts=qts,
        re_ohm=re,
        fs_standard_hz=spread[:, 0] * fs,
        qts_standard=spread[:, 1] * qts,
        at_rest=(
            Number(
                value=rest_fs.value, unit="Hz", uncertainty=2 * rest_fs.standard, how=rest_fs.how
            ),
            Number(
                value=rest_qts.value, unit="1", uncertainty=2 * rest_qts.standard, how=rest_qts.how
            ),
        ),
        compliance_ratio=(rest_fs.value / fs) ** 2,
        force_ratio=np.sqrt(motor / rest_motor.value),
        coil_c=coil_c,
        small_to_v=small_to_v,
        reasons=_reasons(drive, fs=fs, rest_hz=rest_fs.value, coil_c=coil_c, small_v=small_to_v),
    )


def compression(level: Curve, *, low: Curve, drive_ratio: float) -> Curve:
    """Tell what a level lacks of what a lower drive's leads to expect.

    Parameters
    ----------
    level, low : Curve
        dB, at the same points: at the drive in question, and at a low one.
    drive_ratio : float
        Drive over low drive, above 0; 1 where both curves are stated for the same voltage.

    Returns
    -------
    Curve, dB; negative where the unit gives less.

    Raises
    ------
    DspError
        Points that differ, or a ratio that is not above 0.
    """
    if level.frequency_hz.shape != low.frequency_hz.shape or not np.allclose(
        level.frequency_hz, low.frequency_hz, rtol=1e-9
    ):
        raise DspError("compression", "points differ", given=level.frequency_hz.size)
    if not drive_ratio > 0:
        raise DspError("compression", "drive_ratio", given=drive_ratio, allowed="above 0")
    both = None
    if level.uncertainty is not None and low.uncertainty is not None:
        both = np.hypot(level.uncertainty, low.uncertainty)
    return Curve(
        frequency_hz=level.frequency_hz,
        value=level.value - low.value - 20 * np.log10(drive_ratio),
        unit="dB",
        valid=level.valid.within(low.valid),
        uncertainty=both,
        how=f"level against that at a drive {20 * np.log10(drive_ratio):.1f} dB lower",
    )


@dataclass(frozen=True, slots=True)
class _Rest:
    value: float
    standard: float
    how: str


def _rest(value: Floats, *, drive: Floats, standard: Floats) -> _Rest:
    # Weighted least squares; what the polynomial does not follow widens the interval.
    x = (drive / drive[-1]) ** 2
    terms = 3 if np.unique(drive).size >= _FOURTH_FROM else 2
    rows = np.vander(x, terms, increasing=True) / standard[:, None]
    found, *_ = np.linalg.lstsq(rows, value / standard, rcond=None)
    covariance = np.linalg.inv(rows.T @ rows)
    freedom = value.size - terms
    left = float(np.sum((value / standard - rows @ found) ** 2))
    widened = max(1.0, left / freedom) if freedom > 0 else 1.0
    powers = "V^2 and V^4" if terms == 3 else "V^2"
    return _Rest(
        float(found[0]),
        float(np.sqrt(covariance[0, 0] * widened)),
        f"{value.size} drives from {drive[0]:.3g} V, led to 0 V by {powers}",
    )


def _spread(fit: LumpedFit) -> Floats:
    # Relative, of fs and of Qts, from noise: Qts = Qms Re / (Re + Res).
    names = fit.circuit.names
    part = fit.value("res_ohm") / (fit.value("re_ohm") + fit.value("res_ohm"))
    slope = np.zeros((2, len(names)))
    slope[0, names.index("fs_hz")] = 1.0
    slope[1, names.index("qms")] = 1.0
    slope[1, names.index("re_ohm")], slope[1, names.index("res_ohm")] = part, -part
    spread: Floats = np.sqrt(np.diag(slope @ fit.covariance @ slope.T))
    return spread


def _motor(found: Resonance) -> float:
    return float(found.fs_hz * found.res_ohm / found.qms)


def _reasons(
    drive: Floats, *, fs: Floats, rest_hz: float, coil_c: Floats, small_v: float
) -> tuple[str, ...]:
    out = []
    if small_v < drive[-1]:
        shift = 100 * (fs[-1] / rest_hz - 1)
        words = "no drive was small" if small_v == 0 else f"small up to {small_v:.3g} V"
        out.append(f"{words}: at {drive[-1]:.3g} V the resonance has moved by {shift:+.2g} %")
    if (rise := float(np.max(coil_c) - coil_c[0])) > _WARM_K:
        out.append(f"the coil warmed by about {rise:.0f} K, as its resistance tells")
    return tuple(out)
