"""Files of what the plots show: a picture, a drawing, or the curves as a table."""

import csv
import io
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice

from app.desktop.panels.measure.plots import Plots
from app.report.atomic import write_whole

FILTERS = ("Picture (*.png)", "Drawing (*.svg)", "Table (*.csv)")
_ENDINGS = (".png", ".svg", ".csv")


def suffix_of(path: Path, chosen: str) -> Path:
    """Give a path the ending of the chosen filter where it has none of the three."""
    if path.suffix.lower() in _ENDINGS:
        return path
    ending = next((one for one in _ENDINGS if f"*{one}" in chosen), _ENDINGS[0])
    return path.with_name(path.name + ending)


def export_shown(plots: Plots, path: Path) -> None:
    """Write what is shown; a file of that name is replaced in one step.

    Raises
    ------
    AppError
        The disk did not take it.
    """
    match path.suffix.lower():
        case ".svg":
            content = plots.to_svg()
        case ".csv":
            content = _csv(plots.table())
        case _:
            content = _png(plots)
    write_whole(path, content)


def _csv(table: str) -> bytes:
    text = io.StringIO()
    rows = [line.split("\t") for line in table.splitlines()]
    csv.writer(text, lineterminator="\r\n").writerows(rows)  # RFC 4180
    return text.getvalue().encode()


def _png(plots: Plots) -> bytes:
    written = QByteArray()
    buffer = QBuffer(written)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    plots.to_image().save(buffer, "PNG")  # type: ignore[call-overload]  # the stub wants bytes
    buffer.close()
    return bytes(written.data())
