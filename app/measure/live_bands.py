"""Read noise, multitones and files while they play: power in third octaves, growing surer."""

from dataclasses import dataclass

import numpy as np
import scipy.fft

from dsp import Floats
from dsp.bands import fractional_octave_bands
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment

_PIECE = 8192  # samples of one transform
_FEWEST_BINS = 3.0  # of a band: Hann's window spreads a line over as many
_TELL_EVERY = 3  # pieces
_LEAST_DRIVE = 1e-4  # of the strongest band's power: between the lines of a multitone is nothing


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BandPower:
    """Mean squares in one band since the segment began.

    Attributes
    ----------
    hz : float
        Midband.
    drive_v2 : float
        V squared, of what was played.
    heard, noise : (channels,) array
        Full-scale units squared: while it plays, and while it was silent before.
    """

    hz: float
    drive_v2: float
    heard: Floats
    noise: Floats


class BandReader:
    """Collects whole pieces of one segment, and tells of all bands together every half second.

    Parameters
    ----------
    excitation : Excitation
        What is played.
    segment : BroadbandSegment
        The part that is read.
    channels : int
        How many are heard.
    """

    def __init__(self, excitation: Excitation, segment: BroadbandSegment, *, channels: int) -> None:
        rate_hz = excitation.sample_rate_hz
        self._drive, self._segment = excitation.samples, segment
        bands = fractional_octave_bands(3, low_hz=segment.low_hz, high_hz=segment.high_hz)
        wide = (bands.high_hz - bands.low_hz) * _PIECE / rate_hz >= _FEWEST_BINS
        wide &= bands.high_hz < rate_hz / 2
        self._hz = bands.midband_hz[wide]
        edges = np.stack([bands.low_hz[wide], bands.high_hz[wide]])
        self._bins = np.searchsorted(scipy.fft.rfftfreq(_PIECE, 1 / rate_hz), edges)
        self._window = np.hanning(_PIECE)
        self._held = np.zeros((0, channels))
        self._at = segment.start  # of the excitation, first frame that is held
        self._noise, self._quiet = np.zeros((self._hz.size, channels)), 0
        self._heard = np.zeros((self._hz.size, channels))
        self._played, self._pieces = np.zeros(self._hz.size), 0

    @property
    def start(self) -> int:
        """First frame of the segment."""
        return self._segment.start

    @property
    def is_done(self) -> bool:
        """Whether the segment holds no further piece."""
        return self._at + _PIECE > self._segment.stop

    def hear_quiet(self, samples: Floats) -> None:
        """Take in the silence before anything plays, (m, channels)."""
        for start in range(0, samples.shape[0] - _PIECE + 1, _PIECE):
            self._noise += self._powers(samples[start : start + _PIECE])
            self._quiet += 1

    def hear(self, samples: Floats, *, first: int) -> tuple[BandPower, ...]:
        """Take in frames; ``first`` counts from the excitation.

        Returns
        -------
        tuple of BandPower, empty until it is time again.
        """
        if not self._held.shape[0]:
            self._at = max(self._at, first)
        skip = max(0, self._at + self._held.shape[0] - first)
        self._held = np.concatenate([self._held, samples[skip:]])
        tells = False
        while self._held.shape[0] >= _PIECE and not self.is_done:
            self._heard += self._powers(self._held[:_PIECE])
            drive = self._drive[self._at : self._at + _PIECE, np.newaxis]
            self._played += self._powers(drive)[:, 0]
            self._held, self._at = self._held[_PIECE:], self._at + _PIECE
            self._pieces += 1
            tells |= self._pieces % _TELL_EVERY == 0 or self.is_done
        return self._told() if tells else ()

    def _told(self) -> tuple[BandPower, ...]:
        drive = self._played / self._pieces
        return tuple(
            BandPower(hz=float(hz), drive_v2=float(v2), heard=heard, noise=noise)
            for hz, v2, heard, noise in zip(
                self._hz,
                drive,
                self._heard / self._pieces,
                self._noise / max(1, self._quiet),
                strict=True,
            )
            if v2 > _LEAST_DRIVE * drive.max()
        )

    def _powers(self, samples: Floats) -> Floats:
        """Return the mean square of each channel in each band, (bands, channels)."""
        spectrum = np.abs(scipy.fft.rfft(samples * self._window[:, np.newaxis], axis=0)) ** 2
        below = np.concatenate([np.zeros((1, samples.shape[1])), np.cumsum(spectrum, axis=0)])
        low, high = self._bins
        scale = 2 / (_PIECE * np.sum(self._window**2))
        out: Floats = (below[high] - below[low]) * scale
        return out
