"""How often a 95 % interval holds the truth, where noise is all that is wrong."""

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np

from app.measure.derived import Derived
from dsp import Bools, Curve, Floats, Number
from tests.benchmarks.bent_takes import bent_source, harmonics_of_bent_source, straight
from tests.benchmarks.row import Row
from tests.benchmarks.setting import BENCH, UNIT, Setting, kept, with_noise
from tests.benchmarks.truth import errors, sensitivity_db
from tests.benchmarks.workers import Workers

SNRS_DB = (60.0, 80.0)
BAR_PERCENT = (93.0, 97.0)
_HARMONICS_FROM_HZ, _HARMONICS_TO_HZ = 40.0, 5000.0
_NAMES = {
    "level": "level",
    "level_phase": "phase",
    "impedance": "impedance",
    "impedance_phase": "impedance phase",
    "sensitivity_db": "sensitivity",
    "delay_s": "delay",
    "h2": "H2",
    "h3": "H3",
    "thd": "THD",
}

Held = Mapping[str, Bools]


def intervals(workers: Workers, *, takes: int) -> list[Row]:
    """Measure with noise of 60 and 80 dB; every other take has a loopback."""
    jobs = [(snr_db, seed) for snr_db in SNRS_DB for seed in range(takes)]
    found = workers.each(_take, jobs)
    noisy, quiet = found[:takes], found[takes:]
    return [_row(name, noisy=noisy, quiet=quiet) for name in _NAMES]


def _row(name: str, *, noisy: Sequence[Held], quiet: Sequence[Held]) -> Row:
    shares = [_percent(noisy, name=name), _percent(quiet, name=name)]
    middle = sum(BAR_PERCENT) / 2
    told = zip(shares, SNRS_DB, strict=True)
    return Row(
        what=f"95 % interval holds: {_NAMES[name]}",
        bar=BAR_PERCENT,
        # Of the two noises that which is further from what is right.
        measured=max(shares, key=lambda share: abs(share - middle)),
        unit="%",
        better="within",
        note=", ".join(f"{share:.1f} % at {snr_db:g} dB" for share, snr_db in told)
        + f"; 1 s sweep, {len(noisy)} takes each",
    )


def _percent(takes: Sequence[Held], *, name: str) -> float:
    return 100 * float(np.mean(np.concatenate([held[name] for held in takes])))


def _take(job: tuple[float, int]) -> Held:
    snr_db, seed = job
    rng = np.random.default_rng([seed, round(snr_db)])
    setting = kept(Setting(sound="1 s sweep from 10 Hz", looped=seed % 2 == 1))
    linear, distorted = (
        setting.read(with_noise(clean, played=setting.played.size, snr_db=snr_db, rng=rng))
        for clean in _clean(setting)
    )
    return {**_linear(linear), **_bent(distorted)}


@cache
def _clean(setting: Setting) -> tuple[Floats, Floats]:
    return straight(setting), bent_source(setting)


def _linear(derived: Derived) -> Held:
    missed, curves, numbers = errors(derived), derived.curves, derived.numbers
    size = np.abs(UNIT.impedance(curves["impedance"].frequency_hz[missed.driven]))
    ohm = missed.impedance_percent / 100 * size
    sensitivity, delay_s = sensitivity_db(band_hz=(200.0, 5000.0)), BENCH.distance_m / UNIT.c
    return {
        "level": _holds(missed.level_db, curve=curves["level"], at=missed.heard),
        "level_phase": _holds(missed.level_deg, curve=curves["level_phase"], at=missed.heard),
        "impedance": _holds(ohm, curve=curves["impedance"], at=missed.driven),
        "impedance_phase": _holds(
            missed.impedance_deg, curve=curves["impedance_phase"], at=missed.driven
        ),
        "sensitivity_db": _number_holds(numbers["sensitivity_db"], truth=sensitivity),
        "delay_s": _number_holds(numbers["delay_s"], truth=delay_s),
    }


def _bent(derived: Derived) -> Held:
    hz = derived.curves["thd"].frequency_hz
    asked = (hz >= _HARMONICS_FROM_HZ) & (hz <= _HARMONICS_TO_HZ)
    second, third = harmonics_of_bent_source(hz[asked])
    truth = {
        "h2": 20 * np.log10(second),
        "h3": 20 * np.log10(third),
        "thd": 100 * np.hypot(second, third),
    }
    held = {}
    for name, expected in truth.items():
        curve = derived.curves[name]
        held[name] = _holds(curve.value[asked] - expected, curve=curve, at=asked)
    return held


def _holds(missed: Floats, *, curve: Curve, at: Bools) -> Bools:
    """Say at each point whether the interval reaches the truth; bounds are no intervals."""
    if curve.uncertainty is None:
        return np.zeros(missed.size, dtype=np.bool_)
    held: Bools = np.abs(missed) <= curve.uncertainty[at]
    return held if curve.is_bound is None else held[~curve.is_bound[at]]


def _number_holds(number: Number, *, truth: float) -> Bools:
    return np.array([abs(number.value - truth) <= (number.uncertainty or 0.0)])
