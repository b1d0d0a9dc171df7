"""Where a test may keep a store: in a file, or on the server of the tests."""

from contextlib import ExitStack
from functools import cached_property
from itertools import count
from pathlib import Path
from typing import Literal

from app.records.engine import open_engine
from app.records.location import locate
from app.records.schema_revision import migrate
from tests.app.records.server import Server, started

Kind = Literal["sqlite", "postgresql"]
KINDS: tuple[Kind, Kind] = ("sqlite", "postgresql")


class Places:
    """New places in a folder; the server is started for the first test that wants it."""

    def __init__(self, folder: Path, *, until: ExitStack) -> None:
        self._folder, self._until = folder, until
        self._numbers = count(1)

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
        return self._address(kind, template="template")

    def bare(self, kind: Kind) -> str:
        """Return the address of a store of which nothing is there yet."""
        return self._address(kind, template="template0")

    def _address(self, kind: Kind, *, template: str) -> str:
        name = f"store_{next(self._numbers)}"
        if kind == "sqlite":
            (self._folder / name).mkdir()
            return str(self._folder / name / "records.sqlite")
        # Copied file by file: three times as quick as through the log.
        self.server.run(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY = file_copy")
        return f"{self.server.url(name)}&captures={self._folder / name}"
