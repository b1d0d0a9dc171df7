"""The plots of the Measure bay: which curves and masks stand in which, in every view."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.presenters.measure_lines import (
    Shown,
    difference_line,
    floor_line,
    hidden_line,
    main_line,
    phase_line,
    side_line,
)
from app.desktop.presenters.measure_masks import plot_masks, relative_masks
from app.procedure.schema import Mask
from dsp import Curve, ValidRange
from dsp.distortion.in_decibels import in_decibels

_HARMONICS_SHOWN = ("h2", "h3")
_HARMONICS_ALL = ("h2", "h3", "h4", "h5")
_ROLES = {"h2": LineRole.H2, "h3": LineRole.H3, "h4": LineRole.H4, "h5": LineRole.H5}
_DISTORTION = ("thd", "high_order", *(f"h{order}" for order in range(2, 21)))
_LEVEL_SPAN_DB = 50.0
_DISTORTION_SPAN_DB = 65.0
_OHM_STEPS = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_WORDS_AT_MOST = 5
_NO_MICROPHONE = "Nothing here: this take has no microphone."
_NO_CURRENT = "Nothing here: this take has no current."
_NO_DISTORTION = "Nothing here: distortion needs a microphone and one tone at a time."
_HALF_SPANS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


class View(Enum):
    """What the middle column shows; V goes on to the next."""

    APART = "level and impedance apart"
    TOGETHER = "level and impedance on two axes"
    DISTORTION = "harmonics one by one"
    OVER_LEVEL = "distortion over the drive"
    TIME = "time and gate"


class PlotName(Enum):
    """The plots that there are; each view shows some of them."""

    LEVEL = "Level"
    IMPEDANCE = "Impedance"
    DISTORTION = "Distortion"
    LEVEL_IMPEDANCE = "Level and impedance"
    PHASE = "Phase"
    HARMONICS = "Harmonics"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlotState:
    """One plot.

    Attributes
    ----------
    unit : str
        What its head says after the title.
    lines, masks : tuples
        In drawing order, the chosen take first.
    valid : ValidRange or None
        Where what it is about may be believed.
    y, right : (low, high) or None
        Spans of the axes; None: as the lines need.
    hint : str
        What will appear; empty where something stands.
    is_stale : bool
        Whether it stands on a stale link.
    planned_from_hz : float or None
        Where the present gate will let the level begin, before there is any.
    is_difference : bool
        Whether there is nothing to be read at a right axis.
    """

    unit: str
    lines: tuple[PlotLine, ...] = ()
    masks: tuple[PlotMask, ...] = ()
    valid: ValidRange | None = None
    y: tuple[float, float] | None = None
    hint: str = ""
    is_stale: bool = False
    planned_from_hz: float | None = None
    is_difference: bool = False


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scene:
    """All that the plots are drawn from.

    Attributes
    ----------
    shown : tuple of Shown
        The chosen take first, then what lies over it; empty before there is any.
    reference : Shown or None
        What relative masks count from.
    masks : mapping of str to Mask
        Of the procedure that the chosen take was judged by; of the one on the bench without one.
    level_unit : str
        What the level is stated for.
    stale : frozenset of str
        Figures that stand on a stale link.
    difference : bool
        Whether differences are shown instead of the curves.
    planned_from_hz : float or None
        Where the gate on the bench will let the level begin; None where it is open.
    is_playing : bool
        Whether a take is being made: curves grow, and distortion waits for its end.
    """

    shown: tuple[Shown, ...]
    masks: Mapping[str, Mask]
    level_unit: str
    reference: Shown | None = None
    stale: frozenset[str] = field(default_factory=frozenset)
    difference: bool = False
    planned_from_hz: float | None = None
    is_playing: bool = False

    @property
    def chosen(self) -> Shown | None:
        """The take that is shown."""
        return self.shown[0] if self.shown else None

    @property
    def others(self) -> tuple[Shown, ...]:
        """What the chosen take is compared with."""
        reference = () if self.reference is None else (self.reference,)
        return self.shown[1:] or reference


def level_plot(scene: Scene) -> PlotState:
    """Present level and phase."""
    if scene.difference:
        return _differences(scene, quantities=("level",), unit="dB", span=10.0)
    lines = [*_mains(scene, "level")]
    if (phase := _chosen(scene, "level_phase")) is not None and scene.chosen:
        lines.insert(1, phase_line(scene.chosen, phase))
    if (noise := _chosen(scene, "noise")) is not None:
        lines.append(floor_line(noise))
    masks = _masks(scene, ("level", "noise"))
    return PlotState(
        unit=scene.level_unit,
        lines=tuple(lines),
        masks=masks,
        valid=_valid(scene, "level"),
        y=_level_span(scene, masks=masks),
        hint=_hint(scene, lines, soon="Level and phase appear here.", none=_NO_MICROPHONE),
        is_stale="level" in scene.stale,
        planned_from_hz=scene.planned_from_hz,
    )


def impedance_plot(scene: Scene) -> PlotState:
    """Present impedance and its phase."""
    if scene.difference:
        return _differences(scene, quantities=("impedance",), unit="Ω", span=2.0)
    lines = [*_mains(scene, "impedance")]
    if (phase := _chosen(scene, "impedance_phase")) is not None and scene.chosen:
        lines.insert(1, phase_line(scene.chosen, phase))
    masks = _masks(scene, ("impedance",))
    return PlotState(
        unit="Ω",
        lines=tuple(lines),
        masks=masks,
        valid=_valid(scene, "impedance"),
        y=_ohm_span(lines, masks=masks),
        hint=_hint(scene, lines, soon="Impedance and phase appear here.", none=_NO_CURRENT),
        is_stale="impedance" in scene.stale,
    )


def distortion_plot(scene: Scene) -> PlotState:
    """Present THD, the lowest harmonics and the high orders."""
    return _distortion(scene, harmonics=_HARMONICS_SHOWN)


def harmonics_plot(scene: Scene) -> PlotState:
    """Present harmonics one by one."""
    return _distortion(scene, harmonics=_HARMONICS_ALL)


def level_impedance_plot(scene: Scene) -> PlotState:
    """Present level at the left axis and impedance at the right one."""
    state = level_plot(scene)
    if scene.difference:
        return state
    level = [line for line in state.lines if line.role is not LineRole.PHASE]
    ohms = [
        side_line(
            one,
            curve,
            name="Z" if one.slot == 0 else f"Z {one.name}",
            role=LineRole.H2,  # dashed, and it keeps its place in the head
            right=True,
        )
        for one, curve in _curves(scene, "impedance")
        if one.slot is not None
    ]
    lines = (*level, *ohms)
    return PlotState(
        unit=f"{scene.level_unit}; Z in Ω",
        lines=lines,
        masks=tuple(mask for mask in state.masks if mask.name in _named(scene, ("level",))),
        valid=state.valid,
        y=state.y,
        hint=_hint(scene, lines, soon="Level and impedance appear here.", none=_NO_MICROPHONE),
        is_stale=bool({"level", "impedance"} & scene.stale),
    )


def phase_plot(scene: Scene) -> PlotState:
    """Present the phase of pressure and impedance on one axis."""
    if scene.difference:
        return _differences(
            scene, quantities=("level_phase", "impedance_phase"), unit="°", span=20.0
        )
    lines = [
        phase_line(one, curve, right=False, name=name if one.slot == 0 else f"{name} {one.name}")
        for quantity, name in (("level_phase", "pressure"), ("impedance_phase", "impedance"))
        for one, curve in _curves(scene, quantity)
        if one.slot is not None
    ]
    return PlotState(
        unit="°, delay taken out",
        lines=tuple(lines),
        masks=_masks(scene, ("level_phase", "impedance_phase")),
        valid=_valid(scene, "level_phase"),
        y=(-180.0, 180.0),
        hint=_hint(scene, lines, soon="Phase appears here.", none=_NO_MICROPHONE),
    )


def _distortion(scene: Scene, *, harmonics: tuple[str, ...]) -> PlotState:
    if scene.difference:
        return _differences(scene, quantities=("thd",), unit="dB", span=20.0)
    lines: list[PlotLine] = []
    for one, curve in _curves(scene, "thd"):
        name = "THD" if one.slot == 0 else one.name
        lines.append(
            side_line(
                one,
                curve,
                name=name,
                role=LineRole.THD if one.slot == 0 else one.role,
            )
        )
    chosen = scene.chosen
    if chosen is not None:
        lines += _orders(chosen, harmonics=harmonics)
        thd = _chosen(scene, "thd")
        hidden = hidden_line(chosen, thd, name="floor") if thd is not None else None
        lines += [hidden] if hidden else []
    masks = _masks(scene, _DISTORTION)
    return PlotState(
        unit="dB re fundamental",
        lines=tuple(lines),
        masks=masks,
        valid=_valid(scene, "thd"),
        y=_distortion_span(lines, masks=masks),
        hint="Distortion is derived when the excitation has ended."
        if scene.is_playing and not lines
        else _hint(scene, lines, soon="Distortion appears here.", none=_NO_DISTORTION),
    )


def _orders(chosen: Shown, *, harmonics: tuple[str, ...]) -> list[PlotLine]:
    curves = chosen.take.curves
    wanted = {name: name.upper() for name in harmonics} | {"high_order": "high"}
    return [
        side_line(
            chosen,
            in_decibels(curves[name]),
            name=called,
            role=LineRole.HIGH if name == "high_order" else _ROLES.get(name, LineRole.OTHER),
        )
        for name, called in wanted.items()
        if name in curves
    ]


def _differences(scene: Scene, *, quantities: tuple[str, ...], unit: str, span: float) -> PlotState:
    chosen = scene.chosen
    lines = [
        line
        for quantity in quantities
        for other in scene.others
        if chosen is not None
        and (line := difference_line(chosen, other, quantity=quantity, unit=unit)) is not None
    ]
    most = max((_largest(line) for line in lines), default=0.0)
    half = next((step for step in _HALF_SPANS if step > most), _HALF_SPANS[-1])
    hint = "Lay a take over this one (1 to 4), or make one the reference (Ctrl R)."
    return PlotState(
        unit=f"{unit}, difference",
        lines=tuple(lines),
        masks=relative_masks(scene.masks, quantities=quantities),
        y=(-max(half, span / 10), max(half, span / 10)),
        hint="" if lines else hint,
        is_difference=True,
    )


def _largest(line: PlotLine) -> float:
    low, high = line.valid or (0.0, math.inf)
    values = np.abs(line.y[(line.x >= low) & (line.x <= high)])
    return float(np.nanmax(values)) if np.isfinite(values).any() else 0.0


def _mains(scene: Scene, quantity: str) -> Iterable[PlotLine]:
    return [main_line(one, curve) for one, curve in _curves(scene, quantity)]


def _curves(scene: Scene, quantity: str) -> list[tuple[Shown, Curve]]:
    """Return a quantity of every take on the plots, the reference last."""
    takes: Sequence[Shown] = scene.shown
    on_plots = {one.take.id for one in takes}
    if scene.reference is not None and scene.reference.take.id not in on_plots:
        takes = (*takes, scene.reference)
    return [
        (one, in_decibels(curve))
        for one in takes
        if (curve := one.take.curves.get(quantity)) is not None
    ]


def _chosen(scene: Scene, quantity: str) -> Curve | None:
    if scene.chosen is None:
        return None
    curve = scene.chosen.take.curves.get(quantity)
    return None if curve is None else in_decibels(curve)


def _masks(scene: Scene, quantities: tuple[str, ...]) -> tuple[PlotMask, ...]:
    chosen = scene.chosen
    names = tuple(one.name for one in scene.shown)
    broken_by = {
        "thd": ("THD",),
        "high_order": ("high",),
        "level_phase": ("pressure",),
        "impedance_phase": ("impedance",),
        **{f"h{order}": (f"H{order}",) for order in range(2, 21)},
        "level": names,
        "impedance": names,
        "noise": ("noise",),
    }
    return plot_masks(
        scene.masks,
        quantities=quantities,
        take=chosen.take if chosen else None,
        reference=scene.reference.take if scene.reference else None,
        broken_by=broken_by,
    )


def _named(scene: Scene, quantities: tuple[str, ...]) -> set[str]:
    return {name for name, mask in scene.masks.items() if mask.quantity in quantities}


def _valid(scene: Scene, quantity: str) -> ValidRange | None:
    curve = _chosen(scene, quantity)
    return None if curve is None else curve.valid


def _hint(scene: Scene, lines: Sequence[PlotLine], *, soon: str, none: str) -> str:
    if lines or scene.is_playing:
        return ""
    return soon if scene.chosen is None else none


def _level_span(scene: Scene, *, masks: Sequence[PlotMask]) -> tuple[float, float]:
    """Span fifty decibels with the curves and their masks at the top of it."""
    tops = [float(np.max(mask.values)) for mask in masks]
    for _, curve in _curves(scene, "level"):
        held = curve.value[curve.valid.holds(curve.frequency_hz)]
        if held.size and np.isfinite(held).any():
            tops.append(float(np.nanmax(held)))
    top = 10.0 * math.ceil((max(tops, default=95.0) + 3.0) / 10.0)
    return (top - _LEVEL_SPAN_DB, top)


def _distortion_span(
    lines: Sequence[PlotLine], *, masks: Sequence[PlotMask]
) -> tuple[float, float]:
    """Span 65 dB; a ratio of more than one says nothing more."""
    tops = [float(np.max(mask.values)) for mask in masks]
    tops += [float(np.nanmax(line.y)) for line in lines if np.isfinite(line.y).any()]
    top = min(0.0, 10.0 * math.ceil(max(tops, default=-18.0) / 10.0))
    return (top - _DISTORTION_SPAN_DB, top)


def _ohm_span(lines: Sequence[PlotLine], *, masks: Sequence[PlotMask]) -> tuple[float, float]:
    tops = [float(np.max(mask.values)) for mask in masks]
    tops += [
        float(np.nanmax(line.y)) for line in lines if not line.right and np.isfinite(line.y).any()
    ]
    top = max(tops, default=38.0) * 1.05
    step = next((one for one in _OHM_STEPS if top / one <= _WORDS_AT_MOST), _OHM_STEPS[-1])
    return (0.0, step * math.ceil(top / step))
