"""How long a lot takes to be judged again while a hand drags a limit."""

import time
from dataclasses import replace
from statistics import median

import numpy as np

from app.procedure.edit_masks import offset
from app.procedure.shipped import find_procedure
from dsp import Curve, ValidRange
from dsp.conformity.curve_set import gather
from dsp.conformity.judge import judge_curve
from dsp.conformity.judge_set import against, judge_set
from dsp.conformity.mask import MaskLines
from tests.benchmarks.row import Row

BAR_MS = 50.0
_UNITS, _POINTS = 400, 480


def limits(*, times: int) -> list[Row]:
    """Time one mask over a lot, all units at once, and what one by one would take."""
    mask = find_procedure("line-check").procedure.masks["level"]
    units = _units()
    (together,) = gather(units)
    these = against(together)
    taken = []
    for number in range(times):
        moved = offset(mask, upper_by=0.01 * number, lower_by=0.0)
        lines = MaskLines(upper=moved.upper, lower=moved.lower)
        begun = time.perf_counter()
        judge_set(these, mask=lines)
        taken.append(1e3 * (time.perf_counter() - begun))
    begun = time.perf_counter()
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    for one in units:
        judge_curve(one, mask=lines)
    alone = 1e3 * (time.perf_counter() - begun)
    return [
        Row(
            what=f"judge {_UNITS} units of {_POINTS} points by one moved limit",
            bar=BAR_MS,
            measured=median(taken),
            unit="ms",
            note=f"median of {times}; one by one {alone:.0f} ms",
        )
    ]


def _units() -> list[Curve]:
    rng = np.random.default_rng(7)
    first = Curve(
        frequency_hz=np.geomspace(20, 20_000, _POINTS),
        value=np.full(_POINTS, 85.0),
        unit="dB re 20 µPa",
        valid=ValidRange(low_hz=20.0, high_hz=20_000.0),
        uncertainty=np.full(_POINTS, 0.4),
    )
    return [replace(first, value=85 + rng.normal(size=_POINTS)) for _ in range(_UNITS)]
