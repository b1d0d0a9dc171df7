"""Which calibrations of a chain are in force at a moment, and which links failed their last one."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, select

from app.records import tables
from app.records.calibration_record import Given, Purpose
from hardware.chain.schema import Chain
from hardware.toml_edit import value_at


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedLink:
    """A link whose last calibration or check was refused.

    Attributes
    ----------
    link, quantity : str
        Table and key of the chain file, dotted.
    purpose : Purpose
        What was refused.
    calibration : str
        Id of the record.
    made_utc : datetime
        When.
    reasons : tuple of str
        Why.
    """

    link: str
    quantity: str
    purpose: Purpose
    calibration: str
    made_utc: datetime
    reasons: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """For the warnings of a take."""
        why = f": {self.reasons[0]}" if self.reasons else ""
        return f"{self.link}: {self.purpose.value} of {self.made_utc.date()} was refused{why}"


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationState:
    """How a chain's links stand by what the store knows of them.

    Attributes
    ----------
    in_force : mapping of quantity to id
        By key of the chain file: the calibration that the value in the chain stands on.
    failed : tuple of FailedLink
        Not mended since.
    """

    in_force: Mapping[str, str]
    failed: tuple[FailedLink, ...]


_NO_VALUE = "found."  # how figures begin that no value of a chain stands on: noise, delay
_COLUMNS = ("id", "link", "quantity", "purpose", "made_utc", "accepted", "holds_while", "reasons")


def read_state(chain: Chain, *, until: datetime, on: Connection) -> CalibrationState:
    """Return how the links of a chain stood at a moment.

    A value of the chain stands on the accepted calibration that gave it: the newest one until that
    moment which the chain agrees with, in the value and in those that it rests on; otherwise the
    first one after it, for a recording may be read with later calibrations. A value that somebody
    typed stands on none. A link has failed while the newest record of a quantity until that
    moment is a refused one.
    """
    own = tables.calibrations
    newest: dict[str, Row[Any]] = {}
    before: dict[str, str] = {}
    after: dict[str, str] = {}
    rows = on.execute(
        select(*(own.c[name] for name in _COLUMNS))
        .where(own.c.chain == chain.name)
        .order_by(own.c.made_utc.desc(), own.c.row.desc())
    )
    for row in rows:
        early = row.made_utc <= until
        if early and not row.quantity.startswith(_NO_VALUE):
            newest.setdefault(row.quantity, row)
        gave = row.accepted and row.purpose == Purpose.CALIBRATION.value
        if gave and agrees(chain, holds_while=row.holds_while):
            if early:
                before.setdefault(row.quantity, row.id)
            else:  # the last that is met is the first after it
                after[row.quantity] = row.id
    return CalibrationState(
        in_force={**after, **before},
        failed=tuple(_failed(row) for row in newest.values() if not row.accepted),
    )


def agrees(chain: Chain, *, holds_while: Mapping[str, Given]) -> bool:
    """Tell whether a chain says what a result needs it to say."""
    return all(_said(chain, key) == value for key, value in holds_while.items())


def _said(chain: Chain, key: str) -> object:
    try:
        found: Any = value_at(chain, tuple(key.split(".")))
    except AttributeError:  # what another version wrote there
        return None
    return found.isoformat() if isinstance(found, date) else found


def _failed(row: Row[Any]) -> FailedLink:
    return FailedLink(
        link=row.link,
        quantity=row.quantity,
        purpose=Purpose(row.purpose),
        calibration=row.id,
        made_utc=row.made_utc,
        reasons=tuple(row.reasons),
    )
