"""``dustcap calibrate output``: a sine played, volts read at its jack."""

from typing import Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options
from app.cli.option_groups import with_groups


@with_groups
def output(
    chain: options.Chain,
    meter_ohm: Annotated[
        float | None,
        typer.Option("--meter-ohm", min=1, help="ohm of the meter; else it loads nothing."),
    ] = None,
    source_ohm: Annotated[
        float, typer.Option(min=0, help="ohm of the output, if known; with --meter-ohm.")
    ] = 0.0,
    *,
    meter: m.Meter,
    against: options.Against,
    kept: options.Kept,
) -> int:
    """Find the output's full scale with a voltmeter at its jack.

    Pull the plug to the amplifier first: the sine is loud.
    """
    from app.calibrate.voltage import DRIVE, OutputMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    shown = m.readings(snapshot, meter=meter, place="output jack")
    method = OutputMethod(
        readings=tuple(m.readings_of(shown, hz=meter.frequency_hz)),
        meter=m.voltmeter_of(meter, ohm=meter_ohm),
        source_ohm=source_ohm,
    )
    asked = asked_of(
        kept,
        instrument="voltmeter",
        conditions=conditions_of(snapshot.chain),
        against=against,
    )
    return finish(
        method,
        [one.capture for one in shown if one.capture is not None],
        link=DRIVE,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )
