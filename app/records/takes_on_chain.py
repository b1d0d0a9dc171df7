"""How many takes were made on a chain in a span of time: what a failed check puts in doubt."""

from datetime import datetime

from sqlalchemy import Connection, func, select

from app.records import tables


def count_on_chain(chain: str, *, since: datetime | None, until: datetime, on: Connection) -> int:
    """Count takes on a chain by its name, from ``since`` (None: ever) until before ``until``."""
    takes, chains = tables.takes, tables.snapshots
    wanted = (
        select(func.count())
        .select_from(takes.join(chains, chains.c.id == takes.c.chain_id))
        .where(chains.c.name == chain, takes.c.started_utc < until)
    )
    if since is not None:
        wanted = wanted.where(takes.c.started_utc >= since)
    return int(on.execute(wanted).scalar_one())
