"""The certificate page of a calibration, as PDF and SVG: what a report of one has to say.

Its content follows ISO/IEC 17025:2017, 7.8.2 and 7.8.4. It makes no claim of accreditation, and no
recommendation when to calibrate next (7.8.4.3).
"""

from pathlib import Path
from typing import TYPE_CHECKING

from app.records.calibration_record import CalibrationRecord, Purpose
from app.report.atomic import atomic_path
from app.report.calibration_plots import Evidence, draw_couplings, draw_history
from app.report.calibration_text import budget_rows, result_text
from app.report.certificate_facts import Party, facts, statements
from app.report.ink import BAD, INK, RC
from app.report.sheet import (
    LEFT,
    RIGHT,
    Block,
    Column,
    Frame,
    Row,
    draw_page,
    heading,
    named,
    pages_of,
    prose,
    table_head,
    table_row,
    write_pdf,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_FOOT = (
    "Results relate only to the item named above, as it was. Not to be reproduced except in full."
)
_COLUMNS = (0.0, 0.34, 0.44, 0.6, 0.7, 1.0)  # of a budget


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

    name = f"calibration-{record.id[:8]}"
    pages = pages_of(_rows(record, party=party or Party()))
    plots = bool(shown.readings) or len(shown.history) > 1
    count = len(pages) + plots
    is_calibration = record.purpose is Purpose.CALIBRATION
    frame = Frame(
        title="Calibration" if is_calibration else "Check of a calibration",
        number=f"No. {record.id}",
        foot=_FOOT,
        end="End of certificate",
    )
    with mpl.rc_context(RC):  # type: ignore[arg-type]  # its own keys, as plain strings
        figures = [
            draw_page(rows, frame=frame, page=at, pages=count)
            for at, rows in enumerate(pages, start=1)
        ]
        if plots:
            figure = draw_page((), frame=frame, page=count, pages=count)
            _draw(figure, shown=shown)
            figures.append(figure)
        written = [write_pdf(figures, folder / f"{name}.pdf", title=name)]
        for at, figure in enumerate(figures, start=1):
            path = folder / (f"{name}.svg" if len(figures) == 1 else f"{name}-{at}.svg")
            with atomic_path(path) as part:
                figure.savefig(part, format="svg", metadata={"Date": None})
            written.append(path)
    return tuple(written)


def _rows(record: CalibrationRecord, *, party: Party) -> list[Block]:
    rows: list[Block] = []
    for title, pairs in facts(record, party=party):
        rows += heading(title)
        for name, text in pairs:
            rows += named(name, text)
    rows += _result_rows(record)
    if record.remarks:
        rows.append(Row())
        for at, remark in enumerate(record.remarks):
            rows += named("" if at else "to be minded", remark)
    rows.append(Row())
    for sentence in statements(record):
        rows += prose(sentence)
    rows += [
        Row(),
        *named("authorised by", party.authorised_by or "_" * 40),
        *named("date of issue", party.issued_on or "_" * 40),
    ]
    return rows


def _result_rows(record: CalibrationRecord) -> list[Block]:
    rows: list[Block] = []
    for result in record.results:
        heads = ("source", "type", "u (k = 1)", "unit", f"contributes, {result.budget.unit}")
        columns = tuple(
            Column(at=at, to=to - 0.01, head=head)
            for at, to, head in zip(_COLUMNS[:-1], _COLUMNS[1:], heads, strict=True)
        )
        rows += [*heading(f"Result: {result.quantity}"), *prose(result_text(result))]
        rows += [Row(), table_head(columns)]
        for cells in budget_rows(result):
            rows += table_row(columns, cells)
        rows.append(Row())
    for check in record.checks:
        word = "passed" if check.passed else "failed"
        rows += named(f"{check.name}: {word}", check.sentence, color=INK if check.passed else BAD)
    verdict = "accepted" if record.accepted else "refused: the values in use were left unchanged"
    if record.purpose is Purpose.CHECK:
        verdict = "the value in use holds" if record.accepted else "the value in use does not hold"
    return [*rows, Row(), *named("decision", verdict, color=INK if record.accepted else BAD)]


def _draw(figure: "Figure", *, shown: Evidence) -> None:
    width = RIGHT - LEFT
    if shown.readings:
        draw_couplings(figure.add_axes((LEFT, 0.62, width, 0.25)), shown.readings)
    if len(shown.history) > 1:
        draw_history(figure.add_axes((LEFT, 0.28, width, 0.25)), shown.history)
