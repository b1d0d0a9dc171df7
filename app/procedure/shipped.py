"""The procedures and the chain that come with Dustcap, by name."""

from pathlib import Path

from app.errors import BadInputError
from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped_files import CHAIN, FOLDER
from hardware.chain.load import load_chain
from hardware.chain.snapshot import ChainSnapshot


def shipped() -> dict[str, Path]:
    """Return the procedures that ship, by name, in the order in which people meet them."""
    order = ("line-check", "line-defects", "baffle-sweep", "baffle-stepped", "impedance")
    return {name: FOLDER / f"{name}.toml" for name in order}


def find_procedure(given: str) -> LoadedProcedure:
    """Load a procedure by path, or by the name of one that ships.

    Parameters
    ----------
    given : str
        A path, or a name such as ``line-check``; a file of that very path comes first.

    Returns
    -------
    LoadedProcedure

    Raises
    ------
    FileError
        The file cannot be used as it stands.
    BadInputError
        There is neither such a file nor such a name.
    """
    path, known = Path(given), shipped()
    if given in known and not path.is_file():
        return load_procedure(known[given])
    if not path.exists() and path.suffix != ".toml":
        raise BadInputError(
            "procedure",
            "neither a file nor one that ships",
            given=given,
            allowed=f"a path, or {', '.join(known)}",
        )
    return load_procedure(path)


def demo_chain() -> ChainSnapshot:
    """Return the bench in software that the demo measures on."""
    return load_chain(CHAIN)
