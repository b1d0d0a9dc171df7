"""Change what a procedure plays, held to the rules of its file; a refusal names the field."""

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.procedure.audio_file import AudioRefusedError, read_audio
from app.procedure.excitation_fields import FIELDS, KINDS, part_of
from app.procedure.excitation_schema import Excitation, Level, Series
from app.procedure.loaded import LoadedProcedure
from hardware.errors import ValueRefusedError
from hardware.toml_edit import node_at, with_values
from hardware.toml_lines import Place
from hardware.toml_model import FileModel
from hardware.typed import typed_number, typed_value

_CARRIED = ("level_v_rms", "level_w", "repeat", "start_hz", "stop_hz", "duration_s", "seed")
_LOWER_HZ, _HIGHER_HZ = 60.0, 7000.0
_ZONE = re.compile(r"(?P<from>.+?)(?:–|-|\bto\b|…)(?P<to>.+?)(?:/|×|x|\bat\b|,)(?P<each>.+)")
_PAIR = re.compile(r"(?P<low>.+?)(?:–|(?<!^)-|\bto\b|…)(?P<high>.+)")


def with_typed(
    loaded: LoadedProcedure, field: str, text: str, *, part: int | None = None
) -> LoadedProcedure:
    """Return the procedure with one field changed as typed.

    Parameters
    ----------
    loaded : LoadedProcedure
        As it is.
    field : str
        Id as in ``excitation_fields``. The level keeps its unit; see ``with_level_unit``.
    text : str
        As typed: ``20 – 20 000`` for a span, ``60, 100, 160`` for tones,
        ``20000 – 2500 / 12; 190 – 40 / 12`` for zones.
    part : int or None
        Of a series, counted from 0.

    Raises
    ------
    ValueRefusedError
        What was given and what is allowed; its key is a key of the excitation.
    """
    now = part_of(loaded.procedure.excitation, part)
    kind = str(getattr(now, "kind"))  # noqa: B009  every kind has one, their base has not
    spec = next(one for one in FIELDS[kind] if one.id == field)
    match field:
        case "span" | "pair":
            low, high = _pair(text, key=spec.keys[0])
            values: dict[str, object] = {"start_hz": low, "stop_hz": high}
        case "level":
            values = {_level_key(now, loaded): _typed(text, now, _level_key(now, loaded))}
        case "tones":
            values = {"hz": _list(text)}
        case "zones":
            values = {"zones": _zones(text)}
        case "file":
            return with_file(loaded, Path(text), part=part)
        case "channel":
            channel = _typed(text, now, "channel") or 1
            return with_file(loaded, Path(getattr(now, "path", "")), channel=channel, part=part)
        case _:
            values = {spec.keys[0]: _typed(text, now, spec.keys[0])}
    return _with(loaded, values, part=part)


def with_kind(loaded: LoadedProcedure, kind: str, *, part: int | None = None) -> LoadedProcedure:
    """Return the procedure with another kind of excitation, as like the last one as can be.

    Level, span, time and repeats go along where the new kind has them. For a file, see
    ``with_file``; a series begins with what there was as its only part, and its first part
    remains where it ends.
    """
    now = part_of(loaded.procedure.excitation, part)
    if getattr(now, "kind", "") == kind:
        return loaded
    place = _place(loaded, part)
    given = now.model_dump(exclude_unset=True)
    if isinstance(now, Series):
        given = {**_levels(given), **given["parts"][0]}
        if given["kind"] == kind:
            return _put(loaded, place, given)
    if kind == "series":
        return _put(loaded, place, {"kind": kind, "parts": [given], **_levels(given)})
    fields = KINDS[kind].model_fields
    carried = {key: given[key] for key in _CARRIED if key in given and key in fields}
    new = {"kind": kind, **carried, **_needed(kind, span=_span(now))}
    try:
        return _put(loaded, place, new)
    except ValueRefusedError:  # a time that the other kind does not take: its own default
        new.pop("duration_s", None)
        return _put(loaded, place, new)


def with_level_unit(
    loaded: LoadedProcedure, unit: str, *, nominal_ohm: float | None, part: int | None = None
) -> LoadedProcedure:
    """Return the procedure with its level in ``V`` or ``W``, the same level as before.

    Raises
    ------
    ValueRefusedError
        The chain states no nominal impedance.
    """
    now = part_of(loaded.procedure.excitation, part)
    old = _level_key(now, loaded)
    new = "level_w" if unit == "W" else "level_v_rms"
    if old == new:
        return loaded
    if nominal_ohm is None:
        raise ValueRefusedError(
            new, "the chain has no nominal impedance", allowed="ohm, in the Chain bay"
        )
    value = getattr(now, old) if isinstance(now, Level) else None
    if value is None:  # the series' own level holds
        return loaded
    changed = value**2 / nominal_ohm if new == "level_w" else math.sqrt(value * nominal_ohm)
    return _with(loaded, {old: None, new: float(f"{changed:.6g}")}, part=part)


def with_file(
    loaded: LoadedProcedure, path: Path, *, channel: int = 1, part: int | None = None
) -> LoadedProcedure:
    """Return the procedure with an audio file as its excitation; its samples come along.

    Raises
    ------
    ValueRefusedError
        No such file, not audio, too long, or without that channel.
    """
    now = part_of(loaded.procedure.excitation, part)
    try:
        audio = read_audio(Path(loaded.file).parent / path, channel=channel)
    except AudioRefusedError as error:
        raise ValueRefusedError(
            error.key, error.what, given=error.given, allowed=error.allowed
        ) from error
    given = now.model_dump(exclude_unset=True)
    kept = _levels(given) if isinstance(now, Series) else given
    fields = KINDS["file"].model_fields
    new = {key: value for key, value in kept.items() if key in fields and key in _CARRIED}
    new |= {"kind": "file", "path": str(path), "channel": channel}
    changed = _put(loaded, _place(loaded, part), new)
    name = str(path) if channel == 1 else f"{path}#{channel}"
    return replace(
        changed,
        audio={**loaded.audio, name: audio.samples},
        audio_rate_hz={**loaded.audio_rate_hz, name: audio.rate_hz},
    )


def with_part(loaded: LoadedProcedure, kind: str, *, after: int) -> LoadedProcedure:
    """Return the procedure with one more part in its series, like the one that it follows."""
    excitation = loaded.procedure.excitation
    if not isinstance(excitation, Series):
        return loaded
    parts = excitation.model_dump(exclude_unset=True)["parts"]
    grown = [*parts[: after + 1], parts[after], *parts[after + 1 :]]
    changed = _put(loaded, ("excitation", "parts"), grown)
    return with_kind(changed, kind, part=after + 1)


def without_part(loaded: LoadedProcedure, part: int) -> LoadedProcedure:
    """Return the procedure without one part of its series; the last part cannot go."""
    excitation = loaded.procedure.excitation
    if not isinstance(excitation, Series):
        return loaded
    parts = list(excitation.model_dump(exclude_unset=True)["parts"])
    del parts[part]
    return _put(loaded, ("excitation", "parts"), parts)


def _with(
    loaded: LoadedProcedure, values: dict[str, object], *, part: int | None
) -> LoadedProcedure:
    place = _place(loaded, part)
    changed = with_values(loaded.procedure, {(*place, key): value for key, value in values.items()})
    return replace(loaded, procedure=changed)


def _put(loaded: LoadedProcedure, place: Place, value: object) -> LoadedProcedure:
    return replace(loaded, procedure=with_values(loaded.procedure, {place: value}))


def _place(loaded: LoadedProcedure, part: int | None) -> Place:
    is_part = part is not None and isinstance(loaded.procedure.excitation, Series)
    return ("excitation", "parts", part) if is_part and part is not None else ("excitation",)


def _typed(text: str, now: FileModel, key: str) -> Any:
    return typed_value(text, key=key, node=node_at(type(now), (key,)))


def _levels(given: dict[str, Any]) -> dict[str, Any]:
    return {key: given[key] for key in ("level_v_rms", "level_w") if given.get(key) is not None}


def _level_key(now: FileModel, loaded: LoadedProcedure) -> str:
    # A part without a level of its own takes one in the unit of its series.
    for one in (now, loaded.procedure.excitation):
        if isinstance(one, Level) and one.has_level:
            return "level_w" if one.level_w is not None else "level_v_rms"
    return "level_v_rms"


def _span(now: FileModel | Excitation) -> tuple[float, float]:
    if isinstance(now, Series):
        now = now.parts[0]
    if (zones := getattr(now, "zones", None)) is not None:
        ends = [hz for zone in zones for hz in (zone.from_hz, zone.to_hz)]
    elif (tones := getattr(now, "hz", None)) is not None:
        ends = list(tones)
    else:
        ends = [getattr(now, "start_hz", 20.0), getattr(now, "stop_hz", 20_000.0)]
    low, high = min(ends), max(ends)
    return (low, high) if low < high else (20.0, 20_000.0)


def _needed(kind: str, *, span: tuple[float, float]) -> dict[str, Any]:
    """Return what a kind has no default for, and a span where the last one was said otherwise."""
    low, high = span
    match kind:
        case "stepped_sine":
            return {"zones": [{"from_hz": high, "to_hz": low, "per_octave": 12}]}
        case "tones":
            return {"hz": [float(f"{math.sqrt(low * high):.2g}")]}
        case "two_tones":  # the ends of a span would be the worst of pairs
            return {"start_hz": _LOWER_HZ, "stop_hz": _HIGHER_HZ}
        case _:
            return {"start_hz": low, "stop_hz": high}


def _pair(text: str, *, key: str) -> tuple[float, float]:
    found = _PAIR.fullmatch(text.strip().removesuffix("Hz"))
    if found is None:
        raise ValueRefusedError(
            key, "not a span", given=text.strip() or "nothing", allowed="20 – 20 000"
        )
    return (
        typed_number(found["low"], key="start_hz", unit="Hz"),
        typed_number(found["high"], key="stop_hz", unit="Hz"),
    )


def _list(text: str) -> list[float]:
    parts = [part for part in re.split(r"[;,]\s*", text.strip().removesuffix("Hz")) if part.strip()]
    return [typed_number(part, key="hz", unit="Hz") for part in parts]


def _zones(text: str) -> list[dict[str, float]]:
    zones = []
    for part in filter(str.strip, re.split(r"[;\n]", text)):
        found = _ZONE.fullmatch(part.strip())
        if found is None:
            raise ValueRefusedError(
                "zones", "not a zone", given=part.strip(), allowed="20 000 – 2500 / 12"
            )
        each = typed_number(found["each"], key="zones")
        if each != round(each):
            raise ValueRefusedError("zones", "not a whole number", given=found["each"].strip())
        zones.append(
            {
                "from_hz": typed_number(found["from"], key="zones", unit="Hz"),
                "to_hz": typed_number(found["to"], key="zones", unit="Hz"),
                "per_octave": round(each),
            }
        )
    return zones
