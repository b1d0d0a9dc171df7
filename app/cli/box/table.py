"""A predicted box for a person: its numbers, its curves at round frequencies, its limits."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from app.cli.output import interval, print_table, value

if TYPE_CHECKING:  # slow to import
    from dsp import Curve
    from dsp.box.loudest import Loudest
    from dsp.box.predict import Prediction

_UNITS = {
    "level": "dB",
    "impedance": "ohm",
    "group_delay": "ms",
    "excursion": "mm",
    "vent_speed": "m/s",
}
_DECIMALS = {"level": 1, "impedance": 2, "group_delay": 2, "excursion": 3, "vent_speed": 2}
_AT_HZ = (20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 315, 500, 1000)


def print_box(
    prediction: "Prediction",
    *,
    loudest: "Loudest | None",
    warnings: Sequence[str],
    files: Sequence[Path],
) -> None:
    """Print numbers, a table over frequency, what the model leaves out, and what lies where."""
    from app.report.box_document import box_words

    typer.echo(box_words(prediction.box))
    typer.echo()
    print_table(
        ("number", "value", "± (k = 2)", "unit", "how"),
        [
            (name, value(number), interval(number), number.unit, number.how)
            for name, number in prediction.numbers.items()
        ],
    )
    typer.echo()
    _print_curves(prediction, loudest=loudest)
    for name, unit in _UNITS.items():
        if name in prediction.curves:
            how = prediction.curves[name].how.split(", ", 1)[1]
            typer.echo(f"{unit}: {name.replace('_', ' ')}, {how}")
    if loudest is not None:
        typer.echo(f"most dB: {loudest.level.how}")
    typer.echo("\nLimits of the model:")
    for limit in prediction.limits:
        up_to = "" if limit.high_hz is None else f" ({limit.high_hz:.0f} Hz)"
        typer.echo(f"  {limit.name}{up_to}: {limit.words}")
    for warning in warnings:
        typer.echo(f"\nwarning: {warning}")
    for file in files:
        typer.echo(str(file))


def _print_curves(prediction: "Prediction", *, loudest: "Loudest | None") -> None:
    curves = prediction.curves
    columns = [("Hz", [f"{hz:g}" for hz in _AT_HZ])]
    for name, unit in _UNITS.items():
        if name in curves:
            columns.append((unit, _at(curves[name], decimals=_DECIMALS[name])))
    if loudest is not None:
        columns.append(("most dB", _at(loudest.level, decimals=1)))
        columns.append(
            ("stopped by", [loudest.limited_by[_nearest(loudest.level, hz)] for hz in _AT_HZ])
        )
    rows = list(zip(*(cells for _, cells in columns), strict=True))
    print_table([title for title, _ in columns], rows)


def _at(curve: "Curve", *, decimals: int) -> list[str]:
    import numpy as np

    found = np.interp(np.log(_AT_HZ), np.log(curve.frequency_hz), curve.value)
    return [f"{one:.{decimals}f}".replace("-", "−") for one in found.tolist()]


def _nearest(curve: "Curve", hz: float) -> int:
    import numpy as np

    return int(np.argmin(np.abs(np.log(curve.frequency_hz / hz))))
