"""How often the part of an excitation is played that curves are read from."""

from app.procedure.excitation_schema import Series
from app.procedure.schema import Procedure


def first_part_repeats(procedure: Procedure) -> int:
    """Return how often the part that the curves are from is played: those repeats are averaged.

    They are the first so many segments of the excitation.
    """
    excitation = procedure.excitation
    if isinstance(excitation, Series):
        return excitation.repeat * excitation.parts[0].repeat
    return excitation.repeat
