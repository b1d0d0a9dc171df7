"""Take the microphone's own response out of the pressure."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only
from dsp.curve import ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import QuietNoise


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MicrophoneResponse:
    """What the microphone adds to what it hears, as its supplier states it.

    Attributes
    ----------
    frequency_hz : (n,) array
        Hz, strictly rising, two points or more.
    level_db : (n,) array
        dB re the sensitivity.
    phase_deg : (n,) array or None
        deg; None where the supplier gives none: then the phase stays as recorded.

    Raises
    ------
    DspError
        A table that does not rise, is too short, or holds gaps.
    """

    frequency_hz: Floats
    level_db: Floats
    phase_deg: Floats | None = None

    def __post_init__(self) -> None:
        where = "MicrophoneResponse"
        hz = np.asarray(self.frequency_hz, dtype=np.float64)
        if hz.ndim != 1 or hz.size < 2 or hz[0] <= 0 or np.any(np.diff(hz) <= 0):
            raise DspError(where, "frequencies do not rise from above 0 Hz, two points or more")
        object.__setattr__(self, "frequency_hz", read_only(hz))
        for name in ("level_db", "phase_deg"):
            if getattr(self, name) is None:
                continue
            column = np.asarray(getattr(self, name), dtype=np.float64)
            if column.shape != hz.shape or not np.all(np.isfinite(column)):
                raise DspError(where, f"{name} has gaps or another length", given=column.shape)
            object.__setattr__(self, name, read_only(column))

    def valid(self, order: int = 1) -> ValidRange:
        """Tell at which fundamentals the table answers for a harmonic.

        Parameters
        ----------
        order : int
            1 for the fundamental.

        Returns
        -------
        ValidRange, both ends for the reason ``microphone``.
        """
        return ValidRange(
            low_hz=float(self.frequency_hz[0]) / order,
            high_hz=float(self.frequency_hz[-1]) / order,
            low_reason="microphone",
            high_reason="microphone",
        )


def microphone_gain(response: MicrophoneResponse, *, frequency_hz: Floats) -> Complexes:
    """Read the table between its points: dB and degrees linear in log f.

    Parameters
    ----------
    response : MicrophoneResponse
        The table.
    frequency_hz : (...) array
        Hz, any shape.

    Returns
    -------
    (...) complex array, 1 where the microphone is as sensitive as at its reference. Beyond the
    table its end is held; ``valid`` tells that nothing there is known.
    """
    place, table = np.log(frequency_hz), np.log(response.frequency_hz)
    size = 10 ** (np.interp(place, table, response.level_db) / 20)
    gain: Complexes = size.astype(np.complex128)
    if response.phase_deg is not None:
        turned = np.interp(place, table, np.unwrap(response.phase_deg, period=360))
        gain *= np.exp(1j * np.radians(turned))
    return gain


def correct_microphone(pressure: Harmonics, *, response: MicrophoneResponse) -> Harmonics:
    """Divide a pressure by the microphone's response, each order at its own frequency.

    Parameters
    ----------
    pressure : Harmonics
        (k, m), Pa by the sensitivity alone.
    response : MicrophoneResponse
        Of the microphone that recorded it.

    Returns
    -------
    Harmonics, (k, m), Pa; noise is divided by the magnitude.
    """
    orders = np.arange(1, pressure.amplitude.shape[0] + 1)[:, np.newaxis]
    gain = microphone_gain(response, frequency_hz=orders * pressure.frequency_hz)
    return Harmonics(
        frequency_hz=pressure.frequency_hz,
        amplitude=pressure.amplitude / gain,
        noise=pressure.noise / np.abs(gain),
    )


def correct_spectrum(
    spectrum: NDArray[np.complexfloating], *, bin_hz: float, response: MicrophoneResponse
) -> Complexes:
    """Divide a spectrum by the microphone's response.

    Parameters
    ----------
    spectrum : (n,) complex array
        Pa by the sensitivity alone, lines from 0 Hz on.
    bin_hz : float
        Hz from line to line.
    response : MicrophoneResponse
        Of the microphone that recorded it.

    Returns
    -------
    (n,) complex array, Pa; beyond the table by its ends.
    """
    hz = bin_hz * np.maximum(np.arange(spectrum.size), 0.5)  # the first: steady, below any table
    corrected: Complexes = spectrum / microphone_gain(response, frequency_hz=hz)
    return corrected


def correct_samples(
    samples: Floats, *, sample_rate_hz: float, response: MicrophoneResponse
) -> Floats:
    """Take the microphone's response out of a recording.

    Parameters
    ----------
    samples : (n,) array
        Pa by the sensitivity alone.
    sample_rate_hz : float
        Hz.
    response : MicrophoneResponse
        Of the microphone that recorded it.

    Returns
    -------
    (n,) array, Pa.
    """
    size = fft.next_fast_len(samples.size, real=True)
    spectrum = correct_spectrum(
        fft.rfft(samples, size), bin_hz=sample_rate_hz / size, response=response
    )
    corrected: Floats = fft.irfft(spectrum, size)[: samples.size]
    return corrected


def correct_noise(noise: QuietNoise, *, response: MicrophoneResponse) -> QuietNoise:
    """Divide the density of a noise by the microphone's response.

    Parameters
    ----------
    noise : QuietNoise
        Of its channel.
    response : MicrophoneResponse
        Of the microphone.

    Returns
    -------
    QuietNoise; ``rms`` and ``mean`` stay those of the recording.
    """
    gain = np.abs(microphone_gain(response, frequency_hz=noise.frequency_hz))
    return replace(noise, density=noise.density / gain**2)
