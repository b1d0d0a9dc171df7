"""Which unit of a lot lies nearest to its middle: the one to compare others with."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.errors import BadInputError
from app.measure.trial import Trial
from dsp import Bools, Floats
from dsp.statistics.centre import centre

FEWEST = 5  # units whose middle says something


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """One unit.

    Attributes
    ----------
    unit : int
        Its place in the trial.
    serial : str
        Its own.
    distance : float
        How far from the middle it lies on the whole: root mean square over everything measured,
        in deviations of the lot; an ordinary unit has 1.
    worst, worst_hz : str, float or None
        The quantity that lies farthest off, and where; None for a number.
    worst_distance : float
        There, in deviations of the lot, with its sign.
    """

    unit: int
    serial: str
    distance: float
    worst: str
    worst_hz: float | None
    worst_distance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceChoice:
    """Units of a trial, the nearest to the middle first.

    Attributes
    ----------
    ranking : tuple of Ranked
        Only units that may stand for the others: judged, and not found bad.
    quantities : tuple of str
        What was looked at.
    """

    ranking: tuple[Ranked, ...]
    quantities: tuple[str, ...]

    @property
    def best(self) -> Ranked:
        """The nearest."""
        return self.ranking[0]


def choose_reference(trial: Trial) -> ReferenceChoice:
    """Rank the units of a trial by how near they lie to the middle of all.

    Middle and deviation are median and 1.4826 times the median distance from it, so that bad units
    among them do not pull; each quantity counts alike, whatever its number of points.

    Raises
    ------
    BadInputError
        Fewer than five units, or nothing measured that all of them have.
    """
    allowed = ~(trial.bad | trial.barred)
    if allowed.sum() < FEWEST:
        raise BadInputError(
            "reference unit",
            "too few units that were not found bad",
            given=int(allowed.sum()),
            allowed=f"from {FEWEST}",
        )
    away = {**_curves(trial, allowed), **_numbers(trial, allowed)}
    complete = {name: one for name, one in away.items() if np.isfinite(one.square[allowed]).all()}
    # What a few units lack tells nothing of them; it is left out unless nothing else is there.
    if not complete:
        raise BadInputError("reference unit", "nothing was measured of all units")
    total = np.sqrt(np.mean([one.square for one in complete.values()], axis=0))
    order = [int(unit) for unit in np.argsort(total, kind="stable") if allowed[unit]]
    return ReferenceChoice(
        ranking=tuple(_ranked(trial, unit, total=total, away=complete) for unit in order),
        quantities=tuple(complete),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Away:
    """Mean square distance of every unit in one quantity, (units,), and where it is worst."""

    square: Floats
    worst: Floats
    worst_hz: Floats | None


def _ranked(trial: Trial, unit: int, *, total: Floats, away: Mapping[str, _Away]) -> Ranked:
    worst = max(away, key=lambda name: abs(float(away[name].worst[unit])))
    hz = away[worst].worst_hz
    return Ranked(
        unit=unit,
        serial=trial.units[unit].serial,
        distance=float(total[unit]),
        worst=worst,
        worst_hz=None if hz is None else float(hz[unit]),
        worst_distance=float(away[worst].worst[unit]),
    )


def _curves(trial: Trial, allowed: Bools) -> dict[str, _Away]:
    found = {}
    for name, sets in trial.sets.items():
        if not sets:
            continue
        most = max(sets, key=lambda one: one.curves.members.size)
        members, hz = most.curves.members, most.curves.frequency_hz
        ours = allowed[members]
        if not ours.any():
            continue
        # Where every unit holds; a bound is no value.
        inside = (hz >= most.low_hz[ours].max()) & (hz <= most.high_hz[ours].min())
        value = most.own.measured[:, inside]
        z = _standard(value, value[ours])
        known = np.isfinite(z).any(axis=1)
        if not known.any():
            continue
        unit_square, worst = np.full(trial.size, np.nan), np.full(trial.size, np.nan)
        worst_hz = np.full(trial.size, np.nan)
        place = np.argmax(np.where(np.isfinite(z), np.abs(z), -1.0), axis=1)
        rows = np.arange(place.size)
        unit_square[members[known]] = np.nanmean(z[known] ** 2, axis=1)
        worst[members] = z[rows, place]
        worst_hz[members] = hz[inside][place]
        found[name] = _Away(square=unit_square, worst=worst, worst_hz=worst_hz)
    return found


def _numbers(trial: Trial, allowed: Bools) -> dict[str, _Away]:
    found = {}
    for name, numbers in trial.numbers.items():
        value = np.array(
            [one.value if one is not None and one.trusted else np.nan for one in numbers]
        )
        z = _standard(value[:, np.newaxis], value[allowed, np.newaxis])[:, 0]
        if np.isfinite(z).any():
            found[name] = _Away(square=z**2, worst=z, worst_hz=None)
    return found


def _standard(value: Floats, among: Floats) -> Floats:
    """Return how many deviations of the lot each value lies from its middle; NaN without any."""
    middle = centre(among, robust=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        away: Floats = (value - middle.middle) / np.where(
            middle.deviation > 0, middle.deviation, np.nan
        )
    return away
