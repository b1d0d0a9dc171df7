"""The calibrations of a link, day by day, and how far each lies from the first."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.calibrate.health import expanded_db
from app.desktop.presenters.chain_links import LINKS, LinkSpec
from app.desktop.presenters.figures import fact_of
from app.records.calibration_record import CalibrationRecord, Purpose
from dsp.calibration.calibration import Calibration as Found
from dsp.calibration.in_unit import per_budget_unit
from hardware.chain.schema import Chain
from hardware.chain.stale import due_links
from hardware.toml_edit import value_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """One day's calibration.

    Attributes
    ----------
    day : date
        Of the calibration.
    value, interval : float
        In the link's unit, k = 2.
    drift, drift_interval : float
        From the first one, in the history's unit; the interval is that of this value.
    is_now : bool
        Whether the chain stands on it.
    """

    day: date
    value: float
    interval: float
    drift: float
    drift_interval: float
    is_now: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What is known of a link's calibrations.

    Attributes
    ----------
    link, title : str
        Which one.
    entries : tuple of Calibration
        The oldest first.
    unit, drift_unit : str
        Of the values, and of their drift: dB for a microphone, otherwise %.
    due_on : date or None
        When the next one is due.
    """

    link: str
    title: str
    entries: tuple[Calibration, ...]
    unit: str
    drift_unit: str
    due_on: date | None

    @property
    def can_be_proved(self) -> bool:
        """Whether it is a link that anybody calibrates; a unit is not."""
        return bool(LINKS[self.link].interval)

    @property
    def has_drift(self) -> bool:
        """Whether there is anything to compare."""
        return len(self.entries) > 1


def records_of(link: str, records: Sequence[CalibrationRecord]) -> tuple[CalibrationRecord, ...]:
    """Return those records of a table that are about a value of a link."""
    own = {key.key for key in LINKS[link].keys}
    return tuple(one for one in records if one.quantity in own)


def history(
    chain: Chain,
    link: str,
    forms: Sequence[Mapping[str, Any]],
    *,
    records: Sequence[CalibrationRecord] = (),
) -> History:
    """Gather a link's calibrations.

    Parameters
    ----------
    chain : Chain
        As it is; its own calibration is the last entry.
    link : str
        Key of the link.
    forms : sequence of mapping
        The link's table as earlier takes had it, the oldest first; of one day the last counts.
    records : sequence of CalibrationRecord
        Of its table, the newest first; where one gave the value of a day, it tells it best.
    """
    spec = LINKS[link]
    days: dict[date, tuple[float, float]] = {}
    for form in forms:
        if (found := _read(spec, form)) is not None:
            days[found[0]] = found[1:]
    now = _now(chain, spec)
    recorded = _recorded(spec, records)
    if now is not None:
        days[now[0]] = now[1:]
    days |= recorded
    ordered = sorted(days.items())
    first = ordered[0][1][0] if ordered else math.nan
    due = next((one.due_on for one in due_links(chain) if one.key == spec.table), None)
    return History(
        link=link,
        title=spec.title,
        entries=tuple(
            _entry(spec, day, value, uncertainty=uncertainty, first=first, now=now)
            for day, (value, uncertainty) in ordered
        ),
        unit=spec.unit,
        drift_unit="dB" if spec.is_decibel else "%",
        due_on=due,
    )


def _recorded(
    spec: LinkSpec, records: Sequence[CalibrationRecord]
) -> dict[date, tuple[float, float]]:
    """Return value and interval by day, of the accepted calibrations of a link's chief value."""
    return {
        one.made_utc.date(): (result.value, _interval(result, spec=spec))
        for one in reversed(records)
        if one.accepted and one.purpose is Purpose.CALIBRATION
        for result in one.results
        if result.quantity == f"{spec.table}.{spec.main}"
    }


def _interval(result: Found, *, spec: LinkSpec) -> float:
    if spec.is_decibel:
        return expanded_db(result)
    return 100 * result.budget.expanded * per_budget_unit(result) / abs(result.value)


def _now(chain: Chain, spec: LinkSpec) -> tuple[date, float, float] | None:
    table = value_at(chain, tuple(spec.table.split(".")))
    if table is None:
        return None
    return _read(spec, table.model_dump(mode="json"))


def _read(spec: LinkSpec, form: Mapping[str, Any]) -> tuple[date, float, float] | None:
    day, value = form.get("calibrated_on"), form.get(spec.main)
    if day is None or not isinstance(value, int | float) or not spec.interval or value == 0:
        return None
    return date.fromisoformat(day), float(value), float(form.get(spec.interval) or 0.0)


def _entry(
    spec: LinkSpec,
    day: date,
    value: float,
    *,
    uncertainty: float,
    first: float,
    now: tuple[date, float, float] | None,
) -> Calibration:
    ratio = value / first
    scale = float(spec.scale)
    relative = 10 ** (uncertainty / 20) - 1 if spec.is_decibel else uncertainty / 100
    return Calibration(
        day=day,
        value=value / scale,
        interval=abs(value / scale) * relative,
        drift=20 * math.log10(abs(ratio)) if spec.is_decibel else 100 * (ratio - 1),
        drift_interval=uncertainty,
        is_now=now is not None and day == now[0],
    )


def value_words(one: Calibration, *, unit: str) -> str:
    """Return a day's value with its interval and unit."""
    written = fact_of("", one.value, one.interval or None, unit=unit)
    return " ".join(filter(None, (written.value, written.interval, written.unit)))
