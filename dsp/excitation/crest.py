"""How far the peak of a signal stands above its rms."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError


def crest_db(samples: Floats) -> float:
    """Crest factor: peak over rms.

    Parameters
    ----------
    samples : (n,) array
        Any unit.

    Returns
    -------
    float, dB; 3.0103 for a sine.

    Raises
    ------
    DspError
        No samples, or silence: there is no rms to compare the peak with.
    """
    if not samples.size or not (rms := float(np.sqrt(np.mean(np.square(samples))))):
        raise DspError("crest_db", "a silent signal has no crest factor")
    return float(20 * np.log10(np.max(np.abs(samples)) / rms))
