"""What the chains of kept takes said about one link: the history of its calibration."""

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from app.records import tables


def read_link_forms(chain: str, table: str, *, on: Connection) -> tuple[Mapping[str, Any], ...]:
    """Return every form of a link that takes were made with, in the order in which they came.

    Parameters
    ----------
    chain : str
        Name of the chain.
    table : str
        Of the chain file, dotted, for example ``input.pressure``.
    on : Connection
        To the store.

    Returns
    -------
    tuple of mapping, the table's keys and values, each spelled out; dates as text.
    """
    rows = on.execute(
        select(tables.snapshots.c.document)
        .where(tables.snapshots.c.kind == "chain", tables.snapshots.c.name == chain)
        .order_by(tables.snapshots.c.id)
    )
    forms: dict[str, Mapping[str, Any]] = {}
    for (document,) in rows:
        found: Any = json.loads(document)["chain"]
        for part in table.split("."):
            found = found.get(part) if found is not None else None
        if found is not None:
            forms.setdefault(json.dumps(found, sort_keys=True), found)
    return tuple(forms.values())
