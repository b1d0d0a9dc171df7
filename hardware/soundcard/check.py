"""What can be said about a request before anything is opened, and the words for a card's no."""

from hardware.card import PlayRequest
from hardware.errors import CardRefusedError
from hardware.soundcard.devices import CardPair
from hardware.soundcard.messages import Reply

_INVALID_SAMPLE_RATE = -9997  # PortAudio's paInvalidSampleRate


def outputs_used(request: PlayRequest) -> tuple[int, ...]:
    """Name the outputs that play the signal.

    Returns
    -------
    tuple of int, counted from 1, the driving output first.
    """
    if request.copy_channel in {None, request.output_channel}:
        return (request.output_channel,)
    return tuple(filter(None, (request.output_channel, request.copy_channel)))


def check_shape(request: PlayRequest) -> None:
    """Refuse a request that no card could play.

    Raises
    ------
    CardRefusedError
    """
    if request.output.ndim != 1 or not request.output.size:
        raise CardRefusedError(
            f"output: not a signal: given shape {request.output.shape}, allowed (n,), n above 0"
        )
    for what, channel in (
        ("output_channel", request.output_channel),
        ("copy_channel", request.copy_channel),
        ("input_channels", request.input_channels),
    ):
        if channel is not None and channel < 1:
            raise CardRefusedError(f"{what}: given {channel}, allowed 1 or more")


def check_channels(cards: CardPair, *, request: PlayRequest) -> None:
    """Refuse channels that the cards do not have.

    Parameters
    ----------
    cards : CardPair
        What was chosen.
    request : PlayRequest
        What is asked of it.

    Raises
    ------
    CardRefusedError
    """
    for name, way, there, wanted in (
        (cards.output.name, "output", cards.output.max_output_channels, max(outputs_used(request))),
        (cards.input.name, "input", cards.input.max_input_channels, request.input_channels),
    ):
        if wanted > there:
            raise CardRefusedError(
                f"{name}: too few {way} channels: given {way} {wanted}, allowed 1 to {there}"
            )


def refusal_text(reply: Reply, *, request: PlayRequest, cards: CardPair) -> str:
    """Put PortAudio's refusal into one line that names what would work.

    Parameters
    ----------
    reply : Reply
        What the audio process said.
    request : PlayRequest
        What was asked of the card.
    cards : CardPair
        The card.

    Returns
    -------
    str
    """
    if reply.code == _INVALID_SAMPLE_RATE:
        own = {one.name: one.default_sample_rate_hz for one in (cards.output, cards.input)}
        rates = " and ".join(f"{rate:g} Hz ({name})" for name, rate in own.items())
        return (
            f"{cards.output.name}: sample rate refused: given {request.sample_rate_hz:g} Hz, "
            f"its own is {rates}"
        )
    return f"{cards.output.name}: does not open: {reply.reason}"
