"""What a store knows of one link: how takes had it, and its kept calibrations."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.records.calibration_record import CalibrationRecord
from app.records.store import Store


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LinkKept:
    """What was looked up.

    Attributes
    ----------
    forms : tuple of mapping
        The link's table as earlier takes had it, the oldest first.
    records : tuple of CalibrationRecord
        Calibrations and checks of its table, accepted or refused, the newest first.
    """

    forms: tuple[Mapping[str, Any], ...] = ()
    records: tuple[CalibrationRecord, ...] = ()


def link_kept(store: Store, *, chain: str, table: str) -> LinkKept:
    """Look a link up; slow where there is much of it.

    Parameters
    ----------
    store : Store
        What knows it.
    chain : str
        Its name.
    table : str
        Of the chain file, dotted.
    """
    return LinkKept(
        forms=tuple(store.link_forms(chain, table)),
        records=store.calibrations(chain=chain, link=table),
    )
