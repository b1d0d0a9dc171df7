"""The seven links as the Chain bay edits them: which keys of the chain file each one stands for."""

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from app.desktop.presenters.figures import minus
from hardware.chain.edit import Draft
from hardware.chain.schema import Chain
from hardware.toml_edit import value_at
from hardware.toml_lines import Place

_GROUPED_FROM = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class KeySpec:
    """One key of the chain file as a field.

    Attributes
    ----------
    place : tuple of str
        In the chain file.
    label, unit : str
        As shown.
    scale : str
        What one of ``unit`` counts in the file.
    step : float or None
        Of Up and Down.
    placeholder : str
        What holds where the key is left out.
    """

    place: tuple[str, ...]
    label: str
    unit: str = ""
    scale: str = "1"
    step: float | None = None
    placeholder: str = ""

    @property
    def key(self) -> str:
        """The place, dotted."""
        return ".".join(self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkSpec:
    """One link: its title, its table in the chain file, and what is known of it.

    ``main`` is the key of the figure that its calibration proves, ``interval`` that of its
    uncertainty, k = 2; empty where no figure stands on it.
    """

    title: str
    table: str
    keys: tuple[KeySpec, ...]
    main: str
    interval: str
    unit: str
    scale: str = "1"
    is_decibel: bool = False  # whether ``interval`` is in dB, not in %
    standing: str = ""  # what is said of one that nobody calibrates: it has no ``interval``


_DRIVE, _PRESSURE, _SENSE = ("output", "drive"), ("input", "pressure"), ("input", "sense")
_SECOND = ("input", "ambient")


def _percent(table: tuple[str, ...], key: str) -> KeySpec:
    place = (*table, f"{key}_uncertainty_percent")
    return KeySpec(place=place, label="Interval", unit="%, k = 2", step=0.1, placeholder="exact")


def _decibel(table: tuple[str, ...], key: str) -> KeySpec:
    place = (*table, f"{key}_uncertainty_db")
    return KeySpec(place=place, label="Interval", unit="dB, k = 2", step=0.1, placeholder="exact")


def _full_scale(table: tuple[str, ...]) -> KeySpec:
    return KeySpec(place=(*table, "full_scale_v"), label="Full scale", unit="V peak", step=0.01)


def _gain(table: tuple[str, ...], key: str = "gain") -> KeySpec:
    return KeySpec(place=(*table, key), label="Gain", unit="V/V", step=0.01, placeholder="1")


def _dates(table: tuple[str, ...]) -> tuple[KeySpec, KeySpec]:
    return (
        KeySpec(place=(*table, "calibrated_on"), label="Proved on", placeholder="never"),
        KeySpec(
            place=(*table, "recalibrate_after_days"),
            label="Good for",
            unit="days",
            step=1,
            placeholder="ever",
        ),
    )


# Found by known resistors, so their intervals come with them and need no fields.
_LEADS = (
    KeySpec(place=(*_SENSE, "lead_ohm"), label="Leads", unit="Ω", step=0.001, placeholder="0"),
    KeySpec(
        place=(*_SENSE, "late_s"),
        label="Late by",
        unit="µs",
        scale="0.000001",
        step=0.1,
        placeholder="0",
    ),
)

LINKS: dict[str, LinkSpec] = {
    "output": LinkSpec(
        title="Output",
        table="output.drive",
        keys=(_full_scale(_DRIVE), _percent(_DRIVE, "full_scale"), *_dates(_DRIVE)),
        main="full_scale_v",
        interval="full_scale_uncertainty_percent",
        unit="V",
    ),
    "amplifier": LinkSpec(
        title="Amplifier",
        table="output.drive",
        keys=(
            _gain(_DRIVE, "amplifier_gain"),
            _percent(_DRIVE, "amplifier_gain"),
            KeySpec(
                place=(*_DRIVE, "max_terminal_v_rms"), label="Never above", unit="V rms", step=0.1
            ),
            *_dates(_DRIVE),
        ),
        main="amplifier_gain",
        interval="amplifier_gain_uncertainty_percent",
        unit="V/V",
    ),
    "sense": LinkSpec(
        title="Sense resistor",
        table="input.sense",
        keys=(
            KeySpec(place=(*_SENSE, "resistor_ohm"), label="Resistor", unit="Ω", step=0.001),
            _percent(_SENSE, "resistor"),
            _gain(_SENSE),
            _percent(_SENSE, "gain"),
            _full_scale(_SENSE),
            _percent(_SENSE, "full_scale"),
            *_LEADS,
            *_dates(_SENSE),
        ),
        main="resistor_ohm",
        interval="resistor_uncertainty_percent",
        unit="Ω",
    ),
    "unit": LinkSpec(
        title="Unit",
        table="output.drive",
        keys=(
            KeySpec(
                place=(*_DRIVE, "nominal_ohm"),
                label="Rated",
                unit="Ω",
                step=1,
                placeholder="not said",
            ),
        ),
        main="nominal_ohm",
        interval="",
        unit="Ω",
        standing="From the unit's drawing. Levels in watts, and the power of a take, count from "
        "it.",
    ),
    "microphone": LinkSpec(
        title="Microphone",
        table="input.pressure",
        keys=(
            KeySpec(
                place=(*_PRESSURE, "sensitivity_v_per_pa"),
                label="Sensitivity",
                unit="mV/Pa",
                scale="0.001",
                step=0.01,
            ),
            _decibel(_PRESSURE, "sensitivity"),
            KeySpec(place=(*_PRESSURE, "response"), label="Response", placeholder="flat: no table"),
            _decibel(_PRESSURE, "response"),
            *_dates(_PRESSURE),
        ),
        main="sensitivity_v_per_pa",
        interval="sensitivity_uncertainty_db",
        unit="mV/Pa",
        scale="0.001",
        is_decibel=True,
    ),
    "preamplifier": LinkSpec(
        title="Preamplifier",
        table="input.pressure",
        keys=(
            _gain(_PRESSURE, "preamplifier_gain"),
            _percent(_PRESSURE, "preamplifier_gain"),
            *_dates(_PRESSURE),
        ),
        main="preamplifier_gain",
        interval="preamplifier_gain_uncertainty_percent",
        unit="V/V",
    ),
    "input": LinkSpec(
        title="Input",
        table="input.pressure",
        keys=(_full_scale(_PRESSURE), _percent(_PRESSURE, "full_scale"), *_dates(_PRESSURE)),
        main="full_scale_v",
        interval="full_scale_uncertainty_percent",
        unit="V",
    ),
    "terminal": LinkSpec(
        title="Terminals",
        table="input.terminal",
        keys=(
            _full_scale(("input", "terminal")),
            _percent(("input", "terminal"), "full_scale"),
            _gain(("input", "terminal")),
            _percent(("input", "terminal"), "gain"),
            *_dates(("input", "terminal")),
        ),
        main="full_scale_v",
        interval="full_scale_uncertainty_percent",
        unit="V",
    ),
    "loopback": LinkSpec(
        title="Loopback",
        table="input.loopback",
        keys=(
            _full_scale(("input", "loopback")),
            _percent(("input", "loopback"), "full_scale"),
            *_dates(("input", "loopback")),
        ),
        main="full_scale_v",
        interval="full_scale_uncertainty_percent",
        unit="V",
    ),
    "ambient": LinkSpec(
        title="Second microphone",
        table="input.ambient",
        keys=(
            _full_scale(_SECOND),
            KeySpec(
                place=(*_SECOND, "sensitivity_v_per_pa"),
                label="Sensitivity",
                unit="mV/Pa",
                scale="0.001",
                step=1,
                placeholder="10",
            ),
        ),
        main="sensitivity_v_per_pa",
        interval="",
        unit="mV/Pa",
        scale="0.001",
        standing="It tells what else was heard, and is left out of rub and buzz. No level is read "
        "from it, so it needs no calibration: a rough sensitivity will do.",
    ),
}

AMBIENT = (
    KeySpec(place=("ambient", "temperature_c"), label="Temp.", unit="°C", step=0.1),
    KeySpec(place=("ambient", "pressure_kpa"), label="Pressure", unit="kPa", step=0.1),
    KeySpec(place=("ambient", "humidity_percent"), label="Humidity", unit="%", step=1),
)
NAME = KeySpec(place=("name",), label="Name")
RATE = KeySpec(place=("device", "sample_rate"), label="Rate", unit="Hz")
BLOCK = KeySpec(place=("device", "block"), label="Block", unit="samples")


def spec_of(place: Place) -> KeySpec | None:
    """Return the field of a key; None where no field stands for it."""
    every = (NAME, *AMBIENT, RATE, BLOCK, *(key for link in LINKS.values() for key in link.keys))
    return next((one for one in every if one.place == place), None)


def link_of_input(name: str) -> str:
    """Return the link that an input's table belongs to."""
    return {"pressure": "microphone"}.get(name, name)


def is_wired(chain: Chain, link: str) -> bool:
    """Tell whether a chain has a link."""
    return value_at(chain, tuple(LINKS[link].table.split("."))) is not None


def text_of(chain: Chain, spec: KeySpec, *, draft: Draft | None = None) -> str:
    """Write the value of a key as it is typed; empty where the key is left out.

    A key that holds its default is left out, too, but for those of which somebody must think.
    """
    table, last = spec.place[:-1], spec.place[-1]
    if draft is not None and table == ("input", draft.name):
        value = draft.values.get(last)
    else:
        value = value_at(chain, spec.place)
        holder = value_at(chain, table)
        is_default = holder is not None and value == type(holder).model_fields[last].default
        if is_default and spec.placeholder:
            return ""
    return typed_text(value, scale=spec.scale)


def typed_text(value: object, *, scale: str = "1") -> str:
    """Write a value of the chain file as a person would type it."""
    match value:
        case None:
            return ""
        case bool() | str():
            return str(value)
        case int() | float():
            exact = float(Decimal(repr(value)) / Decimal(scale))
            if abs(exact) >= _GROUPED_FROM and exact == round(exact):
                return minus(f"{round(exact):,}".replace(",", "\N{NO-BREAK SPACE}"))
            return minus(f"{exact:.10g}")
        case Path():
            return value.as_posix()
        case _:
            return str(value)
