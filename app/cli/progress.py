"""Follow a run on stderr: a bar while it plays, a word for what comes after."""

from contextlib import nullcontext
from typing import assert_never

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from app.errors import MeasurementFailedError
from app.measure.events import Entered, Finished, Played, Probed, State, Tried, Warned
from app.measure.runner import Run


def follow(run: Run, *, quiet: bool) -> Finished:
    """Run to the end and return what it ended in; ``quiet`` leaves the bar out.

    Raises
    ------
    MeasurementFailedError
        It was stopped.
    """
    console = Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn(), console=console
    )
    shown = bar if console.is_terminal and not quiet else nullcontext()
    task = bar.add_task("ready", total=None)
    with shown:
        for event in run.events():
            match event:
                case Entered(state=State.STOPPED):
                    raise MeasurementFailedError("stopped; nothing was kept")
                case Entered(state=state):
                    bar.update(task, description=state.value)
                case Played(played_s=played, whole_s=whole):
                    bar.update(task, completed=played, total=whole)
                case Warned() | Tried() | Probed():
                    pass  # a warning stands in the take, and is printed with it
                case Finished():
                    return event
                case _:
                    assert_never(event)
    raise MeasurementFailedError("the run ended without a take")
