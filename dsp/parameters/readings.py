"""What is fitted: the usable points of an impedance, each with the weight that its noise leaves."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Complexes, Floats, read_only
from dsp.curve import ValidRange
from dsp.electrical.impedance import Impedance
from dsp.errors import DspError

FEWEST_POINTS = 12
_TOO_NOISY = 0.3  # relative: a logarithm of noise like this is no longer normal
_LEAST = 1e-7  # of a computed curve that states no noise at all
_ALIKE_OCTAVES = 1 / 6  # over which what is left by the way of measuring is much the same


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Readings:
    """Points of an impedance.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, rising.
    ohm : (m,) complex array
        ohm.
    spread : (m,) array
        Standard deviation of the real, equally of the imaginary part of ln ``ohm`` from noise,
        larger where neighbours share their noise: as if every point had noise of its own.
    independent : (m,) array
        How much of a point's noise is its own, above 0 to 1; the sum is the number of points that
        count.
    common : (2, m) complex array
        What one standard deviation of the chain's error does to ln ``ohm``: as a magnitude and as
        a phase, the same error at all points.
    """

    frequency_hz: Floats
    ohm: Complexes
    spread: Floats
    independent: Floats
    common: Complexes

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "ohm", "spread", "independent", "common"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def keep(self, which: Bools) -> "Readings":
        """Leave points out.

        Parameters
        ----------
        which : (m,) bool array
            True for those that stay.

        Returns
        -------
        Readings
        """
        return Readings(
            frequency_hz=self.frequency_hz[which],
            ohm=self.ohm[which],
            spread=self.spread[which],
            independent=self.independent[which],
            common=self.common[:, which],
        )


def readings(
    found: Impedance,
    *,
    valid: ValidRange | None = None,
    independent: Floats | None = None,
    least_relative: float = 0.0,
) -> Readings:
    """Take from an impedance what a fit may stand on.

    Parameters
    ----------
    found : Impedance
        As measured.
    valid : ValidRange or None
        Where it may be believed; None: everywhere.
    independent : (m,) array or None
        How much of each point's noise is its own: points closer than the record resolves share
        theirs (see ``own_noise``). None: all of it.
    least_relative : float
        Added in squares to each point's relative noise: what the way of measuring itself leaves,
        which does not show as noise and is much the same over a sixth of an octave.

    Returns
    -------
    Readings; points that are missing, or noisier than 30 %, are left out.

    Notes
    -----
    Raises DspError where fewer than twelve points are left.
    """
    hz = found.frequency_hz
    _enough(hz.size)
    share = np.ones(hz.shape) if independent is None else np.asarray(independent)
    noise = np.hypot(found.relative_noise, _LEAST)
    alike = np.minimum(1.0, np.gradient(np.log2(hz)) / _ALIKE_OCTAVES)
    whole = np.hypot(noise, least_relative)
    spread = np.hypot(noise / np.sqrt(share), least_relative / np.sqrt(alike))
    usable = np.isfinite(found.value) & (np.abs(found.value) > 0) & (whole < _TOO_NOISY)
    if valid is not None:
        usable &= valid.holds(hz)
    _enough(int(np.count_nonzero(usable)))
    return Readings(
        frequency_hz=hz,
        ohm=found.value,
        spread=spread,
        independent=(whole / spread) ** 2,
        common=np.stack([found.relative_chain + 0j, 1j * found.phase_chain_rad]),
    ).keep(usable)


def _enough(count: int) -> None:
    if count < FEWEST_POINTS:
        allowed = f"from {FEWEST_POINTS}, finite and with less than 30 % of noise"
        raise DspError("parameters", "too few points", given=count, allowed=allowed)


def own_noise(frequency_hz: Floats, *, record_s: float) -> Floats:
    """Tell how much of each point's noise is its own, where a window of time cuts the record.

    The noise of two points f apart hangs together by the transform of the squared window; summed
    over all points that is one over (point spacing times the window's effective length).

    Parameters
    ----------
    frequency_hz : (m,) array
        Hz, rising.
    record_s : float
        s, effective length of the window: the sum of its squares over its largest square.

    Returns
    -------
    (m,) array, above 0 to 1.
    """
    share: Floats = np.minimum(1.0, np.gradient(frequency_hz) * record_s)
    return share
