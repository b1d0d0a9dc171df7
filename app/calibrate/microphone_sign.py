"""The polarity of the microphone with its preamplifier, from a push of pressure."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from dsp.calibration.polarity import microphone_polarity
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot

LINK = "input.pressure"


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneSignMethod:
    """How it is found: silence, then a push: a hand closes on a box around the microphone."""

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,  # noqa: ARG002  nothing is held against an instrument
        history: History,  # noqa: ARG002
    ) -> Found:
        """Read the recording; see ``Method.find``."""
        wired = chain.chain.input.pressure
        if wired is None:
            raise BadInputError(LINK, "no microphone in this chain", allowed="[input.pressure]")
        if len(captures) != 1:
            raise BadInputError("--capture", "recordings", given=len(captures), allowed="one")
        samples = captures[0].samples
        count = samples.shape[1]
        at = 1 if count == 1 else wired.channel  # a recording of the microphone alone
        if at > count:
            raise BadInputError(
                f"{captures[0].card} {LINK}.channel",
                "no such channel",
                given=at,
                allowed=f"1 to {count}",
            )
        return Found(
            link=LINK,
            results=(microphone_polarity(samples[:, at - 1].astype(np.float64)),),
            method="Sign of the first excursion after a push of positive pressure.",
            given={},
        )
