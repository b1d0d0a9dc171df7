"""One calibration, or one check of it: what a link was found to be worth, and all that says so."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import Enum

from dsp import Number
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.conditions import Conditions
from hardware.chain.snapshot import ChainSnapshot

Given = float | str | bool | None  # what a person typed


class Purpose(Enum):
    """What was done it for; the values are words for a list."""

    CALIBRATION = "calibration"  # its value may stand in the chain file
    CHECK = "check"  # whether the value that stands there still holds


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedInstrument:
    """What the link was held against.

    Attributes
    ----------
    name : str
        What it is: ``pistonphone, class 1``, ``voltmeter``, ``resistor``.
    serial : str
        As engraved on it; empty where nobody said.
    certificate : str
        Number of the certificate that makes it traceable; empty where there is none.
    due_on : date or None
        Day from which that certificate no longer holds; None where nobody said.
    """

    name: str
    serial: str = ""
    certificate: str = ""
    due_on: date | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CalibrationRecord:
    """Everything that a calibration needs to be defended later; never changed once it is kept.

    Attributes
    ----------
    id : str
        32 hex digits, chosen when it is made.
    purpose : Purpose
        Calibration or check.
    link : str
        Table of the chain file, dotted: ``input.pressure``.
    chain : ChainSnapshot
        As it was before, whole.
    made_utc : datetime
        Aware, UTC: when the first sample was recorded.
    operator : str
        Who did it.
    instrument : UsedInstrument
        What it was held against.
    conditions : Conditions
        The air meanwhile.
    method : str
        How, in one or two sentences.
    given : mapping of str to value
        What was typed, by name of the option: enough to compute it again from the recordings.
    results : tuple of Calibration
        The chief one first; each with its budget and its checks.
    numbers : mapping of str to Number
        What else was found: frequency, distortion, hum.
    holds_while : mapping of dotted key to value
        What the chain file must say for the result to be in force: values that the calibration
        gave it, and those that it rests on. Empty where it gave none.
    captures : tuple of str
        Content hashes of the raw recordings, one for each coupling.
    card : str
        What recorded them.
    software_version : str
        Of Dustcap.
    remarks : tuple of str
        What has to be minded beside results and checks, a sentence each.
    note : str
        What else the operator wanted to be read later; empty where nothing.
    """

    id: str
    purpose: Purpose
    link: str
    chain: ChainSnapshot
    made_utc: datetime
    operator: str
    instrument: UsedInstrument
    conditions: Conditions
    method: str
    given: Mapping[str, Given]
    results: tuple[Calibration, ...]
    captures: tuple[str, ...]
    card: str
    software_version: str
    numbers: Mapping[str, Number] = field(default_factory=dict)
    holds_while: Mapping[str, Given] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    note: str = ""

    @property
    def quantity(self) -> str:
        """Key of the chain file that it is about, dotted."""
        return self.results[0].quantity

    @property
    def accepted(self) -> bool:
        """Whether nothing speaks against any of its results."""
        return all(result.accepted for result in self.results)

    @property
    def reasons(self) -> tuple[str, ...]:
        """What speaks against it; each sentence once."""
        said = (reason for result in self.results for reason in result.reasons)
        return tuple(dict.fromkeys(said))

    @property
    def checks(self) -> tuple[Check, ...]:
        """What was looked at, over all results; each once."""
        return tuple(dict.fromkeys(check for result in self.results for check in result.checks))
