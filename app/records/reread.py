"""A kept take with what its recording still tells: all that a report of it is made from."""

from dataclasses import dataclass

from app.records.calibration_record import CalibrationRecord
from app.records.record import Record
from dsp.defects.reading import DefectReading
from dsp.parameters.fit import LumpedFit
from dsp.response.impulse import ImpulseResponse


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Reread:
    """A record, and what was read from its recording once more.

    Attributes
    ----------
    record : Record
        As kept: every figure that is told is from here.
    calibrations : tuple of CalibrationRecord
        Those that the take names.
    standing : str
        Whether the recording still gives the kept figures.
    holds : bool
        Whether it does, bit for bit.
    model : LumpedFit or None
        The model behind the impedance.
    impulse : ImpulseResponse or None
        Pressure per volt.
    defects : DefectReading or None
        What is irregular in the pressure.
    """

    record: Record
    calibrations: tuple[CalibrationRecord, ...]
    standing: str
    holds: bool
    model: LumpedFit | None = None
    impulse: ImpulseResponse | None = None
    defects: DefectReading | None = None
