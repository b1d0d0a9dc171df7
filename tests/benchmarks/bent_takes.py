"""Takes of a linear unit with a bend before or behind it, and what steady state makes of them."""

import math

import numpy as np

from dsp import Complexes, Floats
from tests.app.outside_unit import record
from tests.benchmarks.bend import Bend, bend
from tests.benchmarks.setting import BENCH, LEVEL_V, UNIT, Setting

LEVEL_DB = -40.0
_OFFSET_S = 0.25
_REFERENCE_HZ = 1000.0  # where the bend behind the unit makes LEVEL_DB


def straight(setting: Setting) -> Floats:
    """Record the linear unit as it is, without noise, (n, channels)."""
    return _clean(setting.played, setting=setting)


def bent_source(setting: Setting) -> Floats:
    """Record a bend before the unit: the same level at every frequency, then filtered."""
    peak = LEVEL_V * math.sqrt(2) / (BENCH.output_v * BENCH.gain)
    return _clean(bend(peak=peak, level_db=LEVEL_DB).bent(setting.played), setting=setting)


def harmonics_of_bent_source(frequency_hz: Floats) -> Floats:
    """Each order goes through the unit on its own: orders 2 and 3 re the fundamental, (2, m)."""
    first, second, third = (np.abs(_heard(order * frequency_hz)) for order in (1, 2, 3))
    share = 10 ** (LEVEL_DB / 20)
    return share * np.array([second / first, third / first])


def bent_pressure(setting: Setting) -> Floats:
    """Record a bend behind the unit: the louder the unit, the more of it."""
    samples = straight(setting)
    column = setting.channels["pressure"] - 1
    samples[:, column] = _pressure_bend().bent(samples[:, column])
    return samples


def harmonics_of_bent_pressure(frequency_hz: Floats) -> Floats:
    """Orders 2 and 3 re the fundamental, (2, m)."""
    return _pressure_bend().harmonics(_pressure_peak(frequency_hz))


def _clean(played: Floats, *, setting: Setting) -> Floats:
    return record(
        played,
        unit=UNIT,
        bench=BENCH,
        channels=setting.channels,
        offset_s=_OFFSET_S,
        snr_db=None,
        rng=np.random.default_rng(0),
    )


def _pressure_bend() -> Bend:
    peak = float(_pressure_peak(np.array([_REFERENCE_HZ]))[0])
    return bend(peak=peak, level_db=LEVEL_DB)


def _pressure_peak(frequency_hz: Floats) -> Floats:
    # As the channel records it, full-scale units.
    volts = LEVEL_V * math.sqrt(2) * np.abs(_heard(frequency_hz))
    return volts * BENCH.v_per_pa / BENCH.pressure_v


def _heard(frequency_hz: Floats) -> Complexes:
    # Source, resistor, unit, microphone.
    z = UNIT.impedance(frequency_hz)
    share = z / (z + BENCH.resistor_ohm)
    return np.asarray(share * UNIT.pressure_per_volt(frequency_hz, BENCH.distance_m))
