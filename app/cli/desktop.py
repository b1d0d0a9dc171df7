"""``dustcap desktop``: the window in which everything is done."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import Exit, say


def desktop(
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    chain: Annotated[
        Path | None, typer.Option(help="Chain file; otherwise the last one that lay open.")
    ] = None,
    procedure: Annotated[
        str | None, typer.Option(help="Procedure file, or name of a shipped one.")
    ] = None,
    take: Annotated[str | None, typer.Option(help="Id of a take to show.")] = None,
    selftest: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Drive the window through its users' stories; leave pictures in DIR.",
        ),
    ] = None,
) -> int:
    """Open the workbench."""
    from app.desktop.screen import why_no_window

    if (why := why_no_window()) is not None:
        say(f"dustcap: {why}")
        return Exit.FAILED
    from app.desktop.start import run_desktop

    return run_desktop(store=store, chain=chain, procedure=procedure, take=take, selftest=selftest)
