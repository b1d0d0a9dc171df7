"""What the shell is told, and the one line that goes with it."""

from enum import IntEnum
from typing import TYPE_CHECKING

import typer

from app.errors import AppError, MeasurementFailedError
from hardware.errors import CardLostError, HardwareError

if TYPE_CHECKING:  # the window paints before numpy is there
    from dsp.conformity.verdict import Verdict


class Exit(IntEnum):
    """Exit codes of every command."""

    WELL = 0
    DOES_NOT_CONFORM = 1
    BAD_INPUT = 2
    FAILED = 3


def refusals() -> tuple[type[Exception], ...]:
    """Return what a command may raise on its way; anything else is a defect of ours.

    Such a defect shows its traceback. Asked only when something was raised.
    """
    from dsp import DspError

    return (AppError, HardwareError, DspError)


def exit_of(error: Exception) -> Exit:
    """Return the exit code that an error stands for.

    A measurement that broke off is a failure; whatever could be mended by giving something else
    is bad input.
    """
    broke_off = isinstance(error, CardLostError | MeasurementFailedError)
    return Exit.FAILED if broke_off else Exit.BAD_INPUT


def exit_of_verdict(verdict: "Verdict") -> Exit:
    """Return 1 for a unit that does not conform, otherwise 0."""
    from dsp.conformity.verdict import Verdict

    return Exit.DOES_NOT_CONFORM if verdict is Verdict.DOES_NOT_CONFORM else Exit.WELL


def say(line: str) -> None:
    """Print one line on stderr; stdout belongs to results."""
    typer.echo(" ".join(line.split()), err=True)
