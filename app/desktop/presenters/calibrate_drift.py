"""Earlier calibrations of the microphone with the new one among them, in dB."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.calibrate.health import expanded_db, level_db
from app.desktop.presenters.chain_history import History
from app.desktop.presenters.figures import minus
from app.records.calibration_record import CalibrationRecord, Purpose
from dsp.calibration.calibration import Calibration

_WORDS = 34  # letters of a reason
_TALLEST = 1.5  # of what is allowed: the longest bar, so that it stays in the plot


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftPoint:
    """One day: ordinal, dB, half of its interval, and the words of it."""

    day: float
    db: float
    interval_db: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftState:
    """What the plot shows.

    Attributes
    ----------
    unit : str
        For its head.
    points : tuple of DriftPoint
        Kept ones, the oldest first.
    refused : tuple of DriftPoint
        With the reason; their place is where they would lie, within what is shown.
    new : DriftPoint or None
        May be kept, and is not yet; a refused one is kept as such at once.
    limits_db : (low, high)
        Beyond which the new one is refused.
    span : (low, high)
        Days shown.
    """

    unit: str
    points: tuple[DriftPoint, ...]
    refused: tuple[DriftPoint, ...]
    new: DriftPoint | None
    limits_db: tuple[float, float]
    span: tuple[float, float]


def drift_state(
    history: History,
    records: Sequence[CalibrationRecord],
    *,
    stated_v_per_pa: float,
    certificate_v_per_pa: float | None,
    allowed_db: float,
    result: Calibration | None,
    today: date,
) -> DriftState:
    """Present the microphone's history.

    Parameters
    ----------
    history : History
        Of the link, from the chain and its takes; mV/Pa.
    records : sequence of CalibrationRecord
        Of the store, the newest first.
    stated_v_per_pa : float
        V/Pa that the chain states: what the new one must lie near.
    certificate_v_per_pa : float or None
        V/Pa; what all are held against; None: the first one.
    allowed_db : float
        dB, by which the new one may differ.
    result : Calibration or None
        Not kept yet.
    today : date
        Of the new one.
    """
    days = {one.day: (one.value / 1000, one.drift_interval) for one in history.entries}
    for record in reversed(records):
        if record.accepted and record.purpose is Purpose.CALIBRATION:
            found = record.results[0]
            days[record.made_utc.date()] = (found.value, expanded_db(found))
    ordered = sorted(days.items())
    first = ordered[0][1][0] if ordered else stated_v_per_pa
    base = _db(certificate_v_per_pa or first)
    now = _db(ordered[-1][1][0] if ordered else stated_v_per_pa) - base
    low, high = now - allowed_db, now + allowed_db
    refused = [
        DriftPoint(
            day=float(one.made_utc.date().toordinal()),
            db=low - 0.45 * allowed_db,
            interval_db=0.0,
            words=f"refused: {_short(one.reasons)}",
        )
        for one in records
        if not one.accepted
    ]
    new = None
    if result is not None and result.accepted:
        db = level_db(result) - base
        new = DriftPoint(
            day=float(today.toordinal()),
            db=min(max(db, low - allowed_db), high + allowed_db),
            interval_db=min(expanded_db(result), _TALLEST * allowed_db),
            words=minus(f"now {db:+.2f}, not kept yet"),
        )
    begins = min([*days, today]).toordinal()
    margin = max(3.0, 0.06 * (today.toordinal() - begins))
    return DriftState(
        unit="dB re certificate, bars k = 2"
        if certificate_v_per_pa
        else "dB from the first, bars k = 2",
        points=tuple(
            DriftPoint(
                day=float(day.toordinal()),
                db=_db(value) - base,
                interval_db=interval,
                words=day.isoformat(),
            )
            for day, (value, interval) in ordered
        ),
        # One word is enough where several were refused: the newest.
        refused=tuple(refused[:1]),
        new=new,
        limits_db=(low, high),
        span=(begins - margin, today.toordinal() + margin),
    )


def _short(reasons: tuple[str, ...]) -> str:
    why = reasons[0] if reasons else ""
    why = why.rpartition(": ")[2]
    return why if len(why) <= _WORDS else f"{why[: _WORDS - 1].rstrip()}…"


def _db(value: float) -> float:
    return 20 * math.log10(value)
