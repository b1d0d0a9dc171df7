"""Where a test may keep a store: in a file, or on the server of the tests."""

from contextlib import ExitStack
from functools import cached_property
from itertools import count
from pathlib import Path
from typing import Literal

from app.records.engine import open_engine
from app.records.location import locate
from app.records.schema_revision import migrate
from app.records.tables import metadata
from tests.app.records.server import Server, started

Kind = Literal["sqlite", "postgresql"]
KINDS: tuple[Kind, Kind] = ("sqlite", "postgresql")
# Row by row, with no trigger asked: quicker than new files for every table.
_EMPTIED = "; ".join(
    (
        "SET session_replication_role = replica",
        *(f"DELETE FROM {table}" for table in metadata.tables),
        "SELECT setval(oid::regclass, 1, false) FROM pg_class WHERE relkind = 'S'",
    )
)


class Places:
    """New places in a folder; the server is started for the first test that wants it."""

    def __init__(self, folder: Path, *, until: ExitStack) -> None:
        self._folder, self._until = folder, until
        self._numbers = count(1)
        self._free: list[str] = []

    @cached_property
    def server(self) -> Server:
        """The server; its database ``template`` has the tables of a store, and nothing in them."""
        server = self._until.enter_context(started())
        server.run("CREATE DATABASE template")
        engine = open_engine(locate(f"{server.url('template')}&captures=/nowhere").url)
        migrate(engine)
        engine.dispose()
        return server

    def new(self, kind: Kind) -> str:
        """Return the address of a store that is not there yet; on the server its tables are."""
        if kind == "sqlite":
            return self._file()
        if not self._free:
            return self._database(template="template")
        return self._address(self._free.pop())

    def bare(self, kind: Kind) -> str:
        """Return the address of a store of which nothing is there yet."""
        return self._file() if kind == "sqlite" else self._database(template="template0")

    def free(self, address: str) -> None:
        """Let another test have the database of ``new``: emptied, which is quicker than made."""
        location = locate(address)
        if location.is_on_server:
            name = str(location.url.database)
            self.server.run(_EMPTIED, database=name)
            self._free.append(name)

    def _file(self) -> str:
        folder = self._folder / f"file_{next(self._numbers)}"
        folder.mkdir()
        return str(folder / "records.sqlite")

    def _database(self, *, template: str) -> str:
        name = f"store_{next(self._numbers)}"
        # Copied file by file: three times as quick as through the log.
        self.server.run(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY = file_copy")
        return self._address(name)

    def _address(self, database: str) -> str:
        folder = self._folder / f"captures_{next(self._numbers)}"
        return f"{self.server.url(database)}&captures={folder}"
