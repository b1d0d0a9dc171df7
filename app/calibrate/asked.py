"""Who calibrates what with which instrument, in which air, and to what end."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from app.calibrate.found import Found
from app.calibrate.history import History
from app.records.calibration_record import Purpose, UsedInstrument
from dsp.calibration.conditions import Conditions
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What holds for every link.

    Attributes
    ----------
    operator : str
        Name or initials.
    instrument : UsedInstrument
        What the link is held against.
    conditions : Conditions
        The air.
    purpose : Purpose
        Calibration, or a check of the one that stands.
    exchanged : bool
        Whether something of the link was exchanged or adjusted, so that its history does not
        bind.
    note : str
        Kept with the record, in the operator's own words.
    """

    operator: str
    instrument: UsedInstrument
    conditions: Conditions
    purpose: Purpose = Purpose.CALIBRATION
    exchanged: bool = False
    note: str = ""

    def due(self, on: date) -> bool:
        """Tell whether the instrument's own certificate was past its day."""
        due = self.instrument.due_on
        return due is not None and on >= due


class Method(Protocol):
    """How one link is calibrated."""

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,
    ) -> Found:
        """Read the recordings.

        Parameters
        ----------
        captures : sequence of Capture
            One or more, as the method needs them.
        chain : ChainSnapshot
            As it is before.
        asked : Asked
            Who, in which air, to what end.
        history : History
            What earlier calibrations of the link found.

        Raises
        ------
        BadInputError, DspError
            The recordings cannot be read at all; nothing is kept then.
        """
        ...
