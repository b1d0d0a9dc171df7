#!/usr/bin/env python3
"""Measure the invented lots: ``.venv/bin/python demo_data/measure_lot.py`` writes ``t4-lots.xz``.

Five weeks of a line, 64 units a week, each played on the rig in software by the shipped line check,
so that every figure carries what the product makes of it: noise, bounds, valid range. That takes a
few minutes, which is why the figures are kept in a file beside this script. Recordings are not
kept: they would take 100 MB. ``make_lot.py`` makes a store out of the file.
"""

import io
import json
import lzma
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from app.records.take import Take
from dsp import Bools, Curve, Floats
from hardware.chain.snapshot import ChainSnapshot
from hardware.open_card import open_card

HERE = Path(__file__).parent
TABLE = HERE / "t4-lots.xz"
PROCEDURE = "line-check"
UNITS_A_LOT = 64
CURVES = {"level": 0.004, "impedance": 0.0004, "thd": 0.005, "high_order": 0.005}  # steps
_WEEKS = (27, 28, 29, 30, 31)
_FIRST = datetime(2026, 6, 29, 4, 30, tzinfo=UTC)  # Monday of week 27, the early shift
_EACH = timedelta(seconds=34)
_SEED = 27_000

# What is wrong, how it is called by who finds it, and how badly: one unit each.
_FAULTS = {
    "coil_rub": "scratches with every stroke",
    "lead_slap": "a lead strikes the cone",
    "loose_joint": "buzzes about 100 Hz",
    "particle": "ticks at random, something is in the gap",
    "air_leak": "hisses at the surround",
    "weak_magnet": "too quiet and too long in the bass",
    "stiff_suspension": "no bass",
    "soft_suspension": "booms, strikes the end of its stroke",
    "wrong_mass": "dull, a lump of glue on the coil",
}
_SEVERITIES = (0.08, 0.16, 0.28, 0.5)
_FOUND_FROM = 0.15  # severity from which inspection finds a fault
_HEAVY_WEEK, _HEAVY = 30, 0.03  # too much glue on every coil of a week


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit: who it is, what is wrong with it, and what inspection said."""

    serial: str
    lot: str
    started_utc: str
    seed: int
    faults: dict[str, float | bool]
    mark: str
    by: str
    why: str


def planned() -> list[Unit]:
    """Draw all units.

    Returns
    -------
    list of Unit, the first made first.
    """
    rng = np.random.default_rng(_SEED)
    total = UNITS_A_LOT * len(_WEEKS)
    faults = [(kind, severity) for kind in _FAULTS for severity in _SEVERITIES]
    places = rng.choice(total, size=len(faults) + 1, replace=False).tolist()
    faulty = dict(zip(places, faults, strict=False))
    reversed_at = places[-1]
    return [
        _unit(place, fault=faulty.get(place), is_reversed=place == reversed_at)
        for place in range(total)
    ]


def _unit(place: int, *, fault: tuple[str, float] | None, is_reversed: bool) -> Unit:
    week, within = divmod(place, UNITS_A_LOT)
    lot = f"T4-W{_WEEKS[week]}"
    faults: dict[str, float | bool] = {}
    if _WEEKS[week] == _HEAVY_WEEK:
        faults["wrong_mass"] = _HEAVY
    if fault is not None:
        faults[fault[0]] = faults.get(fault[0], 0.0) + fault[1]
    if is_reversed:
        faults["wiring_reversed"] = True
    started = _FIRST + timedelta(weeks=week) + within * _EACH
    mark, by, why = _inspected(place, fault=fault, is_reversed=is_reversed)
    return Unit(
        serial=f"{lot}-{within + 1:04d}",
        lot=lot,
        started_utc=started.isoformat(),
        seed=_SEED + place,
        faults=faults,
        mark=mark,
        by=by,
        why=why,
    )


def _inspected(
    place: int, *, fault: tuple[str, float] | None, is_reversed: bool
) -> tuple[str, str, str]:
    # Mark, who, why: every faulty unit was looked at, and three of five others.
    if is_reversed:
        return "bad", "final inspection", "leads exchanged at the terminals"
    if fault is not None and fault[1] >= _FOUND_FROM:
        by = "tram workshop" if place % 3 == 0 else "final inspection"
        return "bad", by, _FAULTS[fault[0]]
    if fault is not None or place % 5 < 3:
        return "good", "final inspection", "heard on music and swept, nothing found"
    return "", "", ""


def measured(unit: Unit, *, store: Store) -> Take:
    """Play the line check on a unit, and keep it: findings compare with units before.

    Returns
    -------
    Take
    """
    procedure, chain = find_procedure(PROCEDURE), _chain(unit)
    with closing(open_card(chain)) as card:
        run = Run(
            Job(procedure=procedure, chain=chain, unit=unit.serial, lot=unit.lot, store=store),
            excitation=excite(procedure, chain),
            card=card,
        )
        return next(one.take for one in run.events() if isinstance(one, Finished))


def _chain(unit: Unit) -> ChainSnapshot:
    snapshot = demo_chain()
    content = snapshot.chain.model_dump()
    content["virtual"] |= {"seed": unit.seed, "spread": 1.0, "faults": unit.faults}
    chain = type(snapshot.chain).model_validate(content)
    return ChainSnapshot(chain=chain, response=snapshot.response)


def packed(units: list[Unit], found: list[Take]) -> bytes:
    """Write units and figures as small as they go: steps from the middle unit, then deltas.

    Returns
    -------
    bytes of the file.
    """
    first = found[0]
    about: dict[str, Any] = {
        "procedure": PROCEDURE,
        "units": [asdict(unit) for unit in units],
        "curves": {name: _about(first.curves[name]) for name in CURVES},
        "numbers": {
            name: {"unit": one.unit, "how": one.how, "k": one.k}
            for name, one in first.numbers.items()
        },
        "findings": [[asdict(one) for one in each.findings] for each in found],
        "reasons": [
            {name: one.reason for name, one in each.numbers.items() if one.reason} for each in found
        ],
    }
    arrays: dict[str, Any] = {"about": np.frombuffer(json.dumps(about).encode(), dtype=np.uint8)}
    for name, step in CURVES.items():
        arrays |= dict(_packed([each.curves[name] for each in found], name=name, step=step))
    for key in ("value", "uncertainty", "is_bound"):
        arrays[f"numbers/{key}"] = np.array(
            [
                [_or_nan(getattr(each.numbers[name], key)) for name in first.numbers]
                for each in found
            ]
        )
    out = io.BytesIO()
    np.savez(out, **arrays)
    return lzma.compress(out.getvalue(), preset=9)


def _packed(curves: list[Curve], *, name: str, step: float) -> Iterator[tuple[str, Any]]:
    value = np.stack([curve.value for curve in curves])
    logarithmic = name != "level"
    scaled = np.log(value) if logarithmic else value
    middle = np.median(scaled, axis=0)  # NaN where no unit has a value
    steps = np.rint(np.nan_to_num((scaled - middle) / step)).astype(np.int16)
    yield f"{name}/frequency_hz", curves[0].frequency_hz
    yield f"{name}/middle", middle.astype(np.float32)
    deltas = np.diff(steps, axis=1, prepend=np.int16(0)).astype("<i2")
    yield f"{name}/deltas", deltas.view(np.uint8).reshape(*deltas.shape, 2).transpose(2, 0, 1)
    yield f"{name}/valid_hz", np.array([(one.valid.low_hz, one.valid.high_hz) for one in curves])
    yield f"{name}/is_bound", np.packbits([_bounds(one) for one in curves], axis=1)
    yield f"{name}/uncertainty", _uncertainty(curves, logarithmic=logarithmic).astype(np.float32)


def _uncertainty(curves: list[Curve], *, logarithmic: bool) -> Floats:
    # The middle one at each frequency, relative where values are; NaN where no unit knows it.
    known = np.stack(
        [
            curve.uncertainty / (curve.value if logarithmic else 1.0)
            for curve in curves
            if curve.uncertainty is not None
        ]
    )
    somewhere = np.isfinite(known).any(axis=0)
    middle = np.full(known.shape[1], np.nan)
    middle[somewhere] = np.nanmedian(known[:, somewhere], axis=0)
    return middle


def _about(curve: Curve) -> dict[str, str]:
    return {
        "unit": curve.unit,
        "how": curve.how,
        "low_reason": curve.valid.low_reason,
        "high_reason": curve.valid.high_reason,
    }


def _bounds(curve: Curve) -> Bools:
    none = np.zeros(curve.value.size, dtype=np.bool_)
    return none if curve.is_bound is None else curve.is_bound


def _or_nan(figure: float | None) -> float:
    return float("nan") if figure is None else float(figure)


def main() -> None:
    """Measure all units and write the file; the same bytes every time."""
    units = planned()
    found = []
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "lots.sqlite") as store:
        for unit in units:
            found.append(measured(unit, store=store))
            sys.stderr.write(f"\r{unit.serial}, {len(found)} of {len(units)}")
    TABLE.write_bytes(packed(units, found))
    sys.stderr.write(f"\n{TABLE}: {TABLE.stat().st_size / 1000:.0f} kB\n")


if __name__ == "__main__":
    main()
