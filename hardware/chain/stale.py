"""Which links of a chain are due for calibration on a given day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from hardware.chain.schema import Calibrated, Chain


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLink:
    """When one link was calibrated, and when it must be again.

    Attributes
    ----------
    key : str
        Table of the chain file, for example ``input.pressure``.
    calibrated_on : date
        Day of the last calibration.
    due_on : date or None
        First day on which it is stale; None where the chain names no term.
    """

    key: str
    calibrated_on: date
    due_on: date | None


def due_links(chain: Chain) -> tuple[DueLink, ...]:
    """List the links that say when they were calibrated.

    Parameters
    ----------
    chain : Chain
        As loaded.

    Returns
    -------
    tuple of DueLink, in the order of the chain file.
    """
    found = []
    for key, link in _links(chain):
        if (made := link.calibrated_on) is None:
            continue
        days = link.recalibrate_after_days
        # The last day of the term still counts as calibrated.
        due = None if days is None else made + timedelta(days=days + 1)
        found.append(DueLink(key=key, calibrated_on=made, due_on=due))
    return tuple(found)


def stale_links(chain: Chain, *, on: date) -> tuple[str, ...]:
    """Say which calibrations are past their term.

    Parameters
    ----------
    chain : Chain
        As loaded.
    on : date
        Day of the measurement.

    Returns
    -------
    tuple of str, one sentence each, for the record of a take.
    """
    said = []
    for link in due_links(chain):
        if link.due_on is not None and on >= link.due_on:
            past = (on - link.due_on).days + 1
            days = "day" if past == 1 else "days"
            said.append(
                f"{link.key}: calibration of {link.calibrated_on} is {past} {days} past its term"
            )
    return tuple(said)


def _links(chain: Chain) -> Iterator[tuple[str, Calibrated]]:
    yield "output.drive", chain.output.drive
    for name, link in chain.input.wired.items():
        yield f"input.{name}", link
