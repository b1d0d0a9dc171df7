"""The parameters in a report: impedance and model, the table, the circuit, what is against it."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from app.records.reread import Reread
from app.report.ink import BAD, INK, INK2
from app.report.parameters_picture import (
    ParameterRow,
    candidate_rows,
    circuit_words,
    doubts_of,
    draw_model,
    parameter_rows,
    said_of_all,
)
from app.report.sheet import (
    Block,
    Column,
    Picture,
    heading,
    prose,
    table_head,
    table_row,
    together,
)
from dsp.parameters.fit import LumpedFit

if TYPE_CHECKING:
    from matplotlib.figure import SubFigure

_PARAMETERS = (
    Column(at=0, to=0.12, head="parameter"),
    Column(at=0.12, to=0.22, head="value", ends=True),
    Column(at=0.24, to=0.37, head="95 % interval"),
    Column(at=0.38, to=0.45, head="unit"),
    Column(at=0.46, to=1, head="how"),
)
_CIRCUITS = (
    Column(at=0, to=0.44, head="circuit tried"),
    Column(at=0.44, to=0.6, head="criterion", ends=True),
    Column(at=0.6, to=0.8, head="rest over noise", ends=True),
)


def parameter_blocks(found: Reread) -> Iterator[Block]:
    """Return the section on parameters; nothing where the take has none."""
    take, model = found.record.take, found.model
    rows = parameter_rows(take.numbers)
    if not rows:
        return
    yield from together(_parameter_table(rows, model))
    if model is not None:
        yield from _model(model)


def _parameter_table(rows: Sequence[ParameterRow], model: LumpedFit | None) -> Iterator[Block]:
    yield from heading("Small-signal parameters")
    if model is not None:
        yield Picture(lines=27, draw=lambda part: draw_model(_margins(part), model), least=23)
    yield table_head(_PARAMETERS)
    common = said_of_all(rows)
    for row in rows:
        own = "; ".join(part for part in row.how.split("; ") if part not in common)
        how = f"▲ {row.doubt}" if row.doubt else own
        texts = (row.symbol, row.value, row.interval, row.unit, how)
        yield from table_row(_PARAMETERS, texts, color=BAD if row.doubt else INK)
    doubts = set() if model is None else {p for d in model.doubts for p in d.reason.split("; ")}
    once = [part for part in common if part not in doubts]
    if once:
        yield from prose(f"All of them: {'; '.join(once)}.", color=INK2)


def _model(model: LumpedFit) -> Iterator[Block]:
    doubts = doubts_of(model)
    yield from heading("What speaks against them")
    for said in doubts:
        yield from prose(f"▲ {said}", color=BAD)
    if not doubts:
        yield from prose("Nothing that the impedance tells.", color=INK2)
    yield from together(_circuits(model))


def _circuits(model: LumpedFit) -> Iterator[Block]:
    yield from heading("The circuit behind them")
    words = circuit_words(model)
    yield from prose(f"{words[:1].upper()}{words[1:]}.")
    yield table_head(_CIRCUITS)
    for texts in candidate_rows(model):
        yield from table_row(_CIRCUITS, texts)


def _margins(part: "SubFigure") -> "SubFigure":
    part.subplots_adjust(left=0.06, right=0.94, top=0.93, bottom=0.07)
    return part
