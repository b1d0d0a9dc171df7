"""What an excitation consists of: one frozen record for each kind of signal, and where it lies.

All positions are samples from the start of the excitation, at its own sample rate.
All amplitudes are volts across the terminals.
"""

from dataclasses import dataclass

from dsp.arrays import Floats, Ints, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LogSweepSegment:
    """An exponential sweep x(t) = peak_v sin(2 pi f0 L (e^(t/L) - 1)), t = 0 at ``start``.

    It starts at zero for any f0 and L, so that neither has to be rounded.

    Attributes
    ----------
    start, stop : int
        First sample, and one past the last; run-in and run-out included.
    start_hz, stop_hz : float
        Hz; the span that was asked for and is answered for.
    first_hz, last_hz : float
        Hz; instantaneous frequency at ``start`` and at ``stop``: the span with run-in and run-out.
    rate_s : float
        L, seconds in which the frequency grows by a factor e.
    peak_v : float
        V, before the ramp that ends it.
    """

    start: int
    stop: int
    start_hz: float
    stop_hz: float
    first_hz: float
    last_hz: float
    rate_s: float
    peak_v: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToneSegment:
    """Steady sines one after the other, phase continuous: a stepped sine, or a few long tones.

    Attributes
    ----------
    start, stop : int
        First sample, and one past the last, ramps included.
    frequency_hz : (m,) array
        Hz, in the order in which they are played.
    hold_start, hold_stop : (m,) array of int
        The settled part of each tone, from which it is read.
    phase_rad : (m,) array
        rad; tone j is peak_v sin(2 pi frequency_hz[j] (n - start) / sample_rate + phase_rad[j]).
    peak_v : (m,) array
        V.
    """

    start: int
    stop: int
    frequency_hz: Floats
    hold_start: Ints
    hold_stop: Ints
    phase_rad: Floats
    peak_v: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "hold_start", "hold_stop", "phase_rad", "peak_v"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BroadbandSegment:
    """Noise, a multitone or a file: read by comparing what came with what was played.

    Attributes
    ----------
    start, stop : int
        First sample, and one past the last.
    low_hz, high_hz : float
        Hz, the span that holds energy.
    frequency_hz : (m,) array
        Hz, the lines of a multitone; empty for noise and files.
    period : int
        Samples after which a multitone repeats; 0 where it does not.
    """

    start: int
    stop: int
    low_hz: float
    high_hz: float
    frequency_hz: Floats
    period: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "frequency_hz", read_only(self.frequency_hz))


Segment = LogSweepSegment | ToneSegment | BroadbandSegment
