"""Clicks, rattles and hiss from a coil's movement, step by step: compiled like the movement."""

from typing import NamedTuple

import numba as nb
import numpy as np
from numpy.typing import NDArray

from dsp import Floats


class Strength(NamedTuple):
    """Pa at 1 m of each defect for a coil at ``_REFERENCE_M_PER_S``."""

    joint: float
    slap: float
    particle: float
    leak: float


_REFERENCE_M_PER_S = 0.4
_JOINT_OPENS_M = 0.20e-3
_LEAD_STRIKES_M = 0.30e-3
_STRIKE_JITTER_S = 0.25e-3
_HITS_PER_S = 40.0  # of a particle, at the reference velocity
_SPREAD = 0.5  # of the natural logarithm of a random strength

JOINT, LEAD, GRAIN, HARD_GRAIN, LEAK = range(5)
RINGERS = 5
# Places in the memory: last values, the ones before, last pushes, next pushes; then singles.
PUSH = 3 * RINGERS
LATER, LAST, WAITING, MEMORY = range(4 * RINGERS, 4 * RINGERS + 4)

Dice = NDArray[np.uint64]


@nb.njit(cache=True, nogil=True)
def _chance(dice: Dice) -> float:
    # xorshift64* (S. Vigna, ACM Trans. Math. Software 42 (2016) 30): 0 to 1.
    s = dice[0]
    s ^= s >> np.uint64(12)
    s ^= s << np.uint64(25)
    s ^= s >> np.uint64(27)
    dice[0] = s
    return float((s * np.uint64(2685821657736338717)) >> np.uint64(11)) / 9007199254740992.0


@nb.njit(cache=True, nogil=True)
def _bell(dice: Dice) -> float:
    # Sum of twelve: mean 0, standard deviation 1, never beyond 6.
    total = -6.0
    for _ in range(12):
        total += _chance(dice)
    return total


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _knock(  # noqa: PLR0917  numba has no keyword-only arguments
    strength: float, memory: Floats, v: float, x: float
) -> None:
    # A joint that opens and shuts. The impact falls between two steps; shared by nearness, half of
    # it one step late, it keeps its place.
    last = memory[LAST]
    if (last - _JOINT_OPENS_M) * (x - _JOINT_OPENS_M) < 0.0:
        since = (x - _JOINT_OPENS_M) / (x - last)
        force = strength * abs(v) / _REFERENCE_M_PER_S
        memory[PUSH + JOINT] += force * since
        memory[LATER] += force * (1.0 - since)


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _strike(  # noqa: PLR0917  numba has no keyword-only arguments
    strength: float, memory: Floats, dice: Dice, x: float, step_s: float
) -> None:
    # A lead that touches the cone on its way out, a little late or later, harder or softer.
    if memory[LAST] < _LEAD_STRIKES_M <= x:
        memory[WAITING] = abs(_bell(dice)) * _STRIKE_JITTER_S + step_s
    elif memory[WAITING] > 0.0:
        memory[WAITING] -= step_s
        if memory[WAITING] <= 0.0:
            memory[PUSH + LEAD] += strength * np.exp(_SPREAD * _bell(dice))


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _hit(  # noqa: PLR0917  numba has no keyword-only arguments
    strength: float, memory: Floats, dice: Dice, v: float, step_s: float
) -> None:
    # A particle between coil and pole: the more the coil moves, the more often it is hit.
    if _chance(dice) < _HITS_PER_S * step_s * abs(v) / _REFERENCE_M_PER_S:
        kind = GRAIN if _chance(dice) < 0.5 else HARD_GRAIN
        memory[PUSH + kind] += strength * np.exp(_SPREAD * _bell(dice))


@nb.njit(cache=True, nogil=True, error_model="numpy")
def _ring(tuning: Floats, memory: Floats) -> float:
    # A resonator's feedback; the push is differenced, so that no click moves the air for good.
    total = 0.0
    for k in range(RINGERS):
        one, two = memory[k], memory[RINGERS + k]
        push = memory[PUSH + k]
        value = push - memory[2 * RINGERS + k] + tuning[k, 0] * one + tuning[k, 1] * two
        memory[k], memory[RINGERS + k], memory[2 * RINGERS + k] = value, one, push
        memory[PUSH + k] = 0.0
        total += value
    return total


@nb.njit(cache=True, nogil=True, error_model="numpy")
def sound(  # noqa: PLR0917  numba has no keyword-only arguments
    strength: Strength, tuning: Floats, memory: Floats, dice: Dice, step_s: float, moved: Floats
) -> Floats:
    """Add up what five ringing things make of the movement.

    Parameters
    ----------
    strength : Strength
        Of each defect.
    tuning : (5, 2) array
        Feedback of each ringer from its last value and the one before.
    memory : (MEMORY,) array
        What is carried from step to step, zeros at first.
    dice : (1,) uint64 array
        State of the chance, not 0.
    step_s : float
        s.
    moved : (2, n) array
        Velocity m/s and displacement m.

    Returns
    -------
    (n,) array, Pa at 1 m.
    """
    out = np.empty(moved.shape[1])
    for n in range(out.size):
        v, x = moved[0, n], moved[1, n]
        memory[PUSH + JOINT] = memory[LATER]
        memory[LATER] = 0.0
        if strength.joint > 0.0:
            _knock(strength.joint, memory, v, x)
        if strength.slap > 0.0:
            _strike(strength.slap, memory, dice, x, step_s)
        if strength.particle > 0.0:
            _hit(strength.particle, memory, dice, v, step_s)
        if strength.leak > 0.0:
            jet = v / _REFERENCE_M_PER_S
            memory[PUSH + LEAK] = strength.leak * jet * jet * (2.0 * _chance(dice) - 1.0)
        out[n] = _ring(tuning, memory)
        memory[LAST] = x
    return out
