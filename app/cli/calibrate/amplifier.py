"""``dustcap calibrate amplifier``: by a voltmeter at its terminals, or by inputs of the chain."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options
from app.cli.option_groups import with_groups
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


@with_groups
def amplifier(
    chain: options.Chain,
    from_inputs: Annotated[
        bool,
        typer.Option("--from-inputs", help="No meter: loopback and terminal inputs tell it."),
    ] = False,
    capture: options.Captures = None,
    inverts: Annotated[
        bool | None, typer.Option(help="Whether it turns the sign; otherwise as the chain says.")
    ] = None,
    *,
    meter: m.Meter,
    against: options.Against,
    kept: options.Kept,
) -> int:
    """Find the amplifier's gain at its terminals, loaded as in use: by a voltmeter, or by inputs.

    Calibrate the output first. Terminals can carry dangerous voltages: power off while you wire.
    """
    from app.calibrate.heard_amplifier import HeardAmplifierMethod
    from app.calibrate.voltage import DRIVE, AmplifierMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    method: HeardAmplifierMethod | AmplifierMethod
    if from_inputs:
        loud, captures = _heard(snapshot, meter=meter, capture=capture)
        method = HeardAmplifierMethod(peak=loud)
    else:
        if capture:
            raise BadInputError("--capture", "not for a voltmeter", allowed="with --from-inputs")
        shown = m.readings(snapshot, meter=meter, place="amplifier")
        captures = [one.capture for one in shown if one.capture is not None]
        stated = snapshot.chain.output.drive.amplifier_gain
        method = AmplifierMethod(
            readings=tuple(m.readings_of(shown, hz=meter.frequency_hz)),
            meter=m.voltmeter_of(meter),
            inverts=stated < 0 if inverts is None else inverts,
        )
    asked = asked_of(
        kept,
        instrument="the chain's own inputs" if from_inputs else "voltmeter",
        conditions=conditions_of(snapshot.chain),
        against=against,
    )
    return finish(
        method,
        captures,
        link=DRIVE,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )


def _heard(
    chain: "ChainSnapshot", *, meter: m.Meter, capture: options.Captures
) -> "tuple[float, list[Capture]]":
    """Return the probe's peak, and the recording of it."""
    from app.calibrate.heard_amplifier import both_sides
    from app.calibrate.limits import limits_probe
    from app.calibrate.play import chosen_peak
    from app.cli.calibrate.live import play
    from app.records.recording_file import open_recording

    peaks = meter.peak or []
    if meter.volts or len(peaks) > 1:
        raise BadInputError("--from-inputs", "beside --volts", allowed="one --peak at most")
    both_sides(chain.chain)  # refused before anything sounds
    loud = chosen_peak(chain.chain, peaks[0] if peaks else None)
    if capture:
        rate = float(chain.chain.device.sample_rate)
        return loud, [open_recording(path, sample_rate_hz=rate) for path in capture]
    return loud, [play(chain, probe=limits_probe(chain.chain, peak=loud))]
