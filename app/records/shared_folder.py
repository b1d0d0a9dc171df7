"""The folder of recordings that the stations of one store share, told apart from any other.

A share that is not mounted looks like an empty folder, and one letter in a path leads elsewhere:
recordings would be scattered without anybody noticing. So folder and database hold the same mark.
"""

import uuid
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, select

from app.errors import BadInputError
from app.records import tables
from app.records.durable import sync_folder, write_synced
from app.records.engine import reading, writing

MARK = "dustcap-store"  # the file that holds the mark
_OF_ANOTHER = "the folder for recordings is that of another store"


def settle_folder(folder: Path, *, store: str, engine: Engine) -> None:
    """Refuse a folder that is not that of a store; a store that is new gets it as its own.

    Parameters
    ----------
    folder : Path
        As this station sees it.
    store : str
        What messages call the store.
    engine : Engine
        Of its database.

    Raises
    ------
    BadInputError
        It is missing, bears no mark, or that of another store.
    """
    with reading(engine) as connection:
        mark = _mark(on=connection)
    if mark is None:
        with writing(engine) as connection:  # another station may have been first
            mark = _mark(on=connection) or _claim(folder, store=store, on=connection)
    found = _mark_in(folder)
    if not folder.is_dir():
        what = "the folder for recordings is missing"
    elif found is None:
        what = "the folder for recordings is not that of this store: it holds no mark"
    elif found != mark:
        what = _OF_ANOTHER
    else:
        return
    raise BadInputError(
        store, what, given=folder, allowed="the one that its other stations use, as seen from here"
    )


def _claim(folder: Path, *, store: str, on: Connection) -> str:
    if not folder.parent.is_dir():
        raise BadInputError(
            store, "the folder for recordings is missing", given=folder, allowed="one that is there"
        )
    if _mark_in(folder) is not None:
        raise BadInputError(store, _OF_ANOTHER, given=folder, allowed="a new one")
    folder.mkdir(exist_ok=True)
    mark = uuid.uuid4().hex
    write_synced(folder / MARK, memoryview(f"{mark}\n".encode()))
    sync_folder(folder)
    on.execute(insert(tables.captures_folder).values(mark=mark))
    return mark


def _mark(*, on: Connection) -> str | None:
    return on.execute(select(tables.captures_folder.c.mark)).scalar()


def _mark_in(folder: Path) -> str | None:
    file = folder / MARK
    return file.read_text(encoding="utf-8", errors="replace").strip() if file.is_file() else None
