"""The fields under which a person finds the keys of an excitation: span, level, time and so on."""

from dataclasses import dataclass

from app.procedure.excitation_schema import (
    Excitation,
    File,
    LogSweep,
    Multitone,
    Noise,
    Series,
    SteppedSine,
    Tones,
    TwoTones,
)
from hardware.toml_model import FileModel

KINDS: dict[str, type[FileModel]] = {
    "log_sweep": LogSweep,
    "stepped_sine": SteppedSine,
    "tones": Tones,
    "noise": Noise,
    "multitone": Multitone,
    "two_tones": TwoTones,
    "file": File,
    "series": Series,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSpec:
    """One field: which keys it stands for, and in which unit.

    ``is_rare`` fields have defaults that hardly anybody changes.
    """

    id: str
    keys: tuple[str, ...]
    unit: str
    is_rare: bool = False


_SPAN = FieldSpec(id="span", keys=("start_hz", "stop_hz"), unit="Hz")
_LEVEL = FieldSpec(id="level", keys=("level_v_rms", "level_w"), unit="V rms")
_TIME = FieldSpec(id="time", keys=("duration_s",), unit="s")
_REPEAT = FieldSpec(id="repeat", keys=("repeat",), unit="×")
_LINES = FieldSpec(id="per_octave", keys=("per_octave",), unit="an octave")
_SEED = FieldSpec(id="seed", keys=("seed",), unit="", is_rare=True)

FIELDS: dict[str, tuple[FieldSpec, ...]] = {
    "log_sweep": (_SPAN, _LEVEL, _TIME, _REPEAT),
    "stepped_sine": (
        FieldSpec(id="zones", keys=("zones",), unit=""),
        _LEVEL,
        _REPEAT,
        FieldSpec(id="settle_periods", keys=("settle_periods",), unit="periods", is_rare=True),
        FieldSpec(id="settle_s", keys=("settle_s",), unit="s", is_rare=True),
        FieldSpec(id="hold_periods", keys=("hold_periods",), unit="periods", is_rare=True),
        FieldSpec(id="hold_s", keys=("hold_s",), unit="s", is_rare=True),
    ),
    "tones": (
        FieldSpec(id="tones", keys=("hz",), unit="Hz"),
        _LEVEL,
        FieldSpec(id="dwell", keys=("dwell_s",), unit="s"),
        _REPEAT,
    ),
    "noise": (
        FieldSpec(id="colour", keys=("colour",), unit=""),
        _SPAN,
        _LEVEL,
        _TIME,
        _REPEAT,
        FieldSpec(id="crest", keys=("crest_db",), unit="dB", is_rare=True),
        _SEED,
    ),
    "multitone": (_SPAN, _LINES, _LEVEL, _TIME, _REPEAT, _SEED),
    "two_tones": (
        FieldSpec(id="pair", keys=("start_hz", "stop_hz"), unit="Hz"),
        FieldSpec(id="ratio", keys=("ratio",), unit=": 1"),
        _LEVEL,
        _TIME,
        _REPEAT,
    ),
    "file": (
        FieldSpec(id="file", keys=("path",), unit=""),
        FieldSpec(id="channel", keys=("channel",), unit=""),
        _SPAN,
        _LEVEL,
        _REPEAT,
    ),
    "series": (_LEVEL, _REPEAT),
}


def field_of(kind: str, key: str) -> str:
    """Return the id of the field that a key belongs to; empty where none has it.

    ``key`` may be dotted, as messages name it: ``excitation.zones[2].to_hz``.
    """
    last = key.removeprefix("excitation.").split("[")[0].split(".")[0]
    return next((one.id for one in FIELDS[kind] if last in one.keys), "")


def part_of(excitation: Excitation, part: int | None) -> FileModel:
    """Return a part of a series, counted from 0; the whole excitation for None."""
    if part is None or not isinstance(excitation, Series):
        return excitation
    return excitation.parts[part]
