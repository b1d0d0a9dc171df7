"""A take as CSV tables: UTF-8, commas, decimal points, units in the head, gaps left empty."""

import csv
import io
import math
from collections.abc import Iterable, Mapping
from pathlib import Path

from app.records.take import Take
from app.report.atomic import write_whole
from app.report.take_document import told_and_bound
from dsp import Curve, Floats, Number


def export_csv(take: Take, *, folder: Path) -> tuple[Path, ...]:
    """Write ``numbers.csv``, ``masks.csv`` and a table for each set of curves.

    Curves at the same frequencies stand in one table, named after the first of them. Beside each
    value stand its expanded uncertainty (k = 2), the bound where noise hides what is there, and
    1 or 0: whether the frequency lies in the curve's valid range.
    """
    tables = {"numbers.csv": _numbers(take.numbers), "masks.csv": _masks(take)}
    return (*_written(tables, folder=folder), *export_curves(take.curves, folder=folder))


def export_numbers(numbers: Mapping[str, Number], *, folder: Path) -> tuple[Path, ...]:
    """Write ``numbers.csv``."""
    return _written({"numbers.csv": _numbers(numbers)}, folder=folder)


def export_curves(curves: Mapping[str, Curve], *, folder: Path) -> tuple[Path, ...]:
    """Write a table for each set of curves, as ``export_csv`` does."""
    tables = {f"{next(iter(of_set))}.csv": _curves(of_set) for of_set in _sets(curves)}
    return _written(tables, folder=folder)


def _written(tables: Mapping[str, list[list[str]]], *, folder: Path) -> tuple[Path, ...]:
    return tuple(write_whole(folder / name, _table(rows)) for name, rows in tables.items())


def _sets(curves: Mapping[str, Curve]) -> list[dict[str, Curve]]:
    """Sort curves by the frequencies that they share."""
    sets: dict[bytes, dict[str, Curve]] = {}
    for name, curve in curves.items():
        sets.setdefault(curve.frequency_hz.tobytes(), {})[name] = curve
    return list(sets.values())


def _curves(curves: Mapping[str, Curve]) -> list[list[str]]:
    columns = {"frequency [Hz]": _cells(next(iter(curves.values())).frequency_hz)}
    for name, curve in curves.items():
        told, bound = told_and_bound(curve)
        columns[f"{name} [{curve.unit}]"] = _cells(told)
        if curve.uncertainty is not None:
            columns[f"{name} uncertainty, k = 2 [{curve.unit}]"] = _cells(curve.uncertainty)
        if bound is not None:
            columns[f"{name} at most [{curve.unit}]"] = _cells(bound)
        inside = curve.valid.holds(curve.frequency_hz)
        columns[f"{name} valid"] = [str(int(holds)) for holds in inside]
    return [list(columns), *map(list, zip(*columns.values(), strict=True))]


def _numbers(numbers: Mapping[str, Number]) -> list[list[str]]:
    return [
        [
            "name",
            "value",
            "unit",
            "uncertainty",
            "k",
            "not to be trusted because",
            "how",
            "at most",
        ],
        *(
            [
                name,
                _cell(number.value),
                number.unit,
                _cell(number.uncertainty),
                _cell(number.k),
                number.reason,
                number.how,
                str(int(number.is_bound)),
            ]
            for name, number in numbers.items()
        ),
    ]


def _masks(take: Take) -> list[list[str]]:
    return [
        ["name", "verdict", "margin", "nearest [Hz]", "why"],
        *(
            [
                name,
                result.verdict.value,
                _cell(result.margin),
                _cell(result.nearest_hz),
                result.reason,
            ]
            for name, result in take.masks.items()
        ),
    ]


def _cells(values: Floats) -> list[str]:
    return [_cell(value) for value in values.tolist()]


def _cell(value: float | None) -> str:
    return "" if value is None or not math.isfinite(value) else repr(float(value))


def _table(rows: Iterable[list[str]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows(rows)  # RFC 4180
    return text.getvalue().encode()
