"""From a chain to the card it names: the one place that knows every backend."""

from typing import assert_never

from hardware.card import Card
from hardware.chain.snapshot import ChainSnapshot
from hardware.soundcard.card import SoundCard


def open_card(snapshot: ChainSnapshot) -> Card:
    """Open what plays and records for a chain; close it when done.

    Parameters
    ----------
    snapshot : ChainSnapshot
        Its ``[device]`` chooses the backend.

    Returns
    -------
    Card; a sound card is looked for when it first plays.

    Raises
    ------
    CardRefusedError
        The virtual rig has no unit of that name.
    """
    device = snapshot.chain.device
    match device.backend:
        case "soundcard":
            return SoundCard(device)
        case "virtual":
            # Its compiled loops are slow to import, and a sound card needs none of them.
            from hardware.virtual.card import VirtualCard  # noqa: PLC0415 - as said above

            return VirtualCard(snapshot)
        case other:
            assert_never(other)
