"""What no output sample may exceed."""

import math

from hardware.chain.schema import Chain


def output_ceiling(chain: Chain) -> float:
    """Tell up to where an output may be driven.

    Parameters
    ----------
    chain : Chain
        Its scale, its amplifier, and what the unit stands.

    Returns
    -------
    float, full-scale units, at most 1.
    """
    drive = chain.output.drive
    full_scale_terminal_v = drive.full_scale_v * abs(drive.amplifier_gain)
    return min(1.0, math.sqrt(2) * drive.max_terminal_v_rms / full_scale_terminal_v)
