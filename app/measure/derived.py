"""Everything that was read out of one capture, before it is judged."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from dsp import Curve, Number
from dsp.defects.reading import DefectReading
from dsp.parameters.fit import LumpedFit
from dsp.response.impulse import ImpulseResponse
from dsp.response.recording import DelaySource


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Derived:
    """Quantities by name, and what a person should know about them.

    Attributes
    ----------
    numbers, curves : mapping by name
        Names as on the command line and in the record.
    warnings : tuple of str
        One sentence each.
    impulse : ImpulseResponse or None
        Pressure per volt at the terminals; None where nothing was swept.
    capture_offset : int
        Frame of the capture at which the excitation starts.
    clock_offset_ppm : float
        How much faster the recorder's clock ran.
    latency_source : str
        What the alignment between output and inputs stands on.
    untrusted : str
        Why no verdict may stand on this capture (clipped, channel lost); empty where it may.
    defects : DefectReading or None
        What is irregular in the pressure, with its residual; None where it was not looked for.
    model : LumpedFit or None
        The model behind the impedance; None where there is no current, or nothing fits.
    rests_on : mapping of str to str
        As ``Take.rests_on``.
    """

    numbers: Mapping[str, Number]
    curves: Mapping[str, Curve]
    warnings: tuple[str, ...]
    impulse: ImpulseResponse | None
    capture_offset: int
    clock_offset_ppm: float
    latency_source: DelaySource
    untrusted: str = ""
    defects: DefectReading | None = None
    model: LumpedFit | None = None
    rests_on: Mapping[str, str] = field(default_factory=dict)
