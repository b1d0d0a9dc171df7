"""``dustcap auralise``: the residual of a stored take, to be heard and seen."""

from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import say
from app.cli.output import print_json
from app.errors import BadInputError


def auralise(
    take: Annotated[str, typer.Argument(help="Id of a take, or its first digits.")],
    out: Annotated[
        Path | None, typer.Option(help="Folder for residual.wav and its picture.")
    ] = None,
    slower: Annotated[
        int, typer.Option(min=1, max=16, help="Times slower, and lower in pitch.")
    ] = 1,
    play_on: Annotated[
        int | None,
        typer.Option(min=1, help="Output to play it on, from 1; not the one that drives the unit."),
    ] = None,
    card: Annotated[
        str | None, typer.Option(help="Card of that output; otherwise that of the take.")
    ] = None,
    peak_dbfs: Annotated[
        float, typer.Option(max=-20, help="dB re full scale, peak, of what is played.")
    ] = -40.0,
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Write or play what is left of a take without its regular part: rub, buzz, clicks, hiss."""
    from app.measure.again import open_take
    from app.measure.auralise import CAUTION, Outlet, outlet_chain, outlet_request, reading_of
    from app.records.store import Store
    from app.report.residual_files import leave_residual
    from dsp.defects.slowed import slowed
    from hardware.open_card import open_card

    if card is not None and play_on is None:
        raise BadInputError("--card", "stands without --play-on", allowed="both, or neither")
    if out is None and play_on is None:
        raise BadInputError("auralise", "nothing to do", allowed="--out, --play-on, or both")
    with Store.open(store, must_exist=True) as records:
        opened = open_take(records, take)
    reading = reading_of(opened)
    sound = slowed(reading, slower=slower, peak=1.0)
    files = leave_residual(reading, sound=sound, take=opened.take, folder=out) if out else ()
    if play_on is not None:
        outlet = Outlet(channel=play_on, card=card, peak_dbfs=peak_dbfs)
        chain = opened.take.chain
        request = outlet_request(sound, chain=chain, outlet=outlet)
        say(f"caution: {CAUTION}")
        with closing(open_card(outlet_chain(chain, outlet=outlet))) as player:
            player.play(request, on_progress=lambda _: None, should_stop=lambda: False)
    if as_json:
        print_json(
            {
                "take": opened.take.id,
                "duration_s": sound.duration_s,
                "slower": sound.slower,
                "peak_pa": sound.pascal,
                "played_on": play_on,
                "files": [str(file) for file in files],
            }
        )
        return
    pace = f", {sound.slower} times slower" if sound.slower > 1 else ""
    typer.echo(f"{opened.take.unit or 'unit'}: residual, {sound.duration_s:.1f} s{pace}")
    for file in files:
        typer.echo(str(file))
