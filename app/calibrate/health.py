"""How much every link of a chain can be relied on today, and why."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum

from app.calibrate.history import History, read_history
from app.records.calibration_record import CalibrationRecord
from app.records.calibration_state import CalibrationState, FailedLink
from app.records.store import Store
from dsp.acoustic.level import DB_PER_NEPER
from dsp.calibration.calibration import Calibration
from dsp.calibration.drift import Drift, drift
from dsp.calibration.in_unit import per_budget_unit
from hardware.chain.schema import Chain
from hardware.chain.stale import DueLink, due_links

_SOON = 0.1  # of the term: the rest in which a link is told to be due soon
_SECONDS_A_DAY = 86_400.0


class Health(Enum):
    """How a link stands, the gravest first; the values are words for a list."""

    FAILED = "failed"  # its last calibration or check was refused
    STALE = "stale"  # past its term
    WATCH = "watch"  # its last value lies where the earlier ones do not lead one to expect it
    DUE_SOON = "due soon"
    PROVEN = "proven"  # a calibration of the store gave the value
    DATED = "dated"  # the chain file names a day, no calibration of the store gave the value
    UNDATED = "undated"  # nothing says when it was ever proven


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LinkHealth:
    """One link.

    Attributes
    ----------
    link : str
        Table of the chain file, dotted.
    health : Health
        The gravest that applies.
    due : DueLink or None
        When it was proven and when it must be again, by the chain file.
    age_days : int or None
        d since it was proven.
    in_force : dict of quantity to CalibrationRecord
        What gave the values of the chain.
    drift : dict of quantity to Drift
        In dB, of those with a history.
    sentences : tuple of str
        What a person should know, the gravest first.
    """

    link: str
    health: Health
    due: DueLink | None
    age_days: int | None
    in_force: dict[str, CalibrationRecord]
    drift: dict[str, Drift]
    sentences: tuple[str, ...]

    @property
    def trusted(self) -> bool:
        """Whether verdicts may stand on it."""
        return self.health not in {Health.FAILED, Health.STALE}


def chain_health(
    store: Store, chain: Chain, *, at: datetime | None = None
) -> tuple[LinkHealth, ...]:
    """Look over every link of a chain.

    Parameters
    ----------
    store : Store
        What knows its history.
    chain : Chain
        As it is.
    at : datetime or None
        Aware; None for now.

    Returns
    -------
    tuple of LinkHealth, in the order of the chain file.
    """
    moment = at or datetime.now(UTC)
    state = store.calibration_state(chain, until=moment)
    dues = {due.key: due for due in due_links(chain)}
    links = ("output.drive", *(f"input.{name}" for name in chain.input.wired))
    return tuple(
        _link(link, due=dues.get(link), chain=chain, state=state, store=store, at=moment)
        for link in links
    )


def history_drift(records: Sequence[CalibrationRecord]) -> Drift | None:
    """Look over the accepted calibrations of one quantity, the newest first; dB.

    Parameters
    ----------
    records : sequence of CalibrationRecord
        None of them where there is none.
    """
    rising = sorted(records, key=lambda one: one.made_utc)
    if not rising:
        return None
    results = [one.results[0] for one in rising]
    return drift(
        [one.made_utc.timestamp() / _SECONDS_A_DAY for one in rising],
        values=[level_db(result) for result in results],
        expanded=[expanded_db(result) for result in results],
    )


def level_db(result: Calibration) -> float:
    """Return the size of a value in dB re its unit."""
    return 20 * math.log10(abs(result.value))


def expanded_db(result: Calibration) -> float:
    """Return the expanded uncertainty of a value in dB, to first order."""
    relative = result.budget.expanded * per_budget_unit(result) / abs(result.value)
    return relative * DB_PER_NEPER


def _link(
    link: str,
    *,
    due: DueLink | None,
    chain: Chain,
    state: CalibrationState,
    store: Store,
    at: datetime,
) -> LinkHealth:
    history = read_history(store, chain=chain, link=link)
    ids = {q: i for q, i in state.in_force.items() if q.startswith(f"{link}.")}
    in_force = {q: one for q, i in ids.items() for one in history.records if one.id == i}
    drifts = {
        quantity: found
        for quantity in dict.fromkeys(one.quantity for one in history.records)
        if (found := history_drift(history.accepted(quantity))) is not None
    }
    failed = [one for one in state.failed if one.link == link]
    said = [
        *(_failure(one, chain=chain, history=history, store=store) for one in failed),
        *_staleness(due, at=at),
        *(s for quantity, found in drifts.items() for s in _drifting(quantity, found)),
    ]
    return LinkHealth(
        link=link,
        health=_health(due, failed=bool(failed), proven=bool(in_force), drifts=drifts, at=at),
        due=due,
        age_days=None if due is None else (at.date() - due.calibrated_on).days,
        in_force=in_force,
        drift=drifts,
        sentences=tuple(said),
    )


def _health(
    due: DueLink | None, *, failed: bool, proven: bool, drifts: dict[str, Drift], at: datetime
) -> Health:
    if failed:
        return Health.FAILED
    if due is not None and due.due_on is not None:
        left = (due.due_on - at.date()).days
        if left <= 0:
            return Health.STALE
        if not _watched(drifts) and left <= _SOON * (due.due_on - due.calibrated_on).days:
            return Health.DUE_SOON
    if _watched(drifts):
        return Health.WATCH
    if proven:
        return Health.PROVEN
    return Health.UNDATED if due is None else Health.DATED


def _watched(drifts: dict[str, Drift]) -> bool:
    return any(one.out_of_control or one.moved for one in drifts.values())


def _failure(failed: FailedLink, *, chain: Chain, history: History, store: Store) -> str:
    """Say what failed, and how many takes it puts in doubt: those since the last good proof."""
    good = [
        one.made_utc
        for one in history.records
        if one.accepted and one.quantity == failed.quantity and one.made_utc < failed.made_utc
    ]
    since = max(good, default=None)
    count = store.takes_on_chain(chain.name, since=since, until=failed.made_utc)
    if not count:
        return failed.sentence
    last = f"the last good one ({since:%Y-%m-%d %H:%M} UTC)" if since else "the first take"
    takes = "1 take" if count == 1 else f"{count} takes"
    return f"{failed.sentence}; {takes} since {last} in doubt"


def _staleness(due: DueLink | None, *, at: datetime) -> list[str]:
    if due is None or due.due_on is None or (past := (at.date() - due.due_on).days + 1) <= 0:
        return []
    days = "day" if past == 1 else "days"
    return [f"calibration of {due.calibrated_on} is {past} {days} past its term"]


def _drifting(quantity: str, found: Drift) -> list[str]:
    key = quantity.rpartition(".")[2]
    said = []
    if found.out_of_control and found.limits is not None:
        low, high = (
            _signed(found.limits.lower - found.limits.centre),
            _signed(found.limits.upper - found.limits.centre),
        )
        said.append(
            f"{key}: the last value lies outside the control limits of those before it "
            f"({low} to {high} dB about their mean)"
        )
    if found.moved:
        said.append(
            f"{key}: {_signed(found.change)} dB since the calibration before, more than both "
            f"intervals allow ({found.change_allowed:.2f} dB)"
        )
    if found.drifts:
        said.append(
            f"{key}: drifts by {_signed(found.per_year)} dB a year "
            f"(± {found.per_year_uncertainty:.2f} dB)"
        )
    return said


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", "\N{MINUS SIGN}")
