"""A gauge study: units measured by several operators, several times each, taken apart by ANOVA.

Crossed design, balanced (AIAG, Measurement Systems Analysis, 4th ed. 2010, chapter III;
NIST/SEMATECH e-Handbook of Statistical Methods, 3.2.3.3). An operator may be a station or a day.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import fdtrc

from dsp.arrays import Bools, Floats, Ints, read_only
from dsp.errors import DspError

POOL_ABOVE = 0.25  # probability above which an interaction is taken for chance
_CATEGORIES = 1.41  # as the manual rounds the square root of 2


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SumsOfSquares:
    """In the square of the values' unit, (...) each."""

    operator: Floats
    part: Floats
    interaction: Floats
    repeat: Floats
    total: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shares:
    """Standard deviations of what makes readings differ, (...) each, in the values' unit.

    Attributes
    ----------
    repeatability : (...) array
        From one repeat to the next.
    reproducibility : (...) array
        From one operator to the next.
    interaction : (...) array
        From operators who differ on some units only; 0 where it was taken for chance.
    part : (...) array
        From one unit to the next.
    """

    repeatability: Floats
    reproducibility: Floats
    interaction: Floats
    part: Floats

    @property
    def gauge(self) -> Floats:
        """All but the units: repeatability and reproducibility together."""
        found: Floats = np.sqrt(
            self.repeatability**2 + self.reproducibility**2 + self.interaction**2
        )
        return found

    @property
    def total(self) -> Floats:
        """Everything together."""
        found: Floats = np.hypot(self.gauge, self.part)
        return found

    @property
    def gauge_share(self) -> Floats:
        """Gauge over total, 0 to 1; NaN where nothing differs."""
        with np.errstate(invalid="ignore", divide="ignore"):
            found: Floats = np.asarray(self.gauge / self.total)
        return found


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CrossedStudy:
    """What a study found; arrays have the shape of one reading, (...).

    Attributes
    ----------
    parts, operators, repeats : int
        The design.
    squares : SumsOfSquares
        What readings differ by.
    interaction_f, interaction_p : (...) array
        F of the interaction, and how likely chance gives as much; NaN of a single operator.
    pooled : (...) bool array
        Whether the interaction was taken for chance and added to the repeats.
    shares : Shares
        The answer.
    """

    parts: int
    operators: int
    repeats: int
    squares: SumsOfSquares
    interaction_f: Floats
    interaction_p: Floats
    pooled: Bools
    shares: Shares

    @property
    def categories(self) -> Ints:
        """How many kinds of units the gauge tells apart, cut to a whole number; 0 to 999."""
        with np.errstate(invalid="ignore", divide="ignore"):
            ratio = np.asarray(_CATEGORIES * self.shares.part / self.shares.gauge)
        found: Ints = np.clip(np.nan_to_num(ratio, posinf=999.0), 0, 999).astype(np.int64)
        return found


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class StudyInterval:
    """Between what the gauge lies, (...) each: its deviation, and its share of the total."""

    gauge_low: Floats
    gauge_high: Floats
    share_low: Floats
    share_high: Floats
    confidence: float


def crossed_study(values: Floats, *, pool_above: float = POOL_ABOVE) -> CrossedStudy:
    """Take a crossed study apart.

    Parameters
    ----------
    values : (parts, operators, repeats, ...) array
        Readings in any unit, all finite; two parts and two repeats at least. What follows the
        third axis is taken place by place.
    pool_above : float
        0 never pools, 1 always does but where the interaction is sure.

    Returns
    -------
    CrossedStudy; a negative share of the variance is 0. With one operator there is no
    reproducibility.

    Raises
    ------
    DspError
        Too small, or readings missing.
    """
    values = np.asarray(values, dtype=np.float64)
    if values.ndim < 3 or min(values.shape[0], values.shape[2]) < 2 or not values.shape[1]:
        allowed = "two parts, one operator, two repeats"
        raise DspError("crossed_study", "too small", given=values.shape[:3], allowed=allowed)
    if not np.isfinite(values).all():
        raise DspError("crossed_study", "readings missing")
    squares = _squares(values)
    parts, operators, repeats = values.shape[:3]
    freedom = _freedom(parts, operators, repeats)
    alone = operators == 1
    with np.errstate(invalid="ignore", divide="ignore"):
        f = (squares.interaction / max(1, freedom.interaction)) / (squares.repeat / freedom.repeat)
        p = np.asarray(fdtrc(max(1, freedom.interaction), freedom.repeat, f))
    p = np.full(p.shape, np.nan) if alone else p
    pooled = np.asarray(np.ones(p.shape, dtype=np.bool_) if alone else ~(p <= pool_above))
    return CrossedStudy(
        parts=parts,
        operators=operators,
        repeats=repeats,
        squares=squares,
        interaction_f=read_only(np.full(p.shape, np.nan) if alone else np.asarray(f)),
        interaction_p=read_only(p),
        pooled=read_only(pooled),
        shares=_shares(squares, freedom=freedom, design=(parts, operators, repeats), pooled=pooled),
    )


def study_interval(
    study: CrossedStudy,
    *,
    rng: np.random.Generator,
    confidence: float = 0.95,
    draws: int = 2000,
) -> StudyInterval:
    """Find how sure a study is of the gauge.

    Parameters
    ----------
    study : CrossedStudy
        Of a balanced design.
    rng : numpy.random.Generator
        Where the draws come from.
    confidence : float
        Between 0 and 1.
    draws : int
        From 100; 2000 move an end by about a fiftieth of the interval.

    Returns
    -------
    StudyInterval

    Raises
    ------
    DspError
        Confidence outside, or too few draws.

    Notes
    -----
    Each mean square is its expectation times chi squared over its degrees of freedom; drawn the
    other way round that gives what the expectations may be (generalized intervals: M. Hamada,
    S. Weerahandi, Journal of Quality Technology 32 (2000) 241). Few operators make them wide, and
    rightly so.
    """
    if not 0 < confidence < 1 or draws < 100:
        raise DspError("study_interval", "outside", given=(confidence, draws))
    design = (study.parts, study.operators, study.repeats)
    freedom = _freedom(*design)
    own = study.squares

    def drawn(square: Floats, count: int) -> Floats:
        if not count:
            return np.zeros((draws, *square.shape))
        chi = rng.chisquare(count, size=(draws, *([1] * square.ndim)))
        expected: Floats = square * count / chi
        return expected

    pooled = drawn(own.interaction + own.repeat, freedom.interaction + freedom.repeat)
    both = freedom.interaction + freedom.repeat
    squares = SumsOfSquares(
        operator=drawn(own.operator, freedom.operator),
        part=drawn(own.part, freedom.part),
        interaction=np.where(
            study.pooled,
            pooled * freedom.interaction / both,
            drawn(own.interaction, freedom.interaction),
        ),
        repeat=np.where(
            study.pooled, pooled * freedom.repeat / both, drawn(own.repeat, freedom.repeat)
        ),
        total=own.total,
    )
    shares = _shares(squares, freedom=freedom, design=design, pooled=study.pooled)
    ends = [(1 - confidence) / 2, (1 + confidence) / 2]
    gauge_low, gauge_high = np.quantile(shares.gauge, ends, axis=0)
    share_low, share_high = np.quantile(np.nan_to_num(shares.gauge_share), ends, axis=0)
    return StudyInterval(
        gauge_low=gauge_low,
        gauge_high=gauge_high,
        share_low=share_low,
        share_high=share_high,
        confidence=confidence,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Freedom:
    operator: int
    part: int
    interaction: int
    repeat: int


def _freedom(parts: int, operators: int, repeats: int) -> _Freedom:
    return _Freedom(
        operator=operators - 1,
        part=parts - 1,
        interaction=(parts - 1) * (operators - 1),
        repeat=parts * operators * (repeats - 1),
    )


def _squares(values: Floats) -> SumsOfSquares:
    parts, operators, repeats = values.shape[:3]
    mean = values.mean(axis=(0, 1, 2))
    of_part, of_operator = values.mean(axis=(1, 2)), values.mean(axis=(0, 2))
    of_cell = values.mean(axis=2)
    apart = of_cell - of_part[:, np.newaxis] - of_operator[np.newaxis] + mean

    def total(away: Floats, axes: tuple[int, ...]) -> Floats:
        found: Floats = np.asarray(np.sum(away**2, axis=axes))
        return found

    return SumsOfSquares(
        operator=parts * repeats * total(of_operator - mean, (0,)),
        part=operators * repeats * total(of_part - mean, (0,)),
        interaction=repeats * total(apart, (0, 1)),
        repeat=total(values - of_cell[:, :, np.newaxis], (0, 1, 2)),
        total=total(values - mean, (0, 1, 2)),
    )


def _shares(
    squares: SumsOfSquares, *, freedom: _Freedom, design: tuple[int, int, int], pooled: Bools
) -> Shares:
    parts, operators, repeats = design
    repeat = squares.repeat / freedom.repeat
    together = (squares.interaction + squares.repeat) / (freedom.interaction + freedom.repeat)
    interaction = squares.interaction / max(1, freedom.interaction)
    # What operators and parts are compared with: all that differs without them.
    error = np.where(pooled, together, repeat)
    against = np.where(pooled, together, interaction)

    def deviation(variance: Floats) -> Floats:
        return read_only(np.asarray(np.sqrt(np.maximum(variance, 0.0))))

    operator = squares.operator / max(1, freedom.operator)
    return Shares(
        repeatability=deviation(error),
        reproducibility=deviation(
            (operator - against) / (parts * repeats) * (1.0 if freedom.operator else 0.0)
        ),
        interaction=deviation(np.where(pooled, 0.0, (interaction - repeat) / repeats)),
        part=deviation((squares.part / freedom.part - against) / (operators * repeats)),
    )
