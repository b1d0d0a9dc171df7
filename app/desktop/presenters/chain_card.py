"""The sound card section: which devices there are, which one the chain means, how it runs."""

from dataclasses import dataclass, replace

from hardware.chain.schema import Chain
from hardware.errors import CardRefusedError
from hardware.soundcard.devices import choose
from hardware.soundcard.messages import DeviceInfo

RIG, TWO, ONLY = "rig", "two", "only"
RIG_CHANNELS = 8  # a rig has as many as are asked for; so many are offered
_UNKNOWN_CHANNELS = 8
_ANY_HOST = ("", "any driver")


@dataclass(frozen=True, slots=True, kw_only=True)
class CardState:
    """What the section shows.

    Attributes
    ----------
    fact : str
        ``2 out, 4 in``; empty until somebody has looked.
    card, cards : str, tuple of (key, text)
        Key of what is chosen: ``rig``, ``two``, ``only``, or ``card:`` and a name.
    output, outputs, input, inputs : str, tuple of (key, text)
        With two cards: which plays and which records.
    host, hosts : str, tuple of (key, text)
        Driver family.
    is_rig : bool
        Whether it is the rig in software.
    unit, units : str, tuple of (key, text)
        What lies on the rig.
    is_real_time : bool
        Whether the rig takes as long as a card would.
    trouble : str
        Why the chain's card cannot be had; empty where it can, or where nobody has looked.
    output_channels, input_channels : int
        How many there are to wire; a guess until somebody has looked.
    is_known : bool
        Whether the card was found, and so its channels are known.
    """

    fact: str
    card: str
    cards: tuple[tuple[str, str], ...]
    host: str
    hosts: tuple[tuple[str, str], ...]
    output: str = ""
    outputs: tuple[tuple[str, str], ...] = ()
    input: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    is_rig: bool = False
    unit: str = ""
    units: tuple[tuple[str, str], ...] = ()
    is_real_time: bool = False
    trouble: str = ""
    output_channels: int = _UNKNOWN_CHANNELS
    input_channels: int = _UNKNOWN_CHANNELS
    is_known: bool = False


def card_state(
    chain: Chain,
    *,
    found: tuple[DeviceInfo, ...] | None,
    units: tuple[str, ...] = (),
    cannot_look: str = "",
) -> CardState:
    """Present a chain's device.

    Parameters
    ----------
    chain : Chain
        As it is.
    found : tuple of DeviceInfo or None
        The devices that there are; None until somebody has looked.
    units : tuple of str
        Names of the units that ship with the rig.
    cannot_look : str
        Why no list of devices could be had.
    """
    device = chain.device
    there = found or ()
    hosts = tuple(sorted({one.host_api for one in there}))
    names = _names(there, host=device.host_api, outputs=True, inputs=True)
    is_rig = device.backend == "virtual"
    cards = [(RIG, "rig in software"), *((f"card:{name}", name) for name in names)]
    if device.name is None and not is_rig and device.output_name is None:
        cards.append((ONLY, "the only one there is"))
    elif device.name is not None and device.name not in names:
        cards.append((f"card:{device.name}", device.name))
    cards.append((TWO, "two cards"))
    shared = CardState(
        fact="rig" if is_rig else "",
        card=_card_key(chain),
        cards=tuple(cards),
        host=device.host_api or "",
        hosts=(_ANY_HOST, *((one, one) for one in _with(device.host_api, hosts))),
        output=device.output_name or "",
        outputs=_options(
            _with(device.output_name, _names(there, host=device.host_api, outputs=True))
        ),
        input=device.input_name or "",
        inputs=_options(_with(device.input_name, _names(there, host=device.host_api, inputs=True))),
    )
    if is_rig:
        return _on_rig(shared, chain, units=units)
    return _on_card(shared, chain, found=found, cannot_look=cannot_look)


def _card_key(chain: Chain) -> str:
    device = chain.device
    if device.backend == "virtual":
        return RIG
    if device.output_name is not None:
        return TWO
    return ONLY if device.name is None else f"card:{device.name}"


def _on_rig(state: CardState, chain: Chain, *, units: tuple[str, ...]) -> CardState:
    rig = chain.virtual
    unit = rig.unit if rig is not None else (units[0] if units else "")
    return replace(
        state,
        is_rig=True,
        unit=unit,
        units=_options(_with(unit or None, units)),
        is_real_time=rig is not None and rig.real_time,
        output_channels=RIG_CHANNELS,
        input_channels=RIG_CHANNELS,
        is_known=True,
    )


def _on_card(
    state: CardState, chain: Chain, *, found: tuple[DeviceInfo, ...] | None, cannot_look: str
) -> CardState:
    if found is None:
        return replace(state, trouble=cannot_look)
    try:
        pair = choose(found, device=chain.device)
    except CardRefusedError as error:
        return replace(state, trouble=str(error))
    outputs, inputs = pair.output.max_output_channels, pair.input.max_input_channels
    return replace(
        state,
        fact=f"{outputs} out, {inputs} in",
        output_channels=outputs,
        input_channels=inputs,
        is_known=True,
    )


def _names(
    found: tuple[DeviceInfo, ...], *, host: str | None, outputs: bool = False, inputs: bool = False
) -> tuple[str, ...]:
    fits = (
        one.name
        for one in found
        if (host is None or one.host_api == host)
        and (not outputs or one.max_output_channels)
        and (not inputs or one.max_input_channels)
    )
    return tuple(dict.fromkeys(fits))


def _with(chosen: str | None, names: tuple[str, ...]) -> tuple[str, ...]:
    """Keep what the chain names among what is offered, also where it is not there."""
    return names if chosen is None or chosen in names else (*names, chosen)


def _options(names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in names)
