"""What a way's form amounts to: values and who asks, or why not, field by field."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from app.calibrate.asked import Asked
from app.desktop.presenters.prove_ways import AMPLIFIER, OUTPUT, SENSE, ProveForm, Way, input_of
from app.records.calibration_record import Purpose, UsedInstrument
from dsp.calibration.conditions import Conditions
from dsp.errors import DspError
from hardware.chain.schema import Chain
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

# Least and most of what can be told at once; the rest is refused where it is computed.
_RANGES: Mapping[str, tuple[float, float]] = {
    "frequency_hz": (20.0, 20_000.0),
    "seconds": (1.0, 120.0),
    "peak": (1e-6, 1.0),
    "plays": (1.0, 10.0),
    "meter_percent": (0.0, 20.0),
    "meter_volt": (0.0, 10.0),
    "meter_step": (0.0, 1.0),
    "ohm_1": (0.0, 10_000.0),
    "ohm_2": (0.0, 10_000.0),
    "check_ohm": (0.0, 10_000.0),
    "percent": (0.0, 20.0),
    "ppm_per_k": (0.0, 10_000.0),
    "contact_ohm": (0.0, 1.0),
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProveRead:
    """What a form amounts to.

    Attributes
    ----------
    values : mapping of field to float
        Numbers; what was left out is not there.
    asked : Asked or None
        None where something is refused.
    refused : mapping of field to str
        Why, as it stands under the field.
    sentence : str
        The first thing that is in the way.
    """

    values: Mapping[str, float] = field(default_factory=dict)
    asked: Asked | None = None
    refused: Mapping[str, str] = field(default_factory=dict)
    sentence: str = ""


def read_prove(form: ProveForm, *, chain: Chain) -> ProveRead:
    """Turn what is typed into what a calibration is asked with; refuse field by field."""
    way, values, refused = form.way, {}, {}
    for one in way.every_field:
        text = form.texts.get(one.key, "")
        if not text:
            if one.key in way.needed:
                refused[one.key] = "not given: needed"
        elif not one.is_words:
            try:
                values[one.key] = _number(text, key=one.key, unit=one.unit)
            except ValueRefusedError as error:
                refused[one.key] = error.sentence
    due = _due(form, refused)
    conditions = _conditions(values, chain=chain, refused=refused)
    if refused or conditions is None:
        key, why = next(iter(refused.items()))
        label = next(one.label for one in way.every_field if one.key == key)
        return ProveRead(values=values, refused=refused, sentence=f"{label.lower()} {why}")
    texts = form.texts
    return ProveRead(
        values=values,
        asked=Asked(
            operator=texts["operator"],
            instrument=UsedInstrument(
                name=_instrument(way, values=values, texts=texts),
                serial=texts.get("unit", "") or texts.get("serial", ""),
                certificate=texts.get("certificate", ""),
                due_on=due,
            ),
            conditions=conditions,
            purpose=Purpose.CHECK if way.is_check else Purpose(form.purpose),
            exchanged=form.exchanged,
            note=texts.get("note", ""),
        ),
    )


def read_volts(text: str) -> float:
    """Read what a meter shows.

    Raises
    ------
    ValueRefusedError
        Not a voltage.
    """
    volts = typed_number(text, key="volts", unit="V rms")
    if volts <= 0:
        raise ValueRefusedError("volts", "outside", given=f"{volts:g}", allowed="above 0")
    return volts


def _number(text: str, *, key: str, unit: str) -> float:
    value = typed_number(text, key=key, unit=unit)
    low, high = _RANGES.get(key, (-1e9, 1e9))
    if not low <= value <= high:
        raise ValueRefusedError(key, "outside", given=f"{value:g}", allowed=f"{low:g} to {high:g}")
    return value


def _due(form: ProveForm, refused: dict[str, str]) -> date | None:
    text = form.texts.get("due", "")
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        refused["due"] = f"not a day: given {text}, allowed such as 2031-05-14"
        return None


def _conditions(
    values: Mapping[str, float], *, chain: Chain, refused: dict[str, str]
) -> Conditions | None:
    air = chain.ambient
    if "temperature_c" not in values:
        return None
    try:
        return Conditions(
            temperature_c=values["temperature_c"],
            pressure_kpa=air.pressure_kpa,
            humidity_percent=air.humidity_percent,
        )
    except DspError as error:
        refused["temperature_c"] = f"outside: given {error.given}, allowed {error.allowed}"
        return None


def _instrument(way: Way, *, values: Mapping[str, float], texts: Mapping[str, str]) -> str:
    if way.key in {OUTPUT, AMPLIFIER} or (input_of(way) and way.reads):
        return "voltmeter"
    if input_of(way):
        return "the output's scale"
    if way.key == SENSE:
        known = [values[key] for key in ("ohm_1", "ohm_2") if key in values]
        return "resistors of " + ", ".join(f"{one:g} Ω" for one in known)
    unit = texts.get("unit", "")
    return f"reference unit {unit}" if unit else "its own output"
