"""How many units a limit sorts wrongly, from how units differ and how well they are measured."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from dsp.arrays import Floats, read_only
from dsp.errors import DspError

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_FAR = 9.0  # standard deviations beyond which a normal distribution holds nothing: 1e-19


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GlobalRisk:
    """Shares of all units, each an array of the shape that was asked, 0 to 1.

    Attributes
    ----------
    consumer : (...) array
        Bad and accepted.
    producer : (...) array
        Good and not accepted.
    bad : (...) array
        Bad, whether accepted or not.
    accepted : (...) array
        Accepted, whether good or not.
    """

    consumer: Floats
    producer: Floats
    bad: Floats
    accepted: Floats


def global_risk(
    *,
    middle: Floats | float,
    deviation: Floats | float,
    standard_uncertainty: Floats | float,
    upper: Floats | float = np.inf,
    lower: Floats | float = -np.inf,
    accept_upper: Floats | float | None = None,
    accept_lower: Floats | float | None = None,
) -> GlobalRisk:
    """Find consumer's and producer's risk of a decision rule before anything is measured.

    Parameters
    ----------
    middle, deviation : (...) array or float
        Of the true values of the production, taken to be normal; deviation above 0.
    standard_uncertainty : (...) array or float
        Of one measurement, same unit, k = 1, above 0; its error normal and independent.
    upper, lower : (...) array or float
        What is good lies between; infinite where there is no limit.
    accept_upper, accept_lower : (...) array or float or None
        What is accepted reads between; None: the limits themselves, without a guard band. An
        upper one below the lower accepts nothing.

    Returns
    -------
    GlobalRisk. Both risks are shares of all units, not of those accepted or rejected
    (JCGM 106:2012, 9.5.2 and 9.5.3).

    Raises
    ------
    DspError
        A deviation or an uncertainty that is not above 0.

    Notes
    -----
    The product of both normal densities is integrated by Gauss-Legendre over the stretch of nine
    standard uncertainties on either side of each acceptance limit; beyond it a reading is as good
    as certain, and a difference of normal distributions says the rest.
    """
    given = (
        middle,
        deviation,
        standard_uncertainty,
        upper,
        lower,
        upper if accept_upper is None else accept_upper,
        lower if accept_lower is None else accept_lower,
    )
    mean, sd, u, top, low, a_top, a_low = np.broadcast_arrays(
        *(np.asarray(one, dtype=np.float64) for one in given)
    )
    if not (np.all(sd > 0) and np.all(u > 0)):
        raise DspError("global_risk", "no spread", given=(deviation, standard_uncertainty))
    # In deviations from the middle the production is a standard normal one.
    top, low = (top - mean) / sd, (low - mean) / sd
    a_top, a_low, u = (a_top - mean) / sd, (a_low - mean) / sd, u / sd
    none = np.full(mean.shape, np.inf)

    def accepted(start: Floats, stop: Floats) -> Floats:
        out = _above(a_top, start, stop, u=u) + _above(-a_low, -stop, -start, u=u)
        inside: Floats = ndtr(stop) - ndtr(start) - out
        return np.maximum(inside, 0.0)  # limits that cross accept nothing

    good = ndtr(top) - ndtr(low)
    good_accepted = accepted(low, top)
    bad_accepted = accepted(-none, low) + accepted(top, none)
    return GlobalRisk(
        consumer=_closed(bad_accepted),
        producer=_closed(np.maximum(good - good_accepted, 0.0)),
        bad=_closed(ndtr(low) + ndtr(-top)),
        accepted=_closed(good_accepted + bad_accepted),
    )


def _closed(found: Floats) -> Floats:
    return read_only(np.asarray(found))  # of floats numpy makes scalars, which have no flags


def _above(limit: Floats, start: Floats, stop: Floats, *, u: Floats) -> Floats:
    # Share of a standard normal between start and stop that reads above a limit.
    unsure_from = np.clip(np.clip(limit - _FAR * u, start, stop), -_FAR, _FAR)
    unsure_to = np.clip(np.clip(limit + _FAR * u, start, stop), -_FAR, _FAR)
    half = (unsure_to - unsure_from)[..., np.newaxis] / 2
    at = unsure_from[..., np.newaxis] + half * (1 + _NODES)
    with np.errstate(invalid="ignore"):  # no limit: nothing reads above it
        reads = ndtr((at - limit[..., np.newaxis]) / u[..., np.newaxis])
    reads = np.where(np.isposinf(limit)[..., np.newaxis], 0.0, reads)
    density = np.exp(-(at**2) / 2) / np.sqrt(2 * np.pi)
    unsure = np.sum(_WEIGHTS * reads * density, axis=-1) * half[..., 0]
    surely = np.maximum(ndtr(stop) - ndtr(np.clip(limit + _FAR * u, start, stop)), 0.0)
    found: Floats = unsure + surely
    return found
