"""A predicted box: its curves as plots, its figures as a card, the limits of the model in words."""

import math
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.presenters.figures import Fact, fact_of, hz_text, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import PlotState
from app.desktop.presenters.measure_warnings import Said
from app.measure.box_design import BoxDesign
from dsp import Curve, Floats
from dsp.acoustic.air import Air
from dsp.box.enclosure import VentedBox
from dsp.box.limits import fast_m_per_s

HINT = "The predicted response appears here once masses and forces are known."
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
_HEADROOM, _SPAN_DB = 1.15, 60.0
_NUMBERS = (  # of the prediction: key, name, unit
    ("f3_hz", "f3", "Hz"),
    ("f10_hz", "f10", "Hz"),
    ("peak_db", "peak", "dB"),
    ("passband_db", "2.83 V, 1 m", "dB"),
    ("fc_hz", "fc", "Hz"),
    ("qtc", "Qtc", ""),
    ("alpha", "Vas / Vb", ""),
    ("tuning_ratio", "fb / fs", ""),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxCard:
    """What stands in the right column: the box, what it gives, what the power does, limits."""

    box: tuple[Fact, ...] = ()
    response: tuple[Fact, ...] = ()
    at_power: tuple[Fact, ...] = ()
    power_told: str = ""
    said: tuple[Said, ...] = ()
    limits: tuple[Said, ...] = ()


def box_level_plot(design: BoxDesign | None) -> PlotState:
    """Present the level for 2.83 V, and the most that the unit can give."""
    unit = "dB re 20 µPa, 1 m, half space"
    if design is None:
        return PlotState(unit=unit, hint=HINT, y=(50.0, 100.0))
    level = design.prediction.curves["level"]
    at_power = PlotLine(
        name=_watts(design),
        x=level.frequency_hz,
        y=level.value + design.louder_db,
        role=LineRole.H2,
        valid=(level.valid.low_hz, level.valid.high_hz),
    )
    lines = [_line("2.83 V", level, role=LineRole.TAKE), at_power]
    held = level.valid.holds(level.frequency_hz)
    top = float(np.nanmax(level.value[held])) + max(0.0, design.louder_db)
    if design.loudest is not None:  # where nothing but excursion binds it runs out of the plot
        lines.append(_line("most", design.loudest.level, role=LineRole.REFERENCE, take=0))
    upper = 10.0 * math.ceil((top + 3.0) / 10.0)
    return PlotState(unit=unit, lines=tuple(lines), valid=level.valid, y=(upper - _SPAN_DB, upper))


def box_excursion_plot(design: BoxDesign | None) -> PlotState:
    """Present the peak excursion at the chosen power, with what the unit can take."""
    if design is None:
        return PlotState(unit="mm, peak", hint="Excursion at the chosen power.", y=(0.0, 5.0))
    curve = design.prediction.curves["excursion"]
    lines = [_line(_watts(design), curve, role=LineRole.TAKE, decimals=2)]
    if (xmax := design.wish.xmax_m) is not None:
        lines.append(_limit("Xmax", curve, value=1e3 * xmax))
    return PlotState(unit="mm, peak", lines=tuple(lines), valid=curve.valid, y=_from_zero(lines))


def box_vent_plot(design: BoxDesign | None, *, air: Air) -> PlotState:
    """Present the speed of the air in the vent; of a closed box, or a vent unknown, say so."""
    curve = None if design is None else design.prediction.curves.get("vent_speed")
    if design is None or curve is None:
        closed = design is None or not isinstance(design.prediction.box, VentedBox)
        hint = "A closed box has no vent." if closed else "Type how wide the vent is: air speed."
        return PlotState(unit="m/s, peak", hint=hint, y=(0.0, 20.0))
    lines = [
        _line(_watts(design), curve, role=LineRole.TAKE),
        _limit("heard from", curve, value=fast_m_per_s(air)),
    ]
    return PlotState(unit="m/s, peak", lines=tuple(lines), valid=curve.valid, y=_from_zero(lines))


def box_impedance_plot(design: BoxDesign | None) -> PlotState:
    """Present the impedance in the box, to be compared with what is measured there."""
    if design is None:
        return PlotState(unit="Ω", hint="Impedance in the box.", y=(0.0, 40.0))
    curve = design.prediction.curves["impedance"]
    line = _line("in the box", curve, role=LineRole.TAKE, decimals=2)
    return PlotState(unit="Ω", lines=(line,), valid=curve.valid, y=_from_zero([line]))


def no_box(sentence: str) -> BoxCard:
    """Say why nothing is predicted."""
    return BoxCard(said=(Said(sentence=sentence, mark=Mark.INFO),))


def box_card(design: BoxDesign, *, air: Air) -> BoxCard:
    """Present figures, warnings and limits."""
    prediction = design.prediction
    return BoxCard(
        box=_box_facts(design),
        response=tuple(
            fact_of(
                name,
                prediction.numbers[key].value,
                prediction.numbers[key].uncertainty,
                unit=unit,
                note=prediction.numbers[key].how,
            )
            for key, name, unit in _NUMBERS
            if key in prediction.numbers
        ),
        at_power=_power_facts(design),
        power_told=_watts(design),
        said=_said(design, air=air),
        limits=tuple(
            Said(
                sentence=limit.words
                if limit.high_hz is None
                else f"{limit.words} Here to {hz_text(limit.high_hz)}."
            )
            for limit in prediction.limits
        ),
    )


def _box_facts(design: BoxDesign) -> tuple[Fact, ...]:
    box = design.prediction.box
    facts = [Fact(name="volume", value=value_text(1e3 * box.volume_m3), unit="l")]
    if isinstance(box, VentedBox):
        facts.append(Fact(name="tuning", value=value_text(box.tuning_hz), unit="Hz"))
        if box.vent is not None and box.vent.length_m is not None:
            cut = value_text(1e3 * box.vent.length_m)
            facts.append(Fact(name="vent, cut to", value=cut, unit="mm"))
    return tuple(facts)


def _power_facts(design: BoxDesign) -> tuple[Fact, ...]:
    curves = design.prediction.curves
    facts = [_largest("excursion", curves["excursion"], unit="mm", design=design)]
    if (speed := curves.get("vent_speed")) is not None:
        facts.append(_largest("air in vent", speed, unit="m/s", design=design))
    return tuple(facts)


def _largest(name: str, curve: Curve, *, unit: str, design: BoxDesign) -> Fact:
    value, hz = _highest(curve)
    limit = design.wish.xmax_m
    over = name == "excursion" and limit is not None and value > 1e3 * limit
    return Fact(
        name=name,
        value=value_text(float(f"{value:.2g}")),
        interval=f"at {hz_text(hz)}",
        unit=unit,
        mark=Mark.CAUTION if over else None,
    )


def _said(design: BoxDesign, *, air: Air) -> tuple[Said, ...]:
    said = [Said(sentence=_begun(one), mark=Mark.CAUTION) for one in design.warnings]
    curves, xmax = design.prediction.curves, design.wish.xmax_m
    most, at_hz = _highest(curves["excursion"])
    if xmax is not None and most > 1e3 * xmax:
        share = (1e3 * xmax / most) ** 2
        said.insert(
            0,
            Said(
                sentence=f"At {_watts(design)} the diaphragm goes beyond Xmax, most at "
                f"{hz_text(at_hz)}. Next: stay below {design.wish.watts * share:.2g} W there, or "
                "take a smaller box.",
                mark=Mark.CAUTION,
            ),
        )
    speed = curves.get("vent_speed")
    if speed is not None and _highest(speed)[0] > fast_m_per_s(air):
        said.insert(
            0,
            Said(
                sentence=f"At {_watts(design)} the vent is heard: its air goes faster than "
                f"{fast_m_per_s(air):.0f} m/s. Next: make it wider.",
                mark=Mark.CAUTION,
            ),
        )
    return tuple(said)


def _highest(curve: Curve) -> tuple[float, float]:
    at = int(np.nanargmax(curve.value))
    return float(curve.value[at]), float(curve.frequency_hz[at])


def _watts(design: BoxDesign) -> str:
    return f"{value_text(design.wish.watts)} W"


def _line(name: str, curve: Curve, *, role: LineRole, take: int = 1, decimals: int = 1) -> PlotLine:
    return PlotLine(
        name=name,
        x=curve.frequency_hz,
        y=np.where(np.isfinite(curve.value), curve.value, math.nan),
        role=role,
        take=take,
        interval=curve.uncertainty,
        valid=(curve.valid.low_hz, curve.valid.high_hz),
        high_reason=curve.valid.high_reason,
        decimals=decimals,
    )


def _limit(name: str, curve: Curve, *, value: float) -> PlotLine:
    level: Floats = np.full(curve.frequency_hz.shape, value)
    return PlotLine(
        name=name, x=curve.frequency_hz, y=level, role=LineRole.MASK_OLD, take=0, decimals=1
    )


def _from_zero(lines: list[PlotLine]) -> tuple[float, float]:
    top = max(float(np.nanmax(line.y)) for line in lines) * _HEADROOM
    return 0.0, next((step for step in _STEPS if step >= top), top)


def _begun(sentence: str) -> str:
    begun = sentence[:1].upper() + sentence[1:]
    return begun if begun.endswith(".") else f"{begun}."
