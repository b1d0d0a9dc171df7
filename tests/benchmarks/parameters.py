"""The lumped model: how long a fit takes, and what 300 units of a lot say about its figures."""

import time
from statistics import median

import numpy as np

from dsp import Floats
from dsp.parameters.circuit import Circuit, evaluate
from dsp.parameters.estimates import slopes
from dsp.parameters.fit import fit_lumped
from dsp.parameters.small_signal import SMALL_SIGNAL, small_signal, small_signal_rows
from tests.benchmarks.row import Row
from tests.benchmarks.workers import Workers
from tests.dsp.parameters.simulated import UNIT, measured

BAR_MS, POINTS, NOISE = 30.0, 400, 3e-3
_WARM_UP = 3
_HZ = np.geomspace(12.0, 18_000.0, POINTS)
_CIRCUIT = Circuit()
_PARTS = 20


def parameters_time(*, repeats: int) -> list[Row]:
    """Time a fit with all its candidates: of a plain unit, and of one with a second resonance."""
    cases = (
        ("fit of the lumped model", Circuit(), BAR_MS),
        ("the same, bumps", Circuit(bumps=1), None),
    )
    return [_timed(what, circuit=one, bar=bar, repeats=repeats) for what, one, bar in cases]


def parameters_lot(workers: Workers, *, units: int) -> list[Row]:
    """Compare bias, scatter and intervals of a lot of units with what they should be."""
    jobs = [(part, units // _PARTS) for part in range(_PARTS)]
    found = np.concatenate(workers.each(_errors, jobs))
    over_bound, over_stated = found[:, 0], found[:, 1]
    bias, variance = np.abs(over_bound.mean(axis=0)), over_bound.var(axis=0, ddof=1)
    held = 100 * np.mean(np.abs(over_stated) <= 1, axis=0)
    count, worst = found.shape[0], int(np.argmax(np.abs(held - 95)))
    of = f"{count} units, {100 * NOISE:g} % noise"
    return [
        Row(
            what="parameters: bias over the Cramér-Rao deviation",
            bar=0.1,
            measured=float(bias.max()),
            unit="",
            note=f"{SMALL_SIGNAL[int(bias.argmax())]}, the worst of 7; {of}, "
            f"which leave it open by {2 / count**0.5:.2f}",
        ),
        Row(
            what="parameters: variance over the Cramér-Rao bound",
            bar=1.1,
            measured=float(variance.max()),
            unit="",
            note=f"{SMALL_SIGNAL[int(variance.argmax())]}, the worst of 7; {of}, "
            f"which leave it open by {2 * (2 / count) ** 0.5:.2f}",
        ),
        Row(
            what="95 % interval holds: parameters",
            bar=(93.0, 97.0),
            measured=float(held[worst]),
            unit="%",
            better="within",
            note=f"{SMALL_SIGNAL[worst]}, the worst of 7; {of}",
        ),
    ]


def _timed(what: str, *, circuit: Circuit, bar: float | None, repeats: int) -> Row:
    vector = circuit.vector(UNIT)
    data = [measured(circuit, vector=vector, noise=1e-3, hz=_HZ, seed=n) for n in range(repeats)]
    times = []
    for one in [*data[:_WARM_UP], *data]:
        started = time.perf_counter()
        fit = fit_lumped(one)
        times.append(1e3 * (time.perf_counter() - started))
    times = times[_WARM_UP:]
    return Row(
        what=what,
        bar=bar,
        measured=median(times),
        unit="ms",
        note=f"{POINTS} points, {len(fit.candidates)} circuits tried; median of {len(times)}, "
        f"quickest {min(times):.0f} ms",
    )


def _rule(rows: Floats) -> Floats:
    return small_signal_rows(_CIRCUIT, rows, le_hz=1000.0)


def _errors(job: tuple[int, int]) -> Floats:
    """Return (units, 2, figures): errors over the bound, and over the expanded uncertainty."""
    part, units = job
    chance = np.random.default_rng(part)
    out = np.empty((units, 2, len(SMALL_SIGNAL)))
    for n in range(units):
        values = {k: v * np.exp(0.15 * chance.standard_normal()) for k, v in UNIT.items()}
        vector = _CIRCUIT.vector(values)
        seed = 10_000 * part + n
        data = measured(_CIRCUIT, vector=vector, noise=NOISE, hz=_HZ[::2], seed=seed)
        found = small_signal(fit_lumped(data))
        at = evaluate(_CIRCUIT, vector=vector, frequency_hz=data.frequency_hz)
        relative = at.slope / (at.impedance * NOISE)
        rows = np.hstack([relative.real, relative.imag])
        slope = slopes(_rule, at=vector)
        bound = np.sqrt(np.diag(slope @ np.linalg.inv(rows @ rows.T) @ slope.T))
        error = found.value - _rule(vector)
        out[n] = error / bound, error / (2 * found.standard)
    return out
