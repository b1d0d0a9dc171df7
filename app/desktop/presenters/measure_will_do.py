"""What the excitation will do, each figure against its limit, with cautions before it plays."""

from dataclasses import dataclass

from app.desktop.presenters.figures import Fact, minus
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_warnings import Said
from app.measure.will_do import EAR_M, PROTECT_DB, Hazard, WillDo
from dsp import Curve

_WHOLE_FROM, _TENTHS_FROM = 10.0, 0.1  # W


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WillDoState:
    """What stands under the head.

    Attributes
    ----------
    facts : tuple of Fact
        Values with their limits, in words.
    said : tuple of Said
        Cautions; they never fold away.
    note : str
        What the sound levels stand on; folds away.
    spectrum : Curve or None
        dB re 1 V rms in third octaves.
    is_loud : bool
        Whether a person should be asked before it plays for the first time.
    """

    facts: tuple[Fact, ...]
    said: tuple[Said, ...]
    note: str = ""
    spectrum: Curve | None = None
    is_loud: bool = False


def will_do_state(will: WillDo) -> WillDoState:
    """Present what is predicted."""
    facts = (_peak(will), _microphone(will), _ear(will), _coil(will))
    return WillDoState(
        facts=tuple(fact for fact in facts if fact is not None),
        said=tuple(Said(sentence=one.sentence) for one in will.cautions),
        note="Sound levels assume 92 dB for 2.83 V at 1 m: no take of this unit or its lot tells "
        "its sensitivity."
        if will.is_assumed
        else "",
        spectrum=will.spectrum,
        is_loud=will.ear_db >= PROTECT_DB,
    )


def _peak(will: WillDo) -> Fact:
    return Fact(
        name="peak at the terminals",
        value=f"{_volts(will.peak_v)} of {_volts(will.most_peak_v)} V",
        mark=_mark(will, Hazard.DRIVER),
    )


def _microphone(will: WillDo) -> Fact | None:
    if will.microphone_db is None:
        return None
    ends = "" if will.microphone_most_db is None else f" of {will.microphone_most_db:.0f}"
    return Fact(
        name="at the microphone",
        value=f"{_about(will)}{minus(f'{will.microphone_db:.0f}')}{ends} dB",
        mark=_mark(will, Hazard.MICROPHONE),
    )


def _ear(will: WillDo) -> Fact:
    return Fact(
        name=f"at your ear, {EAR_M:g} m",
        value=f"{_about(will)}{minus(f'{will.ear_db:.0f}')} dB",
        mark=_mark(will, Hazard.HEARING),
    )


def _coil(will: WillDo) -> Fact | None:
    if will.power_w is None:
        return None
    bears = "" if will.most_power_w is None else f" of {_watts(will.most_power_w)}"
    return Fact(name="into the coil", value=f"{_watts(will.power_w)}{bears} W")


def _mark(will: WillDo, hazard: Hazard) -> Mark | None:
    return Mark.CAUTION if any(one.hazard is hazard for one in will.cautions) else None


def _about(will: WillDo) -> str:
    return "≈" if will.is_assumed else ""


def nothing_plays(sentence: str, *, is_told: bool) -> WillDoState:
    """Say why this chain cannot or must not play what the procedure asks for.

    Parameters
    ----------
    sentence : str
        The reason.
    is_told : bool
        Whether it stands beside its field already.
    """
    said = "Nothing can be played" + ("." if is_told else f": {sentence}.")
    return WillDoState(facts=(), said=(Said(sentence=said, mark=Mark.BAD),))


def _volts(volts: float) -> str:
    return f"{volts:.1f}"


def _watts(watts: float) -> str:
    if watts >= _WHOLE_FROM:
        return f"{watts:.0f}"
    return f"{watts:.1f}" if watts >= _TENTHS_FROM else f"{watts:.2g}"
