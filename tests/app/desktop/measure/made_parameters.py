"""Impedances made of a circuit whose parts are known, as a take would tell them."""

from functools import cache

import numpy as np

from app.measure.lumped import Measured, fit_measured
from app.measure.unit_fit import UnitFit
from dsp import ValidRange
from dsp.electrical.impedance import Impedance
from dsp.grid import log_grid
from dsp.parameters.circuit import Circuit, evaluate
from dsp.parameters.surroundings import Surroundings, known_air

TRUTH = {
    "re_ohm": 6.6,
    "fs_hz": 75.0,
    "qms": 4.1,
    "res_ohm": 30.0,
    "le_h": 0.3e-3,
    "l2_h": 0.25e-3,
    "r2_ohm": 2.0,
}
_NOISE, _CHAIN = 1e-3, 1.5e-3


def qts() -> float:
    """Qms Re / (Re + Res): R. H. Small, J. Audio Eng. Soc. 20 (1972) 383."""
    return TRUTH["qms"] * TRUTH["re_ohm"] / (TRUTH["re_ohm"] + TRUTH["res_ohm"])


@cache
def unit(*, low_hz: float = 20.0, high_hz: float = 20_000.0, mass: float = 1.0) -> UnitFit:
    """A unit by itself; ``mass`` times as heavy, its suspension and motor the same."""
    circuit, hz = Circuit(), log_grid(low_hz=low_hz, high_hz=high_hz, per_octave=48)
    heavy = {"fs_hz": TRUTH["fs_hz"] / mass**0.5, "qms": TRUTH["qms"] * mass**0.5}
    exact = evaluate(circuit, vector=circuit.vector(TRUTH | heavy), frequency_hz=hz).impedance
    chance = np.random.default_rng(5)
    noise = _NOISE * (chance.standard_normal(hz.size) + 1j * chance.standard_normal(hz.size))
    measured = Measured(
        impedance=Impedance(
            frequency_hz=hz,
            value=exact * np.exp(noise),
            relative_noise=np.full(hz.shape, _NOISE),
            relative_chain=np.full(hz.shape, _CHAIN),
            phase_chain_rad=np.zeros(hz.shape),
        ),
        valid=ValidRange(low_hz=low_hz, high_hz=high_hz),
        independent=np.ones(hz.shape),
    )
    return UnitFit(
        take_id="0" * 32,
        measured=measured,
        fit=fit_measured(measured),
        place=Surroundings(
            air=known_air(temperature_c=20, pressure_kpa=101.3, humidity_percent=50)
        ),
    )
