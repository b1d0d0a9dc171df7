"""Two or three takes of one unit as one response: near field below, gated far field above."""

from dataclasses import dataclass, replace

from app.errors import BadInputError
from app.measure.areas import geometry_of
from app.measure.drive_level import stated_v_rms
from app.measure.low_ends import LowEnd, low_ends
from app.measure.surroundings import air_of, radiator_of
from app.records.take import Take
from dsp import Curve, DspError
from dsp.near_field.merge import Merged, merge
from dsp.near_field.response import Response
from dsp.near_field.scale import moved_out, together


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MergedTakes:
    """A response out of takes.

    Attributes
    ----------
    merged : Merged
        Level and phase for the far take's voltage and distance.
    parts : (Curve, Curve)
        Levels of near and far field before, for the same voltage and distance.
    near, far, vent : str
        Ids of the takes; ``vent`` is None where none was added.
    unit, lot : str or None
        The far take's.
    low_ends : tuple of LowEnd
        What ends either field below, each named; the highest of the far field's counts there.
    warnings : tuple of str
        One sentence each.
    """

    merged: Merged
    parts: tuple[Curve, Curve]
    near: str
    far: str
    vent: str | None
    unit: str | None
    lot: str | None
    low_ends: tuple[LowEnd, ...]
    warnings: tuple[str, ...]


def merge_takes(
    near: Take,
    *,
    far: Take,
    vent: Take | None = None,
    asked_hz: tuple[float, float] | None = None,
) -> MergedTakes:
    """Merge takes of one unit.

    Parameters
    ----------
    near : Take
        Near field of the diaphragm: mounting ``near_field``, ``radiator_cm2`` given.
    far : Take
        Any other mounting; gated where a room reflects.
    vent : Take or None
        Near field of a vent's mouth, added to the diaphragm's with its phase.
    asked_hz : (low, high) or None
        Hz, where to fade; None: suggested.

    Returns
    -------
    MergedTakes

    Raises
    ------
    BadInputError
        A take that is not what it is to be, or lacks level or phase; no span that both hold in.
    """
    if far.procedure.geometry.mounting == "near_field":
        raise BadInputError(f"take {far.id[:8]}", "is a near field itself", allowed="a far field")
    distant = _response(far)
    close = _out_there(near, far=far)
    if vent is not None:
        for take in (near, vent):
            delay = take.numbers["delay_s"]
            if not delay.trusted:
                what = f"cannot be added with its phase: {delay.reason}"
                raise BadInputError(f"take {take.id[:8]}", what)
        close = _with_vent(close, vent=_out_there(vent, far=far))
    try:
        merged = merge(close, far=distant, asked_hz=asked_hz)
    except DspError as error:
        raise BadInputError(
            f"takes {near.id[:8]} and {far.id[:8]}",
            error.what,
            given=error.given,
            allowed=error.allowed,
        ) from error
    return MergedTakes(
        merged=merged,
        parts=(close.level(), distant.level()),
        near=near.id,
        far=far.id,
        vent=vent.id if vent else None,
        unit=far.unit,
        lot=far.lot,
        low_ends=(*low_ends(far, of="far field"), *low_ends(near, of="near field")),
        warnings=_warnings(near, far=far, vent=vent, merged=merged),
    )


def _response(take: Take) -> Response:
    found = [take.curves.get(name) for name in ("level", "level_phase")]
    level, phase, delay = *found, take.numbers.get("delay_s")
    if level is None or phase is None or delay is None:
        raise BadInputError(f"take {take.id[:8]}", "has no level with its phase")
    return Response.of_curves(level, phase=phase, delay_s=delay.value)


def _out_there(take: Take, *, far: Take) -> Response:
    # A near field as it would be heard from the far take's place, for its voltage.
    geometry = geometry_of(take.procedure)
    radiator = radiator_of(geometry)
    if radiator is None:
        raise BadInputError(
            f"take {take.id[:8]}",
            "is no near field that can be scaled",
            given=f"mounting {geometry.mounting}, radiator_cm2 {geometry.radiator_cm2}",
            allowed="mounting near_field with radiator_cm2",
        )
    there = far.procedure.geometry
    moved = moved_out(
        _response(take),
        radiator=radiator,
        distance_m=there.distance_m,
        air=air_of(take.chain.chain.ambient),
    )
    louder = _volts(far) / _volts(take) * geometry.reference_distance_m / there.reference_distance_m
    return replace(moved, pressure=louder * moved.pressure)


def _volts(take: Take) -> float:
    volts = stated_v_rms(take.procedure, chain=take.chain.chain)
    if volts is None:
        raise BadInputError(
            f"take {take.id[:8]}", "the voltage of its level is not known", allowed="level_v_rms"
        )
    return volts


def _with_vent(close: Response, *, vent: Response) -> Response:
    close, vent = close.known, vent.known
    low = max(close.frequency_hz[0], vent.frequency_hz[0])
    high = min(close.frequency_hz[-1], vent.frequency_hz[-1])
    hz = close.frequency_hz
    hz = hz[(hz >= low) & (hz <= high)]
    return together(close.at(hz), vent.at(hz))


def _warnings(near: Take, *, far: Take, vent: Take | None, merged: Merged) -> tuple[str, ...]:
    said = []
    others = [near, *([vent] if vent else [])]
    if any(take.unit != far.unit for take in others):
        said.append("the takes are of different units")
    if any(take.chain.chain.name != far.chain.chain.name for take in others):
        said.append("the takes were recorded through different chains")
    if merged.offset.reason:
        said.append(f"the levels differ by {merged.offset.value:.2f} dB, {merged.offset.reason}")
    if merged.inverted:
        said.append("the near field had the other sign; it was turned")
    edge_m = far.procedure.geometry.baffle_edge_m
    if far.procedure.geometry.mounting == "baffle" and edge_m is None:
        said.append(
            "the baffle's size is not given (geometry.baffle_edge_m): below half a wave to its "
            "edge the far field is not that of half space"
        )
    return tuple(said)
