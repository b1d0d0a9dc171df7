"""What the excitation will do, each figure against its limit, with cautions before it plays."""

from dataclasses import dataclass

from app.desktop.presenters.figures import Fact
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_warnings import Said
from app.measure.will_do import EAR_M, Hazard, WillDo
from dsp import Curve

_FROM_HERE_DB = 85.0  # Directive 2003/10/EC, article 3: hearing is protected from here on


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
    hazards = {caution.hazard for caution in will.cautions}
    about = "≈" if will.is_assumed else ""
    facts = [
        Fact(
            name="peak at the terminals",
            value=f"{_volts(will.peak_v)} of {_volts(will.most_peak_v)} V",
            mark=Mark.CAUTION if Hazard.DRIVER in hazards else None,
        )
    ]
    if will.microphone_db is not None:
        ends = will.microphone_most_db
        of = " dB" if ends is None else f" of {ends:.0f} dB"
        facts.append(
            Fact(
                name="at the microphone",
                value=f"{about}{will.microphone_db:.0f}{of}",
                mark=Mark.CAUTION if Hazard.MICROPHONE in hazards else None,
            )
        )
    facts.append(
        Fact(
            name=f"at your ear, {EAR_M:g} m",
            value=f"{about}{will.ear_db:.0f} dB",
            mark=Mark.CAUTION if Hazard.HEARING in hazards else None,
        )
    )
    if will.power_w is not None:
        bears = "" if will.most_power_w is None else f" of {_watts(will.most_power_w)}"
        facts.append(Fact(name="into the coil", value=f"{_watts(will.power_w)}{bears} W"))
    return WillDoState(
        facts=tuple(facts),
        said=tuple(Said(sentence=one.sentence) for one in will.cautions),
        note="Sound levels assume 92 dB for 2.83 V at 1 m: no take of this unit or its lot tells "
        "its sensitivity."
        if will.is_assumed
        else "",
        spectrum=will.spectrum,
        is_loud=will.ear_db >= _FROM_HERE_DB,
    )


def nothing_plays(sentence: str) -> WillDoState:
    """Say why this chain cannot or must not play what the procedure asks for."""
    return WillDoState(facts=(), said=(Said(sentence=sentence, mark=Mark.BAD),))


def _volts(volts: float) -> str:
    return f"{volts:.3g}"


def _watts(watts: float) -> str:
    return f"{watts:.2g}" if watts < 10 else f"{watts:.0f}"
