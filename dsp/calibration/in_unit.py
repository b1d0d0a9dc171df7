"""From the unit of a budget to that of the value: dB and per cent are parts of it."""

from dsp.acoustic.level import DB_PER_NEPER
from dsp.calibration.calibration import Calibration


def per_budget_unit(result: Calibration) -> float:
    """Tell by how much a value moves for one unit of its budget.

    Parameters
    ----------
    result : Calibration
        Its budget is stated in dB, in % of the value, or in the unit of the value.

    Returns
    -------
    float, unit of the value, 0 or above; for dB to first order (JCGM 100:2008, 5.1.3).
    """
    if result.budget.unit == result.unit:  # a level or a share of its own
        return 1.0
    match result.budget.unit:
        case unit if unit == result.unit:
            return 1.0
        case "dB":
            return abs(result.value) / DB_PER_NEPER
        case "%":
            return abs(result.value) / 100
        case _:
            return 1.0
