"""Connections to the database of a store, and its two kinds of transaction."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event

PATIENCE_S = 30.0  # for another process to finish what it writes
_CONNECT_S = 10  # for a server to answer
_IDLE_S = 120  # until a server ends the transaction of a station that fell silent in it
_WRITERS = 0x6475737463617001  # the lock that writers hold, of no meaning to any other program


def open_engine(url: URL) -> Engine:
    """Return an engine for a database; nothing is opened yet.

    Every commit reaches the disk before it returns (``synchronous = FULL``, or
    ``synchronous_commit = on``): a take reported as finished outlives the loss of the process, and
    of power where the disk keeps its word.
    """
    if url.get_backend_name() == "postgresql":
        patient = url.query.get("connect_timeout") or str(_CONNECT_S)
        url = url.update_query_dict({"connect_timeout": patient, "application_name": "dustcap"})
        # A station stays open for days: a connection that died meanwhile is replaced.
        engine = create_engine(url, pool_pre_ping=True)
        event.listen(engine, "connect", _prepare_server)
        event.listen(engine, "begin", _begin_on_server)
    else:
        engine = create_engine(url, connect_args={"timeout": PATIENCE_S})
        event.listen(engine, "connect", _prepare_file)
        event.listen(engine, "begin", _begin_on_file)
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Read one state of the store, whatever others write meanwhile."""
    with engine.execution_options(**_reading_options(engine)).begin() as connection:
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Write alone: others wait, and what is read here holds until the commit at the end."""
    with engine.execution_options(dustcap_writes=True).begin() as connection:
        yield connection


def use_write_ahead_log(engine: Engine) -> None:
    """Let readers and one writer of a file work at the same time; the file remembers it."""
    raw = engine.raw_connection()
    try:
        raw.cursor().execute("PRAGMA journal_mode = WAL")
    finally:
        raw.close()


def _prepare_file(connection: sqlite3.Connection, _record: object) -> None:
    # The driver would open transactions by itself, at the first write and not for tables.
    connection.isolation_level = None
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "fullfsync = ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_on_file(connection: Connection) -> None:
    # A transaction that starts by reading and then writes fails at once where another wrote
    # in between; one that starts as a writer waits its turn.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if _writes(connection) else "BEGIN")


def _prepare_server(connection: Any, _record: object) -> None:
    with connection.cursor() as cursor:
        for setting in (
            "synchronous_commit = on",
            "work_mem = '16MB'",  # counts of 100 000 takes are sorted in memory
            "jit = off",  # no question of ours takes as long as compiling it
            f"lock_timeout = '{1000 * PATIENCE_S:.0f}ms'",
            f"idle_in_transaction_session_timeout = '{_IDLE_S}s'",
        ):
            cursor.execute(f"SET {setting}")
    connection.commit()


def _begin_on_server(connection: Connection) -> None:
    # Writers take turns, as on a file. Each statement after the lock sees what the one before
    # has committed; a transaction with one state from its start would have it from before the wait.
    if _writes(connection):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS})")


def _writes(connection: Connection) -> bool:
    return bool(connection.get_execution_options().get("dustcap_writes", False))


def _reading_options(engine: Engine) -> dict[str, Any]:
    if engine.dialect.name == "postgresql":
        return {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    return {}
