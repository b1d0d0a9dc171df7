"""The one curve that decided, with its mask; or the one number, where no curve was judged."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.presenters.decisive import Decisive, decisive
from app.desktop.presenters.figures import Fact, fact_of, value_text
from app.desktop.presenters.mark import mark_of
from app.desktop.presenters.measure_lines import Shown, main_line
from app.desktop.presenters.measure_masks import plot_masks
from app.desktop.presenters.measure_names import number_as, quantity_name
from app.procedure.schema import Mask
from app.records.take import Take
from dsp.conformity.verdict import Verdict
from dsp.distortion.in_decibels import in_decibels

# The curve in which a number can be seen.
_SEEN_IN: Mapping[str, str] = {
    "sensitivity_db": "level",
    **dict.fromkeys(("re_ohm", "fs_hz", "qms", "qes", "qts", "le_mh"), "impedance"),
}
# Irregular defects are seen in what is left of a sweep; takes of earlier versions have no such
# curve.
_IRREGULAR = frozenset(
    {"rub_buzz_db", "rub_buzz_high_order_db", "impulse_count", "noise_modulation", "random_peak_db"}
)
_UNITS: Mapping[str, str] = {"level": "dB re 20 µPa", "impedance": "Ω"}
_ROOM = 1.25  # the plot goes this much further than the mask, as a ratio of frequencies
_FREE = 0.12  # of the span of values, above and below them


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WhyState:
    """What the plot beside the verdict shows.

    Attributes
    ----------
    title, unit : str
        Of the plot.
    facts : tuple of Fact
        The number that decided, and its limits; empty where a curve did.
    lines, masks : tuple
        Empty where nothing over frequency was judged.
    span_hz : (low, high)
        What the plot shows, Hz.
    span : (low, high) or None
        Likewise of its values; None: as the lines need.
    mark_hz, mark_words : float or None, str
        Where the mask is broken, and by how much.
    hint : str
        What is told where there is no line.
    """

    title: str
    unit: str = ""
    facts: tuple[Fact, ...] = ()
    lines: tuple[PlotLine, ...] = ()
    masks: tuple[PlotMask, ...] = ()
    span_hz: tuple[float, float] = (20.0, 20_000.0)
    span: tuple[float, float] | None = None
    mark_hz: float | None = None
    mark_words: str = ""
    hint: str = "what decides will stand here"


def no_why() -> WhyState:
    """Present the plot before there is a verdict."""
    return WhyState(title="Why")


def why_state(take: Take, *, number: int, reference: Take | None) -> WhyState:
    """Present what decided a take."""
    masks = decisive(take)
    if not masks:
        return WhyState(title="No mask", hint="nothing decides without a mask")
    first = masks[0]
    facts = _facts(first, take=take) if first.quantity in take.numbers else ()
    quantity = _seen_in(first.quantity, take=take)
    title = _title(first, quantity=quantity)
    curve = take.curves.get(quantity)
    if curve is None:
        return WhyState(title=title, facts=facts)
    shown = Shown(take=take, number=number, slot=0)
    line = main_line(shown, in_decibels(curve))
    drawn = plot_masks(
        take.procedure.masks,
        quantities=(quantity,),
        take=take,
        reference=reference,
        broken_by={quantity: (shown.name,)},
    )
    span_hz = _span_hz(drawn)
    is_broken = first.verdict is Verdict.DOES_NOT_CONFORM and first.hz is not None
    return WhyState(
        title=title,
        unit="dB re fundamental" if curve.unit == "%" else _UNITS.get(quantity, curve.unit),
        facts=facts,
        lines=(line,),
        masks=drawn,
        span_hz=span_hz,
        span=_span(line, drawn, span_hz=span_hz),
        mark_hz=first.hz if is_broken else None,
        mark_words=f"{first.distance} {first.side} at {first.at}" if is_broken else "",
    )


def _seen_in(quantity: str, *, take: Take) -> str:
    """Return the curve that a quantity is, or in which it can be seen; empty for none."""
    if quantity in take.curves:
        return quantity
    if quantity in _IRREGULAR:
        return "residual" if "residual" in take.curves else "high_order"
    return _SEEN_IN.get(quantity, "")


def _title(one: Decisive, *, quantity: str) -> str:
    if one.verdict is Verdict.NOT_DECIDED and math.isnan(one.gap_db):
        return f"Not decided: {one.name}"
    word = "Closest to a limit" if one.verdict is Verdict.CONFORMS else "Why"
    seen = "" if quantity in {one.quantity, ""} else f", {quantity_name(quantity)}"
    return f"{word}: {one.name}{seen}"


def _facts(one: Decisive, *, take: Take) -> tuple[Fact, ...]:
    number, mask = take.numbers[one.quantity], take.procedure.masks.get(one.mask)
    shown = number_as(one.quantity, unit=number.unit)
    interval = None if number.uncertainty is None else number.uncertainty * shown.scale
    facts = [
        fact_of(
            shown.name,
            number.value * shown.scale,
            interval,
            unit=shown.unit,
            mark=mark_of(one.verdict),
        )
    ]
    if mask is not None:
        facts += _limits(mask, scale=shown.scale, unit=shown.unit, interval=interval)
    return tuple(facts)


def _limits(mask: Mask, *, scale: float, unit: str, interval: float | None) -> list[Fact]:
    about = " from reference" if mask.relative_to else ""
    return [
        Fact(name=f"{side} limit{about}", value=value_text(limit * scale, interval), unit=unit)
        for side, limit in (("upper", mask.upper), ("lower", mask.lower))
        if isinstance(limit, float | int)
    ]


def _span_hz(masks: tuple[PlotMask, ...]) -> tuple[float, float]:
    places = [float(hz) for mask in masks for hz in mask.hz]
    if not places:
        return 20.0, 20_000.0
    return max(20.0, min(places) / _ROOM), min(20_000.0, max(places) * _ROOM)


def _span(
    line: PlotLine, masks: tuple[PlotMask, ...], *, span_hz: tuple[float, float]
) -> tuple[float, float] | None:
    """Return what holds the masks and the curve beside them: limits are what it is about."""
    low, high = span_hz
    seen = line.y[(line.x >= low) & (line.x <= high)]
    values = np.concatenate([seen, *(mask.values for mask in masks)])
    values = values[np.isfinite(values)]
    if not masks or not values.size:
        return None
    least, most = float(values.min()), float(values.max())
    room = _FREE * (most - least)
    return least - room, most + room
