"""How warm a coil became, from what its resistance rose to."""

from dsp.errors import DspError

# Copper's resistance would vanish at -234.45 degC if it went on straight: 1 / 0.00393 - 20 (IEC
# 60028: 0.00393 per K at 20 degC). Aluminium has about 0.0040: the hint is 2 % of the rise off.
_ZERO_C = 1 / 0.00393 - 20.0


def coil_temperature_c(ratio: float, *, cold_c: float) -> float:
    """Find the temperature of a copper coil.

    Parameters
    ----------
    ratio : float
        Its resistance over that when it was cold, above 0.
    cold_c : float
        degrees Celsius, when it was cold.

    Returns
    -------
    float, degrees Celsius.

    Raises
    ------
    DspError
        A ratio that is not above 0.
    """
    if not ratio > 0:
        raise DspError("coil_temperature", "ratio", given=ratio, allowed="above 0")
    return ratio * (_ZERO_C + cold_c) - _ZERO_C
