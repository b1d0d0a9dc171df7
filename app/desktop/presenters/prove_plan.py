"""What a way plays, one after the other, and what its recordings are read with."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, cast

from app.calibrate.asked import Method
from app.calibrate.limits import LimitsMethod, limits_probe
from app.calibrate.play import chosen_peak, probe_request
from app.calibrate.reference_unit import ReferenceUnitMethod
from app.calibrate.resistor import ResistorMethod, probe_of
from app.calibrate.voltage import (
    AmplifierMethod,
    InputMethod,
    LoopbackMethod,
    OutputMethod,
    wired_input,
)
from app.desktop.presenters.prove_ways import (
    AMPLIFIER,
    LIMITS,
    OUTPUT,
    REFERENCE,
    SENSE,
    ProveForm,
    input_of,
)
from app.errors import BadInputError
from app.measure.probe_run import Probing
from app.measure.will_do import PROTECT_DB, at_ear_db
from app.records.store import Store
from dsp.calibration.known_resistor import KnownResistor
from dsp.calibration.probe import steady_probe
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from hardware.card import Capture
from hardware.chain.edit import with_chain_values
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.voltmeter import shown_volts

if TYPE_CHECKING:
    from dsp.calibration.voltage_scale import InputLink

_UNPLUGGED_OHM = 1e9  # the rig unplugs its unit by itself
_QUIET_V_RMS = 1.0  # at the amplifier's terminals, where nobody says otherwise
_OF_INPUT = 0.5  # of an input's full scale, likewise


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayOnce:
    """One play.

    Attributes
    ----------
    connect : str
        What is wired before it.
    peak : float
        Full-scale units.
    expects_v : float
        V rms that the meter should show by what the chain states; NaN where none is read.
    rig_v : float or None
        V rms that the rig's own meter shows; None on a real bench, or where none is read.
    times : int
        How often it is played on one key.
    """

    connect: str
    peak: float
    expects_v: float = math.nan
    rig_v: float | None = None
    times: int = 1


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Plan:
    """What a way comes to.

    Attributes
    ----------
    plays : tuple of PlayOnce
        One after the other; none where a way looks at takes that were made before.
    repeats : bool
        Whether its last play may be repeated, so that another reading counts beside the others.
    probing : callable
        From the number of a play to what the card is asked for; slow.
    readable : callable
        From store, recordings and volts to the method, and to the recordings that it reads; slow.
    """

    plays: tuple[PlayOnce, ...]
    repeats: bool
    probing: Callable[[int], Probing]
    readable: Callable[
        [Store, Sequence[Capture], Sequence[float]], tuple[Method, tuple[Capture, ...]]
    ]

    def is_loud(self, chain: Chain) -> bool:
        """Tell whether a unit that is joined meanwhile would be above 85 dB at the ear."""
        drive = chain.output.drive
        volts = drive.full_scale_v * abs(drive.amplifier_gain) / math.sqrt(2)
        return any(at_ear_db(volts * play.peak) >= PROTECT_DB for play in self.plays)


def plan_of(form: ProveForm, values: Mapping[str, float], *, chain: ChainSnapshot) -> Plan:
    """Return what a way comes to.

    Parameters
    ----------
    form : ProveForm
        With its way.
    values : mapping of field to float
        As it was read.
    chain : ChainSnapshot
        As it is.

    Raises
    ------
    BadInputError
        The chain does not allow that peak, or lacks what the way needs.
    """
    way = form.way
    if way.key == SENSE:
        return _resistors(form, values, chain=chain)
    if way.key == LIMITS:
        return _limits(form, values, chain=chain)
    if way.key == REFERENCE:
        return _reference(form)
    return _sine(form, values, chain=chain)


def _sine(form: ProveForm, values: Mapping[str, float], *, chain: ChainSnapshot) -> Plan:
    way, hz = form.way, values["frequency_hz"]
    peak = _safe_peak(form, values.get("peak"), chain=chain)
    is_rig = chain.chain.device.backend == "virtual"
    drive = chain.chain.output.drive
    volts = peak / math.sqrt(2) * drive.full_scale_v
    if way.key == AMPLIFIER:
        volts *= abs(drive.amplifier_gain)
    rig_v = None
    if is_rig and way.reads:
        place: Literal["output jack", "amplifier"] = (
            "amplifier" if way.key == AMPLIFIER else "output jack"
        )
        rig_v = shown_volts(chain.chain, peak=peak, place=place)

    def probing(_: int) -> Probing:
        probe = steady_probe(
            float(chain.chain.device.sample_rate),
            frequency_hz=hz,
            peak=peak,
            hold_s=values["seconds"],
        )
        return Probing(chain=chain, request=probe_request(probe, chain=chain.chain))

    def readable(
        _: Store, captures: Sequence[Capture], read: Sequence[float]
    ) -> tuple[Method, tuple[Capture, ...]]:
        peaks = (peak,) * len(captures)
        return _sine_method(form, values, read=read, peaks=peaks, chain=chain), tuple(captures)

    play = PlayOnce(
        connect=way.connect,
        peak=peak,
        expects_v=volts if way.reads else math.nan,
        rig_v=rig_v,
    )
    return Plan(plays=(play,), repeats=True, probing=probing, readable=readable)


def _safe_peak(form: ProveForm, peak: float | None, *, chain: ChainSnapshot) -> float:
    most = chosen_peak(chain.chain, peak)
    if peak is not None:
        return most
    drive, way = chain.chain.output.drive, form.way
    if way.key == AMPLIFIER:
        quiet = math.sqrt(2) * _QUIET_V_RMS / (drive.full_scale_v * abs(drive.amplifier_gain))
        return _written(min(most, quiet))
    if input_of(way):
        _, full_scale_v = wired_input(chain.chain, link=cast("InputLink", input_of(way)))
        return _written(min(most, _OF_INPUT * full_scale_v / drive.full_scale_v))
    return _written(most)


def _written(peak: float) -> float:
    """Round down to three digits, as it is told and kept."""
    scale = 10.0 ** (math.floor(math.log10(peak)) - 2)
    return float(f"{math.floor(peak / scale + 1e-9) * scale:.6g}")


def _sine_method(
    form: ProveForm,
    values: Mapping[str, float],
    *,
    read: Sequence[float],
    peaks: tuple[float, ...],
    chain: ChainSnapshot,
) -> Method:
    way, hz = form.way, values["frequency_hz"]
    if input_of(way) and not way.reads:
        return LoopbackMethod(link=cast("InputLink", input_of(way)), peaks=peaks, frequency_hz=hz)
    meter = Voltmeter(
        uncertainty_percent=values["meter_percent"],
        uncertainty_v=values["meter_volt"],
        resolution_v=values["meter_step"],
    )
    if input_of(way):
        return InputMethod(
            link=cast("InputLink", input_of(way)),
            volts_rms=tuple(read),
            frequency_hz=hz,
            meter=meter,
        )
    readings = tuple(
        VoltReading(volts_rms=volts, peak=peak, frequency_hz=hz)
        for volts, peak in zip(read, peaks, strict=True)
    )
    if way.key == OUTPUT:
        return OutputMethod(readings=readings, meter=meter)
    inverts = chain.chain.output.drive.amplifier_gain < 0
    return AmplifierMethod(readings=readings, meter=meter, inverts=inverts)


def _resistors(form: ProveForm, values: Mapping[str, float], *, chain: ChainSnapshot) -> Plan:
    peak = _written(chosen_peak(chain.chain, values.get("peak")))
    known = [values[key] for key in ("ohm_1", "ohm_2") if key in values]
    check = values.get("check_ohm")
    put = [*known, *(() if check is None else (check,))]
    is_rig = chain.chain.device.backend == "virtual"

    def of(ohm: float) -> KnownResistor:
        return KnownResistor(
            ohm=ohm, uncertainty_percent=values["percent"], ppm_per_k=values["ppm_per_k"]
        )

    method = ResistorMethod(
        resistors=tuple(map(of, known)),
        check=None if check is None else of(check),
        peak=peak,
        contact_ohm=values["contact_ohm"],
    )

    def probing(number: int) -> Probing:
        with_it = chain
        if is_rig:
            with_it = with_chain_values(chain, {("virtual", "load_ohm"): put[number]})
        request = probe_request(probe_of(chain.chain, peak=peak), chain=chain.chain)
        return Probing(chain=with_it, request=request)

    plays = tuple(
        PlayOnce(connect=f"{_resistor_words(ohm)} {form.way.connect}", peak=peak) for ohm in put
    )
    return Plan(
        plays=plays,
        repeats=False,
        probing=probing,
        readable=lambda _, captures, __: (method, tuple(captures)),
    )


def _resistor_words(ohm: float) -> str:
    return "A short:" if ohm == 0 else f"{ohm:g} Ω:"


def _limits(form: ProveForm, values: Mapping[str, float], *, chain: ChainSnapshot) -> Plan:
    peak = _written(chosen_peak(chain.chain, values.get("peak")))
    idle = tuple(form.texts.get("idle", "").replace(",", " ").split())
    if unknown := set(idle) - chain.chain.input.wired.keys():
        raise BadInputError(
            "idle inputs",
            "no such input",
            given=min(unknown),
            allowed=", ".join(chain.chain.input.wired),
        )

    times = round(values["plays"])

    def probing(_: int) -> Probing:
        unplugged = chain
        if chain.chain.device.backend == "virtual":
            unplugged = with_chain_values(chain, {("virtual", "load_ohm"): _UNPLUGGED_OHM})
        request = probe_request(limits_probe(chain.chain, peak=peak), chain=chain.chain)
        return Probing(chain=unplugged, request=request, times=times)

    method = LimitsMethod(peak=peak, idle=idle)
    return Plan(
        plays=(PlayOnce(connect=form.way.connect, peak=peak, times=times),),
        repeats=False,
        probing=probing,
        readable=lambda _, captures, __: (method, tuple(captures)),
    )


def _reference(form: ProveForm) -> Plan:
    unit, against = form.texts["unit"], form.texts.get("against", "")

    def readable(
        store: Store, _: Sequence[Capture], __: Sequence[float]
    ) -> tuple[Method, tuple[Capture, ...]]:
        found = store.find(serial=unit)
        if len(found) < 2 and (not found or not against):
            raise BadInputError(
                f"unit {unit}", "takes of it in the store", given=len(found), allowed="two or more"
            )
        now = store.take(found[0].id)
        then = store.take(against or found[-1].id)
        return ReferenceUnitMethod(then=then, now=now), (store.capture(now),)

    def nothing(_: int) -> Probing:
        raise BadInputError(REFERENCE, "plays nothing")

    return Plan(plays=(), repeats=False, probing=nothing, readable=readable)
