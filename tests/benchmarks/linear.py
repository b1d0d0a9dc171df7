"""Level, phase and impedance against the closed form of a linear unit, at 80 dB SNR."""

from dataclasses import dataclass

import numpy as np

from tests.app.outside_unit import record
from tests.benchmarks.row import Row
from tests.benchmarks.setting import BENCH, UNIT, Setting, Sound, kept
from tests.benchmarks.truth import errors
from tests.benchmarks.workers import Workers

SNR_DB = 80.0
_LONGEST_OFFSET_S, _MOST_PPM = 0.9, 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """What is asked of an excitation."""

    sound: Sound
    level_db: float
    level_deg: float


EXCITATIONS = (
    Bars(sound="2 s sweep from 10 Hz", level_db=0.01, level_deg=0.1),
    Bars(sound="1 s sweep from 10 Hz", level_db=0.02, level_deg=0.2),
    Bars(sound="stepped sine, three zones", level_db=0.01, level_deg=0.1),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worst:
    """The largest errors of one take."""

    level_db: float
    level_deg: float
    impedance_percent: float
    impedance_deg: float


def linear(workers: Workers, *, takes: int) -> list[Row]:
    """Measure some takes of each excitation, each with another start, clock and noise."""
    rows = []
    for bars in EXCITATIONS:
        bare, looped = (Setting(sound=bars.sound, looped=way) for way in (False, True))
        jobs = [(setting, seed) for setting in (bare, looped) for seed in range(takes)]
        worst = workers.each(_take, jobs)
        rows += _rows(bars, bare=worst[:takes], looped=worst[takes:])
    return rows


def _take(job: tuple[Setting, int]) -> Worst:
    setting, seed = kept(job[0]), job[1]
    rng = np.random.default_rng(seed)
    samples = record(
        setting.played,
        unit=UNIT,
        bench=BENCH,
        channels=setting.channels,
        offset_s=float(rng.uniform(0, _LONGEST_OFFSET_S)),
        ppm=float(rng.uniform(-_MOST_PPM, _MOST_PPM)),
        snr_db=SNR_DB,
        rng=rng,
    )
    found = errors(setting.read(samples))
    return Worst(
        level_db=float(np.max(np.abs(found.level_db))),
        level_deg=float(np.max(np.abs(found.level_deg))),
        impedance_percent=float(np.max(np.abs(found.impedance_percent))),
        impedance_deg=float(np.max(np.abs(found.impedance_deg))),
    )


def _rows(bars: Bars, *, bare: list[Worst], looped: list[Worst]) -> list[Row]:
    asked = (
        ("level", "level_db", bars.level_db, "dB"),
        ("phase", "level_deg", bars.level_deg, "°"),
        ("impedance", "impedance_percent", 0.1, "%"),
        ("impedance phase", "impedance_deg", 0.1, "°"),
    )
    rows = []
    for what, name, bar, unit in asked:
        without, through = (
            np.array([getattr(one, name) for one in takes]) for takes in (bare, looped)
        )
        rows.append(
            Row(
                what=f"{what}: {bars.sound}",
                bar=bar,
                measured=max(without.max(), through.max()),
                unit=unit,
                note=f"worst of {without.size} takes: {without.max():.2g} without loopback, "
                f"{through.max():.2g} with; "
                f"median {np.median([*without, *through]):.2g}",
            )
        )
    return rows
