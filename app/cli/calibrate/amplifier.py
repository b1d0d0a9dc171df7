"""``dustcap calibrate amplifier``: by a voltmeter at its terminals, or by inputs of the chain."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


def amplifier(
    chain: options.Chain,
    volts: m.Volts = None,
    peak: m.Peaks = None,
    from_inputs: Annotated[
        bool,
        typer.Option("--from-inputs", help="No meter: loopback and terminal inputs tell it."),
    ] = False,
    capture: options.Captures = None,
    frequency_hz: m.FrequencyHz = 1000.0,
    meter_percent: m.UncertaintyPercent = 1.0,
    meter_volt: m.UncertaintyV = 0.0,
    meter_step: m.ResolutionV = 0.001,
    averaging: m.Averaging = False,
    inverts: Annotated[
        bool | None, typer.Option(help="Whether it turns the sign; otherwise as the chain says.")
    ] = None,
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
    """Find the amplifier's gain at its terminals, loaded as in use: by a voltmeter, or by inputs.

    Calibrate the output first. Terminals can carry dangerous voltages: power off while you wire.
    """
    from app.calibrate.heard_amplifier import HeardAmplifierMethod
    from app.calibrate.voltage import DRIVE, AmplifierMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import Place, finish
    from app.cli.calibrate.output import readings_of
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    method: HeardAmplifierMethod | AmplifierMethod
    if from_inputs:
        loud, captures = _heard(snapshot, peaks=peak, volts=volts, capture=capture)
        method = HeardAmplifierMethod(peak=loud)
    else:
        if capture:
            raise BadInputError("--capture", "not for a voltmeter", allowed="with --from-inputs")
        shown = m.readings(
            snapshot,
            volts=volts,
            peaks=peak,
            frequency_hz=frequency_hz,
            seconds=seconds,
            place="amplifier",
        )
        captures = [one.capture for one in shown if one.capture is not None]
        stated = snapshot.chain.output.drive.amplifier_gain
        method = AmplifierMethod(
            readings=tuple(readings_of(shown, hz=frequency_hz)),
            meter=m.meter_of(meter_percent, meter_volt, meter_step, averaging=averaging),
            inverts=stated < 0 if inverts is None else inverts,
        )
    asked = asked_of(
        operator=operator,
        instrument="the chain's own inputs" if from_inputs else "voltmeter",
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
        captures,
        link=DRIVE,
        asked=asked,
        chain=snapshot,
        place=Place(chain_file=chain, store=store, out=out, as_json=as_json),
    )


def _heard(
    chain: "ChainSnapshot",
    *,
    peaks: list[float] | None,
    volts: list[float] | None,
    capture: options.Captures,
) -> "tuple[float, list[Capture]]":
    """Return the probe's peak, and the recording of it."""
    from app.calibrate.heard_amplifier import both_sides
    from app.calibrate.limits import limits_probe
    from app.calibrate.play import chosen_peak
    from app.cli.calibrate.live import play
    from app.records.recording_file import open_recording

    if volts or (peaks and len(peaks) > 1):
        raise BadInputError("--from-inputs", "beside --volts", allowed="one --peak at most")
    both_sides(chain.chain)  # refused before anything sounds
    loud = chosen_peak(chain.chain, peaks[0] if peaks else None)
    if capture:
        rate = float(chain.chain.device.sample_rate)
        return loud, [open_recording(path, sample_rate_hz=rate) for path in capture]
    return loud, [play(chain, probe=limits_probe(chain.chain, peak=loud))]
