"""Limits as a person names them on the command line: a file, or a revision in the store."""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.errors import BadInputError

if TYPE_CHECKING:  # slow to import, and every command imports this file
    from collections.abc import Mapping

    from app.procedure.mask_schema import Mask
    from app.records.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Limits, and where they come from.

    Attributes
    ----------
    name : str
        The file, or ``SET@N``.
    masks : mapping of str to Mask
        By name.
    procedure : str
        Name of the procedure that they are for; empty: any.
    set_name : str
        Of the limit set; empty where a file does not say.
    is_stored : bool
        Whether they are a revision in the store.
    """

    name: str
    masks: "Mapping[str, Mask]"
    procedure: str = ""
    set_name: str = ""
    is_stored: bool = False


def limits_given(given: str, *, store: "Store") -> Given:
    """Read the limits that a person names.

    Parameters
    ----------
    given : str
        A file of limits, TOML or CSV; or ``SET@N``, revision N of a set in the store. A file goes
        first.
    store : Store
        Where revisions are.

    Raises
    ------
    BadInputError
        Neither; or the store has no such set or revision.
    FileError
        The file cannot be read as limits.
    """
    if Path(given).is_file() or "@" not in given:
        return limits_of_file(given)
    named = revision_given(given)
    revision = store.limit_revision(named.set_name, named.number)
    return Given(name=given, masks=revision.masks, set_name=named.set_name, is_stored=True)


def limits_of_file(given: str) -> Given:
    """Read a file of limits: a limit set or a procedure with its masks, TOML; or CSV.

    Raises
    ------
    BadInputError, FileError
        There is no such file, or it cannot be read as limits.
    """
    from app.procedure.limit_csv import read_limit_csv
    from app.procedure.limit_set import load_limit_set
    from app.procedure.load import load_procedure

    file = Path(given)
    if not file.is_file():
        raise BadInputError("limits", "no such file", given=given, allowed="a file, or SET@N")
    if file.suffix.lower() == ".csv":
        return Given(name=given, masks=read_limit_csv(file))
    if _is_procedure(file):
        procedure = load_procedure(file).procedure
        return Given(name=given, masks=procedure.masks, procedure=procedure.name)
    found = load_limit_set(file)
    return Given(name=given, masks=found.masks, procedure=found.procedure, set_name=found.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedRevision:
    """``SET@N``."""

    set_name: str
    number: int


def revision_given(given: str) -> NamedRevision:
    """Read ``SET@N``.

    Raises
    ------
    BadInputError
        It is not of that form.
    """
    name, _, number = given.rpartition("@")
    if not name or not number.isdecimal() or int(number) < 1:
        raise BadInputError("limits", "no revision", given=given, allowed='as "T4 line@7"')
    return NamedRevision(set_name=name, number=int(number))


def _is_procedure(file: Path) -> bool:
    """Tell a procedure from a limit set: it says what to play."""
    try:
        return "excitation" in tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return False  # whoever reads it as limits says what is wrong with it
