"""Start a card silently, so that what it refuses is told before anything is written or heard."""

from dataclasses import replace

import numpy as np

from hardware.card import Card, PlayRequest

_SILENCE_S = 0.05


def start_silently(card: Card, *, request: PlayRequest) -> None:
    """Play a moment of nothing with the rate and the channels of a request.

    Raises
    ------
    CardRefusedError, CardLostError
        What playing the request would raise.
    """
    silence = np.zeros(round(_SILENCE_S * request.sample_rate_hz), dtype=np.float32)
    card.play(
        replace(request, output=silence), on_progress=lambda _: None, should_stop=lambda: False
    )
