"""Impedances of units whose truth is known, in closed form, with noise of stated size."""

import numpy as np

from dsp import Floats
from dsp.electrical.impedance import Impedance
from dsp.parameters.circuit import Circuit, evaluate

HZ = np.geomspace(12.0, 18_000.0, 200)
# A unit of 130 mm, 8 ohm; what a circuit does not have is left out.
UNIT = {
    "re_ohm": 6.6,
    "fs_hz": 75.0,
    "qms": 4.1,
    "res_ohm": 30.0,
    "le_h": 0.18e-3,
    "l2_h": 0.35e-3,
    "r2_ohm": 2.2,
    "l3_h": 0.06e-3,
    "r3_ohm": 3.5,
    "k_ohm": 3.0,
    "exponent": 0.6,
    "creep": 0.1,
    "bump1_ohm": 1.5,
    "bump1_q": 6.0,
    "bump1_hz": 420.0,
}


def unit(circuit: Circuit, **changed: float) -> Floats:
    """Pack the unit's values, some of them changed."""
    return circuit.vector(UNIT | changed)


def measured(
    circuit: Circuit,
    *,
    vector: Floats,
    noise: float = 0.0,
    hz: Floats = HZ,
    chain: float = 0.0,
    seed: int = 0,
) -> Impedance:
    """Show an impedance as a chain with relative noise and a scale error's uncertainty gives it."""
    chance = np.random.default_rng(seed)
    parts = chance.standard_normal((2, hz.size))
    true = evaluate(circuit, vector=vector, frequency_hz=hz).impedance
    return Impedance(
        frequency_hz=hz,
        value=true * (1 + noise * (parts[0] + 1j * parts[1])),
        relative_noise=np.full(hz.size, noise),
        relative_chain=np.full(hz.size, chain),
        phase_chain_rad=np.zeros(hz.size),
    )
