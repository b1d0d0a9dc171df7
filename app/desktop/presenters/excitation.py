"""The card of the excitation: every kind that a procedure may play, each with its own fields."""

from dataclasses import dataclass

from app.desktop.presenters.figures import minus
from app.procedure.excitation_fields import FIELDS, FieldSpec, field_of, part_of
from app.procedure.excitation_schema import Excitation, Level, Series, SteppedSine, Tones
from hardware.errors import ValueRefusedError
from hardware.toml_model import FileModel

KINDS = (
    ("log_sweep", "log sweep"),
    ("stepped_sine", "stepped sine"),
    ("tones", "tones"),
    ("noise", "noise"),
    ("multitone", "multitone"),
    ("two_tones", "two tones"),
    ("file", "audio file"),
    ("series", "series"),
)
LEVEL_UNITS = (("V", "V rms"), ("W", "W"))
_COLOURS = (("pink", "pink"), ("white", "white"))
_LABELS = {
    "span": "Span",
    "pair": "Tones",
    "ratio": "Ratio",
    "level": "Level",
    "time": "Time",
    "repeat": "Repeat",
    "zones": "Zones",
    "tones": "Tones",
    "dwell": "Each",
    "colour": "Colour",
    "per_octave": "Lines",
    "file": "File",
    "channel": "Channel",
    "seed": "Seed",
    "crest": "Crest",
    "settle_periods": "Settle",
    "settle_s": "or",
    "hold_periods": "Read",
    "hold_s": "or",
}
_PAIRS = frozenset({"span", "pair"})
_GROUPED_FROM = 10_000
_WHOLE = frozenset({"repeat", "per_octave", "channel", "seed"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """What was typed into a field and not taken.

    ``text`` None: the value stands in the procedure, but the chain must not play it.
    """

    field: str
    sentence: str
    text: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcitationField:
    """One field of the card.

    Attributes
    ----------
    id : str
        For ``edit_excitation.with_typed``.
    label, text, unit : str
        As shown; ``text`` may be what was typed and refused.
    choices : tuple of (key, text)
        Where it is chosen instead of typed.
    units : tuple of (key, text)
        Where the unit is chosen, too.
    refusal : str
        Stands under the field; empty where there is none.
    placeholder : str
        What holds where nothing stands in it.
    is_rare : bool
        Whether it may be folded away.
    is_whole : bool
        Whether it steps by one.
    """

    id: str
    label: str
    text: str
    unit: str
    choices: tuple[tuple[str, str], ...] = ()
    units: tuple[tuple[str, str], ...] = ()
    refusal: str = ""
    placeholder: str = ""
    is_rare: bool = False
    is_whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcitationCard:
    """The whole card.

    Attributes
    ----------
    kind : str
        As in the procedure file.
    kind_text : str
        In words.
    kinds : tuple of (key, text)
        To choose from; a part of a series is no series itself.
    fields : tuple of ExcitationField
        In the order in which they stand.
    level_unit : str
        ``V`` or ``W``.
    parts : tuple of str
        Of a series, in words; empty otherwise.
    part : int or None
        Which of them the fields are about; None: the series as a whole.
    """

    kind: str
    kind_text: str
    kinds: tuple[tuple[str, str], ...]
    fields: tuple[ExcitationField, ...]
    level_unit: str
    parts: tuple[str, ...] = ()
    part: int | None = None


def excitation_card(
    excitation: Excitation, *, part: int | None = None, refused: Refused | None = None
) -> ExcitationCard:
    """Present an excitation, or a part of a series.

    Parameters
    ----------
    excitation : Excitation
        Of the procedure.
    part : int or None
        Counted from 0.
    refused : Refused or None
        What the person typed last, if it was not taken.
    """
    is_series = isinstance(excitation, Series)
    shown = part_of(excitation, part)
    kind = _kind(shown)
    of_part = is_series and part is not None
    series_level = excitation if of_part else None
    level_unit = _level_unit(shown, series_level)
    return ExcitationCard(
        kind=kind,
        kind_text=dict(KINDS)[kind],
        kinds=KINDS[:-1] if of_part else KINDS,
        fields=tuple(
            _field(spec, shown, level_unit=level_unit, series=series_level, refused=refused)
            for spec in FIELDS[kind]
        ),
        level_unit=level_unit,
        parts=tuple(
            f"{number} {dict(KINDS)[_kind(one)]}"
            for number, one in enumerate(excitation.parts, start=1)
        )
        if isinstance(excitation, Series)
        else (),
        part=part if is_series else None,
    )


def refused_of(error: ValueRefusedError, *, kind: str, field: str, text: str) -> Refused:
    """Place a refusal beside the field that it is about; beside the typed one where unsure."""
    return Refused(field=field_of(kind, error.key) or field, sentence=error.sentence, text=text)


def refused_by_chain(where: str, sentence: str, *, kind: str) -> Refused | None:
    """Place what a chain must not play; None where the chain's own side is to be changed.

    Parameters
    ----------
    where, sentence : str
        Of the ``BadInputError``; the last word of ``where`` is the key.
    kind : str
        Of what the card shows.
    """
    field = field_of(kind, where.split(" ")[-1]) if where else ""
    return Refused(field=field, sentence=sentence) if field else None


def _kind(shown: FileModel) -> str:
    return str(getattr(shown, "kind"))  # noqa: B009  every kind has one, their base has not


def _level_unit(shown: FileModel, series: Level | None) -> str:
    for one in (shown, series):
        if isinstance(one, Level) and one.has_level:
            return "W" if one.level_w is not None else "V"
    return "V"


def _field(
    spec: FieldSpec,
    shown: FileModel,
    *,
    level_unit: str,
    series: Level | None,
    refused: Refused | None,
) -> ExcitationField:
    own = refused if refused is not None and refused.field == spec.id else None
    is_level = spec.id == "level"
    text = _text(spec, shown)
    return ExcitationField(
        id=spec.id,
        label=_LABELS[spec.id],
        text=own.text if own is not None and own.text is not None else text,
        unit=dict(LEVEL_UNITS)[level_unit] if is_level else spec.unit,
        choices=_COLOURS if spec.id == "colour" else (),
        units=LEVEL_UNITS if is_level else (),
        refusal=own.sentence if own is not None else "",
        placeholder=_level_text(series) if is_level and series is not None else "",
        is_rare=spec.is_rare,
        is_whole=spec.id in _WHOLE,
    )


def _text(spec: FieldSpec, shown: FileModel) -> str:
    match shown:
        case SteppedSine(zones=zones) if spec.id == "zones":
            return "; ".join(
                f"{number_text(one.from_hz)} – {number_text(one.to_hz)} / {one.per_octave}"
                for one in zones
            )
        case Tones(hz=hz) if spec.id == "tones":
            return ", ".join(number_text(one) for one in hz)
        case Level() if spec.id == "level":
            return _level_text(shown)
        case _ if spec.id in _PAIRS:
            low, high = (getattr(shown, key) for key in spec.keys)
            return f"{number_text(low)} – {number_text(high)}"
        case _:
            pass
    value = getattr(shown, spec.keys[0])
    return number_text(value) if isinstance(value, int | float) else str(value)


def _level_text(level: Level) -> str:
    value = level.level_w if level.level_w is not None else level.level_v_rms
    return "" if value is None else number_text(value)


def number_text(value: float) -> str:
    """Write a number as it was set: all its digits, thousands apart from five digits on."""
    if abs(value) >= _GROUPED_FROM and value == round(value):
        return minus(f"{round(value):,}".replace(",", "\N{NO-BREAK SPACE}"))
    return minus(f"{value:.10g}")
