"""What a chain can resolve with the noise that it has when nothing plays."""

import math

from dsp.calibration.chain_limits import IdleNoise
from dsp.errors import DspError

_REFERENCE_PA = 20e-6  # ISO 1683


def lowest_sound_level_db(idle: IdleNoise, *, v_per_pa: float) -> float:
    """Find the sound level that would make the noise which the pressure input has by itself.

    Parameters
    ----------
    idle : IdleNoise
        Of the pressure input, the microphone in a quiet place or replaced by its capacitance.
    v_per_pa : float
        V/Pa at the jack: the sensitivity times the preamplifier's gain.

    Returns
    -------
    float, dB re 20 µPa, 20 Hz to 20 kHz.

    Raises
    ------
    DspError
        No sensitivity.
    """
    if not v_per_pa > 0:
        raise DspError("lowest_sound_level_db", "v_per_pa", given=v_per_pa, allowed="above 0")
    return 20 * math.log10(max(idle.noise_v, 1e-12) / v_per_pa / _REFERENCE_PA)


def impedance_resolution_percent(
    voltage: IdleNoise,
    *,
    sense: IdleNoise,
    gains: tuple[float, float],
    source_v_rms: float,
    load_ohm: float,
    resistor_ohm: float,
    seconds: float,
) -> float:
    """Find the scatter that idle noise leaves on an impedance.

    Parameters
    ----------
    voltage, sense : IdleNoise
        Of the two inputs.
    gains : tuple of two floats
        V/V between terminals and jack, and between resistor and jack.
    source_v_rms : float
        V rms across load and resistor, a sine.
    load_ohm, resistor_ohm : float
        ohm, magnitude of the load; the sense resistor.
    seconds : float
        s for which one frequency is held.

    Returns
    -------
    float, %, standard deviation of the magnitude.

    Raises
    ------
    DspError
        A number that is not above 0.
    """
    numbers = (*gains, source_v_rms, load_ohm, resistor_ohm, seconds)
    if not all(value > 0 for value in numbers):
        given = min(numbers)
        raise DspError("impedance_resolution_percent", "not positive", given=given)
    current_a = source_v_rms / (load_ohm + resistor_ohm)
    # Noise of density d (V/√Hz) turns the rms phasor of a sine held for T by d/√(2T) either way.
    one = 1 / math.sqrt(2 * seconds)
    return 100 * math.hypot(
        voltage.density_v_per_rthz * one / (gains[0] * current_a * load_ohm),
        sense.density_v_per_rthz * one / (gains[1] * current_a * resistor_ohm),
    )
