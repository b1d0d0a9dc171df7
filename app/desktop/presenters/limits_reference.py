"""Which unit lies nearest to the middle, and how the reference unit in force has held."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from app.desktop.presenters.capital import capital
from app.desktop.presenters.figures import hz_text, minus
from app.desktop.presenters.measure_names import quantity_name
from app.measure.reference_choice import Ranked, ReferenceChoice
from app.measure.station_drift import WITHIN_DB, StationDrift
from app.measure.station_offset import StationOffset, StationOffsets
from app.measure.trial import Trial
from app.records.take import Take

_MOST = 5
MEANING = (
    "Off: how far a unit lies from the middle of all, in deviations, over everything the masks "
    "look at; an ordinary one has 1. Units found bad don't count."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedRow:
    """One unit: its place in the trial, and serial, distance, where it is farthest off, in full."""

    unit: int
    serial: str
    off: str
    worst: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceState:
    """What the tool shows: the nearest units, and what is known of the one in force."""

    rows: tuple[RankedRow, ...]
    now: str
    words: str


def reference_state(
    trial: Trial,
    choice: ReferenceChoice | None,
    *,
    drifts: Sequence[StationDrift],
    offsets: StationOffsets | None = None,
    refused: str = "",
) -> ReferenceState:
    """Present the ranking; ``refused`` says why there is none."""
    ranking = choice.ranking[:_MOST] if choice is not None else ()
    return ReferenceState(
        rows=tuple(_row(one, name=trial.names[one.unit]) for one in ranking),
        now=" ".join([_now(trial.reference), *map(_held, drifts), *_apart(offsets)]),
        words=f"{capital(refused)}." if refused else MEANING,
    )


def _row(one: Ranked, *, name: str) -> RankedRow:
    what = quantity_name(one.worst)
    where = f" at {hz_text(one.worst_hz)}" if one.worst_hz is not None else ""
    away = minus(f"{one.worst_distance:+.1f}")
    return RankedRow(
        unit=one.unit,
        serial=name,
        off=f"{one.distance:.2f}",
        worst=f"{away} {what}",
        note=f"{one.serial}: farthest off in {what}{where}, by {away} deviations",
    )


def _apart(offsets: StationOffsets | None) -> list[str]:
    """Say how far each other station lies from the one that took most of the shared units."""
    if offsets is None:
        return []
    return [_station(one, against=offsets.against) for one in offsets.stations]


def _station(one: StationOffset, *, against: str) -> str:
    count = len(one.units)
    units = f"{count} unit{'s' if count != 1 else ''} taken on both"
    level = minus(f"{one.level_db:+.2f}")
    if one.uncertainty_db is None:
        return f"{one.station} reads {level} dB against {against}, by {units}."
    told = (
        f"{one.station} reads {level} ± {one.uncertainty_db:.2f} dB against {against}, by {units}"
    )
    return f"{told}: the two differ." if one.apart else f"{told}: no difference is told."


def _now(reference: Take | None) -> str:
    if reference is None:
        return "No reference unit yet: masks that compare with one judge nothing."
    return f"Now: {reference.unit or 'a unit without a serial'}, {reference.started_utc:%Y-%m-%d}."


def _held(one: StationDrift) -> str:
    last = float(one.level_db[-1])
    if not math.isfinite(last):
        return ""
    takes = len(one.take_ids)
    said = (
        f"On {one.station} its level is {minus(f'{last:+.2f}')} dB from the first of {takes} takes"
    )
    if one.drifts:
        slope = minus(f"{one.per_month_db:+.2f}")
        return f"{said}, drifting {slope} dB a month."
    return f"{said}." if one.last_within else f"{said}; {WITHIN_DB:g} dB is allowed."
