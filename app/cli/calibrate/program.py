"""The command ``dustcap calibrate``: its links, joined."""

import typer

from app.cli.calibrate.microphone import microphone

calibrate_program = typer.Typer(
    name="calibrate",
    help="Prove a link of the chain, keep the record, and write the chain file if it is accepted.",
    no_args_is_help=True,
)
for command in (microphone,):
    calibrate_program.command()(command)
