"""How a microphone's table was understood: what has to be minded where figures stand on it."""

from pathlib import Path

from hardware.chain.response_csv import read_supplied
from hardware.chain.snapshot import ChainSnapshot


def response_remarks(chain: ChainSnapshot, *, folder: Path) -> tuple[str, ...]:
    """Say how the response table of a chain's microphone was read.

    Parameters
    ----------
    chain : ChainSnapshot
        With or without a table.
    folder : Path
        Of the chain file.

    Returns
    -------
    tuple of str, a sentence each; empty without a table.

    Raises
    ------
    FileError
        The table cannot be read any more.
    """
    wired = chain.chain.input.pressure
    if wired is None or wired.response is None:
        return ()
    supplied = read_supplied(folder / wired.response)
    return tuple(f"{wired.response.name}: {note}." for note in supplied.notes)
