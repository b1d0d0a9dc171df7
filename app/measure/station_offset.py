"""How far stations lie apart: the same units taken on several of them."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from app.errors import BadInputError
from app.measure.band_values import band_values
from app.measure.station_drift import BAND_HZ
from app.records.repeated_takes import RepeatedTake
from app.records.store import Store
from dsp import Floats

_COVERED = 0.9545


@dataclass(frozen=True, slots=True, kw_only=True)
class StationOffset:
    """One station against the one that all are compared with.

    Attributes
    ----------
    station : str
        Name of its chain.
    units : tuple of str
        Taken on both.
    level_db : float
        dB: mean of this station's level less the other's, over units.
    uncertainty_db : float or None
        Expanded, about 95 %, from how the units disagree; None of a single unit.
    worst : str
        The unit that lies farthest from that mean.
    worst_db : float
        dB, its own difference.
    """

    station: str
    units: tuple[str, ...]
    level_db: float
    uncertainty_db: float | None
    worst: str
    worst_db: float

    @property
    def apart(self) -> bool:
        """Whether the offset is told from none."""
        return self.uncertainty_db is not None and abs(self.level_db) > self.uncertainty_db


@dataclass(frozen=True, slots=True, kw_only=True)
class StationOffsets:
    """All stations that share units with the one that took most of them.

    Attributes
    ----------
    against : str
        The station compared with.
    band_hz : (low, high)
        Hz, over which levels are averaged.
    stations : tuple of StationOffset
        The others, by name.
    """

    against: str
    band_hz: tuple[float, float]
    stations: tuple[StationOffset, ...]


def station_offsets(
    store: Store,
    *,
    procedure: str,
    serials: Collection[str] | None = None,
    against: str | None = None,
    band_hz: tuple[float, float] = BAND_HZ,
) -> StationOffsets:
    """Compare stations by the units that they share; several takes of a unit are averaged.

    Parameters
    ----------
    store : Store
        Where the takes are.
    procedure : str
        Name of the one that they were measured by.
    serials : collection of str or None
        Reference units; None: every unit that was taken on two stations.
    against : str or None
        Station to compare with; None: the one that shares most units.
    band_hz : (low, high)
        Hz.

    Raises
    ------
    BadInputError
        No unit was taken on two stations, or no such station.
    """
    takes = [
        one
        for one in store.repeated_takes(procedure=procedure)
        if serials is None or one.serial in serials
    ]
    levels = _levels(takes, values=band_values(store, takes, quantity="level", band_hz=band_hz))
    shared = {
        station: {
            unit
            for unit in own
            if any(unit in levels[other] for other in levels if other != station)
        }
        for station, own in levels.items()
    }
    if against is None:
        against = max(shared, key=lambda station: len(shared[station]), default="")
    if not shared.get(against):
        raise BadInputError(
            "stations", "no unit was taken on two of them", allowed="the same units on each"
        )
    return StationOffsets(
        against=against,
        band_hz=band_hz,
        stations=tuple(
            _offset(station, own=levels[station], others=levels[against])
            for station in sorted(levels)
            if station != against and set(levels[station]) & set(levels[against])
        ),
    )


def _levels(takes: Sequence[RepeatedTake], *, values: Floats) -> dict[str, dict[str, float]]:
    """Return the mean level of each unit on each station."""
    cells: dict[tuple[str, str], list[float]] = defaultdict(list)
    for one, value in zip(takes, values, strict=True):
        if np.isfinite(value):
            cells[one.station, one.serial].append(float(value))
    levels: dict[str, dict[str, float]] = defaultdict(dict)
    for (station, serial), those in cells.items():
        levels[station][serial] = float(np.mean(those))
    return dict(levels)


def _offset(
    station: str, *, own: Mapping[str, float], others: Mapping[str, float]
) -> StationOffset:
    units = tuple(sorted(set(own) & set(others)))
    away = np.array([own[unit] - others[unit] for unit in units])
    mean = float(np.mean(away))
    uncertainty = None
    if away.size > 1:
        k = float(stdtrit(away.size - 1, (1 + _COVERED) / 2))
        uncertainty = k * float(np.std(away, ddof=1) / np.sqrt(away.size))
    worst = int(np.argmax(np.abs(away - mean)))
    return StationOffset(
        station=station,
        units=units,
        level_db=mean,
        uncertainty_db=uncertainty,
        worst=units[worst],
        worst_db=float(away[worst]),
    )
