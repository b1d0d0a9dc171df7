"""The command ``dustcap box``: its kinds, joined."""

import typer

from app.cli.box.closed import closed
from app.cli.box.vented import vented

box_program = typer.Typer(
    name="box",
    help="Predict a unit in a box: response, excursion, impedance, air speed in the vent.",
    no_args_is_help=True,
)
box_program.command()(closed)
box_program.command()(vented)
