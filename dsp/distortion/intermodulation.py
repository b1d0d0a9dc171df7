"""What two tones make of each other: modulation and difference-frequency distortion."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Ints
from dsp.distortion.order_sum import CLEAR_OF_NOISE_DB
from dsp.errors import DspError
from dsp.number import Number
from dsp.response.line_spectrum import LineSpectrum

_TWO = 2
_NEPERS_A_DB = np.log(10) / 20
HIDDEN = "; noise hides it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Modulation:
    """Modulation distortion: sidebands about the higher tone, re that tone.

    Attributes
    ----------
    second, third : Number
        %, arithmetic sum of the two sidebands at f2 +- f1, at f2 +- 2 f1.
    total : Number
        %, root of the summed power of all four.
    """

    second: Number
    third: Number
    total: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceFrequency:
    """Difference-frequency distortion: re the arithmetic sum of both tones.

    Attributes
    ----------
    second, third : Number
        %, the product at f2 - f1; arithmetic sum of those at 2 f1 - f2 and 2 f2 - f1.
    """

    second: Number
    third: Number


def modulation_distortion(spectrum: LineSpectrum, *, ratio_uncertainty_db: float) -> Modulation:
    """Read the sidebands of the higher of two tones.

    Parameters
    ----------
    spectrum : LineSpectrum
        Of the microphone's channel; exactly two lines were played.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds between one frequency and another.

    Returns
    -------
    Modulation. A figure less than 10 dB above its noise is a bound.

    Raises
    ------
    DspError
        Other than two lines, or products that would lie outside the spectrum.

    References
    ----------
    IEC 60268-3, modulation distortion of the nth order.
    """
    low, high = _two(spectrum)
    second = [high - low, high + low]
    third = [high - 2 * low, high + 2 * low]
    ratio = _Ratio(spectrum, below=[high], ratio_uncertainty_db=ratio_uncertainty_db)
    return Modulation(
        second=ratio.amplitudes(second, how="f2 ± f1, sum re f2"),
        third=ratio.amplitudes(third, how="f2 ± 2 f1, sum re f2"),
        total=ratio.powers([*second, *third], how="f2 ± f1 and f2 ± 2 f1, power sum re f2"),
    )


def difference_frequency_distortion(
    spectrum: LineSpectrum, *, ratio_uncertainty_db: float
) -> DifferenceFrequency:
    """Read the products at and about the difference of two tones.

    Parameters
    ----------
    spectrum : LineSpectrum
        Of the microphone's channel; exactly two lines were played.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds between one frequency and another.

    Returns
    -------
    DifferenceFrequency. A figure less than 10 dB above its noise is a bound.

    Raises
    ------
    DspError
        Other than two lines, tones more than an octave apart, or products outside the spectrum.

    References
    ----------
    IEC 60268-3, difference-frequency distortion of the nth order.
    """
    low, high = _two(spectrum)
    if high >= _TWO * low:
        given = f"{low * spectrum.bin_hz:g} and {high * spectrum.bin_hz:g} Hz"
        raise DspError("difference_frequency", "tones", given=given, allowed="within an octave")
    ratio = _Ratio(spectrum, below=[low, high], ratio_uncertainty_db=ratio_uncertainty_db)
    return DifferenceFrequency(
        second=ratio.amplitudes([high - low], how="f2 − f1 re the sum of both tones"),
        third=ratio.amplitudes(
            [2 * low - high, 2 * high - low], how="2 f1 − f2 and 2 f2 − f1, sum re that of both"
        ),
    )


def _two(spectrum: LineSpectrum) -> tuple[int, int]:
    if spectrum.played.size != _TWO:
        given = f"{spectrum.played.size} lines"
        raise DspError("intermodulation", "lines played", given=given, allowed="two")
    low, high = spectrum.played.tolist()
    return int(low), int(high)


class _Ratio:
    """Products over tones, in %, their amplitudes or their powers added."""

    def __init__(
        self, spectrum: LineSpectrum, *, below: Sequence[int], ratio_uncertainty_db: float
    ) -> None:
        self._spectrum = spectrum
        self._chain = ratio_uncertainty_db * _NEPERS_A_DB
        tones = np.array(below)
        self._below = float(np.sum(np.abs(spectrum.amplitude[tones])))
        self._share = float(np.sqrt(np.sum(spectrum.noise[tones] ** 2))) / self._below

    def amplitudes(self, at: Sequence[int], *, how: str) -> Number:
        lines = self._lines(at)
        sizes, noise = np.abs(self._spectrum.amplitude[lines]), self._spectrum.noise[lines]
        if not self._clear(lines):
            return self._bound(float(np.sum(sizes + 2 * noise)), how=how)
        # Noise across a phasor lengthens it: |a + n| is a + s^2 / (2 a) on the average.
        value = float(np.sum(sizes - noise**2 / (2 * sizes)))
        return self._told(value, noise=float(np.sqrt(np.sum(noise**2))), how=how)

    def powers(self, at: Sequence[int], *, how: str) -> Number:
        lines = self._lines(at)
        power = np.abs(self._spectrum.amplitude[lines]) ** 2
        noise = self._spectrum.noise[lines]
        total = float(np.sum(power))
        if not self._clear(lines):
            return self._bound(np.sqrt(total) + 2 * float(noise.max()), how=how)
        along = float(np.sum(power * noise**2)) / total
        value = float(np.sqrt(total - 2 * np.sum(noise**2) + along))
        return self._told(value, noise=float(np.sqrt(along)), how=how)

    def _lines(self, at: Sequence[int]) -> Ints:
        lines = np.array(at, dtype=np.int64)
        if lines.min() < 1 or lines.max() >= self._spectrum.amplitude.size:
            hz = (lines * self._spectrum.bin_hz).tolist()
            raise DspError("intermodulation", "products outside the spectrum", given=hz)
        return lines

    def _clear(self, lines: Ints) -> bool:
        power = float(np.sum(np.abs(self._spectrum.amplitude[lines]) ** 2))
        noise = float(np.sum(2 * self._spectrum.noise[lines] ** 2))
        return power > 0 and power >= 10 ** (CLEAR_OF_NOISE_DB / 10) * noise

    def _told(self, size: float, *, noise: float, how: str) -> Number:
        value = 100 * size / self._below
        relative = np.sqrt((2 * noise / size) ** 2 + (2 * self._share) ** 2 + self._chain**2)
        return Number(value=value, unit="%", uncertainty=value * float(relative), how=how)

    def _bound(self, size: float, *, how: str) -> Number:
        most = 100 * size / (self._below * (1 - 2 * min(self._share, 0.4)))
        return Number(
            value=most * float(np.exp(self._chain)), unit="%", how=how + HIDDEN, is_bound=True
        )
