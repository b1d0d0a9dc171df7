"""The curves of two takes in one plot, or one less the other."""

from dataclasses import dataclass

from app.desktop.plots.line import PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.presenters.measure_lines import Shown, difference_line, main_line
from app.desktop.presenters.measure_masks import plot_masks, relative_masks
from app.desktop.presenters.measure_names import quantity_name
from app.desktop.presenters.measure_stated import level_unit
from app.records.record import Record
from app.report.units import short_unit
from dsp.distortion.in_decibels import in_decibels

_OFFERED = ("level", "impedance", "thd", "high_order", "h2", "h3", "noise")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CurvesState:
    """What the plot of a comparison shows."""

    title: str
    unit: str
    lines: tuple[PlotLine, ...]
    masks: tuple[PlotMask, ...]
    hint: str


def offered_curves(old: Record, new: Record) -> tuple[tuple[str, str], ...]:
    """Return key and name of the curves that both takes have."""
    both = old.take.curves.keys() & new.take.curves.keys()
    return tuple((name, _begun(quantity_name(name))) for name in _OFFERED if name in both)


def curves_state(old: Record, new: Record, *, name: str, difference: bool) -> CurvesState:
    """Present a curve of two takes; ``difference``: new less old instead."""
    shown = Shown(take=new.take, number=new.number, slot=0)
    other = Shown(take=old.take, number=old.number, slot=1)
    pairs = [(one, one.take.curves.get(name)) for one in (shown, other)]
    curves = [(one, in_decibels(curve)) for one, curve in pairs if curve is not None]
    title = _begun(quantity_name(name))
    hint = "Only one of the two takes has this curve." if len(curves) == 1 else ""
    if not curves:
        return CurvesState(title=title, unit="", lines=(), masks=(), hint="No such curve.")
    masks = new.take.procedure.masks
    unit = curves[0][1].unit
    if difference:
        line = difference_line(shown, other, quantity=name, unit="")
        return CurvesState(
            title=f"{title}, {new.number} less {old.number}",
            unit=short_unit(unit),
            lines=() if line is None else (line,),
            masks=relative_masks(masks, quantities=(name,)),
            hint=hint,
        )
    stated = level_unit(new.take.procedure, chain=new.take.chain.chain)
    return CurvesState(
        title=title,
        unit=stated if name == "level" else short_unit(unit) if unit != "dB" else unit,
        lines=tuple(main_line(one, curve) for one, curve in curves),
        masks=plot_masks(
            masks,
            quantities=(name,),
            take=new.take,
            reference=None,
            broken_by={name: (shown.name,)},
        ),
        hint=hint,
    )


def _begun(name: str) -> str:
    return name[:1].upper() + name[1:]
