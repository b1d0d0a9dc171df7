"""``dustcap calibrate output``: a sine played, volts read at its jack."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dsp.calibration.voltmeter import VoltReading


def output(
    chain: options.Chain,
    volts: m.Volts = None,
    peak: m.Peaks = None,
    frequency_hz: m.FrequencyHz = 1000.0,
    meter_percent: m.UncertaintyPercent = 1.0,
    meter_volt: m.UncertaintyV = 0.0,
    meter_step: m.ResolutionV = 0.001,
    averaging: m.Averaging = False,
    meter_ohm: m.InputOhm = None,
    source_ohm: Annotated[
        float, typer.Option(min=0, help="ohm of the output, if known; with --meter-ohm.")
    ] = 0.0,
    seconds: m.Seconds = 10.0,
    serial: options.Serial = "",
    certificate: options.Certificate = "",
    due: options.Due = None,
    operator: options.Operator = None,
    note: options.Note = "",
    check: options.Check = False,
    exchanged: options.Exchanged = False,
    store: options.Store = None,
    out: options.Out = None,
    as_json: options.AsJson = False,
) -> int:
    """Find the output's full scale with a voltmeter at its jack.

    Pull the plug to the amplifier first: the sine is loud.
    """
    from app.calibrate.voltage import DRIVE, OutputMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import Place, finish
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    shown = m.readings(
        snapshot,
        volts=volts,
        peaks=peak,
        frequency_hz=frequency_hz,
        seconds=seconds,
        place="output jack",
    )
    method = OutputMethod(
        readings=tuple(readings_of(shown, hz=frequency_hz)),
        meter=m.meter_of(meter_percent, meter_volt, meter_step, averaging=averaging, ohm=meter_ohm),
        source_ohm=source_ohm,
    )
    asked = asked_of(
        operator=operator,
        instrument="voltmeter",
        serial=serial,
        certificate=certificate,
        due=due,
        conditions=conditions_of(snapshot.chain),
        check=check,
        exchanged=exchanged,
        note=note,
    )
    return finish(
        method,
        [one.capture for one in shown if one.capture is not None],
        link=DRIVE,
        asked=asked,
        chain=snapshot,
        place=Place(chain_file=chain, store=store, out=out, as_json=as_json),
    )


def readings_of(shown: "Sequence[m.Shown]", *, hz: float) -> "list[VoltReading]":
    """Return what was shown as readings of one frequency."""
    from dsp.calibration.voltmeter import VoltReading

    return [VoltReading(volts_rms=one.volts_rms, peak=one.peak, frequency_hz=hz) for one in shown]
