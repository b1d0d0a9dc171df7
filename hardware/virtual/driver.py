"""The moving coil behind its resistor: volts in, movement and current out, block by block."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from dsp import Floats
from hardware.virtual.bench import Bench
from hardware.virtual.defects import Defects, DefectSound
from hardware.virtual.driver_kernel import Motor, move
from hardware.virtual.rate import HALF_LENGTH, Decimator, Upsampler
from hardware.virtual.unit import DriveUnit

# Steps of 2.8 us and shorter: a Runge-Kutta step's error at 20 kHz is then 5e-6 of the signal.
_STEPS_PER_S = 350_000.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Movement:
    """What a block of voltage did, ``Driver.delay_samples`` late.

    Attributes
    ----------
    acceleration_m_per_s2 : (n,) array
        m/s2 of the coil, positive outward.
    current_a : (n,) array
        A through coil and resistor.
    source_v : (n,) array
        V across unit and resistor, after the same filters as everything else.
    defects_pa : (n,) array
        Pa at 1 m, of what rattles, clicks and hisses.
    """

    acceleration_m_per_s2: Floats
    current_a: Floats
    source_v: Floats
    defects_pa: Floats


def joined(parts: Sequence[Movement]) -> Movement:
    """Put consecutive blocks of movement together.

    Parameters
    ----------
    parts : sequence of Movement
        In the order in which they came.

    Returns
    -------
    Movement, as long as all of them; empty for none.
    """
    names = [field.name for field in fields(Movement)]
    return Movement(
        **{n: np.concatenate([np.empty(0), *(getattr(p, n) for p in parts)]) for n in names}
    )


def at_rest(samples: int) -> Movement:
    """Return what no voltage does: nothing.

    Parameters
    ----------
    samples : int
        How long.

    Returns
    -------
    Movement, (samples,) zeros each.
    """
    return Movement(**{field.name: np.zeros(samples) for field in fields(Movement)})


class Driver:
    """One unit in motion; remembers between blocks where it is.

    The voltage is interpolated to 16 (at 44.1 and 48 kHz) times the sample rate, the coil is
    integrated at 8 times, and the results go through a converter's linear-phase filter again, so
    that the answer is that of the continuous circuit to 20 kHz: against the closed form the
    impedance keeps within 1e-5. The length of the blocks changes nothing but rounding.

    Parameters
    ----------
    unit : DriveUnit
        What moves.
    sample_rate_hz : float
        Hz.
    resistor_ohm : float
        ohm in the return leg.
    defects : Defects
        What sounds along; none by default.
    seed : int
        Repeats the defects' chance exactly.
    """

    delay_samples = 2 * HALF_LENGTH

    def __init__(
        self,
        unit: DriveUnit,
        *,
        sample_rate_hz: float,
        resistor_ohm: float = 0.0,
        defects: Defects | None = None,
        seed: int = 0,
    ) -> None:
        steps = math.ceil(_STEPS_PER_S / sample_rate_hz)
        self._step_s = 1 / (steps * sample_rate_hz)
        self._motor = motor(unit, resistor_ohm=resistor_ohm)
        self._state, self._last_two = np.zeros(4), np.zeros(2)
        self._up = Upsampler(2 * steps)
        self._sound = (
            DefectSound(defects, step_s=self._step_s, seed=seed)
            if defects and defects.any
            else None
        )
        self._down = Decimator(steps, channels=4 if self._sound else 3)

    def simulate(self, source_v: Floats) -> Movement:
        """Take the next block of voltage.

        Parameters
        ----------
        source_v : (n,) array
            V across unit and resistor.

        Returns
        -------
        Movement, (n,) each.
        """
        source = np.append(self._last_two, self._up.feed(source_v))
        self._last_two = source[-2:]
        fine = np.empty((4, source.size // 2 - 1))
        move(self._motor, self._state, source, self._step_s, fine)
        signals = [fine[:2], source[np.newaxis, 2::2]]
        if self._sound:
            signals.append(self._sound.feed(fine[2:]))
        coarse = self._down.feed(np.concatenate(signals))
        return Movement(
            acceleration_m_per_s2=coarse[0],
            current_a=coarse[1],
            source_v=coarse[2],
            defects_pa=coarse[3] if self._sound else np.zeros(source_v.size),
        )


def driver_of(bench: Bench, *, resistor_ohm: float, sample_rate_hz: float, seed: int) -> Driver:
    """Put the unit of a bench behind a resistor.

    Parameters
    ----------
    bench : Bench
        With the unit and its defects.
    resistor_ohm : float
        ohm, of sense resistor and leads.
    sample_rate_hz : float
        Hz.
    seed : int
        Repeats the defects' chance exactly.

    Returns
    -------
    Driver, at rest.
    """
    return Driver(
        bench.unit,
        sample_rate_hz=sample_rate_hz,
        resistor_ohm=resistor_ohm,
        defects=bench.defects,
        seed=seed,
    )


def motor(unit: DriveUnit, *, resistor_ohm: float) -> Motor:
    """Put a unit into the numbers that the integration works with.

    Parameters
    ----------
    unit : DriveUnit
        What moves.
    resistor_ohm : float
        ohm in the return leg.

    Returns
    -------
    Motor
    """
    lossy = unit.l2_h > 0 and unit.r2_ohm > 0
    return Motor(
        resistance=unit.re_ohm + resistor_ohm,
        le=unit.le_h,
        l2=unit.l2_h if lossy else 1.0,
        r2=unit.r2_ohm if lossy else 0.0,
        bl=unit.bl_tm,
        mass=unit.mms_kg,
        damping=unit.rms_kg_per_s,
        stiffness=1 / unit.cms_m_per_n,
        bl_tilt=unit.bl_tilt_per_m,
        bl_sag=unit.bl_sag_per_m2,
        stiffness_tilt=unit.stiffness_tilt_per_m,
        stiffness_rise=unit.stiffness_rise_per_m2,
        le_slope=unit.le_slope_per_m,
        le_curve=1 / unit.le_span_m**2,
        friction=unit.friction_n,
        clearance=unit.clearance_m,
    )
