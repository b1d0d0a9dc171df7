"""The signature file in force: that of a store, where somebody wrote one, or the one that ships."""

from functools import cache
from pathlib import Path

from app.procedure.shipped_files import FOLDER
from app.procedure.signature_schema import Signatures
from hardware.toml_file import read_model

FILE = "signatures.toml"
SHIPPED = FOLDER / FILE


def load_signatures(path: Path) -> Signatures:
    """Read a signature file.

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    return read_model(path, Signatures)


@cache
def shipped_signatures() -> Signatures:
    """Return the signatures that come with Dustcap."""
    return load_signatures(SHIPPED)


def signatures_beside(folder: Path | None) -> Signatures:
    """Return the signatures that lie beside a store; those that ship where there are none.

    Raises
    ------
    FileError
        There are, and they cannot be used as they stand.
    """
    own = folder / FILE if folder is not None else None
    return load_signatures(own) if own is not None and own.is_file() else shipped_signatures()
