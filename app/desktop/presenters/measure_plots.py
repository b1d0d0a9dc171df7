"""The plots of the Measure bay: which curves and masks stand in which, in every view."""

from collections.abc import Iterable, Sequence

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
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
from app.desktop.presenters.measure_names import quantity_name
from app.desktop.presenters.measure_scene import PlotState, Scene
from app.desktop.presenters.measure_spans import (
    difference_span,
    distortion_span,
    level_span,
    ohm_span,
)
from app.measure.keep_merged import is_merged
from dsp import Curve, ValidRange
from dsp.distortion.in_decibels import in_decibels

_HARMONICS_SHOWN = ("h2", "h3")
_HARMONICS_ALL = ("h2", "h3", "h4", "h5")
_ROLES = {"h2": LineRole.H2, "h3": LineRole.H3, "h4": LineRole.H4, "h5": LineRole.H5}
_DISTORTION = ("thd", "high_order", *(f"h{order}" for order in range(2, 21)))
_SEVERAL = 2
_NO_MICROPHONE = "Nothing here: this take has no microphone."
_NO_CURRENT = "Nothing here: this take has no current."
_MERGED = "Nothing here: level and phase alone were merged."
_NO_DISTORTION = "Nothing here: distortion needs a microphone and one tone at a time."


def level_plot(scene: Scene) -> PlotState:
    """Present level and phase."""
    if scene.difference:
        return _differences(scene, quantities=("level",), unit="dB", least=1.0)
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
        y=level_span(lines, masks=masks),
        hint=_hint(scene, lines, soon="Level and phase appear here.", none=_NO_MICROPHONE),
        mark=scene.marks.get("level"),
        planned_from_hz=scene.planned_from_hz,
    )


def impedance_plot(scene: Scene) -> PlotState:
    """Present impedance and its phase."""
    if scene.difference:
        return _differences(scene, quantities=("impedance",), unit="Ω", least=0.2)
    lines = [*_mains(scene, "impedance")]
    if (phase := _chosen(scene, "impedance_phase")) is not None and scene.chosen:
        lines.insert(1, phase_line(scene.chosen, phase))
    masks = _masks(scene, ("impedance",))
    return PlotState(
        unit="Ω",
        lines=tuple(lines),
        masks=masks,
        valid=_valid(scene, "impedance"),
        y=ohm_span(lines, masks=masks),
        hint=_hint(scene, lines, soon="Impedance and phase appear here.", none=_NO_CURRENT),
        mark=scene.marks.get("impedance"),
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
        mark=scene.marks.get("level") or scene.marks.get("impedance"),
    )


def phase_plot(scene: Scene) -> PlotState:
    """Present the phase of pressure and impedance on one axis."""
    if scene.difference:
        return _differences(
            scene, quantities=("level_phase", "impedance_phase"), unit="°", least=2.0
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
        return _differences(scene, quantities=("thd",), unit="dB", least=2.0)
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
        y=distortion_span(lines, masks=masks),
        mark=scene.marks.get("thd"),
        notes=_which(scene, masks),
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


def _differences(
    scene: Scene, *, quantities: tuple[str, ...], unit: str, least: float
) -> PlotState:
    chosen = scene.chosen
    lines = [
        line
        for quantity in quantities
        for other in scene.others
        if chosen is not None
        and (line := difference_line(chosen, other, quantity=quantity, unit=unit)) is not None
    ]
    masks = relative_masks(scene.masks, quantities=quantities)
    hint = "Lay a take over this one (1 to 4), or make one the reference (Ctrl R)."
    return PlotState(
        unit=f"{unit}, difference",
        lines=tuple(lines),
        masks=masks,
        y=difference_span(lines, masks=masks, least=least),
        hint="" if lines else hint,
        is_difference=True,
    )


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


def _which(scene: Scene, masks: Sequence[PlotMask]) -> tuple[PlotNote, ...]:
    """Name each mask at its lower end, where there are those of several quantities."""
    quantities = {mask.name: scene.masks[mask.name].quantity for mask in masks}
    if len(set(quantities.values())) < _SEVERAL:
        return ()
    return tuple(
        PlotNote(
            hz=float(mask.hz[0]),
            value=float(mask.values[0]),
            words=quantity_name(quantities[mask.name]),
            below=mask.sense == "lower",
        )
        for mask in masks
        if not mask.is_single
    )


def _named(scene: Scene, quantities: tuple[str, ...]) -> set[str]:
    return {name for name, mask in scene.masks.items() if mask.quantity in quantities}


def _valid(scene: Scene, quantity: str) -> ValidRange | None:
    curve = _chosen(scene, quantity)
    return None if curve is None else curve.valid


def _hint(scene: Scene, lines: Sequence[PlotLine], *, soon: str, none: str) -> str:
    if lines or scene.is_playing:
        return ""
    if scene.chosen is None:
        return soon
    return _MERGED if is_merged(scene.chosen.take) else none
