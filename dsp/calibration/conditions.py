"""The air in which a calibration is made, and how well it is known."""

import math
from dataclasses import dataclass

from dsp.errors import DspError

REFERENCE_TEMPERATURE_C = 23.0  # IEC 60942
REFERENCE_PRESSURE_KPA = 101.325
REFERENCE_HUMIDITY_PERCENT = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What the thermometer, the barometer and the hygrometer show.

    Attributes
    ----------
    temperature_c : float
        °C.
    pressure_kpa : float
        kPa, static, where the microphone is: not reduced to sea level.
    humidity_percent : float
        %, relative.
    temperature_uncertainty_c, pressure_uncertainty_kpa, humidity_uncertainty_percent : float
        Expanded, k = 2.

    Raises
    ------
    DspError
        Values that no laboratory has, or an uncertainty below 0.
    """

    temperature_c: float = REFERENCE_TEMPERATURE_C
    pressure_kpa: float = REFERENCE_PRESSURE_KPA
    humidity_percent: float = REFERENCE_HUMIDITY_PERCENT
    temperature_uncertainty_c: float = 1.0
    pressure_uncertainty_kpa: float = 0.2
    humidity_uncertainty_percent: float = 10.0

    def __post_init__(self) -> None:
        for name, low, high in (
            ("temperature_c", -40.0, 60.0),
            ("pressure_kpa", 50.0, 110.0),
            ("humidity_percent", 0.0, 100.0),
            ("temperature_uncertainty_c", 0.0, math.inf),
            ("pressure_uncertainty_kpa", 0.0, math.inf),
            ("humidity_uncertainty_percent", 0.0, math.inf),
        ):
            given = getattr(self, name)
            if not low <= given <= high:
                raise DspError(
                    "conditions", f"{name} outside", given=given, allowed=f"{low:g} to {high:g}"
                )
