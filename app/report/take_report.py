"""The report of a take, one PDF: what was found, how sure it is, and all that it rests on."""

import math
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from app.records.reread import Reread
from app.records.take import Take
from app.report.calibration_text import amount
from app.report.figures import draw_distortion, draw_level_impedance, draw_phase, draw_time
from app.report.ink import BAD, INK, INK2, RC
from app.report.parameters_picture import SYMBOLS
from app.report.quantity_names import NUMBERS, number_as, plain_reason, quantity_name
from app.report.report_chain import chain_blocks
from app.report.report_parameters import parameter_blocks
from app.report.residual_picture import draw_residual_map
from app.report.rounding import bound_text
from app.report.sheet import (
    A4_IN,
    LINE,
    Block,
    Cell,
    Column,
    Frame,
    Picture,
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
from app.report.take_report_facts import (
    digits,
    hertz,
    made,
    margin_text,
    provenance,
    unit_of,
)
from dsp import Number
from dsp.conformity.verdict import Verdict
from dsp.defects.residual_map import residual_map

if TYPE_CHECKING:
    from matplotlib.figure import SubFigure

_MARKS = {
    Verdict.CONFORMS: "●",
    Verdict.DOES_NOT_CONFORM: "■",
    Verdict.NOT_DECIDED: "◆",
    Verdict.NOT_JUDGED: "○",
}
_MASKS = (
    Column(at=0, to=0.17, head="mask"),
    Column(at=0.18, to=0.42, head="of"),
    Column(at=0.44, to=0.62, head="verdict"),
    Column(at=0.62, to=0.74, head="margin", ends=True),
    Column(at=0.76, to=1, head="at, or why"),
)
_NUMBERS = (
    Column(at=0, to=0.2, head="quantity"),
    Column(at=0.2, to=0.3, head="value", ends=True),
    Column(at=0.315, to=0.43, head="interval"),
    Column(at=0.44, to=0.5, head="unit"),
    Column(at=0.505, to=1, head="how"),
)
_LOWER = 0.8  # of its height: so low a picture may become where its page then holds more
_FOOT = (
    "Intervals are expanded uncertainties, k = 2 where nothing else is said: about 95 % (JCGM "
    "100:2008)."
)


def leave_report(found: Reread, *, file: Path) -> Path:
    """Write the report of a take.

    Parameters
    ----------
    found : Reread
        The take.
    file : Path
        Where to; a file of that name is replaced in one step.

    Returns
    -------
    Path: ``file``. The same record read by the same version gives the same bytes.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    import matplotlib as mpl

    take = found.record.take
    title = f"{take.unit or 'unit'}, take {found.record.number}"
    frame = Frame(
        title="Measurement report",
        number=f"{title}, {take.id[:8]}",
        foot=_FOOT,
        end="End of report",
    )
    pages = pages_of(_blocks(found))
    with mpl.rc_context(RC):  # type: ignore[arg-type]  # its own keys, as plain strings
        figures = (
            draw_page(blocks, frame=frame, page=at, pages=len(pages))
            for at, blocks in enumerate(pages, start=1)
        )
        return write_pdf(figures, file, title=title)


def _blocks(found: Reread) -> Iterator[Block]:
    take = found.record.take
    yield from _verdict(found)
    yield from _masks(take)
    yield from _numbers(take)
    yield from _findings(take)
    yield from _facts("How it was made", made(found.record))
    yield from _curves(found)
    yield from parameter_blocks(found)
    yield from _residual(found)
    yield from chain_blocks(found)
    yield from _facts("What proves it", provenance(found))


def _verdict(found: Reread) -> Iterator[Block]:
    take = found.record.take
    unit = f"Unit {take.unit}" if take.unit else "Unit without serial"
    lot = f", lot {take.lot}" if take.lot else ""
    yield Row(cells=(Cell(at=0, text=f"{unit}{lot}"),), bold=True, points=11, keeps=True)
    yield Row()
    failed = take.verdict is Verdict.DOES_NOT_CONFORM
    words = f"{_MARKS[take.verdict]} {take.verdict.value}"
    yield Row(cells=(Cell(at=0, text=words),), bold=True, points=13, color=BAD if failed else INK)
    why = [name for name, one in take.masks.items() if one.verdict is take.verdict]
    if not take.masks:
        yield from prose("No mask was held against it.", color=INK2)
    elif take.verdict is not Verdict.CONFORMS:
        yield from prose(f"By: {', '.join(why)}.", color=INK2)
    minded = [*take.warnings, *([] if found.holds else [found.standing])]
    if minded:
        yield from heading("What has to be minded")
        for said in minded:
            yield from prose(f"▲ {plain_reason(said)}", color=BAD)


def _masks(take: Take) -> Iterator[Block]:
    if not take.masks:
        return
    yield from heading("Masks")
    yield table_head(_MASKS)
    for name, result in take.masks.items():
        quantity = take.procedure.masks[name].quantity
        where = hertz(result.nearest_hz) if result.nearest_hz else ""
        texts = (
            name,
            quantity_name(quantity),
            f"{_MARKS[result.verdict]} {result.verdict.value}",
            margin_text(result.margin, unit_of(take, quantity)),
            "; ".join(filter(None, (where, plain_reason(result.reason)))),
        )
        failed = result.verdict is Verdict.DOES_NOT_CONFORM
        yield from table_row(_MASKS, texts, color=BAD if failed else INK)


def _numbers(take: Take) -> Iterator[Block]:
    rank = {name: place for place, name in enumerate(NUMBERS)}
    names = [name for name in take.numbers if name not in SYMBOLS]
    names.sort(key=lambda name: rank.get(name, len(rank)))
    if not names:
        return
    yield from heading("Numbers")
    yield table_head(_NUMBERS)
    for name in names:
        yield from _number(name, take.numbers[name])
    if SYMBOLS.keys() & take.numbers.keys():
        yield from prose("Small-signal parameters: below, with the impedance.", color=INK2)


def _number(name: str, number: Number) -> Iterator[Row]:
    shown = number_as(name, unit=number.unit)
    value, half = number.value * shown.scale, (number.uncertainty or 0.0) * shown.scale
    text = amount(value, half) if half else digits(value)
    if number.is_bound:
        text = bound_text(value, unit=shown.unit)
    known = math.isfinite(value)
    texts = (
        shown.name,
        text if known else "—",
        _interval(half, k=number.k) if known else "",
        shown.unit,
        f"▲ {plain_reason(number.reason)}" if number.reason else plain_reason(number.how),
    )
    yield from table_row(_NUMBERS, texts, color=BAD if number.reason else INK)


def _interval(half: float, *, k: float) -> str:
    if not half:
        return ""
    return f"± {amount(half, half)}" + (f" (k = {k:.2g})" if k != 2 else "")


def _findings(take: Take) -> Iterator[Block]:
    if not take.findings:
        return
    yield from heading("Likely causes")
    for finding in take.findings:
        because = "; ".join(map(plain_reason, finding.because))
        yield from named(f"{finding.cause}, {100 * finding.confidence:.0f} %", because)


def _facts(title: str, facts: Iterable[tuple[str, str]]) -> Iterator[Block]:
    yield from heading(title)
    for name, text in facts:
        yield from named(name, text)


def _curves(found: Reread) -> Iterator[Block]:
    take = found.record.take
    if {"level", "impedance"} & take.curves.keys():
        both = {"level", "impedance"} <= take.curves.keys()
        yield from _picture(23 if both else 17, lambda part: draw_level_impedance(part, take))
    if {"level_phase", "impedance_phase"} & take.curves.keys():
        yield from _picture(15, lambda part: draw_phase(part, take))
    if {"h2", "thd"} & take.curves.keys():
        yield from _picture(18, lambda part: draw_distortion(part, take))
    impulse = found.impulse
    if impulse is not None:
        yield from _picture(17, lambda part: draw_time(part, take, impulse))


def _residual(found: Reread) -> Iterator[Block]:
    heard = None if found.defects is None else residual_map(found.defects)
    if heard is not None:
        yield from _picture(18, lambda part: draw_residual_map(part, heard))


def _picture(lines: int, draw: "Callable[[SubFigure], None]") -> Iterator[Block]:
    def placed(part: "SubFigure") -> None:
        high = part.bbox.height / (LINE * A4_IN[1] * part.dpi)  # in lines, as it was given room
        part.subplots_adjust(left=0.06, right=0.94, top=1 - 2 / high, bottom=1.9 / high)
        draw(part)

    yield Row()
    yield Picture(lines=lines, draw=placed, least=round(_LOWER * lines))
