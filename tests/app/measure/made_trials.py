"""Trials of units that no store holds: curves and numbers as a test wants them."""

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np

from app.measure.aligned import Aligner
from app.measure.held_columns import columns_of_numbers, columns_of_set
from app.measure.trial import Trial, TrialUnit
from dsp import Curve, Floats, Number, ValidRange, read_only
from dsp.conformity.against import against
from dsp.conformity.curve_set import gather
from tests.app.records.made_takes import START

Mark = Literal["good", "bad"]


def made_trial(
    *,
    curves: Mapping[str, Sequence[Curve | None]] | None = None,
    numbers: Mapping[str, Sequence[Number | None]] | None = None,
    marks: Sequence[Mark | None] | None = None,
) -> Trial:
    """A trial without a reference; every sequence has one entry a unit."""
    curves, numbers = curves or {}, numbers or {}
    count = len(next(iter([*curves.values(), *numbers.values()])))
    found = marks if marks is not None else [None] * count
    sets = {name: tuple(against(one) for one in gather(those)) for name, those in curves.items()}
    columns = {
        (name, False): tuple(Aligner(held=columns_of_set(one)) for one in those)
        for name, those in sets.items()
    } | {
        (name, False): (Aligner(held=columns_of_numbers(those)),) for name, those in numbers.items()
    }
    return Trial(
        procedure="made up",
        units=tuple(
            TrialUnit(
                take_id=f"{place:032x}",
                number=place + 1,
                serial=f"T4-W31-{place:05d}",
                lot="T4-W31",
                started_utc=START,
                mark=found[place],
            )
            for place in range(count)
        ),
        names=tuple(f"{place:05d}" for place in range(count)),
        good=read_only(np.array([mark == "good" for mark in found], dtype=np.bool_)),
        bad=read_only(np.array([mark == "bad" for mark in found], dtype=np.bool_)),
        barred=read_only(np.zeros(count, dtype=np.bool_)),
        sets=sets,
        relative={},
        numbers=numbers,
        reference=None,
        columns=columns,
    )


def made_curves(
    hz: Floats, values: Floats, *, unit: str = "dB re 20 µPa", uncertainty: float | None = None
) -> list[Curve]:
    """Curves that hold everywhere, one a row of ``values``."""
    valid = ValidRange(low_hz=float(hz[0]), high_hz=float(hz[-1]))
    sure = None if uncertainty is None else np.full(hz.size, uncertainty)
    return [
        Curve(frequency_hz=hz, value=row, unit=unit, valid=valid, uncertainty=sure)
        for row in values
    ]


def made_numbers(values: Floats, *, unit: str, uncertainty: float | None = None) -> list[Number]:
    """Numbers, one a value."""
    return [Number(value=float(one), unit=unit, uncertainty=uncertainty) for one in values]
