"""``dustcap calibrate device``: the card and its wires, the unit unplugged."""

import sys
from contextlib import closing
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import options
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot

_UNPLUGGED_OHM = 1e9


def device(
    chain: options.Chain,
    capture: options.Captures = None,
    peak: Annotated[float | None, typer.Option(help="Of the probe, 0 to 1 of full scale.")] = None,
    plays: Annotated[
        int, typer.Option(min=1, max=20, help="Live: how often; latencies are compared.")
    ] = 3,
    operator: options.Operator = None,
    check: options.Check = False,
    exchanged: options.Exchanged = False,
    store: options.Store = None,
    out: options.Out = None,
    as_json: options.AsJson = False,
) -> int:
    """Look over card and wires: latency, polarity, crosstalk, idle noise and hum, distortion.

    Unplug the unit first, power off: nothing is to sound.
    """
    from app.calibrate.device import LINK, DeviceMethod
    from app.calibrate.play import chosen_peak
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import Place, finish
    from app.records.recording_file import open_recording
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    loud = chosen_peak(snapshot.chain, peak)
    rate = float(snapshot.chain.device.sample_rate)
    captures = (
        [open_recording(path, sample_rate_hz=rate) for path in capture]
        if capture
        else _played(snapshot, peak=loud, plays=plays)
    )
    return finish(
        DeviceMethod(peak=loud, begun_with_play=not capture),
        captures,
        link=LINK,
        asked=asked_of(
            operator=operator,
            instrument="the card itself",
            serial="",
            certificate="",
            due=None,
            conditions=conditions_of(snapshot.chain),
            check=check,
            exchanged=exchanged,
        ),
        chain=snapshot,
        place=Place(chain_file=chain, store=store, out=out, as_json=as_json),
    )


def _played(chain: "ChainSnapshot", *, peak: float, plays: int) -> "list[Capture]":
    from app.calibrate.device import probe_of
    from app.calibrate.play import play_probe
    from hardware.chain.edit import with_chain_values
    from hardware.open_card import open_card

    if chain.chain.device.backend == "virtual":
        chain = with_chain_values(chain, {("virtual", "load_ohm"): _UNPLUGGED_OHM})
    elif not sys.stdin.isatty():
        raise BadInputError("--capture", "not given", allowed="a recording; or a terminal")
    else:
        text = "Power off, unplug the unit, power on; then Enter"
        typer.prompt(text, default="", show_default=False, err=True)
    probe = probe_of(chain.chain, peak=peak)
    with closing(open_card(chain)) as card:
        return [
            play_probe(
                card,
                probe=probe,
                chain=chain.chain,
                on_progress=lambda _: None,
                should_stop=lambda: False,
            )
            for _ in range(plays)
        ]
