"""Refuse to compare channels that were not read at the same frequencies."""

import numpy as np

from dsp.errors import DspError
from dsp.response.harmonics import Harmonics


def check_same_points(where: str, *, first: Harmonics, second: Harmonics) -> None:
    """Refuse two channels that were not read at the same frequencies.

    Parameters
    ----------
    where : str
        Who asks.
    first, second : Harmonics
        Any unit, any number of orders.

    Raises
    ------
    DspError
    """
    if not np.array_equal(first.frequency_hz, second.frequency_hz):
        points = (first.frequency_hz.size, second.frequency_hz.size)
        raise DspError(where, "frequencies differ", given=f"{points[0]} and {points[1]} points")
