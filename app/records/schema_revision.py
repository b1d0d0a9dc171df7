"""Which schema a store has, found without Alembic, whose import takes a quarter second."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine, inspect
from sqlalchemy.exc import SQLAlchemyError

from app.errors import BadInputError
from app.records.engine import PATIENCE_S, reading, use_write_ahead_log, writing
from app.records.location import Location
from app.records.plain_words import plain_words

REVISIONS = (
    "0001",
    "0002",
    "0003",
    "0004",
    "0005",
    "0006",
    "0007",
    "0008",
)  # every step in migrations/versions, oldest first
HEAD = REVISIONS[-1]
VERSION_TABLE = "dustcap_schema"
MIGRATIONS = Path(__file__).parent / "migrations"
_MAGIC = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What lies at the place of a store; ``revision`` is None where there is nothing yet."""

    revision: str | None

    @property
    def is_current(self) -> bool:
        """Whether the store can be used as it stands."""
        return self.revision == HEAD


def look(location: Location, *, engine: Engine) -> Found:
    """Read the schema of a store without writing to it.

    Raises
    ------
    BadInputError
        Not a store, of a newer schema, or not readable.
    """
    try:
        if location.file is None:
            revision = _on_server(location, engine=engine)
        else:
            revision = _in_file(location.file)
    except (OSError, sqlite3.Error, SQLAlchemyError) as error:
        raise BadInputError(
            location.name, f"the store cannot be read: {plain_words(error)}"
        ) from error
    if revision is not None and revision not in REVISIONS:
        raise BadInputError(
            location.name,
            "written by a newer Dustcap",
            given=f"schema {revision}",
            allowed=f"schema {REVISIONS[0]} to {HEAD}",
        )
    return Found(revision=revision)


def _in_file(database: Path) -> str | None:
    if not database.exists() or database.stat().st_size == 0:
        return None  # an interrupted creation leaves an empty file
    if not database.is_file():
        raise BadInputError(str(database), "a folder, not a store", allowed="a file")
    with database.open("rb") as file:
        if file.read(len(_MAGIC)) != _MAGIC:
            raise BadInputError(str(database), "not a store of Dustcap's")
    # Not mode=ro: that leaves an empty log behind. Nothing is written, and nothing made.
    address = f"{database.as_uri()}?mode=rw"
    with closing(sqlite3.connect(address, uri=True, timeout=PATIENCE_S)) as connection:
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        if not _is_ours(tables, name=str(database)):
            return None
        rows = connection.execute(f"SELECT version_num FROM {VERSION_TABLE}").fetchall()
    return str(rows[0][0]) if rows else None


def _on_server(location: Location, *, engine: Engine) -> str | None:
    with reading(engine) as connection:
        encoding = connection.exec_driver_sql("SHOW server_encoding").scalar_one()
        if encoding != "UTF8":
            raise BadInputError(
                location.name, "the database's encoding", given=encoding, allowed="UTF8"
            )
        tables = set(inspect(connection).get_table_names())
        if not _is_ours(tables, name=location.name):
            return None
        rows = connection.exec_driver_sql(f"SELECT version_num FROM {VERSION_TABLE}").all()
    return str(rows[0][0]) if rows else None


def _is_ours(tables: set[str], *, name: str) -> bool:
    """Tell a store from nothing yet, and refuse the database of another program."""
    if tables and VERSION_TABLE not in tables:
        raise BadInputError(name, "a database, but not a store of Dustcap's")
    return bool(tables)


def migrate(engine: Engine) -> None:
    """Bring a store to the newest schema, or make it, in one transaction."""
    from alembic import command
    from alembic.config import Config

    if engine.dialect.name == "sqlite":
        use_write_ahead_log(engine)
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["version_table"] = VERSION_TABLE
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, HEAD)
