"""Finds the two marks of an excitation in a raw recording, and how far apart they came back."""

import contextlib
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.response.phase_slope import PhaseSlope, phase_slope

# Two sound cards differ by less than this; beyond it the pair is not looked for.
LARGEST_OFFSET = 1.2e-3
_ENOUGH = 4000  # places that tell the middle of all
# The smaller of the two peaks over the median: pairs in noise alone stay below 4.
_SMALLEST_PEAK = 5.0
# What came back of the two marks must look alike; unrelated sounds stay below 0.6.
_SMALLEST_LIKENESS = 0.75
# What came back must resemble the mark: through units 0.6 and more, a click 0.1.
_SMALLEST_RESEMBLANCE = 0.25
_BEFORE_S, _AFTER_S = 0.004, 0.02
# Where the mark has less power than this part of its strongest, noise would only be added.
_BAND = 1e-2


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkPair:
    """Where the marks came back.

    Attributes
    ----------
    first : int
        Sample of the recording at which the first mark starts, to the nearest sample.
    distance : float
        Samples between the two, by the slope of the phase between them.
    deviation : float
        Standard deviation of ``distance``, samples.
    """

    first: int
    distance: float
    deviation: float


def find_marks(channel: Floats, *, excitation: Excitation) -> MarkPair:
    """Find both marks anywhere in a recording.

    Parameters
    ----------
    channel : (n,) array
        Raw, any unit.
    excitation : Excitation
        What was played.

    Returns
    -------
    MarkPair

    Raises
    ------
    DspError
        The recording is silent, ends before the second mark does, or holds nothing like the two
        marks at their distance.
    """
    if channel.size <= 2 * excitation.mark_samples or not np.ptp(channel) > 0:
        raise DspError("find_marks", "the recording is silent")
    nominal = excitation.mark_starts[1] - excitation.mark_starts[0]
    reach = int(np.ceil(LARGEST_OFFSET * nominal)) + 2
    places = channel.size - excitation.mark_samples + 1 - nominal
    level = float(np.max(np.abs(channel)))
    if places > reach:
        # Where the first of a pair can lie, and the second; what lies between takes longer to ask.
        before, after = (
            _strength(end, excitation=excitation, level=level)
            for end in (channel[: channel.size - nominal], channel[nominal - reach :])
        )
        floor = _SMALLEST_PEAK * _middle(np.concatenate([before, after]))
        pair = _pair(before, after, reach=reach, floor=floor)
        # The whole recording may tell better; or it tells why there is none.
        with contextlib.suppress(DspError):
            if pair is not None:
                second = nominal + pair.apart
                return measure_marks(
                    channel, excitation=excitation, first=pair.first, second=second
                )
    strength = _strength(channel, excitation=excitation, level=level)
    floor = _SMALLEST_PEAK * _middle(strength)
    if places > reach:
        pair = _pair(strength[:places], strength[nominal - reach :], reach=reach, floor=floor)
        if pair is not None:
            second = nominal + pair.apart
            return measure_marks(channel, excitation=excitation, first=pair.first, second=second)
    first = int(np.argmax(strength))
    if strength[first] > floor and first + nominal + excitation.mark_samples > channel.size:
        needed = (first + nominal + excitation.mark_samples) / excitation.sample_rate_hz
        given = f"{channel.size / excitation.sample_rate_hz:.3f} s"
        raise DspError(
            "find_marks",
            "the recording ends before the excitation does",
            given=given,
            allowed=f"from {needed:.3f} s",
        )
    raise DspError("find_marks", "nothing like the excitation in the recording")


def measure_marks(channel: Floats, *, excitation: Excitation, first: int, second: int) -> MarkPair:
    """Measure the distance of two marks whose places are known to a few samples.

    Parameters
    ----------
    channel : (n,) array
        Raw, any unit.
    excitation : Excitation
        What was played.
    first, second : int
        Samples at which the marks start, about.

    Returns
    -------
    MarkPair

    Raises
    ------
    DspError
        What is found in the two places does not look alike.
    """
    rate_hz, length = excitation.sample_rate_hz, excitation.mark_samples
    before = min(round(_BEFORE_S * rate_hz), first)
    after = min(round(_AFTER_S * rate_hz), channel.size - second - length)
    if after < 0:
        raise DspError("find_marks", "the recording ends within the second mark")
    # Even, and no longer than the window: padding would make the phases look surer than they are.
    size = 2 * fft.next_fast_len((before + length + after + 1) // 2)
    rise = np.sin(np.pi / 2 * (np.arange(before) + 0.5) / max(before, 1)) ** 2
    fall = np.cos(np.pi / 2 * np.clip(np.linspace(-1, 1, after), 0, 1)) ** 2
    window = np.concatenate([rise, np.ones(length), fall])

    def spectrum(at: int) -> Complexes:
        out: Complexes = np.fft.rfft(channel[at - before : at + length + after] * window, size)
        return out

    weight = mark_power(excitation, size=size)
    earlier = spectrum(first)
    slope = phase_slope(spectrum(second), earlier, weight=weight)
    if slope.likeness < _SMALLEST_LIKENESS:
        raise DspError(
            "find_marks",
            "nothing like the excitation in the recording: the two marks differ",
            given=f"likeness {slope.likeness:.2f}",
            allowed=f"from {_SMALLEST_LIKENESS}",
        )
    resemblance = _resemblance(earlier, excitation=excitation, size=size)
    if resemblance < _SMALLEST_RESEMBLANCE:
        raise DspError(
            "find_marks",
            "nothing like the excitation in the recording: no mark",
            given=f"likeness {resemblance:.2f}",
            allowed=f"from {_SMALLEST_RESEMBLANCE}",
        )
    return MarkPair(first=first, distance=second - first + slope.delay, deviation=slope.deviation)


def mark_power(excitation: Excitation, *, size: int) -> Floats:
    """Tell where in frequency the mark has power.

    Parameters
    ----------
    excitation : Excitation
        Whose mark.
    size : int
        Even length of the transform.

    Returns
    -------
    (size / 2 + 1,) array, at most 1; 0 outside the mark's band.
    """
    power: Floats = np.abs(_mark_spectrum(excitation, size)) ** 2
    power /= np.max(power)
    return np.where(power > _BAND, power, 0.0)


@lru_cache(maxsize=16)
def _mark_spectrum(excitation: Excitation, size: int) -> Complexes:
    # Asked for several times in a take, and again in the next one of the same excitation.
    at = excitation.mark_starts[0]
    return read_only(np.fft.rfft(excitation.samples[at : at + excitation.mark_samples], size))


def mark_delay(piece: Floats, *, excitation: Excitation) -> PhaseSlope:
    """Tell how much later than sample 0 the mark starts in a short piece of a recording.

    Parameters
    ----------
    piece : (n,) array
        Any unit; n is mark_samples or more.
    excitation : Excitation
        Whose mark.

    Returns
    -------
    PhaseSlope, samples.
    """
    size = 2 * fft.next_fast_len(piece.size)
    weight = np.sign(mark_power(excitation, size=size))
    return phase_slope(np.fft.rfft(piece, size), _mark_spectrum(excitation, size), weight=weight)


def _resemblance(spectrum: Complexes, *, excitation: Excitation, size: int) -> float:
    # How much of what came back correlates with the mark at one delay, at most 1: a click has
    # its power, not its course.
    chirp = _mark_spectrum(excitation, size)
    inside = mark_power(excitation, size=size) > 0
    cross = np.where(inside, spectrum * np.conj(chirp), 0.0)
    peak = np.max(np.abs(np.fft.ifft(cross, size))) * size
    energy = np.sum(np.abs(spectrum[inside]) ** 2) * np.sum(np.abs(chirp[inside]) ** 2)
    return float(peak / np.sqrt(energy)) if energy > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    # Sample of the first, and of the second less the nominal distance.
    first: int
    apart: int


def _pair(before: Floats, after: Floats, *, reach: int, floor: float) -> _Pair | None:
    # Two peaks at the nominal distance, give or take ``reach``, the smaller above a floor: among
    # strengths from sample 0 on, and those from ``reach`` before the nominal distance on. Near the
    # end the second is looked for as far as the recording goes.
    later = _greatest_within(np.pad(after, (0, reach)), 2 * reach + 1)
    both = np.minimum(before, later[: before.size])
    first = int(np.argmax(both))
    if not both[first] > floor:
        return None
    near = after[first : first + 2 * reach + 1]
    return _Pair(first=first, apart=first + int(np.argmax(near)) - reach)


def _strength(channel: Floats, *, excitation: Excitation, level: float) -> Floats:
    # The envelope of the correlation with the mark, one value for each place where it fits.
    # In single precision, which tells places as well: what is measured there is read anew.
    size = fft.next_fast_len(channel.size + excitation.mark_samples, real=True)
    heard = fft.rfft((channel / level).astype(np.float32), size)
    played = _mark_spectrum(excitation, size).astype(np.complex64)
    spectrum = np.zeros(size, dtype=np.complex64)
    spectrum[1 : (size + 1) // 2] = (heard * np.conj(played))[1 : (size + 1) // 2]
    envelope = np.abs(fft.ifft(spectrum, overwrite_x=True)).astype(np.float64)
    return envelope[: channel.size - excitation.mark_samples + 1]


def _middle(strength: Floats) -> float:
    # Neighbours are alike, and a part of thousands of them tells the middle as well.
    every = max(strength.size // _ENOUGH, 1)
    return float(np.median(strength[::every]))


def _greatest_within(values: Floats, width: int) -> Floats:
    # The maximum of each run of ``width`` values, (n - width + 1,), by maxima from both ends of
    # blocks of that width, so that any width costs the same.
    count = values.size - width + 1
    blocks = np.pad(values, (0, -values.size % width + width)).reshape(-1, width)
    ahead = np.maximum.accumulate(blocks, axis=1).ravel()
    behind = np.maximum.accumulate(blocks[:, ::-1], axis=1)[:, ::-1].ravel()
    out: Floats = np.maximum(behind[:count], ahead[width - 1 : width - 1 + count])
    return out
