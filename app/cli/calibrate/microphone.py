"""``dustcap calibrate microphone``: by a pistonphone or a sound calibrator."""

from enum import Enum
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import options
from app.cli.option_groups import with_groups
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.calibration.instrument import LoadVolume


class Kind(Enum):
    """How the instrument makes its sound."""

    PISTONPHONE = "pistonphone"
    CALIBRATOR = "calibrator"


class AccuracyClass(Enum):
    """Of IEC 60942."""

    LS = "LS"
    ONE = "1"
    TWO = "2"


_PISTONPHONE_HZ = 300.0  # pistons give 250 Hz; what gives more is a loudspeaker held by feedback
_NOMINAL = {Kind.PISTONPHONE: (124.0, 250.0), Kind.CALIBRATOR: (94.0, 1000.0)}


@with_groups
def microphone(
    chain: options.Chain,
    capture: options.Captures = None,
    kind: Annotated[
        Kind | None,
        typer.Option(
            "--instrument", help="Otherwise: pistonphone for 250 Hz and below, else calibrator."
        ),
    ] = None,
    level_db: Annotated[
        float | None, typer.Option(help="dB re 20 µPa that it is said to give; 94 or 124.")
    ] = None,
    frequency_hz: Annotated[
        float | None, typer.Option(help="Hz that it gives; 1000 or 250.")
    ] = None,
    level_uncertainty_db: Annotated[
        float | None, typer.Option(help="dB, k = 2, of its certificate; otherwise its class's.")
    ] = None,
    accuracy_class: Annotated[
        AccuracyClass, typer.Option("--class", help="Of IEC 60942.")
    ] = AccuracyClass.ONE,
    follows_pressure: Annotated[
        bool | None,
        typer.Option(
            "--follows-pressure/--holds-level",
            help="Whether its level follows the static pressure; otherwise as its kind does.",
        ),
    ] = None,
    fluctuation_db: Annotated[
        float | None, typer.Option(help="dB, short-term, by its certificate; else its class's.")
    ] = None,
    frequency_percent: Annotated[
        float | None,
        typer.Option(help="% off its frequency, by its certificate; else its class's."),
    ] = None,
    distortion_percent: Annotated[
        float | None, typer.Option(help="%, by its certificate; else its class's.")
    ] = None,
    pressure_kpa: options.PressureKpa = None,
    temperature_c: options.TemperatureC = None,
    humidity_percent: options.HumidityPercent = None,
    cavity_cm3: Annotated[
        float | None, typer.Option(help="cm³ of a pistonphone's cavity, by its certificate.")
    ] = None,
    stated_cm3: Annotated[
        float | None, typer.Option(help="cm³, load volume that its level is stated for.")
    ] = None,
    load_cm3: Annotated[
        float | None, typer.Option(help="cm³, load volume of the microphone in its adaptor.")
    ] = None,
    load_uncertainty_cm3: Annotated[float, typer.Option(help="cm³, k = 2, of that.")] = 0.0,
    temperature_db_per_c: Annotated[float, typer.Option(help="dB/°C, by its certificate.")] = 0.0,
    humidity_db_per_percent: Annotated[float, typer.Option(help="dB/%, by its certificate.")] = 0.0,
    microphone_mv_per_pa: Annotated[
        float | None, typer.Option(help="mV/Pa, by the microphone's own certificate.")
    ] = None,
    couplings: Annotated[
        int, typer.Option(min=1, max=20, help="Live: how often the instrument is put on.")
    ] = 1,
    seconds: Annotated[float, typer.Option(min=3, max=120, help="Live: s each.")] = 8.0,
    *,
    against: options.Against,
    kept: options.Kept,
) -> int:
    """Find the microphone's sensitivity from the tone of a pistonphone or sound calibrator.

    Not for an ear: 114 or 124 dB in a coupler harm hearing. Put it on slowly, for the diaphragm.
    """
    from app.calibrate.microphone import LINK, MicrophoneMethod
    from app.calibrate.response_remarks import response_remarks
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from app.cli.calibrate.live import record_couplings
    from app.records.recording_file import open_recording
    from dsp.calibration.instrument import CertifiedLimits, Instrument, InstrumentKind
    from hardware.chain.load import load_chain

    chosen = kind or _kind_of(frequency_hz)
    nominal_db, nominal_hz = _NOMINAL[chosen]
    instrument = Instrument(
        kind=InstrumentKind.PISTONPHONE
        if chosen is Kind.PISTONPHONE
        else InstrumentKind.CALIBRATOR,
        level_db=nominal_db if level_db is None else level_db,
        frequency_hz=nominal_hz if frequency_hz is None else frequency_hz,
        accuracy_class=accuracy_class.value,
        level_uncertainty_db=level_uncertainty_db,
        needs_pressure=follows_pressure,
        load=_load(cavity_cm3, stated_cm3, load_cm3, uncertainty_cm3=load_uncertainty_cm3),
        temperature_db_per_c=temperature_db_per_c,
        humidity_db_per_percent=humidity_db_per_percent,
        certified=CertifiedLimits(
            fluctuation_db=fluctuation_db,
            frequency_percent=frequency_percent,
            distortion_percent=distortion_percent,
        ),
    )
    snapshot = load_chain(chain)
    asked = asked_of(
        kept,
        instrument=f"{instrument.kind.value}, class {instrument.accuracy_class}",
        conditions=conditions_of(
            snapshot.chain,
            pressure_kpa=pressure_kpa,
            temperature_c=temperature_c,
            humidity_percent=humidity_percent,
            needs_pressure=instrument.follows_pressure,
        ),
        against=against,
    )
    rate = float(snapshot.chain.device.sample_rate)
    captures = (
        tuple(open_recording(path, sample_rate_hz=rate) for path in capture)
        if capture
        else record_couplings(
            snapshot, couplings=couplings, seconds=seconds, level_db=instrument.level_db
        )
    )
    return finish(
        MicrophoneMethod(
            instrument=instrument,
            certificate_v_per_pa=microphone_mv_per_pa / 1e3 if microphone_mv_per_pa else None,
            remarks=response_remarks(snapshot, folder=chain.parent),
        ),
        captures,
        link=LINK,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )


def _kind_of(frequency_hz: float | None) -> Kind:
    below = frequency_hz is not None and frequency_hz <= _PISTONPHONE_HZ
    return Kind.PISTONPHONE if below else Kind.CALIBRATOR


def _load(
    cavity: float | None, stated: float | None, load: float | None, *, uncertainty_cm3: float
) -> "LoadVolume | None":
    if cavity is None and stated is None and load is None:
        return None
    if cavity is None or stated is None or load is None:
        raise BadInputError(
            "--load-cm3", "half a load volume", allowed="--cavity-cm3, --stated-cm3 and --load-cm3"
        )
    from dsp.calibration.instrument import LoadVolume

    return LoadVolume(
        cavity_cm3=cavity,
        stated_cm3=stated,
        microphone_cm3=load,
        microphone_uncertainty_cm3=uncertainty_cm3,
    )
