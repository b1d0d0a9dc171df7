"""A sound pressure over frequency with its phase, as near field and far field are joined in."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from dsp.acoustic.level import REFERENCE_PA, UNIT
from dsp.arrays import Complexes, Floats, read_only
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Response:
    """Pressure for a stated voltage at a stated distance.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, strictly rising.
    pressure : (m,) complex array
        Pa, whole phase.
    delay_s : float
        s by which it comes late, about: without it the phase turns slowly.
    level_db, phase_deg : (m,) arrays
        Standard uncertainties, dB and deg.
    valid : ValidRange
        Where it may be believed.
    """

    frequency_hz: Floats
    pressure: Complexes
    delay_s: float
    level_db: Floats
    phase_deg: Floats
    valid: ValidRange

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "pressure", "level_db", "phase_deg"):
            array = getattr(self, name)
            if array.shape != self.frequency_hz.shape:
                raise DspError("Response", "shapes differ", given=array.shape)
            object.__setattr__(self, name, read_only(array))

    @classmethod
    def of_curves(cls, level: Curve, *, phase: Curve, delay_s: float) -> Self:
        """Join level and phase of a take.

        Parameters
        ----------
        level : Curve
            dB re 20 µPa.
        phase : Curve
            deg, at the same frequencies, with ``delay_s`` taken out.
        delay_s : float
            s.

        Returns
        -------
        Response; an uncertainty that is not known counts as none.

        Raises
        ------
        DspError
            Another unit, or other frequencies.
        """
        if level.unit != UNIT or phase.unit != "deg":
            raise DspError("Response", "units", given=(level.unit, phase.unit))
        if not np.array_equal(level.frequency_hz, phase.frequency_hz):
            raise DspError("Response", "frequencies of level and phase differ")
        hz = level.frequency_hz
        turned = np.radians(phase.value) - 2 * np.pi * hz * delay_s
        return cls(
            frequency_hz=hz,
            pressure=REFERENCE_PA * 10 ** (level.value / 20) * np.exp(1j * turned),
            delay_s=delay_s,
            level_db=_standard(level),
            phase_deg=_standard(phase),
            valid=level.valid,
        )

    @property
    def known(self) -> Self:
        """The same without points that hold nothing."""
        there = np.isfinite(self.pressure) & (self.pressure != 0)
        return type(self)(
            frequency_hz=self.frequency_hz[there],
            pressure=self.pressure[there],
            delay_s=self.delay_s,
            level_db=self.level_db[there],
            phase_deg=self.phase_deg[there],
            valid=self.valid,
        )

    def level(self) -> Curve:
        """Return the level alone.

        Returns
        -------
        Curve in dB re 20 µPa, uncertainty expanded, k = 2.
        """
        return Curve(
            frequency_hz=self.frequency_hz,
            value=20 * np.log10(np.abs(self.pressure) / REFERENCE_PA),
            unit=UNIT,
            valid=self.valid,
            uncertainty=2 * self.level_db,
        )

    def logarithm(self) -> Complexes:
        """Turn pressure into neper and radian, without ``delay_s``, continuous.

        Returns
        -------
        (m,) complex array.
        """
        slow = self.pressure * np.exp(2j * np.pi * self.frequency_hz * self.delay_s)
        logarithm: Complexes = np.log(np.abs(slow)) + 1j * np.unwrap(np.angle(slow))
        return logarithm

    def at(self, frequency_hz: Floats) -> Self:
        """Read between the points: level and slow phase run straight over log f.

        Parameters
        ----------
        frequency_hz : (k,) array
            Hz, within the span of the points.

        Returns
        -------
        Response, (k,).
        """
        place, places = np.log(frequency_hz), np.log(self.frequency_hz)
        own = self.logarithm()
        there = np.interp(place, places, own.real) + 1j * np.interp(place, places, own.imag)
        late = np.exp(-2j * np.pi * frequency_hz * self.delay_s)
        return type(self)(
            frequency_hz=frequency_hz,
            pressure=np.exp(there) * late,
            delay_s=self.delay_s,
            level_db=np.interp(place, places, self.level_db),
            phase_deg=np.interp(place, places, self.phase_deg),
            valid=self.valid,
        )


def _standard(curve: Curve) -> Floats:
    if curve.uncertainty is None:
        return np.zeros(curve.frequency_hz.size)
    half: Floats = np.where(np.isfinite(curve.uncertainty), curve.uncertainty, 0.0) / 2
    return half
