"""The threshold of hearing in quiet, in a free field, in front of the listener."""

import numpy as np

from dsp.arrays import Floats

# ISO 226:2003, table 1, T_f; above 12.5 kHz ISO 389-7. Held against public copies from 125 Hz to
# 8 kHz and at 20, 31.5, 63 Hz and 12.5 kHz; the others from memory. The edition of 2023 moved some
# by tenths of a dB.
_TABLE = np.array(
    [
        [20, 78.5], [25, 68.7], [31.5, 59.5], [40, 51.1], [50, 44.0], [63, 37.5], [80, 31.5],
        [100, 26.5], [125, 22.1], [160, 17.9], [200, 14.4], [250, 11.4], [315, 8.6], [400, 6.2],
        [500, 4.4], [630, 3.0], [800, 2.2], [1000, 2.4], [1250, 3.5], [1600, 1.7], [2000, -1.3],
        [2500, -4.2], [3150, -6.0], [4000, -5.4], [5000, -1.5], [6300, 6.0], [8000, 12.6],
        [10_000, 13.9], [12_500, 12.3], [14_000, 18.4], [16_000, 40.2],
    ]
)  # fmt: skip


def hearing_threshold_db(frequency_hz: Floats) -> Floats:
    """Give the level of a pure tone that young ears without disorder just hear.

    Parameters
    ----------
    frequency_hz : (...) array
        Hz; below 20 Hz and above 16 kHz the ends hold.

    Returns
    -------
    (...) array, dB re 20 µPa, straight over log f between the points of the table.

    References
    ----------
    ISO 226:2003; ISO 389-7.
    """
    level: Floats = np.interp(np.log(frequency_hz), np.log(_TABLE[:, 0]), _TABLE[:, 1])
    return level
