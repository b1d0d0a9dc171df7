"""Figures that follow from fits and from known inputs, with how sure they are and hang together.

Each rule is a plain function of all inputs; its derivatives are taken by a complex step, which is
exact to rounding (W. Squire, G. Trapp, SIAM Rev. 40 (1998) 110), and the same function answers for
thousands of draws (JCGM 101:2008).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.number import Number
from dsp.parameters.fit_doubts import Doubt

UNITS: Mapping[str, str] = {
    "re_ohm": "ohm",
    "res_ohm": "ohm",
    "fs_hz": "Hz",
    "qms": "1",
    "qes": "1",
    "qts": "1",
    "le_mh": "mH",
    "mms_g": "g",
    "mmd_g": "g",
    "cms_mm_per_n": "mm/N",
    "rms_kg_per_s": "kg/s",
    "bl_tm": "T m",
    "sd_cm2": "cm2",
    "vas_l": "l",
    "eta0_percent": "%",
    "reference_1w_db": "dB re 20 µPa",
    "reference_2v83_db": "dB re 20 µPa",
}
_STEP = 1e-30

# From (n,) or (n, draws) inputs to (m,) or (m, draws) figures; analytic in each input.
Rule = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Inputs:
    """What figures follow from: a mean, (n,), and its covariance, (n, n)."""

    mean: Floats
    covariance: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "mean", read_only(self.mean))
        object.__setattr__(self, "covariance", read_only(self.covariance))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spread:
    """What draws of the inputs made of the figures.

    Attributes
    ----------
    names : tuple of str
        As in the estimates.
    low, median, high : (m,) array
        2.5 %, 50 % and 97.5 % of the draws: an interval that need not be symmetric.
    """

    names: tuple[str, ...]
    low: Floats
    median: Floats
    high: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Estimates:
    """Figures of one unit.

    Attributes
    ----------
    names : tuple of str
        m of them, keys of ``UNITS``.
    value : (m,) array
        Each in its unit.
    covariance : (m, m) array
        First order (JCGM 102:2011).
    how : tuple of str
        One line for each figure.
    doubts : tuple of Doubt
        What speaks against figures.
    inputs, rule : Inputs, callable
        What they follow from, and how.
    """

    names: tuple[str, ...]
    value: Floats
    covariance: Floats
    how: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    inputs: Inputs
    rule: Rule

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", read_only(self.value))
        object.__setattr__(self, "covariance", read_only(self.covariance))

    @property
    def standard(self) -> Floats:
        """Standard uncertainties, (m,)."""
        spread: Floats = np.sqrt(np.diag(self.covariance))
        return spread

    @property
    def correlation(self) -> Floats:
        """Correlation coefficients, (m, m); 0 beside a figure that is exact."""
        size = np.where(self.standard > 0, self.standard, np.inf)
        table: Floats = self.covariance / np.outer(size, size)
        np.fill_diagonal(table, 1.0)
        return table

    def number(self, name: str) -> Number:
        """Show one figure.

        Parameters
        ----------
        name : str
            One of ``names``.

        Returns
        -------
        Number, uncertainty expanded, k = 2; with a reason where something speaks against it.

        Raises
        ------
        DspError
            No such figure.
        """
        if name not in self.names:
            raise DspError("estimates", "no such figure", given=name, allowed=", ".join(self.names))
        at = self.names.index(name)
        against = [doubt.reason for doubt in self.doubts if doubt.concerns(name)]
        return Number(
            value=float(self.value[at]),
            unit=UNITS[name],
            uncertainty=2 * float(self.standard[at]),
            how=self.how[at],
            reason="; ".join(against),
        )

    def numbers(self) -> dict[str, Number]:
        """Show all figures.

        Returns
        -------
        dict of Number by name.
        """
        return {name: self.number(name) for name in self.names}

    def simulate(self, *, draws: int, chance: np.random.Generator) -> Spread:
        """Propagate whole distributions instead of slopes (JCGM 101:2008).

        Parameters
        ----------
        draws : int
            How many, from 100; 10 000 give the ends of an interval to about 2 % of its width.
        chance : Generator
            Draws the inputs, jointly normal.

        Returns
        -------
        Spread

        Raises
        ------
        DspError
            Too few draws.
        """
        if draws < 100:
            raise DspError("estimates", "too few draws", given=draws, allowed="from 100")
        drawn = chance.multivariate_normal(
            self.inputs.mean, self.inputs.covariance, size=draws, method="eigh"
        )
        figures = self.rule(drawn.T)
        low, median, high = np.percentile(figures, (2.5, 50, 97.5), axis=1)
        return Spread(names=self.names, low=low, median=median, high=high)


def estimates(
    rule: Rule,
    *,
    names: tuple[str, ...],
    inputs: Inputs,
    how: tuple[str, ...],
    doubts: tuple[Doubt, ...] = (),
) -> Estimates:
    """Carry inputs through a rule.

    Parameters
    ----------
    rule : callable
        See ``Rule``.
    names : tuple of str
        What it gives, in order.
    inputs : Inputs
        What it takes.
    how : tuple of str
        One line for each figure.
    doubts : tuple of Doubt
        What speaks against figures.

    Returns
    -------
    Estimates
    """
    slope = slopes(rule, at=inputs.mean)
    covariance = slope @ inputs.covariance @ slope.T
    return Estimates(
        names=names,
        value=rule(inputs.mean),
        covariance=(covariance + covariance.T) / 2,  # rounding is not symmetric
        how=how,
        doubts=doubts,
        inputs=inputs,
        rule=rule,
    )


def slopes(rule: Rule, *, at: Floats) -> Floats:
    """Differentiate a rule by each of its inputs.

    Parameters
    ----------
    rule : callable
        See ``Rule``.
    at : (n,) array
        Where.

    Returns
    -------
    (m, n) array, exact to rounding.
    """
    turned = at[:, None] + 1j * _STEP * np.eye(at.size)
    slope: Floats = rule(turned).imag / _STEP  # a rule is analytic: it takes complex numbers, too
    return slope
