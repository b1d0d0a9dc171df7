"""``dustcap calibrate input``: by a voltmeter beside it, or from the output wired to it."""

import math
from enum import Enum
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


class Which(Enum):
    """Inputs of a chain."""

    PRESSURE = "pressure"
    SENSE = "sense"
    TERMINAL = "terminal"
    LOOPBACK = "loopback"


def input_(
    chain: options.Chain,
    which: Annotated[Which, typer.Option("--input", help="Which one.")],
    capture: options.Captures = None,
    volts: m.Volts = None,
    peak: m.Peaks = None,
    loopback: Annotated[
        bool, typer.Option("--from-output", help="The output jack is wired to it; no meter.")
    ] = False,
    source_ohm: Annotated[
        float, typer.Option(min=0, help="ohm of the output, with --from-output.")
    ] = 0.0,
    input_ohm: Annotated[
        float | None, typer.Option(min=1, help="ohm of the input, with --source-ohm.")
    ] = None,
    frequency_hz: m.FrequencyHz = 1000.0,
    meter_percent: m.UncertaintyPercent = 1.0,
    meter_volt: m.UncertaintyV = 0.0,
    meter_step: m.ResolutionV = 0.001,
    averaging: m.Averaging = False,
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
    """Find an input's full scale: a sine recorded while a voltmeter reads it, or a loopback.

    A microphone stands on its input's scale: calibrate it again after this.
    """
    from app.calibrate.voltage import InputMethod, LoopbackMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import Place, finish
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    played, captures = _recorded(
        snapshot, capture=capture, peak=peak, hz=frequency_hz, seconds=seconds
    )
    method: InputMethod | LoopbackMethod
    if loopback:
        method = LoopbackMethod(
            link=which.value,
            peaks=played,
            frequency_hz=frequency_hz,
            source_ohm=source_ohm,
            input_ohm=math.inf if input_ohm is None else input_ohm,
        )
    else:
        method = InputMethod(
            link=which.value,
            volts_rms=tuple(volts or _asked(len(captures))),
            frequency_hz=frequency_hz,
            meter=m.meter_of(meter_percent, meter_volt, meter_step, averaging=averaging),
        )
    asked = asked_of(
        operator=operator,
        instrument="the output's scale" if loopback else "voltmeter",
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
        link=f"input.{which.value}",
        asked=asked,
        chain=snapshot,
        place=Place(chain_file=chain, store=store, out=out, as_json=as_json),
    )


def _recorded(
    chain: "ChainSnapshot",
    *,
    capture: options.Captures,
    peak: list[float] | None,
    hz: float,
    seconds: float,
) -> "tuple[tuple[float, ...], tuple[Capture, ...]]":
    """Return the peaks that were played and what was recorded of them."""
    from app.calibrate.play import chosen_peak
    from app.records.recording_file import open_recording

    each: list[float | None] = [*peak] if peak else [None]
    peaks = tuple(chosen_peak(chain.chain, one) for one in each)
    if capture:
        rate = float(chain.chain.device.sample_rate)
        files = tuple(open_recording(path, sample_rate_hz=rate) for path in capture)
        return peaks, files
    return peaks, tuple(m.sine(chain, peak=one, frequency_hz=hz, seconds=seconds) for one in peaks)


def _asked(count: int) -> list[float]:
    import sys

    if not sys.stdin.isatty():
        raise BadInputError(
            "--volts", "not given", allowed="V rms, one for each recording; or --from-output"
        )
    return [
        typer.prompt(f"V rms at the input, recording {at}", type=float, err=True)
        for at in range(1, count + 1)
    ]
