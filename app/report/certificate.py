"""The certificate page of a calibration, as PDF and SVG: what a report of one has to say.

Its content follows ISO/IEC 17025:2017, 7.8.2 and 7.8.4. It makes no claim of accreditation, and no
recommendation when to calibrate next (7.8.4.3).
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.records.calibration_record import CalibrationRecord, Purpose
from app.report.atomic import atomic_path
from app.report.calibration_plots import Evidence, draw_couplings, draw_history
from app.report.calibration_text import budget_rows, result_text
from app.report.certificate_facts import Party, facts, statements
from app.report.ink import BAD, EDGE, INK, INK2, INK3, RC

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_A4_IN = (8.27, 11.69)
_LEFT, _RIGHT, _TOP, _BOTTOM = 0.095, 0.905, 0.96, 0.045
_LINE = 0.0142  # of the height of a page, for text of 8 points


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One line of the page: cells at parts of the width; empty for a gap."""

    cells: tuple[tuple[float, str], ...] = ()
    bold: bool = False
    color: str = INK
    ruled: bool = False


def leave_certificate(
    record: CalibrationRecord,
    *,
    folder: Path,
    shown: Evidence,
    party: Party | None = None,
) -> tuple[Path, ...]:
    """Write the certificate of a calibration, accepted or refused.

    Parameters
    ----------
    record : CalibrationRecord
        As kept.
    folder : Path
        Files of the same names in it are replaced, each in one step.
    shown : Evidence
        What its plots are drawn from; a page of its own where there is anything.
    party : Party or None
        Laboratory, customer, who signs; what is not said is left as a line to be filled in.

    Returns
    -------
    tuple of Path: one PDF, and one SVG a page.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    import matplotlib as mpl
    from matplotlib.backends.backend_pdf import PdfPages

    name = f"calibration-{record.id[:8]}"
    pages = _pages(_rows(record, party=party or Party()))
    plots = bool(shown.readings) or len(shown.history) > 1
    count = len(pages) + plots
    written: list[Path] = []
    with mpl.rc_context(RC):  # type: ignore[arg-type]  # its own keys, as plain strings
        figures = [
            _figure(rows, record=record, page=at, pages=count)
            for at, rows in enumerate(pages, start=1)
        ]
        if plots:
            figure = _figure((), record=record, page=count, pages=count)
            _draw(figure, shown=shown)
            figures.append(figure)
        path = folder / f"{name}.pdf"
        with (
            atomic_path(path) as part,
            PdfPages(part, metadata={"CreationDate": None, "Title": name}) as pdf,
        ):
            for figure in figures:
                pdf.savefig(figure)
        written.append(path)
        for at, figure in enumerate(figures, start=1):
            path = folder / (f"{name}.svg" if len(figures) == 1 else f"{name}-{at}.svg")
            with atomic_path(path) as part:
                figure.savefig(part, format="svg", metadata={"Date": None})
            written.append(path)
    return tuple(written)


def _rows(record: CalibrationRecord, *, party: Party) -> list[_Row]:
    rows: list[_Row] = []
    for heading, pairs in facts(record, party=party):
        rows += [_Row(), _Row(cells=((0, heading),), bold=True)]
        for name, text in pairs:
            rows += _wrapped(name, text)
    rows += _result_rows(record)
    if record.remarks:
        rows.append(_Row())
        for at, remark in enumerate(record.remarks):
            rows += _wrapped("" if at else "to be minded", remark)
    rows.append(_Row())
    for sentence in statements(record):
        rows += _wrapped("", sentence, width=108, at=0.0)
    rows += [
        _Row(),
        *_wrapped("authorised by", party.authorised_by or "_" * 40),
        *_wrapped("date of issue", party.issued_on or "_" * 40),
    ]
    return rows


def _result_rows(record: CalibrationRecord) -> list[_Row]:
    rows: list[_Row] = []
    for result in record.results:
        rows += [
            _Row(),
            _Row(cells=((0, f"Result: {result.quantity}"),), bold=True),
            _Row(cells=((0, result_text(result)),)),
            _Row(),
            _Row(
                cells=_at_columns(
                    ("source", "type", "u (k = 1)", "unit", f"contributes, {result.budget.unit}")
                ),
                color=INK3,
                ruled=True,
            ),
            *(_Row(cells=_at_columns(cells)) for cells in budget_rows(result)),
            _Row(),
        ]
    for check in record.checks:
        word = "passed" if check.passed else "failed"
        rows += _wrapped(
            f"{check.name}: {word}", check.sentence, color=INK if check.passed else BAD
        )
    verdict = "accepted" if record.accepted else "refused: the values in use were left unchanged"
    if record.purpose is Purpose.CHECK:
        verdict = "the value in use holds" if record.accepted else "the value in use does not hold"
    return [*rows, _Row(), *_wrapped("decision", verdict, color=INK if record.accepted else BAD)]


def _at_columns(cells: Sequence[str]) -> tuple[tuple[float, str], ...]:
    return tuple(zip((0.0, 0.34, 0.44, 0.6, 0.7), cells, strict=True))


def _wrapped(
    name: str, text: str, *, width: int = 84, at: float = 0.26, color: str = INK
) -> list[_Row]:
    first, *rest = textwrap.wrap(text, width) or ["—"]
    head = _Row(cells=((0.0, name), (at, first)) if name else ((at, first),), color=color)
    return [head, *(_Row(cells=((at, line),), color=color) for line in rest)]


def _pages(rows: Sequence[_Row]) -> list[list[_Row]]:
    room = int((_TOP - _BOTTOM) / _LINE) - 4
    pages: list[list[_Row]] = [[]]
    for row in rows:
        if len(pages[-1]) >= room:
            pages.append([])
        if row.cells or pages[-1]:  # no page begins with a gap
            pages[-1].append(row)
    return pages


def _figure(rows: Sequence[_Row], *, record: CalibrationRecord, page: int, pages: int) -> "Figure":
    from matplotlib.figure import Figure

    figure = Figure(figsize=_A4_IN, facecolor="white")
    title = "Calibration" if record.purpose is Purpose.CALIBRATION else "Check of a calibration"
    figure.text(_LEFT, _TOP, title, fontsize=15, fontweight="bold", va="top")
    number = f"No. {record.id}"
    figure.text(_RIGHT, _TOP, number, fontsize=8, ha="right", va="top", color=INK2)
    figure.text(
        _RIGHT,
        _TOP - 1.3 * _LINE,
        f"page {page} of {pages}",
        fontsize=8,
        ha="right",
        va="top",
        color=INK2,
    )
    y = _TOP - 4 * _LINE
    for row in rows:
        for at, text in row.cells:
            figure.text(
                _LEFT + at * (_RIGHT - _LEFT),
                y,
                text,
                fontsize=8,
                va="baseline",
                fontweight="bold" if row.bold else "normal",
                color=row.color,
                parse_math=False,
            )
        if row.ruled:
            _rule(figure, y - 0.27 * _LINE)
        y -= _LINE
    if page == pages:
        figure.text(
            _RIGHT, _BOTTOM - 0.015, "End of certificate", fontsize=6.5, color=INK3, ha="right"
        )
    figure.text(
        _LEFT,
        _BOTTOM - 0.015,
        "Results relate only to the item named above, as it was. Not to be reproduced except in "
        "full.",
        fontsize=6.5,
        color=INK3,
    )
    return figure


def _draw(figure: "Figure", *, shown: Evidence) -> None:
    width = _RIGHT - _LEFT
    if shown.readings:
        draw_couplings(figure.add_axes((_LEFT, 0.62, width, 0.25)), shown.readings)
    if len(shown.history) > 1:
        draw_history(figure.add_axes((_LEFT, 0.28, width, 0.25)), shown.history)


def _rule(figure: "Figure", y: float) -> None:
    from matplotlib.lines import Line2D

    figure.add_artist(Line2D((_LEFT, _RIGHT), (y, y), color=EDGE, linewidth=0.5))
