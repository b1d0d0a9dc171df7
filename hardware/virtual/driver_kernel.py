"""The moving coil step by step: compiled, because it runs 384 000 times for a second of sound."""

import math
from typing import NamedTuple

import numba as nb

from dsp import Floats


class Motor(NamedTuple):
    """A drive unit and its resistor in the return leg as plain numbers, SI units."""

    resistance: float  # coil, leads and sense resistor
    le: float
    l2: float
    r2: float
    bl: float
    mass: float
    damping: float
    stiffness: float
    bl_tilt: float
    bl_sag: float
    stiffness_tilt: float
    stiffness_rise: float
    le_slope: float
    le_curve: float  # 1 / span^2
    friction: float
    clearance: float


# Friction comes in over this much displacement beyond the clearance, turns its sign over this
# much velocity, and is weaker where the coil touches on its way in.
_CONTACT_M = 0.15e-3
_STICTION_M_PER_S = 0.01
_INWARD = 0.5


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _friction(motor: Motor, x: float, v: float) -> float:
    beyond = abs(x) - motor.clearance
    if motor.friction == 0.0 or beyond <= 0.0:
        return 0.0
    pressed = beyond * beyond / (beyond * beyond + _CONTACT_M * _CONTACT_M)
    if x < 0.0:
        pressed *= _INWARD
    slip = math.sqrt(v * v + _STICTION_M_PER_S * _STICTION_M_PER_S)
    return motor.friction * pressed * v / slip


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _slopes(  # noqa: PLR0917  numba has no keyword-only arguments
    motor: Motor, volts: float, x: float, v: float, flux: float, loss: float
) -> tuple[float, float, float, float]:
    # Acceleration; rate of the flux in Le; rate of the current in L2; current in the coil.
    bl = motor.bl * (1.0 + motor.bl_tilt * x) / (1.0 + motor.bl_sag * x * x)
    if motor.le > 0.0:
        bend = motor.le_curve * x * x
        inductance = motor.le * (1.0 + motor.le_slope * x / (1.0 + bend))
        slope = motor.le * motor.le_slope * (1.0 - bend) / ((1.0 + bend) * (1.0 + bend))
        current = flux / inductance
    else:
        slope = 0.0
        current = (volts - bl * v + motor.r2 * loss) / (motor.resistance + motor.r2)
    lossy = motor.r2 * (current - loss)
    spring = motor.stiffness * x * (1.0 + x * (motor.stiffness_tilt + motor.stiffness_rise * x))
    # The last electrical term pulls the coil to where its inductance is higher.
    force = bl * current + 0.5 * current * current * slope
    force -= motor.damping * v + spring + _friction(motor, x, v)
    induced = volts - motor.resistance * current - lossy - bl * v
    return force / motor.mass, induced, lossy / motor.l2, current


@nb.njit(cache=True, nogil=True, error_model="numpy")
def move(  # noqa: PLR0917  numba has no keyword-only arguments
    motor: Motor, state: Floats, source: Floats, step_s: float, out: Floats
) -> None:
    """Advance a coil by classic Runge-Kutta steps of fourth order.

    Parameters
    ----------
    motor : Motor
        The unit.
    state : (4,) array
        Displacement m, velocity m/s, flux in Le V s, current in L2 A; left at the last step.
    source : (2 n + 2,) array
        V across unit and resistor, two samples a step; the first two belong to the step before.
    step_s : float
        s.
    out : (4, n) array
        Acceleration m/s2, current A, velocity m/s, displacement m at the end of each step.
    """
    x, v, q, j = state[0], state[1], state[2], state[3]
    h, half = step_s, 0.5 * step_s
    for n in range(out.shape[1]):
        before, middle, after = source[2 * n], source[2 * n + 1], source[2 * n + 2]
        a1, q1, j1, _ = _slopes(motor, before, x, v, q, j)
        v2 = v + half * a1
        a2, q2, j2, _ = _slopes(motor, middle, x + half * v, v2, q + half * q1, j + half * j1)
        v3 = v + half * a2
        a3, q3, j3, _ = _slopes(motor, middle, x + half * v2, v3, q + half * q2, j + half * j2)
        v4 = v + h * a3
        a4, q4, j4, _ = _slopes(motor, after, x + h * v3, v4, q + h * q3, j + h * j3)
        x += h / 6.0 * (v + 2.0 * v2 + 2.0 * v3 + v4)
        v += h / 6.0 * (a1 + 2.0 * a2 + 2.0 * a3 + a4)
        q += h / 6.0 * (q1 + 2.0 * q2 + 2.0 * q3 + q4)
        j += h / 6.0 * (j1 + 2.0 * j2 + 2.0 * j3 + j4)
        acceleration, _, _, current = _slopes(motor, after, x, v, q, j)
        out[0, n], out[1, n], out[2, n], out[3, n] = acceleration, current, v, x
    state[0], state[1], state[2], state[3] = x, v, q, j
