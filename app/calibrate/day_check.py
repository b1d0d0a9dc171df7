"""A check before the work of a day, another after it: they must find the same."""

import math

from app.records.calibration_record import CalibrationRecord
from dsp.calibration.calibration import Calibration, Check

WITHIN_DB = 0.2


def day_check(last: Calibration, *, first: CalibrationRecord) -> Check:
    """Hold the last check of a day against its first one.

    Parameters
    ----------
    last : Calibration
        What was just found.
    first : CalibrationRecord
        The first check of the same day and the same quantity.

    Returns
    -------
    Check
    """
    off_db = 20 * math.log10(abs(last.value / first.results[0].value))
    passed = abs(off_db) <= WITHIN_DB
    sign = "\N{MINUS SIGN}" if off_db < 0 else "+"
    said = (
        f"{sign}{abs(off_db):.2f} dB since the check of {first.made_utc:%H:%M} UTC, "
        f"allowed {WITHIN_DB:g} dB either way"
    )
    if not passed:
        said += ": what was measured in between cannot be relied on"
    return Check(name="day", passed=passed, sentence=said)
