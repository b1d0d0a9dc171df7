"""What a person types before a microphone is calibrated."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.desktop.presenters.figures import minus
from app.records.calibration_record import CalibrationRecord, Given, Purpose
from dsp.calibration.instrument import AccuracyClass, InstrumentKind
from hardware.chain.schema import Chain


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One value that is typed; ``placeholder`` is what holds where nothing is."""

    key: str
    label: str
    unit: str = ""
    placeholder: str = ""
    step: float | None = None
    is_words: bool = False


INSTRUMENT = (
    FormField(key="level_db", label="Level", unit="dB", step=0.01),
    FormField(key="frequency_hz", label="Frequency", unit="Hz", step=1),
    FormField(
        key="level_uncertainty_db",
        label="Interval",
        unit="dB, k = 2",
        placeholder="its class's",
        step=0.01,
    ),
)
PAPERS = (
    FormField(key="serial", label="Serial", is_words=True),
    FormField(key="certificate", label="Certificate", is_words=True),
    FormField(key="due", label="Due on", placeholder="year-month-day", is_words=True),
)
COEFFICIENTS = (
    FormField(
        key="temperature_db_per_c", label="By temp.", unit="dB/°C", placeholder="0", step=0.001
    ),
    FormField(
        key="humidity_db_per_percent", label="By humid.", unit="dB/%", placeholder="0", step=0.001
    ),
)
LOAD = (
    FormField(key="cavity_cm3", label="Cavity", unit="cm³", step=0.01),
    FormField(key="stated_cm3", label="Stated for", unit="cm³", step=0.01),
    FormField(key="microphone_cm3", label="This one", unit="cm³", step=0.01),
)
AIR = (
    FormField(key="temperature_c", label="Temp.", unit="°C", step=0.1),
    FormField(key="pressure_kpa", label="Pressure", unit="kPa", step=0.1),
    FormField(key="humidity_percent", label="Humidity", unit="%", step=1),
)
WHO = (FormField(key="operator", label="Operator", is_words=True),)
OWN = (
    FormField(
        key="microphone_mv_per_pa", label="Its paper", unit="mV/Pa", placeholder="none", step=0.01
    ),
    FormField(key="note", label="Note", placeholder="none", is_words=True),
)
# Nominal values that such instruments have: kind, dB, Hz.
NOMINAL: Mapping[str, tuple[InstrumentKind, float, float]] = {
    f"{kind.value} {level:g} {hz:g}": (kind, level, hz)
    for kind, level, hz in (
        (InstrumentKind.PISTONPHONE, 124.0, 250.0),
        (InstrumentKind.PISTONPHONE, 114.0, 250.0),
        (InstrumentKind.CALIBRATOR, 94.0, 1000.0),
        (InstrumentKind.CALIBRATOR, 104.0, 1000.0),
        (InstrumentKind.CALIBRATOR, 114.0, 1000.0),
        (InstrumentKind.CALIBRATOR, 94.0, 250.0),
        (InstrumentKind.CALIBRATOR, 114.0, 250.0),
    )
}
CLASSES: Mapping[str, AccuracyClass] = {"LS": "LS", "1": "1", "2": "2"}
PURPOSES = (
    (Purpose.CALIBRATION.value, "calibration"),
    (Purpose.CHECK.value, "check of the day"),
)
FIELDS = {one.key: one for one in (*INSTRUMENT, *PAPERS, *COEFFICIENTS, *LOAD, *AIR, *WHO, *OWN)}


def nominal_options() -> tuple[tuple[str, str], ...]:
    """Return the list of standard values, as key and words."""
    return tuple((key, _nominal_words(*values)) for key, values in NOMINAL.items())


def class_options() -> tuple[tuple[str, str], ...]:
    """Return the classes of IEC 60942, as key and words."""
    return tuple((key, f"class {key}, IEC 60942") for key in CLASSES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What stands in the fields.

    Attributes
    ----------
    nominal, accuracy_class, purpose : str
        Keys of what is chosen.
    texts : mapping of field to str
        What is typed.
    exchanged : bool
        Whether the microphone is another one, or was adjusted: its history starts anew.
    """

    nominal: str
    accuracy_class: str
    purpose: str
    texts: Mapping[str, str]
    exchanged: bool = False

    @property
    def kind(self) -> InstrumentKind:
        """How the instrument makes its sound."""
        return NOMINAL[self.nominal][0]

    def typed(self, key: str, text: str) -> "Form":
        """Return it with another text in a field."""
        return replace(self, texts={**self.texts, key: text.strip()})

    def chosen(self, nominal: str) -> "Form":
        """Return it for another instrument, with its standard values."""
        _, level_db, hz = NOMINAL[nominal]
        texts = {**self.texts, "level_db": f"{level_db:g}", "frequency_hz": f"{hz:g}"}
        return replace(self, nominal=nominal, texts=texts)


def folded_words(form: Form, specs: Sequence[FormField]) -> str:
    """Return what stands in folded fields, in their order; ``none`` where nothing does."""
    typed = ((form.texts.get(one.key, ""), one.unit) for one in specs)
    return ", ".join(f"{text} {unit}".strip() for text, unit in typed if text) or "none"


def first_form(chain: Chain, *, last: CalibrationRecord | None, operator: str) -> Form:
    """Return what stands in the fields at the beginning: the instrument of the last time.

    Parameters
    ----------
    chain : Chain
        With the air as somebody read it.
    last : CalibrationRecord or None
        The newest one of the microphone.
    operator : str
        Who is logged in.
    """
    nominal = next(iter(NOMINAL))
    air = chain.ambient
    texts = {
        "operator": operator,
        "temperature_c": f"{air.temperature_c:g}",
        "humidity_percent": f"{air.humidity_percent:g}",
        # Without a barometer's reading a pistonphone's level is not known.
        "pressure_kpa": f"{air.pressure_kpa:g}" if "pressure_kpa" in air.model_fields_set else "",
    }
    form = Form(
        nominal=nominal,
        accuracy_class="1",
        purpose=Purpose.CALIBRATION.value,
        texts=texts,
    ).chosen(nominal)
    if last is None or "level_db" not in last.given:
        return form
    return _as_last_time(form, last)


def _nominal_words(kind: InstrumentKind, level_db: float, hz: float) -> str:
    short = "pistonphone" if kind is InstrumentKind.PISTONPHONE else "calibrator"
    # The field under it tells the frequency; it is named where it is not the usual one.
    usual = 250.0 if kind is InstrumentKind.PISTONPHONE else 1000.0
    return f"{short} {level_db:g} dB" if hz == usual else f"{short} {level_db:g}, {hz:g} Hz"


def _as_last_time(form: Form, last: CalibrationRecord) -> Form:
    given = last.given
    level, hz = float(given["level_db"] or 0), float(given["frequency_hz"] or 0)
    nominal = min(
        NOMINAL,
        key=lambda key: (
            NOMINAL[key][0].value != given.get("kind"),
            abs(NOMINAL[key][1] - level) + abs(NOMINAL[key][2] - hz),
        ),
    )
    texts = dict(form.texts)
    for key in ("level_db", "frequency_hz", "level_uncertainty_db", *(one.key for one in LOAD)):
        texts[key] = _text(given.get(key))
    for key in (one.key for one in COEFFICIENTS):
        texts[key] = _text(given.get(key) or None)
    own = given.get("microphone_certificate_v_per_pa")
    texts["microphone_mv_per_pa"] = _text(1000 * own) if isinstance(own, float) else ""
    texts["serial"], texts["certificate"] = last.instrument.serial, last.instrument.certificate
    due = last.instrument.due_on
    texts["due"] = due.isoformat() if due else ""
    chosen = str(given.get("accuracy_class") or "1")
    return replace(form, nominal=nominal, accuracy_class=chosen, texts=texts)


def _text(value: Given) -> str:
    return minus(f"{value:.6g}") if isinstance(value, int | float) else ""
