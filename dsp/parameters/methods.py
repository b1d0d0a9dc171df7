"""Ways to the moving mass with a second take or a scale: added mass, closed box, known mass."""

from collections.abc import Sequence

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.parameters.estimates import Estimates, Inputs
from dsp.parameters.fit import LumpedFit
from dsp.parameters.mechanics import Around, Method, absolute
from dsp.parameters.resonance import Resonance
from dsp.parameters.small_signal import LE_HZ
from dsp.parameters.surroundings import Known, Surroundings

_LEAST_FALL, _MOST_FALL = 0.1, 0.5  # of fs under a mass; practice is 20 to 50 %
_LEAST_RISE = 0.15  # of fs in a box


def added_mass(
    alone: LumpedFit,
    *,
    loaded: LumpedFit,
    mass_kg: Known,
    surroundings: Surroundings,
    le_hz: float = LE_HZ,
) -> Estimates:
    """Find the absolute figures from a mass that is stuck to the cone.

    Mms = dm / ((fs / fs')^2 k - 1), with k the stiffness at fs' over that at fs: 1 but for creep.
    An error of fs'/fs counts 2 / (1 - (fs'/fs)^2) times in Mms: the covariance shows it.

    Parameters
    ----------
    alone, loaded : LumpedFit
        The unit by itself, and with the mass, at the same level through the same chain.
    mass_kg : Known
        kg, the mass.
    surroundings : Surroundings
        Where the unit moves.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    Estimates

    Raises
    ------
    DspError
        The resonance did not fall.
    """
    before, after = alone.value("fs_hz"), loaded.value("fs_hz")
    fall = 1 - after / before
    if fall <= 0:
        given = f"{before:.4g} Hz by itself, {after:.4g} Hz with the mass"
        raise DspError("added_mass", "the resonance did not fall", given=given)
    doubts: tuple[str, ...] = ()
    if not _LEAST_FALL <= fall <= _MOST_FALL:
        asked = "a heavier one tells more" if fall < _LEAST_FALL else "a lighter one is safer"
        doubts = (f"the mass moves the resonance by {100 * fall:.2g} %: {asked}",)

    def mass(takes: Sequence[Resonance], _air: Around, own: Floats) -> Floats:
        free, heavy = takes
        ratio = (free.fs_hz / heavy.fs_hz) ** 2 * free.stiffness_ratio(heavy.fs_hz)
        moving: Floats = np.exp(own[0]) / (ratio - 1)
        return moving

    method = Method(
        words=f"added mass of {1e3 * mass_kg.value:.4g} g",
        fits=(alone, loaded),
        own=_one(mass_kg),
        mass=mass,
        doubts=doubts,
    )
    return absolute(method, surroundings=surroundings, le_hz=le_hz)


def closed_box(
    alone: LumpedFit,
    *,
    boxed: LumpedFit,
    volume_m3: Known,
    surroundings: Surroundings,
    le_hz: float = LE_HZ,
) -> Estimates:
    """Find the absolute figures from the unit in a closed box without filling.

    Vas = V ((fc Qec) / (fs Qes) - 1), which holds also where the box changes the air's mass (R. H.
    Small, J. Audio Eng. Soc. 20 (1972) 383); Cms = Vas / (rho c^2 Sd^2), Mms = 1 / (ws^2 Cms).
    With creep the fit's Vas is that at fs.

    Parameters
    ----------
    alone, boxed : LumpedFit
        The unit by itself, and in the box, at the same level through the same chain.
    volume_m3 : Known
        m3, the air inside, less the unit's own volume.
    surroundings : Surroundings
        Where the unit moves; with its area.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    Estimates

    Raises
    ------
    DspError
        The resonance did not rise, or the area is not known.
    """
    if surroundings.sd_m2 is None:
        raise DspError("closed_box", "the area is not known", allowed="sd_m2")
    before, after = alone.value("fs_hz"), boxed.value("fs_hz")
    rise = after / before - 1
    if rise <= 0:
        given = f"{before:.4g} Hz by itself, {after:.4g} Hz in the box"
        raise DspError("closed_box", "the resonance did not rise", given=given)
    doubts: tuple[str, ...] = ()
    if rise < _LEAST_RISE:
        doubts = (f"the box moves the resonance by {100 * rise:.2g} %: a smaller one tells more",)

    def mass(takes: Sequence[Resonance], air: Around, own: Floats) -> Floats:
        free, closed = takes
        area = np.ones_like(air.density) if air.sd_m2 is None else air.sd_m2
        ratio = closed.fs_hz * closed.qes / (free.fs_hz * free.qes)
        vas = np.exp(own[0]) * (ratio - 1)
        moving: Floats = air.density * air.speed**2 * area**2 / (vas * free.ws**2)
        return moving

    method = Method(
        words=f"closed box of {1e3 * volume_m3.value:.4g} l",
        fits=(alone, boxed),
        own=_one(volume_m3),
        mass=mass,
        doubts=doubts,
    )
    return absolute(method, surroundings=surroundings, le_hz=le_hz)


def known_mass(
    alone: LumpedFit, *, mms_kg: Known, surroundings: Surroundings, le_hz: float = LE_HZ
) -> Estimates:
    """Find the absolute figures from a moving mass that is known, by weighing or from its maker.

    Parameters
    ----------
    alone : LumpedFit
        The unit by itself.
    mms_kg : Known
        kg, moving mass with its air.
    surroundings : Surroundings
        Where the unit moves.
    le_hz : float
        Hz, where the inductance is stated.

    Returns
    -------
    Estimates
    """

    def mass(_takes: Sequence[Resonance], _air: Around, own: Floats) -> Floats:
        moving: Floats = np.exp(own[0])
        return moving

    method = Method(words="known moving mass", fits=(alone,), own=_one(mms_kg), mass=mass)
    return absolute(method, surroundings=surroundings, le_hz=le_hz)


def _one(known: Known) -> Inputs:
    return Inputs(mean=np.array([known.log]), covariance=np.array([[known.relative**2]]))
