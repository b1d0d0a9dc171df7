"""How loud the inputs are, and how loud they have been: peaks held for as long as they matter."""

from dataclasses import dataclass

_FULL_DBFS = -0.01  # a converter's rail, as near as a peak tells
_HOLD_S = 2.0  # while silent; a take's peaks are held for all of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaks:
    """Of one input, dB re full scale: since the last report, and the peak held."""

    now: float
    held: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Input levels, dB re full scale, one value a channel from the first.

    Attributes
    ----------
    now_dbfs, held_dbfs : tuple of float
        Peak since the last report, and the peak held.
    over : frozenset of int
        Channels, from 1, that were driven to the rail since the take began.
    sounding : bool
        Whether a take plays.
    held_since_s : float
        Moment of the oldest peak still held, s of any steady clock.
    """

    now_dbfs: tuple[float, ...] = ()
    held_dbfs: tuple[float, ...] = ()
    over: frozenset[int] = frozenset()
    sounding: bool = False
    held_since_s: float = 0.0

    def of(self, channel: int) -> Peaks | None:
        """Return what an input gives; None where nothing was heard of it."""
        if channel > len(self.now_dbfs):
            return None
        return Peaks(now=self.now_dbfs[channel - 1], held=self.held_dbfs[channel - 1])


def heard_next(
    before: Heard, *, peaks_dbfs: tuple[float, ...], sounding: bool, at_s: float
) -> Heard:
    """Take a report of the inputs in.

    Parameters
    ----------
    before : Heard
        Until now.
    peaks_dbfs : tuple of float
        Peak of each channel since the last report; empty where nothing was recorded meanwhile:
        what was heard before then stands.
    sounding : bool
        Whether a take plays; peaks and overloads count from the moment when it begins.
    at_s : float
        Now, s of the same clock as before.
    """
    begins = sounding and not before.sounding
    peaks_dbfs = peaks_dbfs or before.now_dbfs
    lapsed = not sounding and at_s - before.held_since_s > _HOLD_S
    anew = begins or lapsed or len(peaks_dbfs) != len(before.held_dbfs)
    over = frozenset() if begins else before.over
    if sounding:
        over |= {n for n, peak in enumerate(peaks_dbfs, start=1) if peak >= _FULL_DBFS}
    return Heard(
        now_dbfs=peaks_dbfs,
        held_dbfs=peaks_dbfs if anew else _higher(before.held_dbfs, peaks_dbfs),
        over=over,
        sounding=sounding,
        held_since_s=at_s if anew else before.held_since_s,
    )


def silent(before: Heard) -> Heard:
    """Forget the levels of a take that has ended; what was overloaded stays told."""
    return Heard(over=before.over)


def _higher(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(max(pair) for pair in zip(one, other, strict=True))
