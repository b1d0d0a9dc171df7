"""300 units of a spread lot, each measured once: what the engine promises about its figures."""

from dataclasses import dataclass

import numpy as np
import pytest

from dsp import Floats
from dsp.parameters.circuit import Circuit, evaluate
from dsp.parameters.estimates import slopes
from dsp.parameters.fit import fit_lumped
from dsp.parameters.small_signal import SMALL_SIGNAL, small_signal, small_signal_rows
from tests.dsp.parameters.simulated import HZ, UNIT, measured

UNITS, NOISE = 300, 3e-3
CIRCUIT = Circuit()


def rule(rows: Floats) -> Floats:
    return small_signal_rows(CIRCUIT, rows, le_hz=1000.0)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Lot:
    """Errors of all units, (units, figures).

    ``found`` and ``best`` are over the Cramér-Rao bound, from the Fisher information at truth:
    those of the engine, and those of the efficient estimator on the very same noise, which knows
    the truth to linearise at. ``stated`` is the engine's over its expanded uncertainty. The two on
    the same noise are compared because 300 units alone would leave a variance open by 16 %.
    """

    found: Floats
    best: Floats
    stated: Floats


@pytest.fixture(scope="module")
def lot() -> Lot:
    chance = np.random.default_rng(11)
    found, best, stated = np.empty((3, UNITS, len(SMALL_SIGNAL)))
    for n in range(UNITS):
        values = {k: v * np.exp(0.15 * chance.standard_normal()) for k, v in UNIT.items()}
        truth = CIRCUIT.vector(values)
        data = measured(CIRCUIT, vector=truth, noise=NOISE, seed=5000 + n)
        told = small_signal(fit_lumped(data))
        at = evaluate(CIRCUIT, vector=truth, frequency_hz=HZ)
        rows = np.ascontiguousarray(at.slope / (at.impedance * NOISE)).view(np.float64)
        noise = ((data.value / at.impedance - 1) / NOISE).view(np.float64)
        slope = slopes(rule, at=truth)
        covariance = np.linalg.inv(rows @ rows.T)
        bound = np.sqrt(np.diag(slope @ covariance @ slope.T))
        found[n] = (told.value - rule(truth)) / bound
        best[n] = slope @ covariance @ (rows @ noise) / bound
        stated[n] = (told.value - rule(truth)) / (2 * told.standard)
    return Lot(found=found, best=best, stated=stated)


@pytest.mark.parametrize("name", SMALL_SIGNAL)
def test_bias_and_scatter(name: str, lot: Lot) -> None:
    at = SMALL_SIGNAL.index(name)
    found, best = lot.found[:, at], lot.best[:, at]
    assert abs(np.mean(found - best)) < 0.1
    assert abs(np.mean(found)) < 0.1 + 2 / np.sqrt(UNITS)
    assert np.var(found) < 1.1 * np.var(best)


def test_intervals_hold(lot: Lot) -> None:
    held = np.mean(np.abs(lot.stated) <= 1, axis=0)
    assert 0.93 <= held.mean() <= 0.97
    # Each by itself: 95.4 %, four standard errors of 300 units.
    assert np.all((held >= 0.906) & (held <= 1.0))
