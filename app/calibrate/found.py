"""What one link's recordings told, before it is written down."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.records.calibration_record import Given
from dsp import Number
from dsp.calibration.calibration import Calibration


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """Results of one link.

    Attributes
    ----------
    link : str
        Table of the chain file, dotted: ``input.pressure``.
    results : tuple of Calibration
        The chief one first.
    method : str
        How it was found, in one or two sentences.
    given : mapping of str to value
        What was typed, by name.
    numbers : mapping of str to Number
        What else was found.
    rests_on : tuple of str
        Keys of the chain file, dotted, that the results hold for: with other values there, they
        do not.
    drops : tuple of str
        Keys of the chain file, dotted, that the results leave no place for.
    remarks : tuple of str
        What the person should know beside results and checks, a sentence each.
    """

    link: str
    results: tuple[Calibration, ...]
    method: str
    given: Mapping[str, Given]
    numbers: Mapping[str, Number] = field(default_factory=dict)
    rests_on: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
