"""``dustcap derive``: the same quantities from a recording made by other means."""

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import exit_of_verdict
from app.cli.output import print_json, print_place, print_take
from app.errors import BadInputError


def derive(
    capture: Annotated[Path, typer.Argument(help="Recording: channel n = input n of the chain.")],
    procedure: Annotated[str, typer.Option(help="Procedure file, or name of a shipped one.")],
    chain: Annotated[Path, typer.Option(help="Chain file.")],
    unit: Annotated[str | None, typer.Option(help="Serial of the unit.")] = None,
    lot: Annotated[str | None, typer.Option(help="Its production lot.")] = None,
    store: Annotated[str | None, typer.Option(help="Store to keep it in, file or URL.")] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for pictures and files.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> int:
    """Derive and judge a stored recording; keep it as a take where a store is named."""
    from app.cli.leave import leave_files
    from app.measure.again import second_of
    from app.measure.derive import derive as derive_capture
    from app.measure.events import Finished
    from app.measure.excite import excite
    from app.measure.from_file import read_capture
    from app.measure.make_take import Job, make_take
    from app.measure.proven import marked
    from app.procedure.shipped import find_procedure
    from app.records.store import Store
    from app.report.take_document import take_document
    from dsp import DspError
    from hardware.chain.load import load_chain

    loaded, snapshot = find_procedure(procedure), load_chain(chain)
    excitation = excite(loaded, snapshot)
    recorded = read_capture(capture, chain=snapshot.chain)
    named = loaded.procedure.quantities.parameters.second_take
    with Store.open(store) if store and named else nullcontext() as earlier:
        second = second_of(loaded.procedure, store=earlier, unit=unit)
    try:
        derived = derive_capture(
            recorded, procedure=loaded, chain=snapshot, excitation=excitation, second=second
        )
    except DspError as error:  # what is wrong with it is known; which file it is, only here
        raise BadInputError(
            str(capture), error.what, given=error.given, allowed=error.allowed
        ) from error
    # Only now: a recording that cannot be derived leaves no store behind.
    with Store.open(store) if store else nullcontext() as records:
        job = Job(
            procedure=loaded, chain=snapshot, unit=unit or None, lot=lot or None, store=records
        )
        derived = marked(derived, store=records, chain=snapshot.chain, at=recorded.started_utc)
        take = make_take(job, capture=recorded, derived=derived)
        if records:
            records.keep(take, capture=recorded, audio=loaded.audio)
    if out:
        finished = Finished(take=take, derived=derived, kept=bool(store))
        leave_files(finished, folder=out, capture=recorded)
    if as_json:
        print_json(take_document(take))
    else:
        print_take(take)
        if store or out:
            print_place(take, store=records.name if records else "", out=out)
    return exit_of_verdict(take.verdict)
