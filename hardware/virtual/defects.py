"""What sounds along with the cone where something is loose, in the gap, or leaks."""

import math
from dataclasses import dataclass

import numpy as np

from dsp import Floats
from hardware.virtual.defects_kernel import MEMORY, Strength, sound

# Hz and decay in s of: joint, lead, two kinds of grain, leak. A grain rings for less than 0.5 ms.
_RINGS = ((2400.0, 0.8e-3), (900.0, 1.2e-3), (4200.0, 0.15e-3), (7000.0, 0.3e-3), (2000.0, 0.1e-3))

# Pa at 1 m for severity 1, set so that 0.1 brings the energy above 9.5 times a tone of 60 Hz and
# 2.83 V to about -41 (joint), -38 (lead), -51 (particle), -31 dB (leak) re that tone.
_JOINT_PA, _LEAD_PA, _PARTICLE_PA, _LEAK_PA = 0.10, 0.19, 0.19, 0.032


@dataclass(frozen=True, slots=True, kw_only=True)
class Defects:
    """Severities, 0 to 1, of the defects that are heard but do not change the movement."""

    loose_joint: float = 0.0
    lead_slap: float = 0.0
    particle: float = 0.0
    air_leak: float = 0.0

    @property
    def any(self) -> bool:
        """Whether there is anything to hear."""
        return max(self.loose_joint, self.lead_slap, self.particle, self.air_leak) > 0


class DefectSound:
    """Turns movement into what the defects radiate; remembers what still rings between blocks.

    A loose joint knocks wherever the cone passes one displacement, the same way every period. A
    lead strikes once a period, a little late or later, harder or softer. A particle is hit at
    random while the coil moves. A leak hisses with the square of the velocity.

    Parameters
    ----------
    defects : Defects
        Severities.
    step_s : float
        s between two samples of movement.
    seed : int
        Repeats the chance exactly.
    """

    def __init__(self, defects: Defects, *, step_s: float, seed: int) -> None:
        self._strength = Strength(
            joint=_JOINT_PA * defects.loose_joint,
            slap=_LEAD_PA * defects.lead_slap,
            particle=_PARTICLE_PA * defects.particle,
            leak=_LEAK_PA * defects.air_leak,
        )
        self._step_s = step_s
        self._memory = np.zeros(MEMORY)
        self._dice = np.random.SeedSequence(seed).generate_state(1, np.uint64) | np.uint64(1)
        decay = [math.exp(-step_s / tau) for _, tau in _RINGS]
        turn = [math.cos(2 * math.pi * hz * step_s) for hz, _ in _RINGS]
        self._tuning = np.array([[2 * r * c, -r * r] for r, c in zip(decay, turn, strict=True)])

    def feed(self, moved: Floats) -> Floats:
        """Take the next block of movement.

        Parameters
        ----------
        moved : (2, n) array
            Velocity m/s and displacement m.

        Returns
        -------
        (1, n) array, Pa at 1 m.
        """
        heard = sound(self._strength, self._tuning, self._memory, self._dice, self._step_s, moved)
        return heard[np.newaxis]
