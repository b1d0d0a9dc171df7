"""Where a store is: a file that a person names, or the one in their data folder."""

from dataclasses import dataclass
from pathlib import Path

from app.errors import BadInputError

_SCHEME = "sqlite:///"


@dataclass(frozen=True, slots=True, kw_only=True)
class Location:
    """The database file, and the folder of audio files that belongs to it."""

    database: Path
    audio: Path


def locate(where: str | Path | None) -> Location:
    """Turn what a person named into a place.

    Parameters
    ----------
    where : str, Path or None
        A file, or ``sqlite:///`` and a file; None for ``records.sqlite`` in the user's data folder.

    Returns
    -------
    Location; the audio lies beside the database, in a folder that bears its name.

    Raises
    ------
    BadInputError
        A URL of another kind, or nothing at all.
    """
    if where is None:
        import platformdirs  # noqa: PLC0415  needed for no store but this one

        where = platformdirs.user_data_path("dustcap", appauthor=False) / "records.sqlite"
    text = str(where)
    if text.startswith(_SCHEME):
        text = text.removeprefix(_SCHEME)
    elif "://" in text:
        scheme = text.partition("://")[0] + "://"
        raise BadInputError(
            "store", "cannot be opened", given=scheme, allowed=f"a file, or {_SCHEME} and a file"
        )
    if not text:
        raise BadInputError("store", "no file named", allowed=f"a file, or {_SCHEME} and a file")
    database = Path(text).expanduser().absolute()
    return Location(database=database, audio=database.with_name(f"{database.name}-captures"))
