"""The ways to prove a link with wires and meters, as data: what is asked for, wired and played."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.desktop.presenters.calibrate_form import PAPERS, FormField
from hardware.chain.schema import Chain

OUTPUT, AMPLIFIER, SENSE = "output", "amplifier", "sense"
METER, WIRE = "meter ", "wire "  # how the ways of an input begin: its name follows
LIMITS, REFERENCE = "limits", "reference"

_METER_READS = "the meter shows"
_MAINS = (
    "Amplifier terminals can carry dangerous voltages: probes on with the power off, touch nothing "
    "bare. Mains and rack wiring are for who is trained; local codes decide."
)
_SINE = (
    FormField(key="frequency_hz", label="Sine", unit="Hz", step=10),
    FormField(key="seconds", label="Held for", unit="s", step=1),
    FormField(key="peak", label="Peak", unit="of full scale", placeholder="safe", step=0.01),
)
_METER = (
    FormField(key="meter_percent", label="Of reading", unit="%, k = 2", step=0.1),
    FormField(key="meter_volt", label="Plus", unit="V, k = 2", step=0.001),
    FormField(key="meter_step", label="Last digit", unit="V", step=0.001),
)
_RESISTORS = (
    FormField(key="ohm_1", label="First", unit="Ω", step=0.1),
    FormField(key="ohm_2", label="Second", unit="Ω", placeholder="none", step=0.1),
    FormField(key="check_ohm", label="To check", unit="Ω", placeholder="none", step=0.1),
    FormField(key="percent", label="Each", unit="%, k = 2", step=0.01),
    FormField(key="ppm_per_k", label="Drifts", unit="ppm/K", step=1),
    FormField(key="contact_ohm", label="Contacts", unit="Ω", step=0.001),
)
_PROBE = (FormField(key="peak", label="Peak", unit="of full scale", placeholder="safe", step=0.01),)
_LIMITS = (
    *_PROBE,
    FormField(key="plays", label="Played", unit="times", step=1),
    FormField(key="idle", label="Idle inputs", placeholder="none", is_words=True),
)
_UNIT = (
    FormField(key="unit", label="Serial", is_words=True),
    FormField(key="against", label="Against", placeholder="its first take", is_words=True),
)
_NEEDED = frozenset(
    {
        *("frequency_hz", "seconds", "meter_percent", "meter_volt", "meter_step"),
        *("ohm_1", "percent", "ppm_per_k", "contact_ohm", "plays", "unit", "temperature_c"),
        "operator",
    }
)
WHO = (
    FormField(key="temperature_c", label="Temp.", unit="°C", step=0.1),
    FormField(key="operator", label="Operator", is_words=True),
    FormField(key="note", label="Note", placeholder="none", is_words=True),
)
_FIRST: Mapping[str, str] = {
    "frequency_hz": "1000",
    "seconds": "15",
    "meter_percent": "1",
    "meter_volt": "0",
    "meter_step": "0.001",
    "percent": "0.1",
    "ppm_per_k": "0",
    "contact_ohm": "0.005",
    "ohm_1": "8.2",
    "plays": "3",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way.

    Attributes
    ----------
    key, title : str
        Which one; as a list calls it.
    table : str
        Table of the chain file that it proves, dotted; ``chain`` for what it adds of its own.
    connect : str
        What is wired before it plays.
    caution : str
        What can hurt; told before anything plays.
    fields : tuple of FormField
        What is typed beforehand.
    head : str
        Over them.
    papers : tuple of FormField
        Of the instrument; empty where none is used.
    reads : str
        What is typed after each play; empty where nothing is.
    is_check : bool
        Whether it only looks: nothing of the chain changes.
    plays : bool
        Whether it plays at all.
    """

    key: str
    title: str
    table: str
    connect: str
    caution: str
    fields: tuple[FormField, ...]
    head: str
    papers: tuple[FormField, ...] = ()
    reads: str = ""
    is_check: bool = False
    plays: bool = True

    @property
    def every_field(self) -> tuple[FormField, ...]:
        """All that can be typed."""
        return (*self.fields, *self.papers, *WHO)

    @property
    def needed(self) -> frozenset[str]:
        """Keys of fields that must not be empty."""
        return _NEEDED & {one.key for one in self.every_field}

    @property
    def first_texts(self) -> dict[str, str]:
        """What stands in the fields at first."""
        keys = {one.key for one in self.every_field}
        return {key: text for key, text in _FIRST.items() if key in keys}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProveForm:
    """What stands in the fields, and what is chosen.

    Attributes
    ----------
    way : Way
        How it is done.
    purpose : str
        ``calibration`` or ``check``.
    exchanged : bool
        Whether something of the link is new or was adjusted.
    texts : mapping of field to str
        What is typed.
    """

    way: Way
    purpose: str
    exchanged: bool = False
    texts: Mapping[str, str] = field(default_factory=dict)


def ways_of(chain: Chain) -> tuple[Way, ...]:
    """Return the ways that a chain allows; the rig in software has no wire to its other inputs."""
    wired = chain.input.wired
    is_rig = chain.device.backend == "virtual"
    ways = [_output(), _amplifier()]
    for name in ("loopback", "terminal", "sense", "pressure"):
        if name in wired and (not is_rig or name == "loopback"):
            ways += [_meter_way(name), _wire_way(name)]
    if "sense" in wired and "terminal" in wired:
        ways.append(_sense())
    if "loopback" in wired or "terminal" in wired:
        ways.append(_limits())
    if "pressure" in wired:
        ways.append(_reference())
    return tuple(ways)


def way_for(link: str, ways: tuple[Way, ...]) -> Way | None:
    """Return the way that is offered first at a link of the Chain bay; None for none."""
    wanted = {
        "output": (OUTPUT,),
        "amplifier": (AMPLIFIER,),
        "sense": (SENSE,),
        "input": (f"{METER}pressure",),
        "terminal": (f"{METER}terminal", LIMITS),
        "loopback": (f"{METER}loopback",),
        "chain": (LIMITS, REFERENCE),
    }.get(link, ())
    known = {one.key: one for one in ways}
    return next((known[key] for key in wanted if key in known), None)


def input_of(way: Way) -> str:
    """Return the input that a way is about; empty for another way."""
    for begins in (METER, WIRE):
        if way.key.startswith(begins):
            return way.key.removeprefix(begins)
    return ""


def _output() -> Way:
    return Way(
        key=OUTPUT,
        title="Output, by a voltmeter",
        table="output.drive",
        connect="Switch the amplifier off and pull its plug. Put the voltmeter, set to AC, at the "
        "output’s jack.",
        caution="A sine near full scale is more than a unit stands: the amplifier stays off "
        "while it plays.",
        fields=(*_SINE, *_METER),
        head="Sine and voltmeter",
        papers=PAPERS,
        reads=_METER_READS,
    )


def _amplifier() -> Way:
    return Way(
        key=AMPLIFIER,
        title="Amplifier, by a voltmeter",
        table="output.drive",
        connect="Power off. Put the probes across the amplifier’s terminals, a load or the unit "
        "joined as in use. Power on.",
        caution=f"{_MAINS} A unit that is joined sounds: keep away from it. Resistors and coils "
        "get hot.",
        fields=(*_SINE, *_METER),
        head="Sine and voltmeter",
        papers=PAPERS,
        reads=_METER_READS,
    )


def _meter_way(name: str) -> Way:
    return Way(
        key=f"{METER}{name}",
        title=f"Input {_called(name)}, by a voltmeter",
        table=f"input.{name}",
        connect=f"Wire the output’s jack to the {_called(name)} input, the voltmeter, set to AC, "
        "beside it. The amplifier stays off.",
        caution="An amplifier gives more than an input stands: wire the output’s jack, not the "
        "amplifier. A microphone supply stays off.",
        fields=(*_SINE, *_METER),
        head="Sine and voltmeter",
        papers=PAPERS,
        reads=_METER_READS,
    )


def _wire_way(name: str) -> Way:
    return Way(
        key=f"{WIRE}{name}",
        title=f"Input {_called(name)}, by a wire",
        table=f"input.{name}",
        connect=f"Wire the output’s jack to the {_called(name)} input; no meter. The amplifier "
        "stays off. It is worth what the output’s own calibration is.",
        caution="An amplifier gives more than an input stands: wire the output’s jack, not the "
        "amplifier. A microphone supply stays off.",
        fields=_SINE,
        head="Sine",
    )


def _sense() -> Way:
    return Way(
        key=SENSE,
        title="Sense resistor, by known ones",
        table="input.sense",
        connect="Power off. Put the resistor in the unit’s place, by short leads. Power on.",
        caution=f"{_MAINS} A small resistor gets hot: let it cool before you touch it.",
        fields=(*_RESISTORS, *_PROBE),
        head="The known resistors",
        papers=PAPERS,
    )


def _limits() -> Way:
    return Way(
        key=LIMITS,
        title="Limits of the whole chain",
        table="chain",
        connect="Unplug the unit. Close inputs that should hear nothing with what they are "
        "used with, and name them as idle.",
        caution=f"{_MAINS} The probe is loud if a unit is still joined.",
        fields=_LIMITS,
        head="The probe",
        is_check=True,
    )


def _reference() -> Way:
    return Way(
        key=REFERENCE,
        title="Day’s check, by a reference unit",
        table="input.pressure",
        connect="Make a take of the reference unit in Measure first, as the earlier one was made.",
        caution="The unit in its place is loud while its take is made, not here: here nothing "
        "plays.",
        fields=_UNIT,
        head="The reference unit",
        is_check=True,
        plays=False,
    )


def _called(name: str) -> str:
    return {"pressure": "microphone"}.get(name, name)
