"""The command ``dustcap calibrate``: its links, joined."""

import typer

from app.cli.calibrate.amplifier import amplifier
from app.cli.calibrate.input import input_
from app.cli.calibrate.limits import limits
from app.cli.calibrate.microphone import microphone
from app.cli.calibrate.output import output
from app.cli.calibrate.polarity import polarity
from app.cli.calibrate.reference import reference
from app.cli.calibrate.resistor import resistor

calibrate_program = typer.Typer(
    name="calibrate",
    help="Prove a link of the chain, keep the record, and write the chain file if it is accepted.",
    no_args_is_help=True,
)
for name, command in (
    ("microphone", microphone),
    ("input", input_),
    ("output", output),
    ("amplifier", amplifier),
    ("resistor", resistor),
    ("limits", limits),
    ("polarity", polarity),
    ("reference", reference),
):
    calibrate_program.command(name)(command)
