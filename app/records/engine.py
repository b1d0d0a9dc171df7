"""Connections to the database of a store, and its two kinds of transaction."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event

PATIENCE_S = 30.0  # for another process to finish what it writes


def open_engine(database: Path) -> Engine:
    """Return an engine for ``database``; nothing is opened yet.

    Every commit reaches the disk before it returns (``synchronous = FULL``): a take reported as
    finished outlives the loss of the process, and of power where the disk keeps its word.
    """
    engine = create_engine(
        URL.create("sqlite", database=str(database)), connect_args={"timeout": PATIENCE_S}
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Read one state of the store, whatever others write meanwhile."""
    with engine.begin() as connection:
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Write alone: others wait, and what is read here holds until the commit at the end."""
    with engine.execution_options(dustcap_writes=True).begin() as connection:
        yield connection


def use_write_ahead_log(engine: Engine) -> None:
    """Let readers and one writer work at the same time; the file remembers it."""
    raw = engine.raw_connection()
    try:
        raw.cursor().execute("PRAGMA journal_mode = WAL")
    finally:
        raw.close()


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    # The driver would open transactions by itself, at the first write and not for tables.
    connection.isolation_level = None
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "fullfsync = ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("dustcap_writes", False)
    # A transaction that starts by reading and then writes fails at once where another wrote
    # in between; one that starts as a writer waits its turn.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
