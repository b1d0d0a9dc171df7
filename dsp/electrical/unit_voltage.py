"""The voltage across the unit: measured there, or the source less the drop across the resistor."""

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points


def known_source(*, frequency_hz: Floats, source_v_rms: Floats | float, orders: int) -> Harmonics:
    """Write down what the amplifier puts out where no channel records it.

    Parameters
    ----------
    frequency_hz : (m,) array
        Hz, fundamentals, strictly rising.
    source_v_rms : (m,) array or float
        V rms across unit and resistor together: the excitation's peak over the square root of 2,
        times the amplifier's gain over what was assumed; negative where the amplifier inverts.
    orders : int
        Rows wanted.

    Returns
    -------
    Harmonics in V: order 1 real, as phases count from the drive; higher orders 0; noise 0.
    """
    amplitude: Complexes = np.zeros((orders, frequency_hz.size), dtype=np.complex128)
    amplitude[0] = source_v_rms
    return Harmonics(
        frequency_hz=frequency_hz,
        amplitude=amplitude,
        noise=np.zeros((orders, frequency_hz.size)),
    )


def unit_voltage(source: Harmonics, *, current: Harmonics, resistor_ohm: float) -> Harmonics:
    """Take the drop across the sense resistor off the voltage across unit and resistor.

    Parameters
    ----------
    source : Harmonics
        (k, m), V across unit and resistor: from the loopback times the amplifier's gain, or from
        ``known_source``.
    current : Harmonics
        (k, m), A, on the same time as ``source``: undo the delay of the recording first.
    resistor_ohm : float
        ohm, in the return leg.

    Returns
    -------
    Harmonics, (k, m), V across the unit; the noise of both adds in power. It shares its noise
    with ``current``: for their ratio take ``impedance_from_source``.

    Raises
    ------
    DspError
        Different frequencies or orders, or a negative resistor.
    """
    if resistor_ohm < 0:
        raise DspError("unit_voltage", "resistor_ohm negative", given=resistor_ohm, allowed="0 up")
    check_same_points("unit_voltage", first=source, second=current)
    if source.amplitude.shape != current.amplitude.shape:
        orders = (source.amplitude.shape[0], current.amplitude.shape[0])
        raise DspError("unit_voltage", "orders differ", given=f"{orders[0]} and {orders[1]}")
    return Harmonics(
        frequency_hz=source.frequency_hz,
        amplitude=source.amplitude - resistor_ohm * current.amplitude,
        noise=np.hypot(source.noise, resistor_ohm * current.noise),
    )
