"""The chain that lies on the bench when the window opens."""

from dataclasses import dataclass
from pathlib import Path

from app.procedure.shipped_files import CHAIN
from hardware.chain.load import load_chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import HardwareError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Laid:
    """The chain to begin with, and what is to be said of it."""

    snapshot: ChainSnapshot
    file: Path | None
    sentence: str = ""


def lay(chain: Path) -> Laid:
    """Load the chain that was asked for.

    Raises
    ------
    HardwareError
        It cannot be read.
    """
    return Laid(snapshot=load_chain(chain), file=chain)


def lay_again(last: Path | None) -> Laid:
    """Load the chain that lay open last, or the one that ships."""
    if last is None:
        return Laid(snapshot=_shipped(), file=None)
    try:
        return lay(last)
    except HardwareError as error:
        return Laid(snapshot=_shipped(), file=None, sentence=f"Not opened: {error}")


def _shipped() -> ChainSnapshot:
    shipped = load_chain(CHAIN)
    virtual = shipped.chain.virtual
    assert virtual is not None  # the shipped chain is the rig's
    # Somebody watches: the rig takes as long as a card would, and can be stopped on its way.
    slow = shipped.chain.model_copy(
        update={"virtual": virtual.model_copy(update={"real_time": True})}
    )
    return shipped.model_copy(update={"chain": slow})
