"""Which sound devices there are, and which of them the chain file means."""

from dataclasses import dataclass
from typing import Literal

from hardware.chain.schema import Device
from hardware.errors import CardRefusedError
from hardware.soundcard.messages import DeviceInfo
from hardware.soundcard.process import AudioProcess

Direction = Literal["output", "input"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPair:
    """What plays and what records: twice the same device, or two with a clock each."""

    output: DeviceInfo
    input: DeviceInfo

    @property
    def two_cards(self) -> bool:
        """Whether two converters' clocks run independently."""
        return self.output.index != self.input.index

    @property
    def text(self) -> str:
        """Names, host APIs and library version, for the record."""
        names = f"{self.output.name} ({self.output.host_api})"
        if self.two_cards:
            names += f" and {self.input.name} ({self.input.host_api})"
        return f"{names}, {self.output.portaudio}"


def devices() -> tuple[DeviceInfo, ...]:
    """List the sound devices that are there now.

    Returns
    -------
    tuple of DeviceInfo, empty where there is none.

    Raises
    ------
    CardRefusedError, CardLostError
    """
    process = AudioProcess()
    process.quit()
    return process.devices


def choose(there: tuple[DeviceInfo, ...], *, device: Device) -> CardPair:
    """Find what the chain file's ``[device]`` names; a default is never taken silently.

    Parameters
    ----------
    there : tuple of DeviceInfo
        As ``devices`` lists them.
    device : Device
        A whole name wins over a part of one; a part must fit one device only. Without any name
        the only device that both plays and records is taken.

    Returns
    -------
    CardPair

    Raises
    ------
    CardRefusedError
        None fits, or several do; the message says what there is.
    """
    there = _of_host_api(there, device=device)
    if device.output_name is not None and device.input_name is not None:
        return CardPair(
            output=_named(there, name=device.output_name, directions=("output",)),
            input=_named(there, name=device.input_name, directions=("input",)),
        )
    both = _named(there, name=device.name, directions=("output", "input"))
    return CardPair(output=both, input=both)


def _of_host_api(there: tuple[DeviceInfo, ...], *, device: Device) -> tuple[DeviceInfo, ...]:
    wanted = device.host_api
    if wanted is None:
        return there
    apis = sorted({one.host_api for one in there})
    fits = [api for api in apis if api == wanted] or [
        api for api in apis if wanted.casefold() in api.casefold()
    ]
    if len(fits) != 1:
        known = ", ".join(f'"{api}"' for api in apis) or "none with a device"
        raise CardRefusedError(
            f'device.host_api: {"several fit" if fits else "not there"}: given "{wanted}", '
            f"allowed: {known}"
        )
    return tuple(one for one in there if one.host_api == fits[0])


def _named(
    there: tuple[DeviceInfo, ...], *, name: str | None, directions: tuple[Direction, ...]
) -> DeviceInfo:
    able = [one for one in there if all(_channels(one, direction=way) for way in directions)]
    if name is None:
        fits = able
    else:
        fits = [one for one in able if one.name == name] or [
            one for one in able if name.casefold() in one.name.casefold()
        ]
    if len(fits) == 1:
        return fits[0]
    what = " and ".join({"output": "plays", "input": "records"}[way] for way in directions)
    given = "no name" if name is None else f'"{name}"'
    known = ", ".join(f'"{one.name}" ({one.host_api})' for one in fits or able)
    raise CardRefusedError(
        f"device: {'several cards fit' if fits else 'no such card'} (one that {what}): "
        f"given {given}, there is: {known or 'none'}"
    )


def _channels(one: DeviceInfo, *, direction: Direction) -> int:
    match direction:
        case "output":
            return one.max_output_channels
        case "input":
            return one.max_input_channels
