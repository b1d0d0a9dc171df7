"""The lumped model of one unit behind one impedance: chosen, fitted, and what speaks against it."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Complexes, Floats, read_only
from dsp.curve import ValidRange
from dsp.electrical.impedance import Impedance
from dsp.parameters.choose import Candidate, choose
from dsp.parameters.circuit import Circuit, evaluate
from dsp.parameters.classic import Classic, classic
from dsp.parameters.fit_doubts import Doubt, fit_doubts
from dsp.parameters.readings import FEWEST_POINTS, Readings, readings
from dsp.parameters.scatter import scatter
from dsp.parameters.solve import Solved, solve
from dsp.parameters.start import from_peak, with_coil

_STANDS_OUT = 8.0  # times the rest of its neighbours
_LONGEST_RUN, _LARGEST_SHARE = 3, 0.05
_NEIGHBOURS = 12
_CHANCE = 4.0  # standard deviations of a misfit that noise alone may leave


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LumpedFit:
    """A unit's lumped model.

    Attributes
    ----------
    circuit : Circuit
        The one that the data ask for.
    vector : (k,) array
        Its parameters, see ``Circuit.vector``.
    covariance : (k, k) array
        Of the vector, from noise; where the circuit leaves more than noise explains, scaled up by
        ``misfit_per_freedom``.
    common : (2, k) array
        What one standard deviation of the chain's magnitude, and of its phase, does to the vector:
        the same in every take through the same chain.
    data : Readings
        The points that it stands on.
    residual : (m,) complex array
        ln(measured / modelled): relative error of the magnitude, and of the phase in rad.
    misfit_per_freedom : float
        About 1 where noise explains the residual.
    candidates : tuple of Candidate
        All circuits that were tried, best first.
    classic : Classic
        What the peak tells without a fit.
    aside_hz : (a,) array
        Hz, points that were left out because they stand out of their neighbours: hum, knocks.
    doubts : tuple of Doubt
        What speaks against figures that follow.
    """

    circuit: Circuit
    vector: Floats
    covariance: Floats
    common: Floats
    data: Readings
    residual: Complexes
    misfit_per_freedom: float
    candidates: tuple[Candidate, ...]
    classic: Classic
    aside_hz: Floats
    doubts: tuple[Doubt, ...]

    def __post_init__(self) -> None:
        for name in ("vector", "covariance", "common", "residual", "aside_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def value(self, name: str) -> float:
        """Read one parameter of the circuit.

        Parameters
        ----------
        name : str
            One of ``circuit.names``.

        Returns
        -------
        float, in the unit that the name says.
        """
        return self.circuit.value(self.vector, name=name)

    def impedance(self, frequency_hz: Floats) -> Complexes:
        """Compute the model's impedance.

        Parameters
        ----------
        frequency_hz : (n,) array
            Hz, above 0.

        Returns
        -------
        (n,) complex array, ohm.
        """
        found = evaluate(self.circuit, vector=self.vector, frequency_hz=frequency_hz)
        return found.impedance


def fit_lumped(
    found: Impedance,
    *,
    valid: ValidRange | None = None,
    independent: Floats | None = None,
    least_relative: float = 0.0,
    most_bumps: int = 2,
) -> LumpedFit:
    """Fit the lumped model to an impedance.

    The chain's common error is no part of the residual: it moves the result as a whole, and is
    carried beside the noise (``LumpedFit.common``).

    Parameters
    ----------
    found : Impedance
        As measured, in any number of points from twelve.
    valid : ValidRange or None
        Where it may be believed.
    independent : (m,) array or None
        How much of each point's noise is its own, see ``own_noise``.
    least_relative : float
        Added in squares to each point's relative noise: what the way of measuring leaves.
    most_bumps : int
        How many resonances beside the main one may be modelled, 0 up.

    Returns
    -------
    LumpedFit

    Raises
    ------
    DspError
        Too few points, or no peak inside the span.
    """
    whole = readings(found, valid=valid, independent=independent, least_relative=least_relative)
    rough = classic(whole)
    look = _look(whole, rough=rough)
    stays = _undisturbed(look)
    data = whole if np.all(stays) else whole.keep(stays)
    choice = choose(data, look=look, most_bumps=most_bumps)
    solved = choice.solved
    freedom = max(2 * float(np.sum(data.independent)) - solved.vector.size, 1.0)
    per_freedom = solved.misfit / freedom
    beyond_chance = per_freedom > 1 + _CHANCE * np.sqrt(2 / freedom)
    errors = scatter(solved, data=data)
    covariance = errors.covariance * (per_freedom if beyond_chance else 1.0)
    residual = solved.residual * data.spread
    return LumpedFit(
        circuit=solved.circuit,
        vector=solved.vector,
        covariance=covariance,
        common=errors.common,
        data=data,
        residual=residual,
        misfit_per_freedom=per_freedom,
        candidates=choice.candidates,
        classic=rough,
        aside_hz=whole.frequency_hz[~stays],
        doubts=fit_doubts(
            solved,
            covariance=covariance,
            data=data,
            rough=rough,
            residual=residual,
            misfit_per_freedom=per_freedom if beyond_chance else 1.0,
        ),
    )


def _look(data: Readings, *, rough: Classic) -> Solved:
    first = Circuit(inductance="one pair")
    start = with_coil(first, known=from_peak(rough), data=data)
    return solve(first, start=start, data=data, robust=True)


def _undisturbed(look: Solved) -> Bools:
    # Points that stand out alone are hum and knocks; a resonance not modelled is a long run.
    size = np.abs(look.residual)
    out = size > _STANDS_OUT
    out[out] = size[out] > _STANDS_OUT * _local_median(size, at=out)
    steps = np.diff(np.concatenate([[0], out.astype(np.int8), [0]]))
    for begin, end in zip(np.flatnonzero(steps > 0), np.flatnonzero(steps < 0), strict=True):
        if end - begin > _LONGEST_RUN:
            out[begin:end] = False
    count = int(np.count_nonzero(out))
    if count > _LARGEST_SHARE * size.size or size.size - count < FEWEST_POINTS:
        return np.ones(size.shape, dtype=np.bool_)
    stays: Bools = ~out
    return stays


def _local_median(size: Floats, *, at: Bools) -> Floats:
    width = min(_NEIGHBOURS, size.size // 2)
    padded = np.pad(size, width, mode="reflect")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * width + 1)
    median: Floats = np.median(windows[at], axis=1)
    return median
