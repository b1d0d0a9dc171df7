"""``dustcap calibrate input``: by a voltmeter beside it, or from the output wired to it."""

import math
from enum import Enum
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import meter as m
from app.cli.calibrate import options
from app.cli.option_groups import with_groups
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


@with_groups
def input_(
    chain: options.Chain,
    which: Annotated[Which, typer.Option("--input", help="Which one.")],
    capture: options.Captures = None,
    loopback: Annotated[
        bool, typer.Option("--from-output", help="The output jack is wired to it; no meter.")
    ] = False,
    source_ohm: Annotated[
        float, typer.Option(min=0, help="ohm of the output, with --from-output.")
    ] = 0.0,
    input_ohm: Annotated[
        float | None, typer.Option(min=1, help="ohm of the input, with --source-ohm.")
    ] = None,
    *,
    meter: m.Meter,
    against: options.Against,
    kept: options.Kept,
) -> int:
    """Find an input's full scale: a sine recorded while a voltmeter reads it, or a loopback.

    A microphone stands on its input's scale: calibrate it again after this.
    """
    from app.calibrate.voltage import InputMethod, LoopbackMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    played, captures = _recorded(snapshot, capture=capture, meter=meter)
    method: InputMethod | LoopbackMethod
    if loopback:
        method = LoopbackMethod(
            link=which.value,
            peaks=played,
            frequency_hz=meter.frequency_hz,
            source_ohm=source_ohm,
            input_ohm=math.inf if input_ohm is None else input_ohm,
        )
    else:
        method = InputMethod(
            link=which.value,
            volts_rms=tuple(meter.volts or _asked(len(captures))),
            frequency_hz=meter.frequency_hz,
            meter=m.voltmeter_of(meter),
        )
    asked = asked_of(
        kept,
        instrument="the output's scale" if loopback else "voltmeter",
        conditions=conditions_of(snapshot.chain),
        against=against,
    )
    return finish(
        method,
        captures,
        link=f"input.{which.value}",
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )


def _recorded(
    chain: "ChainSnapshot", *, capture: options.Captures, meter: m.Meter
) -> "tuple[tuple[float, ...], tuple[Capture, ...]]":
    """Return the peaks that were played and what was recorded of them."""
    from app.calibrate.play import chosen_peak
    from app.records.recording_file import open_recording

    each: list[float | None] = [*meter.peak] if meter.peak else [None]
    peaks = tuple(chosen_peak(chain.chain, one) for one in each)
    if capture:
        rate = float(chain.chain.device.sample_rate)
        files = tuple(open_recording(path, sample_rate_hz=rate) for path in capture)
        return peaks, files
    return peaks, tuple(m.sine(chain, peak=one, meter=meter) for one in peaks)


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
