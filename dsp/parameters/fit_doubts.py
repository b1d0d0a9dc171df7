"""What a fit cannot tell, and why: one plain sentence for each, with the figures it concerns."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.parameters.classic import Classic
from dsp.parameters.readings import Readings
from dsp.parameters.solve import Solved

RESONANCE = ("fs_hz", "qms", "qes", "qts")
COIL = ("le_mh",)
_SECOND_PEAK, _NEAR = 0.25, 6.0  # of the main one's rise; times its frequency, either way
_FEW_IN_PEAK = 5
_LOOSE = 0.1  # relative standard uncertainty
_BENT, _BAD_FIT = 4e-4, 0.02  # relative, about the resonance
_BEYOND_CHANCE = 4.0  # standard deviations
# Of fs against the bend: 2.3 to 2.5 for the unit in software, swept with 0.35 V to 2 V.
_SHIFT_OF_BEND = 2.4
_COIL_FROM = 5.0  # times the resonance: below, inductance is not seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing that speaks against figures.

    Attributes
    ----------
    reason : str
        One sentence, no stop.
    about : tuple of str
        Which figures are not to be trusted for it; none where it is only to be known.
    everything : bool
        All figures, and all that follow from them.
    """

    reason: str
    about: tuple[str, ...] = ()
    everything: bool = False

    def concerns(self, name: str) -> bool:
        """Tell whether a figure is not to be trusted for it.

        Parameters
        ----------
        name : str
            For example ``qts``.

        Returns
        -------
        bool
        """
        return self.everything or name in self.about


def fit_doubts(
    solved: Solved,
    *,
    covariance: Floats,
    data: Readings,
    rough: Classic,
    residual: Complexes,
    misfit_per_freedom: float,
) -> tuple[Doubt, ...]:
    """Collect what speaks against a fit.

    Parameters
    ----------
    solved : Solved
        The fit.
    covariance : (k, k) array
        Of its vector, as reported.
    data : Readings
        What it stands on.
    rough : Classic
        Peak and further peaks.
    residual : (m,) complex array
        Relative.
    misfit_per_freedom : float
        1 where noise explains the residual.

    Returns
    -------
    tuple of Doubt
    """
    return (
        *_span(solved, data=data, rough=rough),
        *_second_peak(rough),
        *_rest(data, rough=rough, residual=residual, misfit_per_freedom=misfit_per_freedom),
        *_loose(solved, covariance=covariance),
    )


def _span(solved: Solved, *, data: Readings, rough: Classic) -> list[Doubt]:
    low, high = float(data.frequency_hz[0]), float(data.frequency_hz[-1])
    fs = solved.circuit.value(solved.vector, name="fs_hz")
    peak = (data.frequency_hz > rough.f1_hz) & (data.frequency_hz < rough.f2_hz)
    flanks = f"its flanks are at {rough.f1_hz:.4g} Hz and {rough.f2_hz:.4g} Hz"
    out = []
    if low > rough.f1_hz:
        words = f"the span begins at {low:.4g} Hz, on the peak: {flanks}"
        out.append(Doubt(reason=words, about=("re_ohm", *RESONANCE)))
    if high < rough.f2_hz:
        words = f"the span ends at {high:.4g} Hz, on the peak: {flanks}"
        out.append(Doubt(reason=words, about=("re_ohm", *RESONANCE)))
    if (inside := int(np.count_nonzero(peak))) < _FEW_IN_PEAK:
        words = f"only {inside} points lie on the peak: {flanks}"
        out.append(Doubt(reason=words, about=RESONANCE))
    if high < _COIL_FROM * fs:
        words = f"the span ends at {high:.4g} Hz, too near to the resonance to tell the inductance"
        out.append(Doubt(reason=words, about=COIL))
    return out


def _second_peak(rough: Classic) -> list[Doubt]:
    near = [
        peak
        for peak in rough.others
        if peak.rise > _SECOND_PEAK * rough.peak.rise and 1 / _NEAR < peak.hz / rough.fs_hz < _NEAR
    ]
    if not near:
        return []
    words = (
        f"a second peak at {near[0].hz:.4g} Hz beside that at {rough.fs_hz:.4g} Hz: "
        "one resonance does not describe it, as where the unit stands in a vented box"
    )
    return [Doubt(reason=words, everything=True)]


def _rest(
    data: Readings, *, rough: Classic, residual: Complexes, misfit_per_freedom: float
) -> list[Doubt]:
    near = (data.frequency_hz > rough.fs_hz / 2) & (data.frequency_hz < 2 * rough.fs_hz)
    bend = _smooth_part(residual[near])
    if bend > _BAD_FIT:
        words = (
            f"the circuit misses the measured curve around the resonance by {100 * bend:.1f} %: "
            "the level is far too high, or something rattles or leaks"
        )
        return [Doubt(reason=words, everything=True)]
    out = []
    if bend > _BENT:
        words = (
            f"the curve is bent by {100 * bend:.2g} % around the resonance, as by too high a "
            f"level: fs may be {100 * _SHIFT_OF_BEND * bend:.1g} % off its small-signal value"
        )
        out.append(Doubt(reason=words))
    if misfit_per_freedom > 2:
        worst = data.frequency_hz[int(np.argmax(np.abs(residual) / data.spread))]
        words = (
            f"the circuit leaves {misfit_per_freedom**0.5:.1f} times what noise explains, most at "
            f"{worst:.4g} Hz; the intervals are widened by as much"
        )
        out.append(Doubt(reason=words))
    return out


def _smooth_part(residual: Complexes) -> float:
    # Rms of what neighbours have in common: noise of their own cancels in the product.
    if residual.size < _FEW_IN_PEAK:
        return 0.0
    common = float(np.mean((residual[1:] * residual[:-1].conj()).real))
    chance = float(np.mean(np.abs(residual) ** 2)) / residual.size**0.5
    return common**0.5 if common > _BEYOND_CHANCE * chance else 0.0


def _loose(solved: Solved, *, covariance: Floats) -> list[Doubt]:
    spread = np.sqrt(np.diag(covariance))
    out = []
    for name, figures in (
        ("re_ohm", ("re_ohm", "qes", "qts")),
        ("fs_hz", RESONANCE),
        ("qms", ("qms",)),
    ):
        if (loose := float(spread[solved.circuit.names.index(name)])) > _LOOSE:
            words = f"the data leave {name.split('_')[0]} open by {100 * loose:.0f} %"
            out.append(Doubt(reason=words, about=figures))
    return out
