"""Whether a station stays what it was: the takes of a reference unit, day after day."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from app.measure.band_values import band_values
from app.records.repeated_takes import RepeatedTake
from app.records.store import Store
from dsp import Floats, read_only
from dsp.calibration.drift import drift
from dsp.statistics.control_chart import ControlChart, individuals_chart

BAND_HZ = (200.0, 2000.0)  # above the resonance, which temperature moves; below break-up
WITHIN_DB, WITHIN_PERCENT = 0.2, 1.0
_DAY_S, _YEAR_DAYS = 86_400.0, 365.25


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class StationDrift:
    """A reference unit on one station, the oldest take first; arrays are (n,).

    Attributes
    ----------
    station, serial : str
        Name of the chain; the unit.
    take_ids : tuple of str
        Its takes.
    started_utc : tuple of datetime
        When they began.
    level_db : (n,) array
        dB, mean level over the band less that of the first take; NaN where it is not known.
    impedance_percent : (n,) array
        Likewise of the impedance, in per cent.
    chart : ControlChart or None
        Of the level; None below two known ones.
    per_month_db, per_month_uncertainty_db : float
        dB in 30 days: slope of a straight line, and its expanded uncertainty; NaN below three
        takes, or within a day.
    """

    station: str
    serial: str
    take_ids: tuple[str, ...]
    started_utc: tuple[datetime, ...]
    level_db: Floats
    impedance_percent: Floats
    chart: ControlChart | None
    per_month_db: float
    per_month_uncertainty_db: float

    @property
    def last_within(self) -> bool:
        """Whether the last take lies within what a day's check allows; unknown is not within."""
        level, impedance = abs(self.level_db[-1]), self.impedance_percent[-1]
        return bool(
            level <= WITHIN_DB and (np.isnan(impedance) or abs(impedance) <= WITHIN_PERCENT)
        )

    @property
    def drifts(self) -> bool:
        """Whether the slope is told from none."""
        return bool(abs(self.per_month_db) > self.per_month_uncertainty_db)


def station_drift(store: Store, *, procedure: str, serial: str) -> tuple[StationDrift, ...]:
    """Follow a reference unit over its takes on every station that took it twice or more.

    Parameters
    ----------
    store : Store
        Where they are.
    procedure : str
        Name of the one that it was measured by.
    serial : str
        Of the unit.
    """
    takes = store.repeated_takes(procedure=procedure, serial=serial)
    level = band_values(store, takes, quantity="level", band_hz=BAND_HZ)
    impedance = band_values(store, takes, quantity="impedance", band_hz=BAND_HZ)
    by_station: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(takes):
        by_station[one.station].append(place)
    return tuple(
        _one([takes[place] for place in places], level=level[places], impedance=impedance[places])
        for places in by_station.values()
        if len(places) > 1
    )


def _one(takes: Sequence[RepeatedTake], *, level: Floats, impedance: Floats) -> StationDrift:
    away = level - _first(level)
    known = np.isfinite(away)
    days = [(one.started_utc - takes[0].started_utc).total_seconds() / _DAY_S for one in takes]
    slope = uncertainty = float("nan")
    if known.any() and np.ptp(np.array(days)[known]) >= 1.0:
        found = drift(
            list(np.array(days)[known]), values=list(away[known]), expanded=[0.0] * int(known.sum())
        )
        slope, uncertainty = found.per_year, found.per_year_uncertainty
    return StationDrift(
        station=takes[0].station,
        serial=takes[0].serial,
        take_ids=tuple(one.take_id for one in takes),
        started_utc=tuple(one.started_utc for one in takes),
        level_db=read_only(away),
        impedance_percent=read_only(100 * (impedance / _first(impedance) - 1)),
        chart=individuals_chart(away) if known.sum() > 1 else None,
        per_month_db=slope * 30 / _YEAR_DAYS,
        per_month_uncertainty_db=uncertainty * 30 / _YEAR_DAYS,
    )


def _first(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known[0]) if known.size else float("nan")
