"""Where a store is: a file, the one in the user's data folder, or a database on a server."""

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from app.errors import BadInputError

_FILE = "sqlite:///"
_SERVER = ("postgresql", "postgresql+psycopg")
_ALLOWED = f"a file, {_FILE} and a file, or postgresql://USER@SERVER/DATABASE?captures=FOLDER"


@dataclass(frozen=True, slots=True, kw_only=True)
class Location:
    """The database, and the folder of audio files that belongs to it.

    Attributes
    ----------
    url : URL
        What the database is opened by; may hold a password.
    name : str
        What people call the place: the file, or server and database without the password.
    folder : Path
        Where other files of the store lie: beside the database file, or in the captures' folder.
    audio : Path
        The captures' folder.
    """

    url: URL
    name: str
    folder: Path
    audio: Path

    @property
    def file(self) -> Path | None:
        """The database file; None on a server."""
        return None if self.is_on_server else Path(str(self.url.database))

    @property
    def is_on_server(self) -> bool:
        """Whether several stations may share it."""
        return self.url.get_backend_name() == "postgresql"

    @property
    def address(self) -> str:
        """What ``locate`` finds the same place by; may hold a password."""
        if not self.is_on_server:
            return self.name
        whole = self.url.update_query_dict({"captures": str(self.audio)})
        return whole.render_as_string(hide_password=False)


def locate(where: str | Path | None) -> Location:
    """Turn what a person named into a place.

    Parameters
    ----------
    where : str, Path or None
        A file; ``sqlite:///`` and a file; ``postgresql://`` with user, server, database and
        ``?captures=`` with the folder for recordings that all stations share; None for
        ``records.sqlite`` in the user's data folder.

    Returns
    -------
    Location; the audio of a file lies beside it, in a folder that bears its name.

    Raises
    ------
    BadInputError
        A URL of another kind, one that says too little, or nothing at all.
    """
    if where is None:
        import platformdirs  # noqa: PLC0415  needed for no store but this one

        where = platformdirs.user_data_path("dustcap", appauthor=False) / "records.sqlite"
    text = str(where)
    if "://" in text and not text.startswith(_FILE):
        return _on_server(text)
    text = text.removeprefix(_FILE)
    if not text:
        raise BadInputError("store", "no file named", allowed=_ALLOWED)
    database = Path(text).expanduser().absolute()
    return Location(
        url=URL.create("sqlite", database=str(database)),
        name=str(database),
        folder=database.parent,
        audio=database.with_name(f"{database.name}-captures"),
    )


def _on_server(text: str) -> Location:
    # No message shows what was given: there may be a password in it.
    scheme = text.partition("://")[0]
    if scheme not in _SERVER:
        raise BadInputError("store", "cannot be opened", given=f"{scheme}://", allowed=_ALLOWED)
    try:
        url = make_url(text).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError) as error:
        raise BadInputError("store", "an address that cannot be read", allowed=_ALLOWED) from error
    name = URL.create("postgresql", url.username, None, url.host, url.port, url.database)
    where = name.render_as_string()
    if not url.database:
        raise BadInputError(where, "no database named", allowed=_ALLOWED)
    captures = url.query.get("captures")
    if not isinstance(captures, str) or not captures:
        raise BadInputError(
            where,
            "no folder for recordings named",
            allowed="?captures= with one folder that every station of this store can write to",
        )
    folder = Path(captures).expanduser().absolute()
    return Location(
        url=url.difference_update_query(["captures"]), name=where, folder=folder, audio=folder
    )
