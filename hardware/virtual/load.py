"""What hangs on the amplifier of a chain: the unit of its bench, or a resistor in its place."""

from typing import Protocol

from dsp import Floats
from hardware.chain.schema import Chain
from hardware.virtual.bench import Bench
from hardware.virtual.driver import Movement, driver_of
from hardware.virtual.in_truth import truth_of
from hardware.virtual.resistor_load import ResistorLoad


class Load(Protocol):
    """Takes volts, block by block."""

    delay_samples: int

    def simulate(self, source_v: Floats) -> Movement:
        """Take the next block of voltage.

        Parameters
        ----------
        source_v : (n,) array
            V across the load, its leads and the sense resistor.
        """
        ...


def load_of(bench: Bench, *, chain: Chain, sample_rate_hz: float, seed: int) -> Load:
    """Connect what the chain says, at rest.

    Parameters
    ----------
    bench : Bench
        With the unit.
    chain : Chain
        As it is in truth.
    sample_rate_hz : float
        Hz.
    seed : int
        Repeats the defects' chance exactly.

    Returns
    -------
    Load
    """
    behind = truth_of(chain).lead_ohm
    behind += chain.input.sense.resistor_ohm if chain.input.sense else 0.0
    if bench.rig.load_ohm is not None:
        return ResistorLoad(load_ohm=bench.rig.load_ohm, resistor_ohm=behind)
    return driver_of(bench, resistor_ohm=behind, sample_rate_hz=sample_rate_hz, seed=seed)
