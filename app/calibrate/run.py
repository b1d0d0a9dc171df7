"""One calibration from its recordings to its record, and to the chain file if it is accepted."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path

from app.calibrate.asked import Asked, Method
from app.calibrate.day_check import day_check
from app.calibrate.found import Found
from app.calibrate.history import History, read_history
from app.calibrate.written import holds_while, with_results
from app.errors import BadInputError
from app.records.calibration_record import CalibrationRecord, Purpose
from app.records.captures import capture_hash
from app.records.store import Store
from app.records.version import SOFTWARE_VERSION
from dsp.calibration.calibration import Calibration, Check
from hardware.card import Capture
from hardware.chain.save import save_chain
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Calibrated:
    """How it ended.

    Attributes
    ----------
    record : CalibrationRecord
        As kept.
    found : Found
        What it was made of.
    chain : ChainSnapshot
        As it is now: changed where the calibration was accepted, as it was otherwise.
    """

    record: CalibrationRecord
    found: Found
    chain: ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Looked:
    """What recordings tell, before anything is kept.

    Attributes
    ----------
    found : Found
        With every check.
    made_utc : datetime
        When the first sample was recorded.
    history : History
        What it was held against.
    """

    found: Found
    made_utc: datetime
    history: History

    @property
    def accepted(self) -> bool:
        """Whether nothing speaks against any of its results."""
        return all(result.accepted for result in self.found.results)


def look(
    method: Method,
    captures: Sequence[Capture],
    *,
    link: str,
    asked: Asked,
    chain: ChainSnapshot,
    store: Store,
) -> Looked:
    """Find what a link is worth, and keep nothing.

    Parameters
    ----------
    method : Method
        How the link is calibrated.
    captures : sequence of Capture
        Its recordings; none where the method needs none.
    link : str
        Table of the chain file, dotted.
    asked : Asked
        Who, with what, in which air, to what end.
    chain : ChainSnapshot
        As it is before.
    store : Store
        What knows its history.

    Returns
    -------
    Looked

    Raises
    ------
    BadInputError, DspError
        The recordings cannot be read.
    """
    _refuse_twice(captures)
    history = read_history(store, chain=chain.chain, link=link)
    found = method.find(captures, chain=chain, asked=asked, history=history)
    made = min((capture.started_utc for capture in captures), default=datetime.now(UTC))
    found = _looked_over(found, captures=captures, asked=asked, history=history, made=made)
    return Looked(found=found, made_utc=made, history=history)


def calibrate(
    method: Method,
    captures: Sequence[Capture],
    *,
    link: str,
    asked: Asked,
    chain: ChainSnapshot,
    chain_file: Path | None,
    store: Store,
) -> Calibrated:
    """Find what a link is worth, keep the record, and write the chain file if it is accepted.

    Parameters
    ----------
    method : Method
        How the link is calibrated.
    captures : sequence of Capture
        Its recordings; none where the method needs none.
    link : str
        Table of the chain file, dotted.
    asked : Asked
        Who, with what, in which air, to what end.
    chain : ChainSnapshot
        As loaded from ``chain_file``.
    chain_file : Path or None
        Where the result is written to; comments stay. None: whoever asks saves the chain.
    store : Store
        Where it is kept, accepted or refused.

    Returns
    -------
    Calibrated

    Raises
    ------
    BadInputError, DspError, HardwareError
        The recordings cannot be read, or somebody changed the chain file meanwhile. In the
        second case the record is kept, and not in force.
    """
    seen = look(method, captures, link=link, asked=asked, chain=chain, store=store)
    found, made = seen.found, seen.made_utc
    writes = seen.accepted and asked.purpose is Purpose.CALIBRATION
    # What the file would refuse is refused before anything is kept.
    after = chain
    if writes:
        others = _days(store, chain=chain.chain, history=seen.history)
        after = with_results(chain, found, on=made.date(), others=others)
    record = CalibrationRecord(
        id=uuid.uuid4().hex,
        purpose=asked.purpose,
        link=found.link,
        chain=chain,
        made_utc=made,
        operator=asked.operator,
        instrument=asked.instrument,
        conditions=asked.conditions,
        method=found.method,
        given=found.given,
        results=found.results,
        captures=tuple(capture_hash(capture) for capture in captures),
        card=captures[0].card if captures else "",
        software_version=SOFTWARE_VERSION,
        numbers=found.numbers,
        remarks=found.remarks,
        holds_while=holds_while(found, chain=after.chain) if writes else {},
        note=asked.note,
    )
    store.keep_calibration(record, captures=captures)
    if chain_file is not None and writes and after.chain != chain.chain:
        save_chain(chain_file, after.chain, opened=chain.chain)
    return Calibrated(record=record, found=found, chain=after)


def _days(store: Store, *, chain: Chain, history: History) -> dict[str, date]:
    """Return when the values that the chain has now were found, by quantity."""
    in_force = store.calibration_state(chain).in_force
    return {
        one.quantity: one.made_utc.date()
        for one in history.records
        if in_force.get(one.quantity) == one.id
    }


def _refuse_twice(captures: Sequence[Capture]) -> None:
    # The same recording again says nothing about how well couplings repeat.
    if len({capture_hash(capture) for capture in captures}) < len(captures):
        raise BadInputError(
            "recordings", "the same one twice", allowed="one for each time that it was put on"
        )


def _looked_over(
    found: Found,
    *,
    captures: Sequence[Capture],
    asked: Asked,
    history: History,
    made: datetime,
) -> Found:
    """Add what holds for every link: the instrument's own certificate, and the recorder."""
    checks = [*_instrument(asked, made=made), *_recorder(captures)]
    first, *rest = found.results
    if asked.purpose is Purpose.CHECK:
        checks += _day(first, history=history, made=made)
    return replace(found, results=(replace(first, checks=(*first.checks, *checks)), *rest))


def _instrument(asked: Asked, *, made: datetime) -> list[Check]:
    due = asked.instrument.due_on
    if due is None:
        return []
    number = asked.instrument.certificate or "without a number"
    passed = not asked.due(made.date())
    said = f"certificate {number} of the instrument holds until {due}"
    if not passed:
        said = f"certificate {number} of the instrument was due on {due}: send it in first"
    return [Check(name="instrument", passed=passed, sentence=said)]


def _recorder(captures: Sequence[Capture]) -> list[Check]:
    dropouts = sum(capture.dropouts for capture in captures)
    lost = sorted({channel for capture in captures for channel in capture.lost_channels})
    if dropouts:
        said = f"the card's driver reported {dropouts} dropouts: record again"
        return [Check(name="recorder", passed=False, sentence=said)]
    if lost:
        said = f"channel {lost[0]} was lost while it was recorded: record again"
        return [Check(name="recorder", passed=False, sentence=said)]
    return []


def _day(result: Calibration, *, history: History, made: datetime) -> list[Check]:
    """Hold the last check of a day against its first one."""
    earlier = [
        one
        for one in history.records
        if one.purpose is Purpose.CHECK
        and one.quantity == result.quantity
        and one.made_utc.date() == made.date()
        and one.made_utc < made
    ]
    if not earlier or result.quantity.startswith("found."):  # no value that levels stand on
        return []
    return [day_check(result, first=earlier[-1])]
