"""Play a residual to a person: slowed, on an output that no unit hangs on, at a capped level."""

from dataclasses import dataclass

import numpy as np

from app.errors import BadInputError
from app.measure.again import Opened
from app.measure.derive import derive
from dsp.defects.reading import DefectReading
from dsp.defects.slowed import Slowed
from hardware.card import PlayRequest
from hardware.chain.ceiling import output_ceiling
from hardware.chain.schema import Device
from hardware.chain.snapshot import ChainSnapshot

# Of full scale. Headphones on a hot output may be loud far below it: begin low, and no higher.
FIRST_DBFS, HIGHEST_DBFS = -40.0, -20.0
CAUTION = "Headphones off your ears first: turn their level down, start, then put them on."


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """Where a sound is to be heard.

    Attributes
    ----------
    channel : int
        Output, counted from 1.
    card : str or None
        Its name, as ``dustcap devices`` lists it; None: the card of the take's chain.
    peak_dbfs : float
        dB re full scale of the loudest sample, up to ``HIGHEST_DBFS``.
    """

    channel: int
    card: str | None = None
    peak_dbfs: float = FIRST_DBFS


def residual_of(opened: Opened) -> DefectReading | None:
    """Read the defects of a stored take again; None without a microphone, or a sweep or tones."""
    return derive(
        opened.capture,
        procedure=opened.loaded,
        chain=opened.take.chain,
        excitation=opened.excitation,
        prepared=opened.plan,
    ).defects


def reading_of(opened: Opened) -> DefectReading:
    """Read the defects of a stored take again.

    Raises
    ------
    BadInputError
        The take has no microphone, or neither a sweep nor tones that are long enough.
    """
    found = residual_of(opened)
    if found is None:
        raise BadInputError(
            f"take {opened.take.id[:8]}",
            "has no residual",
            allowed="a take with a microphone, of a sweep or of tones that last",
        )
    return found


def outlet_chain(chain: ChainSnapshot, *, outlet: Outlet) -> ChainSnapshot:
    """Return the chain with the card on which a sound is to be heard."""
    if outlet.card is None:
        return chain
    old = chain.chain.device
    device = Device(
        backend="soundcard", name=outlet.card, sample_rate=old.sample_rate, block=old.block
    )
    return chain.model_copy(update={"chain": chain.chain.model_copy(update={"device": device})})


def outlet_request(sound: Slowed, *, chain: ChainSnapshot, outlet: Outlet) -> PlayRequest:
    """Make the request that an outlet plays; refuses what ``check_outlet`` does.

    Parameters
    ----------
    sound : Slowed
        With its loudest sample at 1.
    chain : ChainSnapshot
        The take's own.
    outlet : Outlet
        Where, and how loud; never louder than the take's chain allows its unit.

    """
    check_outlet(outlet, chain=chain)
    # A card may go by two names: whatever it is called, no more than the unit stands leaves it.
    ceiling = min(10 ** (HIGHEST_DBFS / 20), output_ceiling(chain.chain))
    peak = min(10 ** (outlet.peak_dbfs / 20), ceiling)
    return PlayRequest(
        output=(sound.samples * peak).astype(np.float32),
        output_channel=outlet.channel,
        input_channels=1,
        sample_rate_hz=sound.sample_rate_hz,
        ceiling=ceiling,
    )


def check_outlet(outlet: Outlet, *, chain: ChainSnapshot) -> None:
    """Refuse an outlet on which nobody should listen.

    Parameters
    ----------
    outlet : Outlet
        Where, and how loud.
    chain : ChainSnapshot
        The take's own.

    Raises
    ------
    BadInputError
        A level above the highest, or the output on which the unit or a loopback hangs.
    """
    if outlet.peak_dbfs > HIGHEST_DBFS:
        raise BadInputError(
            "peak_dbfs",
            "too loud to listen to",
            given=f"{outlet.peak_dbfs:g} dB",
            allowed=f"up to {HIGHEST_DBFS:g} dB re full scale",
        )
    drive = chain.chain.output.drive
    may_drive = outlet.channel in {drive.channel, drive.copy_channel}
    if may_drive and _may_be_the_same_card(outlet, device=chain.chain.device):
        raise BadInputError(
            "output channel",
            "drives the unit",
            given=outlet.channel,
            allowed="another output, or another card",
        )


def _may_be_the_same_card(outlet: Outlet, *, device: Device) -> bool:
    if outlet.card is None:
        return True
    # A part of a name is enough to find a card by.
    own = (device.output_name or device.name or "").casefold()
    asked = outlet.card.casefold()
    return device.backend == "soundcard" and (asked in own or own in asked)
