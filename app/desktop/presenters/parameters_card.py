"""The parameters of a unit as a card: every figure with its interval, and what it stands on."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.desktop.presenters.figures import Fact, fact_of, hz_text, minus, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_names import plain_reason
from app.desktop.presenters.measure_warnings import Said
from app.desktop.presenters.parameters_doubts import doubts_said
from dsp import Number
from dsp.parameters.choose import Candidate
from dsp.parameters.circuit import Circuit
from dsp.parameters.classic import Classic
from dsp.parameters.estimates import Estimates, Spread
from dsp.parameters.fit import LumpedFit

# In the order in which they are read: symbol, unit beside it.
SYMBOLS: Mapping[str, tuple[str, str]] = {
    "re_ohm": ("Re", "Ω"),
    "fs_hz": ("fs", "Hz"),
    "qms": ("Qms", ""),
    "qes": ("Qes", ""),
    "qts": ("Qts", ""),
    "le_mh": ("Le", "mH"),
    "mms_g": ("Mms", "g"),
    "cms_mm_per_n": ("Cms", "mm/N"),
    "rms_kg_per_s": ("Rms", "kg/s"),
    "bl_tm": ("Bl", "T·m"),
    "sd_cm2": ("Sd", "cm²"),
    "vas_l": ("Vas", "l"),
    "eta0_percent": ("η0", "%"),
    "reference_1w_db": ("1 W, 1 m", "dB"),
    "reference_2v83_db": ("2.83 V, 1 m", "dB"),
}
_CLASSIC = ("re_ohm", "fs_hz", "qms", "qes", "qts")
_NO_FIGURES = ("re_ohm", "fs_hz", "qms", "qes", "qts", "le_mh")
_FAR = "10\N{NO-BREAK SPACE}000+"
_MOST_TOLD = 9999.0  # of a criterion: beyond, the circuit is out of question


@dataclass(frozen=True, slots=True, kw_only=True)
class CardState:
    """What stands in the right column.

    Attributes
    ----------
    facts : tuple of Fact
        The figures.
    told : str
        Whose, and what their intervals are.
    model, model_told : str
        The circuit in words, how well it fits; and in short.
    classic : tuple of Fact
        What the peak tells by itself.
    classic_told : str
        How far that is off, in short.
    said : tuple of Said
        What speaks against figures.
    said_told : str
        How much.
    """

    facts: tuple[Fact, ...]
    told: str = ""
    model: str = ""
    model_told: str = ""
    classic: tuple[Fact, ...] = ()
    classic_told: str = ""
    said: tuple[Said, ...] = ()
    said_told: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateLine:
    """One circuit that was tried: in short words, and how much worse it is."""

    words: str
    criterion: str
    chosen: bool
    note: str


def no_card(sentence: str) -> CardState:
    """Present the places of the figures, and why nothing stands in them."""
    return CardState(
        facts=tuple(
            Fact(name=SYMBOLS[key][0], value="–", unit=SYMBOLS[key][1]) for key in _NO_FIGURES
        ),
        told="k = 2",
        said=(Said(sentence=sentence),),
    )


def card_state(
    fit: LumpedFit,
    figures: Estimates,
    *,
    number: int,
    le_hz: float,
) -> CardState:
    """Present parameters.

    Parameters
    ----------
    fit, figures : LumpedFit, Estimates
        The model of a take, and what follows from it.
    number : int
        Running number of the take.
    le_hz : float
        Hz, where the inductance is stated.
    """
    numbers = figures.numbers()
    return CardState(
        facts=tuple(_fact(key, numbers[key], le_hz=le_hz) for key in SYMBOLS if key in numbers),
        told=f"take {number}, k = 2",
        model=model_words(fit),
        model_told=_short(fit.circuit),
        classic=tuple(_classic_fact(key, fit.classic) for key in _CLASSIC),
        classic_told=_off(fit.classic, figures),
        said=doubts_said(figures.doubts),
        said_told=str(len(figures.doubts)) if figures.doubts else "none",
    )


def model_words(fit: LumpedFit) -> str:
    """Say which circuit was chosen, from how many points, and how well it fits."""
    worse = sorted(one.bic for one in fit.candidates if not one.chosen and math.isfinite(one.bic))
    count = len(fit.candidates)
    ahead = f", ahead of the next by {worse[0]:.0f} (Schwarz)" if worse else ""
    aside = len(fit.aside_hz)
    left = f" {aside} point{'s' * (aside > 1)} that stand out were left aside." if aside else ""
    return (
        f"{fit.circuit.words.capitalize().replace('r-l', 'R-L')}: of {count} circuits the one that "
        f"{fit.data.frequency_hz.size} points ask for{ahead}.{left}"
    )


def candidate_lines(fit: LumpedFit) -> tuple[CandidateLine, ...]:
    """Present all circuits that were tried, best first."""
    return tuple(_candidate(one) for one in fit.candidates)


def _candidate(one: Candidate) -> CandidateLine:
    return CandidateLine(
        words=_short(one.circuit),
        criterion="0" if one.chosen else _far(one.bic),
        chosen=one.chosen,
        note=f"{one.circuit.words}; rest over noise {math.sqrt(one.misfit_per_freedom):.3g}, "
        f"AICc {_far(one.aicc)}",
    )


def _short(circuit: Circuit) -> str:
    coil = {
        "none": "no inductance",
        "plain": "L",
        "one pair": "L, one R-L",
        "two pairs": "L, two R-L",
        "fractional": "fractional",
    }[circuit.inductance]
    more = [coil, *(["creep"] if circuit.creep else [])]
    if circuit.bumps:
        more.append(f"{circuit.bumps} bump{'s' * (circuit.bumps > 1)}")
    return ", ".join(more)


def _far(value: float) -> str:
    if not math.isfinite(value):
        return "not passive"
    return _FAR if value > _MOST_TOLD else minus(f"{value:.0f}")


def drawn_facts(spread: Spread, *, le_hz: float) -> tuple[Fact, ...]:
    """Present intervals that draws gave: both ends, as they need not be symmetric."""
    return tuple(
        Fact(name=_name(key, le_hz=le_hz), value=_ends(spread, at=at), unit=SYMBOLS[key][1])
        for key in SYMBOLS
        if key in spread.names
        for at in (spread.names.index(key),)
    )


def _ends(spread: Spread, *, at: int) -> str:
    low, high = float(spread.low[at]), float(spread.high[at])
    half = (high - low) / 2
    return f"{value_text(low, half)} to {value_text(high, half)}"


def _name(key: str, *, le_hz: float) -> str:
    return f"Le at {hz_text(le_hz)}" if key == "le_mh" else SYMBOLS[key][0]


def _fact(key: str, number: Number, *, le_hz: float) -> Fact:
    name, unit = _name(key, le_hz=le_hz), SYMBOLS[key][1]
    mark = None if number.trusted else Mark.CAUTION
    note = plain_reason(number.reason) if number.reason else number.how
    return fact_of(name, number.value, number.uncertainty, unit=unit, mark=mark, note=note)


def _classic_fact(key: str, classic: Classic) -> Fact:
    name, unit = SYMBOLS[key]
    return fact_of(
        name,
        float(getattr(classic, key)),
        None,
        unit=unit,
        note="from height and width of the peak, no fit: no interval",
    )


def _off(classic: Classic, figures: Estimates) -> str:
    if "qts" not in figures.names:
        return ""
    fitted = figures.number("qts").value
    return minus(f"Qts {100 * (classic.qts / fitted - 1):+.1f} %") if fitted else ""
