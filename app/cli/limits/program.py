"""The command ``dustcap limits``: its parts, joined."""

import typer

from app.cli.limits.decide import approve, retire
from app.cli.limits.difference import difference
from app.cli.limits.export import export
from app.cli.limits.look import list_, show
from app.cli.limits.paste import paste
from app.cli.limits.run import run
from app.cli.limits.save import save

limits_program = typer.Typer(
    name="limits",
    help="Limit sets: revisions in the store, drawn, approved and retired, and their files.",
    no_args_is_help=True,
)
limits_program.command("list")(list_)
for command in (show, save, approve, retire, run, difference, export, paste):
    limits_program.command()(command)
