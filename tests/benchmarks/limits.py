"""How long a large lot takes to be read, and judged again while a hand drags a limit."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from app.measure.compare_trials import compare
from app.measure.rejudge import Judged, rejudge
from app.measure.trial import Trial, load_trial
from app.procedure.edit_masks import move_point, offset
from app.procedure.mask_schema import Mask
from app.records.store import Store
from tests.benchmarks.full_lot import (
    CURVES,
    HALF,
    MIDDLE,
    NAME,
    POINTS,
    UNITS,
    fill_lot,
    lot_mask,
    sloped_mask,
)
from tests.benchmarks.row import Row

OPEN_S, FRAME_MS, DRAG_MS = 2.0, 16.0, 2.0


def limits(*, times: int) -> list[Row]:
    """Time the way from a store to all verdicts, a whole set of limits, and one dragged point."""
    with _lot() as store:
        opened = _timed(lambda: _open(store), times=3)
        trial = _open(store)
    masks = {name: lot_mask(name) for name in CURVES}
    now = rejudge(trial, masks=masks)
    return [
        Row(
            what=f"read {UNITS} units of {len(CURVES)} curves of {POINTS} points and judge them",
            bar=OPEN_S,
            measured=opened,
            unit="s",
            note="median of 3",
        ),
        _frame(trial, _level, now=now, times=times),
        _frame(trial, _sloped, now=now, times=times, how="no limit runs level"),
        _frame(trial, _bent, now=now, times=times, how="their course was never judged before"),
        _drag(trial, masks, now=now, times=times, what="one dragged point"),
        _drag(
            trial,
            {**masks, "level": masks["level"].model_copy(update={"align": "level"})},
            now=now,
            times=times,
            what="one dragged point of a mask that aligns the level",
        ),
    ]


@contextmanager
def _lot() -> Iterator[Store]:
    with TemporaryDirectory(prefix="dustcap-lot-") as folder:
        place = Path(folder) / "records.sqlite"
        fill_lot(place, units=UNITS, points=POINTS)
        with Store.open(place) as store:
            yield store


def _open(store: Store) -> Trial:
    trial = load_trial(store, name=NAME, quantities=CURVES)
    rejudge(trial, masks={name: lot_mask(name) for name in CURVES})
    return trial


def _level(by: float) -> dict[str, Mask]:
    return {name: offset(lot_mask(name), upper_by=by, lower_by=-by) for name in CURVES}


def _sloped(by: float) -> dict[str, Mask]:
    masks = {name: sloped_mask(name, bend=0.2) for name in CURVES}
    return {name: offset(one, upper_by=by, lower_by=-by) for name, one in masks.items()}


def _bent(by: float) -> dict[str, Mask]:
    return {name: sloped_mask(name, bend=0.2 + by) for name in CURVES}


def _frame(
    trial: Trial,
    masks_at: Callable[[float], dict[str, Mask]],
    *,
    now: Judged,
    times: int,
    how: str = "",
) -> Row:
    """Judge all limits at once, other ones each time."""
    ready = iter([masks_at(0.001 * step) for step in range(times + 1)])

    def again() -> None:
        compare(trial, now=now, draft=rejudge(trial, masks=next(ready)))

    what = f"judge {UNITS} units by {len(CURVES)} masks of {POINTS} points, and compare"
    return Row(
        what=f"the same where {how}" if how else what,
        bar=FRAME_MS,
        measured=1e3 * _timed(again, times=times),
        unit="ms",
        note=f"median of {times}, all limits at once",
    )


def _drag(trial: Trial, masks: dict[str, Mask], *, now: Judged, times: int, what: str) -> Row:
    steps = count(1)
    last = [rejudge(trial, masks=masks, before=now)]

    def drag() -> None:
        value = MIDDLE + HALF - 0.01 * next(steps)
        moved = move_point(masks["level"], side="upper", index=5, hz=1000.0, value=value)
        last[0] = rejudge(trial, masks={**masks, "level": moved}, before=last[0])
        compare(trial, now=now, draft=last[0])

    return Row(
        what=f"the same after {what}",
        bar=DRAG_MS,
        measured=1e3 * _timed(drag, times=times),
        unit="ms",
        note=f"median of {times}",
    )


def _timed(do: Callable[[], object], *, times: int) -> float:
    """Return the median time of a call in seconds, after one that was not counted."""
    do()
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        do()
        taken.append(time.perf_counter() - begun)
    return median(taken)
