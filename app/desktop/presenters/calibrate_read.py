"""What a form amounts to: the method and who asks, or why not, field by field."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from app.calibrate.asked import Asked
from app.calibrate.microphone import MicrophoneMethod
from app.desktop.presenters.calibrate_form import AIR, CLASSES, FIELDS, LOAD, Form
from app.records.calibration_record import Purpose, UsedInstrument
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument, LoadVolume
from dsp.errors import DspError
from hardware.errors import ValueRefusedError
from hardware.typed import typed_number

_NEEDED = ("level_db", "frequency_hz", *(one.key for one in AIR))
_MOST_MV_PER_PA = 1000.0

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Read:
    """What a form amounts to.

    Attributes
    ----------
    method, asked : MicrophoneMethod, Asked or None
        None where something is refused.
    refused : mapping of field to str
        Why, as it stands under the field.
    """

    method: MicrophoneMethod | None = None
    asked: Asked | None = None
    refused: Mapping[str, str]

    @property
    def sentence(self) -> str:
        """The first thing that is in the way."""
        for key, why in self.refused.items():
            return f"{FIELDS[key].label.lower()} {why}"
        return ""


def read_form(form: Form) -> Read:
    """Turn what is typed into what a calibration is asked with; refuse field by field."""
    reader = _Reader(form)
    method, asked = reader.method(), reader.asked()
    if reader.refused:
        return Read(refused=reader.refused)
    return Read(method=method, asked=asked, refused={})


def keeps_words(read: Read, *, file: str) -> str:
    """Say what Keep writes."""
    if read.asked is not None and read.asked.purpose is Purpose.CHECK:
        return "Keep writes a dated record of the check. The chain stays as it is."
    return f"Keep writes a dated record and {file}. Nothing changes before that."


class _Reader:
    """Reads a form; ``refused`` holds why a field cannot be taken."""

    def __init__(self, form: Form) -> None:
        self._form = form
        self.refused: dict[str, str] = {}
        self._values = {
            key: value
            for key, one in FIELDS.items()
            if not one.is_words and (value := self._number(key)) is not None
        }

    def method(self) -> MicrophoneMethod | None:
        """Return how it is calibrated; None where something is refused."""
        form, values, load = self._form, self._values, self._load()
        instrument = self._made(
            lambda: Instrument(
                kind=form.kind,
                level_db=values["level_db"],
                frequency_hz=values["frequency_hz"],
                accuracy_class=CLASSES[form.accuracy_class],
                level_uncertainty_db=values.get("level_uncertainty_db"),
                load=load,
                temperature_db_per_c=values.get("temperature_db_per_c", 0.0),
                humidity_db_per_percent=values.get("humidity_db_per_percent", 0.0),
            )
        )
        stated = values.get("microphone_mv_per_pa")
        if stated is not None and not 0 < stated <= _MOST_MV_PER_PA:
            self.refused["microphone_mv_per_pa"] = (
                f"outside: given {stated:g}, allowed above 0 to {_MOST_MV_PER_PA:g}"
            )
        if instrument is None:
            return None
        return MicrophoneMethod(
            instrument=instrument, certificate_v_per_pa=None if stated is None else stated / 1000
        )

    def asked(self) -> Asked | None:
        """Return who asks, with what, in which air; None where something is refused."""
        form, values, texts = self._form, self._values, self._form.texts
        if not texts.get("operator"):
            self.refused["operator"] = "not given: a name or initials"
        due = self._day("due")
        conditions = self._made(lambda: Conditions(**{one.key: values[one.key] for one in AIR}))
        if conditions is None:
            return None
        return Asked(
            operator=texts.get("operator", ""),
            instrument=UsedInstrument(
                name=f"{form.kind.value}, class {form.accuracy_class}",
                serial=texts.get("serial", ""),
                certificate=texts.get("certificate", ""),
                due_on=due,
            ),
            conditions=conditions,
            purpose=Purpose(form.purpose),
            exchanged=form.exchanged,
            note=texts.get("note", ""),
        )

    def _number(self, key: str) -> float | None:
        text = self._form.texts.get(key, "")
        if not text:
            if key in _NEEDED:
                self.refused[key] = "not given: needed"
            return None
        try:
            return typed_number(text, key=key, unit=FIELDS[key].unit)
        except ValueRefusedError as error:
            self.refused[key] = error.sentence
            return None

    def _day(self, key: str) -> date | None:
        text = self._form.texts.get(key, "")
        try:
            return date.fromisoformat(text) if text else None
        except ValueError:
            self.refused[key] = f"not a day: given {text}, allowed such as 2031-05-14"
            return None

    def _load(self) -> LoadVolume | None:
        keys = [one.key for one in LOAD]
        if not any(key in self._values for key in keys):
            return None
        for key in keys:
            if key not in self._values:
                self.refused.setdefault(key, "not given: all three or none")
        return self._made(lambda: LoadVolume(**{key: self._values[key] for key in keys}))

    def _made(self, make: Callable[[], Made]) -> Made | None:
        try:
            return make()
        except KeyError:  # told already, at its own field
            return None
        except DspError as error:
            key = next((one for one in FIELDS if one in error.what), "level_db")
            what = error.what.removeprefix(key).strip()
            self.refused[key] = f"{what}: given {error.given}, allowed {error.allowed}"
            return None
