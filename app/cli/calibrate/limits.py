"""``dustcap calibrate limits``: what the chain adds of its own, and so what it can resolve."""

from typing import Annotated

import typer

from app.cli.calibrate import options
from app.cli.option_groups import with_groups

_UNPLUGGED_OHM = 1e9


@with_groups
def limits(
    chain: options.Chain,
    capture: options.Captures = None,
    idle: Annotated[
        list[str] | None,
        typer.Option(help="Input that is terminated and should hear nothing; again for each."),
    ] = None,
    peak: Annotated[float | None, typer.Option(help="Of the probe, 0 to 1 of full scale.")] = None,
    plays: Annotated[int, typer.Option(min=1, max=10, help="Live: how often.")] = 3,
    *,
    kept: options.Kept,
) -> int:
    """Find delay, signs, idle noise, hum, distortion and crosstalk; nothing in the chain changes.

    Unplug the unit first: the probe is loud. A loopback or the terminal input must be wired.
    """
    from contextlib import closing

    from app.calibrate.limits import LINK, LimitsMethod, guide_of, limits_probe
    from app.calibrate.play import chosen_peak, play_probe
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from app.records.recording_file import open_recording
    from hardware.chain.edit import with_chain_values
    from hardware.chain.load import load_chain
    from hardware.open_card import open_card

    snapshot = load_chain(chain)
    guide_of(snapshot.chain)  # refused before anything sounds
    loud = chosen_peak(snapshot.chain, peak)
    if capture:
        rate = float(snapshot.chain.device.sample_rate)
        captures = [open_recording(path, sample_rate_hz=rate) for path in capture]
    else:
        unplugged = snapshot
        if snapshot.chain.device.backend == "virtual":  # the rig unplugs its unit by itself
            unplugged = with_chain_values(snapshot, {("virtual", "load_ohm"): _UNPLUGGED_OHM})
        with closing(open_card(unplugged)) as card:
            captures = [
                play_probe(
                    card,
                    probe=limits_probe(snapshot.chain, peak=loud),
                    chain=snapshot.chain,
                    on_progress=lambda _: None,
                    should_stop=lambda: False,
                )
                for _ in range(plays)
            ]
    asked = asked_of(
        kept,
        instrument="its own output",
        conditions=conditions_of(snapshot.chain),
        against=options.Against(check=True),
    )
    return finish(
        LimitsMethod(peak=loud, idle=tuple(idle or ()), begun_with_play=not capture),
        captures,
        link=LINK,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )
