"""What is looked at before a microphone's calibration is believed."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence

from dsp.calibration.calibration import Check
from dsp.calibration.instrument import STANDARD_LEVELS_DB, Instrument
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits
from dsp.calibration.reading import MicrophoneReading

_A_LEAK_DB = 12.0  # more than this no coupler loses before somebody hears that it leaks
_A_NOMINAL_DB = 1.5  # so near to another nominal level it is taken for that one


def coupling_checks(
    readings: Sequence[MicrophoneReading], *, instrument: Instrument, limits: MicrophoneLimits
) -> tuple[Check, ...]:
    """Judge every coupling by what was heard in it.

    Parameters
    ----------
    readings : sequence of MicrophoneReading
        One a coupling.
    instrument : Instrument
        What they were made with.
    limits : MicrophoneLimits
        What is allowed.

    Returns
    -------
    tuple of Check, each for all couplings, its sentence for the worst. A coupling of which
    another check has told the cause is left out of those that would tell its consequences.
    """
    left = dict(enumerate(readings, start=1))
    found = []
    for name, judge in _JUDGES:
        if not left:
            break
        judged = {place: judge(one, instrument, limits) for place, one in left.items()}
        found.append(_worst(name, judged, named=len(readings) > 1))
        if name in _SPOILS:
            left = {place: one for place, one in left.items() if judged[place][0] <= 1}
    return tuple(found)


def result_checks(
    sensitivities_v_per_pa: Sequence[float],
    *,
    value_v_per_pa: float,
    instrument: Instrument,
    expected: Expected,
    limits: MicrophoneLimits,
    still: bool,
) -> tuple[Check, ...]:
    """Judge the couplings against each other, and the result against what is known.

    Parameters
    ----------
    sensitivities_v_per_pa : sequence of float
        V/Pa, one a coupling.
    value_v_per_pa : float
        V/Pa, the result.
    instrument : Instrument
        What they were made with.
    expected : Expected
        What is known.
    limits : MicrophoneLimits
        What is allowed.
    still : bool
        Whether the level stood still: otherwise it is told by how much it moves, and not once
        more by how far it has come.

    Returns
    -------
    tuple of Check; nothing is said where there is nothing to compare with.
    """
    found = [*_spread(sensitivities_v_per_pa, limits=limits)] if still else []
    known = expected.before_v_per_pa or expected.certificate_v_per_pa
    if known is None:
        return tuple(found)
    level = _level(_db(value_v_per_pa, known), instrument=instrument, limits=limits)
    found.append(level)
    if level.passed and still:  # else the same fault would be named three times
        found += _history(value_v_per_pa, expected=expected, limits=limits)
    return tuple(found)


def _clipping(one: MicrophoneReading, _: Instrument, __: MicrophoneLimits) -> tuple[float, str]:
    if one.clipped:
        return 2.0, "the input ran into its rail; turn its gain down and calibrate again"
    return 0.0, "the input stays below its rail"


def _signal(one: MicrophoneReading, _: Instrument, limits: MicrophoneLimits) -> tuple[float, str]:
    said = f"tone {one.snr_db:.1f} dB above the noise, allowed from {limits.least_snr_db:g} dB"
    if one.snr_db < limits.least_snr_db:
        return 2.0, f"{said}: too little signal; is the instrument on, is this its channel?"
    return -one.snr_db / 1000, said


def _frequency(
    one: MicrophoneReading, instrument: Instrument, _: MicrophoneLimits
) -> tuple[float, str]:
    off = 100 * (one.frequency_hz / instrument.frequency_hz - 1)
    allowed = instrument.limits.frequency_percent
    said = (
        f"found {one.frequency_hz:.2f} Hz where {instrument.frequency_hz:g} Hz was named, "
        f"{instrument.who_limits('frequency_percent')} allows {allowed:g} %"
    )
    return abs(off) / allowed, said


def _settled(one: MicrophoneReading, _: Instrument, limits: MicrophoneLimits) -> tuple[float, str]:
    said = f"settled for {one.settled_for_s:.1f} s, asked for {limits.least_settled_s:g} s"
    if one.settled_for_s < limits.least_settled_s - 1e-6:
        return 2.0, f"{said}: not settled; {_movement(one)}wait until the level stands still"
    return 0.0, said


def _drift(one: MicrophoneReading, _: Instrument, limits: MicrophoneLimits) -> tuple[float, str]:
    slope = one.slope_db_per_s
    if not one.drifts:
        return 0.0, f"no drift stands out, allowed {limits.drift_db_per_s:g} dB/s"
    way = "sinks" if slope < 0 else "rises"
    said = f"level {way} by {abs(slope):.3f} dB/s, allowed {limits.drift_db_per_s:g} dB/s"
    if abs(slope) <= limits.drift_db_per_s:
        return 0.0, said
    why = "the coupler leaks or the battery is low" if slope < 0 else "it is still coming to rest"
    return abs(slope) / limits.drift_db_per_s, f"{said}: drift; {why}"


def _steady(
    one: MicrophoneReading, instrument: Instrument, _: MicrophoneLimits
) -> tuple[float, str]:
    allowed, who = instrument.limits.fluctuation_db, instrument.who_limits("fluctuation_db")
    if not one.fluctuation_db:
        said = "level comes and goes by no more than noise"
        return 0.0, f"{said}, {who} allows {allowed:g} dB"
    said = f"level comes and goes by {one.fluctuation_db:.3f} dB, {who} allows {allowed:g} dB"
    if one.fluctuation_db > allowed:
        said += ": the coupler leaks or was touched; seat it anew"
    return one.fluctuation_db / allowed, said


def _distortion(
    one: MicrophoneReading, instrument: Instrument, _: MicrophoneLimits
) -> tuple[float, str]:
    allowed = instrument.limits.distortion_percent
    said = (
        f"distortion {one.distortion_percent:.2f} %, "
        f"{instrument.who_limits('distortion_percent')} allows {allowed:g} %"
    )
    return one.distortion_percent / allowed, said


def _hum(one: MicrophoneReading, _: Instrument, limits: MicrophoneLimits) -> tuple[float, str]:
    if one.hum_db < -150:
        return 0.0, f"no hum stands out of the noise, allowed {_true(limits.hum_db)} dB re the tone"
    said = (
        f"hum of {one.mains_hz:g} Hz mains at {_true(one.hum_db, 1)} dB re the tone, "
        f"allowed {_true(limits.hum_db)} dB"
    )
    return 10 ** ((one.hum_db - limits.hum_db) / 20), said


# Where the rail cut the tone, or none is heard, nothing else can be said about it; a level that
# does not stand still drifts and wanders.
_SPOILS = {"clipping", "signal", "settled"}
_Judge = Callable[[MicrophoneReading, Instrument, MicrophoneLimits], tuple[float, str]]
_JUDGES: tuple[tuple[str, _Judge], ...] = (
    ("clipping", _clipping),
    ("signal", _signal),
    ("frequency", _frequency),
    ("distortion", _distortion),
    ("hum", _hum),
    ("settled", _settled),
    ("drift", _drift),
    ("steadiness", _steady),
)


def _worst(name: str, judged: Mapping[int, tuple[float, str]], *, named: bool) -> Check:
    # A judge gives how much of what is allowed is used, above 1 too much, and what to say.
    place = max(judged, key=lambda at: judged[at][0])
    used, said = judged[place]
    where = f"coupling {place}: " if named else ""
    return Check(name=name, passed=used <= 1, sentence=where + said)


def _movement(one: MicrophoneReading) -> str:
    if not one.drifts:
        return ""
    if one.slope_db_per_s < 0:
        return f"it sinks by {-one.slope_db_per_s:.2f} dB/s, as from a leak in the coupler; "
    return f"it rises by {one.slope_db_per_s:.2f} dB/s; "


def _spread(sensitivities: Sequence[float], *, limits: MicrophoneLimits) -> Iterator[Check]:
    if len(sensitivities) < 2:
        return
    wide = _db(max(sensitivities), min(sensitivities))
    said = (
        f"{len(sensitivities)} couplings lie within {wide:.3f} dB, allowed {limits.spread_db:g} dB"
    )
    passed = wide <= limits.spread_db
    if not passed:
        said += ": spread; seat the instrument more slowly, and straight"
    yield Check(name="spread", passed=passed, sentence=said)


def _level(off_db: float, *, instrument: Instrument, limits: MicrophoneLimits) -> Check:
    if abs(off_db) <= limits.level_db:
        said = f"level fits the {instrument.level_db:g} dB that were named"
        return Check(name="level", passed=True, sentence=said)
    reads = instrument.level_db + off_db
    nominal = min(STANDARD_LEVELS_DB, key=lambda level: abs(level - reads))
    named = f"{instrument.level_db:g} dB"
    if abs(nominal - reads) <= _A_NOMINAL_DB:
        said = (
            f"level reads as {nominal:g} dB where {named} was named: "
            f"wrong level, or a gain that is not as the chain says"
        )
    else:
        way = "above" if off_db > 0 else "below"
        leak = "a leak in the coupler, " if -_A_LEAK_DB < off_db < 0 else ""
        said = (
            f"level reads {abs(off_db):.1f} dB {way} the {named} that were named, "
            f"allowed {limits.level_db:g} dB: {leak}wrong level, or a gain that is not as the "
            f"chain says"
        )
    return Check(name="level", passed=False, sentence=said)


def _history(value: float, *, expected: Expected, limits: MicrophoneLimits) -> Iterator[Check]:
    for name, known, allowed, words in (
        ("history", expected.before_v_per_pa, limits.history_db, "the last calibration"),
        ("certificate", expected.certificate_v_per_pa, limits.certificate_db, "its certificate"),
    ):
        if known is None:
            continue
        off = _db(value, known)
        passed = abs(off) <= allowed
        said = f"{_true(off, 2, sign=True)} dB from {words}, allowed {allowed:g} dB either way"
        if not passed:
            cause = "a leak in the coupler, or " if off < 0 else ""
            said += f": {cause}the microphone or its gain has changed"
        yield Check(name=name, passed=passed, sentence=said)


def _db(value: float, re: float) -> float:
    return 20 * math.log10(value / re)


def _true(value: float, digits: int = 0, *, sign: bool = False) -> str:
    rounded = round(value, digits) + 0.0  # no minus before a zero
    return f"{rounded:{'+' if sign else ''}.{digits}f}".replace("-", "\N{MINUS SIGN}")
