"""A chain file and the tables that it names, as one snapshot."""

from pathlib import Path

from hardware.chain.response_csv import read_response
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.toml_file import read_placed


def load_chain(path: Path) -> ChainSnapshot:
    """Read a chain file, and the microphone's response where it names one.

    Parameters
    ----------
    path : Path
        The chain file; the response is looked for relative to it.

    Returns
    -------
    ChainSnapshot

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    placed = read_placed(path, Chain)
    pressure = placed.model.input.pressure
    if pressure is None or pressure.response is None:
        return ChainSnapshot(chain=placed.model)
    table = path.parent / pressure.response
    if not table.is_file():
        raise placed.refusal(
            ("input", "pressure", "response"),
            "no such file",
            given=pressure.response,
            allowed="a CSV file, relative to the chain file",
        )
    return ChainSnapshot(chain=placed.model, response=read_response(table))


def needed_input_channels(chain: Chain) -> int:
    """Return how many input channels, from the first, a card must record.

    Parameters
    ----------
    chain : Chain
        Whose inputs are wired.

    Returns
    -------
    int, 1 or more.
    """
    return max(link.channel for link in chain.input.wired.values())
