"""Record couplings live: one after the other, asked for where a person has to put it on anew."""

import sys
from contextlib import closing
from typing import TYPE_CHECKING

import typer

from app.cli.exits import say
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.excitation.excitation import Excitation
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot

_LOUD_DB = 110.0
SLOWLY = (
    "Put the instrument on slowly and straight: air that is pushed in fast can tear a diaphragm. "
    "Wait until the level stands still."
)
LOUD = "The level in the coupler harms hearing at once: never hold it to an ear."


def record_couplings(
    chain: "ChainSnapshot", *, couplings: int, seconds: float, level_db: float
) -> "tuple[Capture, ...]":
    """Record each coupling in silence.

    Raises
    ------
    BadInputError
        Several couplings, and nobody to put the instrument on anew.
    CardRefusedError, CardLostError
    """
    from app.calibrate.listen import listen
    from hardware.open_card import open_card

    hands = chain.chain.device.backend == "soundcard"
    asks = sys.stdin.isatty()
    if hands and couplings > 1 and not asks:
        raise BadInputError(
            "--couplings", "nobody to ask between them", given=couplings, allowed="1, or a terminal"
        )
    if hands:
        say(SLOWLY)
    if level_db >= _LOUD_DB:
        say(LOUD)
    captures = []
    with closing(open_card(chain)) as card:
        for at in range(1, couplings + 1):
            if hands and asks:
                typer.prompt(
                    f"Coupling {at} of {couplings}: Enter when it stands still",
                    default="",
                    show_default=False,
                    err=True,
                )
            captures.append(
                listen(
                    card,
                    chain=chain.chain,
                    seconds=seconds,
                    on_progress=lambda _: None,
                    should_stop=lambda: False,
                )
            )
    return tuple(captures)


def play(chain: "ChainSnapshot", *, probe: "Excitation") -> "Capture":
    """Play a probe once and record every input.

    Raises
    ------
    CardRefusedError, CardLostError
    """
    from app.calibrate.play import play_probe
    from hardware.open_card import open_card

    with closing(open_card(chain)) as card:
        return play_probe(
            card,
            probe=probe,
            chain=chain.chain,
            on_progress=lambda _: None,
            should_stop=lambda: False,
        )
