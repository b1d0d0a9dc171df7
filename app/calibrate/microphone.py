"""The microphone, by a pistonphone or a sound calibrator put on it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from app.records.calibration_record import Given, Purpose
from dsp import Floats, Number
from dsp.acoustic.microphone import MicrophoneResponse, microphone_gain
from dsp.calibration.instrument import Instrument
from dsp.calibration.microphone import (
    PRIOR_SCATTER_DB,
    QUANTITY,
    MicrophoneCalibration,
    MicrophoneLink,
    calibrate_microphone,
)
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits
from hardware.card import Capture
from hardware.chain.schema import PressureInput
from hardware.chain.snapshot import ChainSnapshot

LINK = "input.pressure"
COUPLING = "coupling "  # how the numbers of single couplings begin
_RESTS_ON = ("channel", "full_scale_v", "preamplifier_gain")
# What a microphone without a table may differ by between the instrument's frequency and 1 kHz.
_NO_TABLE_DB = 0.2
_REFERENCE_HZ = 1000.0
_NO_HUM_DB = -150.0  # stands for hum that is not told from noise
CHECK_DB = 0.2  # within which a check finds the value of the chain again


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneMethod:
    """How the microphone is calibrated.

    Attributes
    ----------
    instrument : Instrument
        What it is put into, and what its certificate says.
    certificate_v_per_pa : float or None
        V/Pa, from the microphone's own certificate.
    remarks : tuple of str
        How its response table was read, from ``response_remarks``.
    """

    instrument: Instrument
    certificate_v_per_pa: float | None = None
    remarks: tuple[str, ...] = ()

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,
    ) -> Found:
        """Read the couplings; see ``Method.find``."""
        wired = chain.chain.input.pressure
        if wired is None:
            raise BadInputError(LINK, "no microphone in this chain", allowed="[input.pressure]")
        found = calibrate_microphone(
            [_column(capture, channel=wired.channel) for capture in captures],
            link=_link(wired, chain=chain, rate=captures[0].sample_rate_hz, at=self.instrument),
            instrument=self.instrument,
            conditions=asked.conditions,
            expected=self._expected(wired, asked=asked, history=history),
            limits=_limits(wired, asked=asked, history=history),
        )
        return Found(
            link=LINK,
            results=(found.calibration,),
            method=_method(found, instrument=self.instrument),
            given=self._given(),
            numbers=_numbers(found),
            rests_on=tuple(f"{LINK}.{key}" for key in _RESTS_ON),
            remarks=(*self.remarks, *_assumed(chain, found=found, at=self.instrument)),
        )

    def _expected(self, wired: PressureInput, *, asked: Asked, history: History) -> Expected:
        scatter = history.scatter(QUANTITY, name=COUPLING)
        expected = Expected(
            before_v_per_pa=_before(wired, asked=asked, history=history),
            certificate_v_per_pa=self.certificate_v_per_pa,
        )
        if scatter is None:
            return expected
        return replace(
            expected, coupling_scatter_db=scatter.deviation, coupling_degrees=scatter.degrees
        )

    def _given(self) -> dict[str, Given]:
        used = self.instrument
        load = used.load
        return {
            "kind": used.kind.value,
            "level_db": used.level_db,
            "level_uncertainty_db": used.level_uncertainty_db,
            "frequency_hz": used.frequency_hz,
            "accuracy_class": used.accuracy_class,
            **asdict(used.certified),
            "follows_pressure": used.follows_pressure,
            "temperature_db_per_c": used.temperature_db_per_c,
            "humidity_db_per_percent": used.humidity_db_per_percent,
            "cavity_cm3": load.cavity_cm3 if load else None,
            "stated_cm3": load.stated_cm3 if load else None,
            "microphone_cm3": load.microphone_cm3 if load else None,
            "microphone_uncertainty_cm3": load.microphone_uncertainty_cm3 if load else None,
            "microphone_certificate_v_per_pa": self.certificate_v_per_pa,
        }


def _column(capture: Capture, *, channel: int) -> Floats:
    count = capture.samples.shape[1]
    if count == 1:  # a recording of the microphone alone
        channel = 1
    if channel > count:
        raise BadInputError(
            f"{capture.card} {LINK}.channel",
            "no such channel",
            given=channel,
            allowed=f"1 to {count}",
        )
    return capture.samples[:, channel - 1].astype(np.float64)


def _link(
    wired: PressureInput, *, chain: ChainSnapshot, rate: float, at: Instrument
) -> MicrophoneLink:
    response_db, uncertainty_db = _response(wired, chain=chain, hz=at.frequency_hz)
    return MicrophoneLink(
        sample_rate_hz=rate,
        full_scale_v=wired.full_scale_v,
        full_scale_uncertainty_percent=wired.full_scale_uncertainty_percent,
        preamplifier_gain=wired.preamplifier_gain,
        preamplifier_gain_uncertainty_percent=wired.preamplifier_gain_uncertainty_percent,
        response_db=response_db,
        response_uncertainty_db=uncertainty_db,
    )


def _response(wired: PressureInput, *, chain: ChainSnapshot, hz: float) -> tuple[float, float]:
    table = chain.response
    if table is None:
        # At 1 kHz nothing has to be known: that is where the sensitivity is stated.
        return 0.0, 0.0 if _is_at_reference(hz) else _NO_TABLE_DB
    response = MicrophoneResponse(frequency_hz=np.asarray(table.hz), level_db=np.asarray(table.db))
    gain = microphone_gain(response, frequency_hz=np.asarray([hz, _REFERENCE_HZ]))
    return float(20 * np.log10(abs(gain[0] / gain[1]))), wired.response_uncertainty_db


def _before(wired: PressureInput, *, asked: Asked, history: History) -> float | None:
    if asked.purpose is Purpose.CHECK:  # whether what is used today still holds
        return wired.sensitivity_v_per_pa
    if asked.exchanged:
        return None
    accepted = history.accepted(QUANTITY)
    return accepted[0].results[0].value if accepted else wired.sensitivity_v_per_pa


def _limits(wired: PressureInput, *, asked: Asked, history: History) -> MicrophoneLimits:
    limits = MicrophoneLimits()
    if asked.purpose is Purpose.CHECK:
        return replace(limits, history_db=CHECK_DB)
    proven = bool(history.accepted(QUANTITY)) or wired.calibrated_on is not None
    return limits if proven else replace(limits, history_db=limits.level_db)


def _method(found: MicrophoneCalibration, *, instrument: Instrument) -> str:
    count = len(found.readings)
    couplings = "1 coupling" if count == 1 else f"{count} couplings"
    corrected = "".join(
        f", {name} {value:+.3f} dB".replace("-", "−")
        for name, value in found.corrections_db.items()
    )
    return (
        f"{instrument.kind.value.capitalize()} of {instrument.level_db:g} dB at "
        f"{instrument.frequency_hz:g} Hz on the microphone, {couplings}{corrected}; sine fit over "
        "the settled part."
    )


def _assumed(
    chain: ChainSnapshot, *, found: MicrophoneCalibration, at: Instrument
) -> Iterator[str]:
    """Say what stands in the budget because nobody knows it better."""
    if chain.response is None and not _is_at_reference(at.frequency_hz):
        yield (
            f"Without a response table the microphone is taken to be flat within {_NO_TABLE_DB:g} "
            f"dB (k = 2) between {at.frequency_hz:g} Hz and 1 kHz."
        )
    if found.assumed_degrees:
        yield (
            f"How well couplings repeat is in part assumed, {PRIOR_SCATTER_DB:g} dB each: "
            f"{math.ceil(found.assumed_degrees)} more couplings beyond the first of a day would "
            "tell it."
        )


def _is_at_reference(hz: float) -> bool:
    return math.isclose(hz, _REFERENCE_HZ, rel_tol=0.02)


def _numbers(found: MicrophoneCalibration) -> dict[str, Number]:
    numbers = {
        "sound_level_db": Number(
            value=found.level_db, unit="dB re 20 µPa", how="stated level, corrected for this air"
        )
    }
    for at, reading in enumerate(found.readings, start=1):
        numbers[f"{COUPLING}{at}"] = Number(
            value=20 * math.log10(reading.voltage_v), unit="dB re 1 V", how="settled level"
        )
    first = found.readings[0]
    worst = {
        "frequency_hz": (first.frequency_hz, "Hz"),
        "settled_s": (min(r.settled_s[1] - r.settled_s[0] for r in found.readings), "s"),
        "snr_db": (min(r.snr_db for r in found.readings), "dB"),
        "thd_n_percent": (max(r.distortion_and_noise_percent for r in found.readings), "%"),
        "slope_db_per_s": (max((r.slope_db_per_s for r in found.readings), key=abs), "dB/s"),
    }
    hum_db = max(reading.hum_db for reading in found.readings)
    if hum_db > _NO_HUM_DB:
        worst["hum_db"] = (hum_db, "dB re tone")
    for name, (value, unit) in worst.items():
        numbers[name] = Number(value=value, unit=unit, how="the worst coupling")
    return numbers
