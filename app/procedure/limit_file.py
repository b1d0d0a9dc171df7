"""A file of limits in either form: a limit set (TOML) or a table (CSV)."""

from pathlib import Path

from app.procedure.limit_csv import read_limit_csv
from app.procedure.limit_set import LimitSet, load_limit_set


def read_limit_file(path: Path) -> LimitSet:
    """Read limits, by the file's ending: ``.csv`` is a table, everything else a limit set.

    Raises
    ------
    BadInputError, FileError
        The file cannot be read as such.
    """
    if path.suffix.lower() == ".csv":
        return LimitSet(masks=dict(read_limit_csv(path)))
    return load_limit_set(path)
