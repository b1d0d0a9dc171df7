"""Where a curve is held against a mask, and which part of the mask that leaves out."""

import numpy as np

from dsp.arrays import Floats
from dsp.conformity.mask import MaskLines
from dsp.curve import Curve, ValidRange

SAME = 1e-9  # frequencies nearer than this, relatively, are one


def judged_places(curve: Curve, *, mask: MaskLines, known: ValidRange) -> Floats:
    """List the curve's own points and the mask's, where there is a limit and a value to judge.

    Parameters
    ----------
    curve : Curve
        What is judged.
    mask : MaskLines
        Its limits.
    known : ValidRange
        Where it may be judged.

    Returns
    -------
    (n,) array, Hz, rising.
    """
    breaks = mask.break_hz[known.holds(mask.break_hz)]
    span = ValidRange(low_hz=mask.span_hz[0], high_hz=mask.span_hz[1]).within(known)
    places = curve.frequency_hz[span.holds(curve.frequency_hz)]
    if breaks.size:
        # The mask's own points come first: at its ends a neighbour 1e-12 away has no limit.
        after = np.clip(np.searchsorted(breaks, places), 0, breaks.size - 1)
        before = np.maximum(after - 1, 0)
        gap = np.minimum(np.abs(breaks[after] / places - 1), np.abs(breaks[before] / places - 1))
        places = np.sort(np.concatenate([places[gap > SAME], breaks]))
    limited = np.isfinite(mask.upper_at(places)) | np.isfinite(mask.lower_at(places))
    return places[limited]


def not_covered(mask: MaskLines, *, known: ValidRange, name: str) -> str:
    """Say which ends of a mask lie where the curve cannot be judged.

    Parameters
    ----------
    mask : MaskLines
        Its points count; single values ask for no span.
    known : ValidRange
        Where the curve may be judged.
    name : str
        What to call the curve.

    Returns
    -------
    str, for a person; empty where the whole mask can be judged.
    """
    breaks = mask.break_hz
    if not breaks.size:
        return ""
    first, last = not known.holds(breaks[:1])[0], not known.holds(breaks[-1:])[0]
    misses = []
    if first and breaks[0] < known.low_hz:
        valid = f"from {known.low_hz:.5g} Hz ({known.low_reason})"
        misses.append(f"mask from {breaks[0]:.5g} Hz, {name} valid {valid}")
    if last and breaks[-1] > known.high_hz:
        valid = f"to {known.high_hz:.5g} Hz ({known.high_reason})"
        misses.append(f"mask to {breaks[-1]:.5g} Hz, {name} valid {valid}")
    return "; ".join(misses)
