"""A voltage scale from volts that are known and the digital peaks that belong to them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.calibration.budget import BudgetLine, Kind
from dsp.calibration.calibration import Check
from dsp.calibration.sentence import found, minus, small

_FARTHEST_OFF = 0.2  # of what is expected
_NEAR = 0.04  # of a mistake that has a name
_MISTAKES = (
    (math.sqrt(2), "√2 times as much: the peak typed for the rms"),
    (2 * math.sqrt(2), "2√2 times as much: peak to peak typed for the rms"),
    (1 / math.sqrt(2), "1/√2 of it: rms divided by √2 once too often"),
    (2.0, "twice as much: one leg of a balanced line against both"),
    (0.5, "half of it: one leg of a balanced line, or a jack that is loaded"),
    (1000.0, "a thousand times as much: mV typed as V"),
    (0.001, "a thousandth of it: V typed as mV"),
)
_MOST_SPREAD = 0.01  # between readings at several levels


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Volts for one digital unit.

    Attributes
    ----------
    full_scale_v : float
        V peak for digital 1.0: mean of the readings.
    repeatability : BudgetLine or None
        % of it; None for a single reading.
    checks : tuple of Check
        Against what is expected, and of the readings against one another.
    """

    full_scale_v: float
    repeatability: BudgetLine | None
    checks: tuple[Check, ...]


def scale_of(
    volts_rms: Sequence[float], *, peaks: Sequence[float], expected_v: float | None
) -> Scale:
    """Divide volts by digits.

    Parameters
    ----------
    volts_rms : sequence of n floats
        V rms at the jack.
    peaks : sequence of n floats
        Peak of the same sines, full-scale units.
    expected_v : float or None
        V peak for digital 1.0, as the chain states it or as it was last found.

    Returns
    -------
    Scale
    """
    each: Floats = math.sqrt(2) * np.asarray(volts_rms, dtype=np.float64) / np.asarray(peaks)
    mean = float(np.mean(each))
    checks = [] if expected_v is None else [expected_check(mean, expected=expected_v, unit="V")]
    line = None
    if each.size > 1:
        spread = float(np.max(np.abs(each / mean - 1)))
        checks.append(
            Check(
                name="spread",
                passed=spread <= _MOST_SPREAD,
                sentence=found(
                    "readings differ from their mean by up to "
                    f"{small(100 * spread, least=0.001)} %, allowed {100 * _MOST_SPREAD:g} %",
                    passed=spread <= _MOST_SPREAD,
                    otherwise="one was mistyped, or something is not linear",
                ),
            )
        )
        line = repeated(each / mean, unit="%", scale=100.0)
    return Scale(full_scale_v=mean, repeatability=line, checks=tuple(checks))


def expected_check(value: float, *, expected: float, unit: str) -> Check:
    """Hold a scale against what is expected of it, and name the mistake where it has a name.

    Parameters
    ----------
    value, expected : float
        Both in ``unit``.
    unit : str
        For the sentence.

    Returns
    -------
    Check
    """
    ratio = value / expected
    passed = abs(ratio - 1) <= _FARTHEST_OFF
    told = f"found {minus(f'{value:.4g}')} {unit}, expected {minus(f'{expected:.4g}')} {unit}"
    if not passed:
        named = [why for factor, why in _MISTAKES if abs(ratio / factor - 1) <= _NEAR]
        told += f", {named[0]}" if named else f", allowed ±{100 * _FARTHEST_OFF:g} %"
    return Check(name="expected", passed=passed, sentence=told)


def repeated(values: Floats, *, unit: str, scale: float = 1.0) -> BudgetLine:
    """Write the line of a mean of repeated readings.

    Parameters
    ----------
    values : (n,) array
        n from 2.
    unit : str
        Of ``scale`` times a value.
    scale : float
        Factor.

    Returns
    -------
    BudgetLine, n - 1 degrees of freedom (JCGM 100:2008, 4.2.3).
    """
    return BudgetLine(
        source="repeatability",
        kind=Kind.REPEATED,
        standard_uncertainty=float(scale * np.std(values, ddof=1) / math.sqrt(values.size)),
        unit=unit,
        sensitivity=1.0,
        degrees=values.size - 1,
    )


def known(source: str, *, percent: float, of_chain: bool = False) -> BudgetLine:
    """Write the line of something that is known from elsewhere.

    Parameters
    ----------
    source : str
        As people say it.
    percent : float
        %, k = 1.
    of_chain : bool
        Whether it is the uncertainty of another value of the chain.

    Returns
    -------
    BudgetLine
    """
    return BudgetLine(
        source=source,
        kind=Kind.OTHER,
        standard_uncertainty=percent,
        unit="%",
        sensitivity=1.0,
        of_chain=of_chain,
    )
