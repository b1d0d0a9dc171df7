"""The drift of a link with what its kept calibrations add: refused ones, control limits."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from app.calibrate.health import history_drift, level_db
from app.desktop.presenters.chain_history import History
from app.desktop.presenters.chain_links import LINKS
from app.records.calibration_record import CalibrationRecord, Purpose

_WORDS = 34  # letters of a reason
_OUTSIDE = 0.35  # of what is shown: how far beyond it a refused one may lie
_LIMITS = "control limits"


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedPoint:
    """One that was refused: day as an ordinal, drift in the history's unit, why."""

    day: float
    drift: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDrift:
    """What a drift plot shows beside the points.

    Attributes
    ----------
    refused : tuple of RefusedPoint
        The newest with words; drawn near what is shown where they lie far off.
    limits : (low, high) or None
        In the history's unit; None while too few calibrations are kept.
    words : str
        At the upper limit.
    """

    refused: tuple[RefusedPoint, ...]
    limits: tuple[float, float] | None
    words: str


def kept_drift(history: History, records: Sequence[CalibrationRecord]) -> KeptDrift:
    """Present what the kept calibrations of a link add to its drift.

    Parameters
    ----------
    history : History
        The points.
    records : sequence of CalibrationRecord
        Of the same link, the newest first.
    """
    spec = LINKS[history.link]
    own = [one for one in records if one.quantity == f"{spec.table}.{spec.main}"]
    limits = _limits(history, own)
    return KeptDrift(refused=_refused(history, own), limits=limits, words=_LIMITS if limits else "")


def _limits(history: History, records: Sequence[CalibrationRecord]) -> tuple[float, float] | None:
    kept = [one for one in records if one.accepted and one.purpose is Purpose.CALIBRATION]
    found = history_drift(kept)
    if found is None or found.limits is None or not history.entries:
        return None
    first = _first_db(history)
    low, high = found.limits.lower - first, found.limits.upper - first
    return _scaled(low, history=history), _scaled(high, history=history)


def _refused(history: History, records: Sequence[CalibrationRecord]) -> tuple[RefusedPoint, ...]:
    refused = [one for one in records if not one.accepted]
    if not refused or not history.entries:
        return ()
    shown = [one.drift for one in history.entries]
    reach = max(one.drift_interval for one in history.entries)
    low, high = min(shown) - reach, max(shown) + reach
    room = _OUTSIDE * (high - low)
    first = _first_db(history)
    points = []
    for at, one in enumerate(refused):
        drift = _scaled(level_db(one.results[0]) - first, history=history)
        points.append(
            RefusedPoint(
                day=float(one.made_utc.date().toordinal()),
                drift=min(max(drift, low - room), high + room),
                words=f"refused: {_short(one)}" if at == 0 else "",
            )
        )
    return tuple(points)


def _first_db(history: History) -> float:
    """Return the level of the first entry, dB re the unit of the chain file."""
    return 20 * math.log10(abs(history.entries[0].value) * float(LINKS[history.link].scale))


def _scaled(db: float, *, history: History) -> float:
    return db if history.drift_unit == "dB" else 100 * (10 ** (db / 20) - 1)


def _short(record: CalibrationRecord) -> str:
    why = record.reasons[0].rpartition(": ")[2] if record.reasons else ""
    return why if len(why) <= _WORDS else f"{why[: _WORDS - 1].rstrip()}…"
