"""``dustcap calibrate polarity``: the microphone's sign from a push of pressure."""

from contextlib import closing
from typing import Annotated

import typer

from app.cli.calibrate import options
from app.cli.exits import say
from app.cli.option_groups import with_groups
from app.errors import BadInputError

_HOW = (
    "Silence first; after a second close your hand quickly on the opening of a box around the "
    "microphone. Keep your fingers off its grid."
)


@with_groups
def polarity(
    chain: options.Chain,
    capture: options.Captures = None,
    seconds: Annotated[float, typer.Option(min=2, max=60, help="Live: s.")] = 5.0,
    *,
    kept: options.Kept,
) -> int:
    """Find whether pressure gives a positive voltage; nothing in the chain changes.

    The signs of output, amplifier and their inputs: ``dustcap calibrate limits``.
    """
    from app.calibrate.listen import listen
    from app.calibrate.microphone_sign import LINK, MicrophoneSignMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from app.records.recording_file import open_recording
    from hardware.chain.load import load_chain
    from hardware.open_card import open_card

    snapshot = load_chain(chain)
    if capture:
        rate = float(snapshot.chain.device.sample_rate)
        captures = [open_recording(path, sample_rate_hz=rate) for path in capture]
    elif snapshot.chain.device.backend == "virtual":
        raise BadInputError("--capture", "not given", allowed="a recording: the rig has no hand")
    else:
        say(_HOW)
        with closing(open_card(snapshot)) as card:
            captures = [
                listen(
                    card,
                    chain=snapshot.chain,
                    seconds=seconds,
                    on_progress=lambda _: None,
                    should_stop=lambda: False,
                )
            ]
    asked = asked_of(
        kept,
        instrument="a push of pressure",
        conditions=conditions_of(snapshot.chain),
        against=options.Against(check=True),
    )
    return finish(
        MicrophoneSignMethod(),
        captures,
        link=LINK,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )
