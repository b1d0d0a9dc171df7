"""What the shell is told, and the one line that goes with it."""

from enum import IntEnum

import typer

from app.errors import AppError, BadInputError, MeasurementFailedError
from dsp import DspError
from dsp.conformity.verdict import Verdict
from hardware.errors import CardLostError, HardwareError


class Exit(IntEnum):
    """Exit codes of every command."""

    WELL = 0
    DOES_NOT_CONFORM = 1
    BAD_INPUT = 2
    FAILED = 3


# What a command may raise on its way; anything else is a defect of ours and shows its traceback.
Refusals = (AppError, HardwareError, DspError)


def exit_of(error: AppError | HardwareError | DspError) -> Exit:
    """Return the exit code that an error stands for.

    A measurement that broke off is a failure; whatever could be mended by giving something else
    is bad input.
    """
    match error:
        case CardLostError() | MeasurementFailedError():
            return Exit.FAILED
        case BadInputError() | HardwareError() | DspError() | AppError():
            return Exit.BAD_INPUT


def exit_of_verdict(verdict: Verdict) -> Exit:
    """Return 1 for a unit that does not conform, otherwise 0."""
    return Exit.DOES_NOT_CONFORM if verdict is Verdict.DOES_NOT_CONFORM else Exit.WELL


def say(line: str) -> None:
    """Print one line on stderr; stdout belongs to results."""
    typer.echo(" ".join(line.split()), err=True)
