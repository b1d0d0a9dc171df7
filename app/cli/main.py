"""The command ``dustcap``: one file a command, joined here."""

import os
import sys
from typing import Annotated

import typer

from app.cli.auralise import auralise
from app.cli.box.program import box_program
from app.cli.calibrate.program import calibrate_program
from app.cli.certificate import certificate
from app.cli.demo import demo
from app.cli.derive import derive
from app.cli.desktop import desktop
from app.cli.devices import devices
from app.cli.exits import Exit, exit_of, refusals, say
from app.cli.export import export
from app.cli.health import health
from app.cli.limits.program import limits_program
from app.cli.mark import mark
from app.cli.measure import measure
from app.cli.merge import merge
from app.cli.render import render
from app.cli.report import report
from app.cli.trial import trial

program = typer.Typer(
    name="dustcap",
    help="Measure loudspeaker drive units, say how sure every figure is, and judge them.",
    add_completion=False,
    pretty_exceptions_enable=False,
)
for command in (
    desktop,
    demo,
    devices,
    measure,
    render,
    derive,
    auralise,
    merge,
    mark,
    trial,
    export,
    report,
    health,
    certificate,
):
    program.command()(command)
program.add_typer(calibrate_program)
program.add_typer(box_program)
program.add_typer(limits_program)


def _print_version(asked: bool) -> None:
    if asked:
        from app.records.version import SOFTWARE_VERSION

        typer.echo(SOFTWARE_VERSION)
        raise typer.Exit


@program.callback(invoke_without_command=True)
def _options(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001  its callback has answered
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Print and leave."),
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        _open_or_help(context)


def _open_or_help(context: typer.Context) -> None:
    """Open the window where somebody would see it; otherwise say what there is."""
    from app.desktop.screen import has_screen

    if not has_screen():
        typer.echo(context.get_help())
        return
    from app.desktop.start import run_desktop

    raise typer.Exit(run_desktop(store=None, chain=None, procedure=None))


def main(arguments: list[str] | None = None) -> int:
    """Run the command line and return the exit code; what goes wrong is one line on stderr."""
    try:
        answer = program(arguments, standalone_mode=False)
    except typer.TyperException as error:
        say(f"dustcap: {error}")
        return Exit.BAD_INPUT
    except refusals() as error:
        say(f"dustcap: {error}")
        return exit_of(error)
    except (KeyboardInterrupt, typer.Abort):
        say("dustcap: stopped; the output is silent and nothing was kept")
        return Exit.FAILED
    except BrokenPipeError:  # whoever read stdout has heard enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.WELL
    return answer if isinstance(answer, int) else Exit.WELL
