"""A resistor in the unit's place: what known resistors are read on."""

import numpy as np

from dsp import Floats
from hardware.virtual.driver import Driver, Movement


class ResistorLoad:
    """A resistor behind leads and sense resistor; answers like a unit that does not move.

    Parameters
    ----------
    load_ohm : float
        ohm; 0 for a short.
    resistor_ohm : float
        ohm of sense resistor and leads together.
    """

    delay_samples = Driver.delay_samples

    def __init__(self, *, load_ohm: float, resistor_ohm: float) -> None:
        # A short without leads and sense resistor: as good as nothing can be.
        self._ohm = max(load_ohm + resistor_ohm, 1e-6)
        self._history = np.zeros(self.delay_samples)

    def simulate(self, source_v: Floats) -> Movement:
        """Take the next block of voltage.

        Parameters
        ----------
        source_v : (n,) array
            V across load and resistor.

        Returns
        -------
        Movement, (n,) each; nothing moves and nothing sounds.
        """
        whole = np.append(self._history, source_v)
        self._history = whole[source_v.size :]
        late = whole[: source_v.size]
        still = np.zeros(source_v.size)
        return Movement(
            acceleration_m_per_s2=still,
            current_a=late / self._ohm,
            source_v=late,
            defects_pa=still,
        )
