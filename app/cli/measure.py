"""``dustcap measure``: one take."""

from contextlib import ExitStack, closing
from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import exit_of_verdict
from app.cli.output import print_json, print_place, print_take


def measure(
    procedure: Annotated[str, typer.Argument(help="Procedure file, or name of a shipped one.")],
    chain: Annotated[Path, typer.Option(help="Chain file.")],
    unit: Annotated[str | None, typer.Option(help="Serial of the unit.")] = None,
    lot: Annotated[str | None, typer.Option(help="Its production lot.")] = None,
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for pictures and files.")] = None,
    check_levels: Annotated[
        bool,
        typer.Option(
            "--check-levels", help="Play 20 dB down first; lower the drive if an input would clip."
        ),
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> int:
    """Play a procedure on a chain, derive, judge, and keep the take."""
    from app.cli.leave import leave_files
    from app.cli.progress import follow
    from app.measure.excite import excite, play_request
    from app.measure.make_take import Job
    from app.measure.runner import Run
    from app.measure.silent_start import start_silently
    from app.procedure.shipped import find_procedure
    from app.records.store import Store
    from app.report.take_document import take_document
    from hardware.chain.load import load_chain
    from hardware.open_card import open_card

    loaded, snapshot = find_procedure(procedure), load_chain(chain)
    excitation = excite(loaded, snapshot)
    with ExitStack() as held:
        card = held.enter_context(closing(open_card(snapshot)))
        if snapshot.chain.device.backend == "soundcard":
            start_silently(card, request=play_request(excitation, snapshot))
        records = held.enter_context(Store.open(store))
        job = Job(
            procedure=loaded,
            chain=snapshot,
            unit=unit or None,  # a script's empty variable is no name
            lot=lot or None,
            store=records,
            check_levels=check_levels,
        )
        finished = follow(Run(job, excitation=excitation, card=card), quiet=as_json)
        if out:
            leave_files(finished, folder=out, capture=records.capture(finished.take))
    if as_json:
        print_json(take_document(finished.take))
    else:
        print_take(finished.take)
        print_place(finished.take, store=records.name, out=out)
    return exit_of_verdict(finished.take.verdict)
