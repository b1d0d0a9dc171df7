"""``dustcap demo``: a virtual unit measured the whole way, so that anyone can see it done."""

from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import exit_of_verdict
from app.cli.output import print_json, print_take

HERE = Path("out/demo")


def demo(
    headless: Annotated[bool, typer.Option("--headless", help="Open no window.")] = False,
    out: Annotated[Path, typer.Option(help="Folder for record, pictures and files.")] = HERE,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> int:
    """Measure a unit on the rig in software with a shipped procedure, to verdict and record.

    Where there is a screen, the workbench opens on that record.
    """
    from app.cli.leave import leave_files
    from app.cli.progress import follow
    from app.measure.excite import excite
    from app.measure.make_take import Job
    from app.measure.runner import Run
    from app.procedure.shipped import demo_chain, find_procedure
    from app.records.store import Store
    from app.report.take_document import take_document
    from hardware.open_card import open_card

    loaded, snapshot = find_procedure("line-check"), demo_chain()
    excitation = excite(loaded, snapshot)
    record = out / "records.sqlite"
    with closing(open_card(snapshot)) as card, Store.open(record) as records:
        job = Job(procedure=loaded, chain=snapshot, unit="T4-W31-0417", lot="T4-W31", store=records)
        finished = follow(Run(job, excitation=excitation, card=card), quiet=as_json)
        if not as_json:
            print_take(finished.take)
        files = leave_files(finished, folder=out, capture=records.capture(finished.take))
    if as_json:
        print_json(take_document(finished.take))
    else:
        typer.echo(f"\nrecord    {record}")
        asked = f"{finished.take.id[:8]} --store {record} --out {out / 'report.pdf'}"
        typer.echo(f"report    dustcap report {asked}")
        typer.echo("pictures  " + ", ".join(str(f) for f in files if f.suffix == ".png"))
        typer.echo("files     " + ", ".join(f.name for f in files if f.suffix != ".png"))
    if not headless and not as_json:
        _open_window(record, take=finished.take.id)
    return exit_of_verdict(finished.take.verdict)


def _open_window(record: Path, *, take: str) -> None:
    from app.desktop.screen import has_screen

    if has_screen():
        from app.desktop.start import run_desktop

        run_desktop(store=str(record), chain=None, procedure=None, take=take)
