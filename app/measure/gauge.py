"""How well the gauge tells units apart: a study of repeats, and whether a limit asks too much."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from dsp import DspError, Floats, read_only
from dsp.conformity.mask import MaskLines
from dsp.statistics.crossed_study import CrossedStudy, StudyInterval, crossed_study, study_interval

Rating = Literal["good", "conditional", "unfit"]
GOOD, UNFIT = 0.10, 0.30  # gauge over total, or over tolerance (AIAG, MSA 4th ed. 2010)
_SIGMAS = 6.0  # of the gauge, held against the width between the limits


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GaugeStudy:
    """What a study found; arrays are (n,), one place for a number.

    Attributes
    ----------
    units, operators : tuple of str
        Who was measured; by whom: people, stations or days.
    repeats : int
        Of each unit by each operator.
    by : str
        What the operators are: ``operator``, ``station`` or ``day``.
    frequency_hz : (n,) array or None
        Hz; None for a number.
    study : CrossedStudy
        Place by place.
    interval : StudyInterval
        95 %, place by place.
    """

    units: tuple[str, ...]
    operators: tuple[str, ...]
    repeats: int
    by: str
    frequency_hz: Floats | None
    study: CrossedStudy
    interval: StudyInterval

    @property
    def share(self) -> float:
        """Gauge over total, 0 to 1: the median over frequency; NaN where nothing differs."""
        share = self.study.shares.gauge_share
        known = share[np.isfinite(share)]
        return float(np.median(known)) if known.size else float("nan")

    @property
    def worst_octave(self) -> tuple[float, float] | None:
        """Middle of the octave with the largest median share, Hz, and that share; None: number."""
        if self.frequency_hz is None:
            return None
        share, place = self.study.shares.gauge_share, np.log2(self.frequency_hz)
        worst = (float("nan"), -1.0)
        for middle in np.arange(place[0], place[-1] + 0.5, 0.5):
            near = np.abs(place - middle) <= 0.5
            known = share[near & np.isfinite(share)]
            if known.size and float(np.median(known)) > worst[1]:
                worst = (float(2**middle), float(np.median(known)))
        return worst

    @property
    def rating(self) -> Rating:
        """Good below 10 % of the total, unfit above 30 %."""
        return rating(self.share)

    def deviation_at(self, frequency_hz: Floats) -> Floats:
        """Read the gauge's deviation at other frequencies, (m,); NaN outside those studied."""
        gauge = self.study.shares.gauge
        if self.frequency_hz is None:
            return np.full(frequency_hz.shape, float(gauge[0]))
        read: Floats = np.interp(
            np.log(frequency_hz), np.log(self.frequency_hz), gauge, left=np.nan, right=np.nan
        )
        return read


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GaugeOfLimit:
    """A gauge held against a mask.

    Attributes
    ----------
    share : float
        Six deviations of the gauge over the width between the limits where that is largest; with
        one limit three over its distance from the units' middle. 0 and more.
    at_hz : float or None
        Where; None for a number.
    rating : str
        As of a study.
    remark : str
        A warning in words; empty where the gauge is good enough.
    """

    share: float
    at_hz: float | None
    rating: Rating
    remark: str


def rating(share: float) -> Rating:
    """Rate a gauge by its share of the total, or of a tolerance."""
    if share < GOOD:
        return "good"
    return "conditional" if share <= UNFIT else "unfit"


def gauge_study(
    values: Mapping[tuple[str, str], Sequence[float] | Floats],
    *,
    by: str = "operator",
    frequency_hz: Floats | None = None,
) -> GaugeStudy:
    """Study a gauge by repeats that were made on purpose.

    Parameters
    ----------
    values : mapping of (unit, operator) to (repeats,) or (repeats, n) array
        Every unit by every operator, equally often, twice at least.
    by : str
        What an operator is.
    frequency_hz : (n,) array or None
        Hz, of curves.

    Raises
    ------
    BadInputError
        Units, operators or repeats that are missing.
    """
    units = tuple(dict.fromkeys(unit for unit, _ in values))
    operators = tuple(dict.fromkeys(operator for _, operator in values))
    cells: list[Floats] = []
    for unit in units:
        for operator in operators:
            if (unit, operator) not in values:
                what = f"unit {unit} was not measured by {operator}"
                raise BadInputError("gauge study", what, allowed="every unit by everybody")
            cells.append(np.asarray(values[unit, operator], dtype=np.float64))
    counts = sorted({cell.shape[0] for cell in cells})
    if len(counts) != 1:
        raise BadInputError(
            "gauge study",
            "not everybody repeated equally often",
            given=f"{counts[0]} to {counts[-1]} times" if counts else "nothing",
            allowed="as many repeats of each unit by each operator",
        )
    stack = np.stack(cells)
    stack = stack.reshape(len(units), len(operators), counts[0], -1)
    try:
        study = crossed_study(stack)
    except DspError as error:
        raise BadInputError("gauge study", error.what, given=error.given) from error
    return GaugeStudy(
        units=units,
        operators=operators,
        repeats=counts[0],
        by=by,
        frequency_hz=None if frequency_hz is None else read_only(frequency_hz),
        study=study,
        # The same readings always give the same interval.
        interval=study_interval(study, rng=np.random.default_rng(0)),
    )


def gauge_of_limit(study: GaugeStudy, *, mask: Mask, middle: Floats | None = None) -> GaugeOfLimit:
    """Hold a gauge against the limits that it is used for.

    Parameters
    ----------
    study : GaugeStudy
        In the unit of the mask's quantity.
    mask : Mask
        The limits.
    middle : (n,) array or None
        Where units lie at the study's frequencies, for a mask with one limit; without it such a
        mask has no width to compare with.
    """
    hz = np.ones(1) if study.frequency_hz is None else study.frequency_hz
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    upper, lower = lines.upper_at(hz), lines.lower_at(hz)
    width = upper - lower
    if middle is not None:
        one = np.isfinite(upper) ^ np.isfinite(lower)
        width = np.where(one, 2 * np.fmin(upper - middle, middle - lower), width)
    usable = np.isfinite(width) & (width > 0)
    if not usable.any():
        return GaugeOfLimit(share=float("nan"), at_hz=None, rating="good", remark="")
    share = np.where(usable, _SIGMAS * study.study.shares.gauge / np.where(usable, width, 1.0), 0.0)
    worst = int(np.argmax(share))
    largest = float(share[worst])
    found = rating(largest)
    at_hz = None if study.frequency_hz is None else float(hz[worst])
    where = "" if at_hz is None else f" at {float(f'{at_hz:.3g}'):g} Hz"
    remark = {
        "good": "",
        "conditional": f"six deviations of the gauge take {100 * largest:.0f} % of what the limits "
        f"leave{where}: usable where little depends on it",
        "unfit": f"the gauge is too coarse for this limit: six of its deviations take "
        f"{100 * largest:.0f} % of what the limits leave{where}, 30 % is the most",
    }[found]
    return GaugeOfLimit(share=largest, at_hz=at_hz, rating=found, remark=remark)
