"""H2, H3 and THD against the steady state that calculation, or brute force, tells."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, assert_never

import numpy as np

from app.measure.derived import Derived
from dsp import Floats
from tests.benchmarks.bent_takes import (
    bent_pressure,
    bent_source,
    harmonics_of_bent_pressure,
    harmonics_of_bent_source,
)
from tests.benchmarks.rig_take import harmonics_of_rig, rig_take
from tests.benchmarks.row import Row
from tests.benchmarks.setting import Setting, Sound, kept, with_noise
from tests.benchmarks.workers import Workers

LOW_HZ, HIGH_HZ = 40.0, 5000.0
LEAST_DB = -50.0  # "at -40 dB": what lies further below is another matter
SNR_DB = 80.0
_RIG_HZ = (40.0, 50.0, 63.0, 75.0, 80.0, 90.0, 100.0)  # above, its unit falls below LEAST_DB

Source = Literal["bend before the unit", "bend behind the unit", "the rig's unit"]
_SOUNDS: tuple[tuple[Sound, float], ...] = (
    ("stepped sine, three zones", 0.1),
    ("1 s sweep from 10 Hz", 0.3),
)
_SOURCES: dict[Source, str] = {
    "bend before the unit": "40 Hz to 5 kHz, down to −50 dB, by calculation",
    "bend behind the unit": "40 Hz to 5 kHz, down to −50 dB, by calculation",
    "the rig's unit": "40 to 100 Hz, down to −50 dB, by brute force",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """An excitation with its bar, and where the distortion comes from."""

    sound: Sound
    bar_db: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Worst:
    """The largest errors of one take, dB."""

    harmonic_db: float
    thd_db: float


def distortion(workers: Workers, *, takes: int) -> list[Row]:
    """Measure what is known in steady state, a few takes each."""
    cases = [
        Case(sound=sound, bar_db=bar, source=source)
        for sound, bar in _SOUNDS
        for source in _SOURCES
    ]
    found = workers.each(_take, [(case, seed) for case in cases for seed in range(takes)])
    rows = []
    for number, case in enumerate(cases):
        worst = found[number * takes : (number + 1) * takes]
        rows += [
            _row("H2, H3", case=case, errors_db=[one.harmonic_db for one in worst]),
            _row("THD", case=case, errors_db=[one.thd_db for one in worst]),
        ]
    return rows


def _row(what: str, *, case: Case, errors_db: list[float]) -> Row:
    return Row(
        what=f"{what}: {case.sound}, {case.source}",
        bar=case.bar_db,
        measured=max(errors_db),
        unit="dB",
        note=f"worst of {len(errors_db)} takes, median {np.median(errors_db):.2g}; "
        f"{_SOURCES[case.source]}",
    )


def _take(job: tuple[Case, int]) -> Worst:
    case, seed = job
    setting = kept(Setting(sound=case.sound))
    match case.source:
        case "bend before the unit":
            derived = _read(bent_source(setting), setting=setting, seed=seed)
            return _worst(derived, truth=harmonics_of_bent_source)
        case "bend behind the unit":
            derived = _read(bent_pressure(setting), setting=setting, seed=seed)
            return _worst(derived, truth=harmonics_of_bent_pressure)
        case "the rig's unit":
            derived = rig_take(case.sound, seed=seed)
            return _worst(derived, truth=harmonics_of_rig, at_hz=_RIG_HZ)
        case _:
            assert_never(case.source)


def _read(clean: Floats, *, setting: Setting, seed: int) -> Derived:
    rng = np.random.default_rng(seed)
    return setting.read(with_noise(clean, played=setting.played.size, snr_db=SNR_DB, rng=rng))


def _worst(
    derived: Derived,
    *,
    truth: Callable[[Floats], Floats],
    at_hz: tuple[float, ...] | None = None,
) -> Worst:
    hz = derived.curves["thd"].frequency_hz
    points = np.flatnonzero((hz >= LOW_HZ * (1 - 1e-9)) & (hz <= HIGH_HZ))
    if at_hz is not None:
        points = np.unique([np.argmin(np.abs(np.log(hz / one))) for one in at_hz])
    expected = truth(hz[points])
    expected_db = 20 * np.log10(expected)
    read = np.array([derived.curves[name].value[points] for name in ("h2", "h3")])
    counted = expected_db >= LEAST_DB
    total = 100 * np.sqrt(np.sum(expected**2, axis=0))
    missed = 20 * np.log10(derived.curves["thd"].value[points] / total)
    return Worst(
        harmonic_db=float(np.max(np.abs(read - expected_db)[counted])),
        thd_db=float(np.max(np.abs(missed)[counted.any(axis=0)])),
    )
