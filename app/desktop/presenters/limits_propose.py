"""What a proposal of limits asks for, and the wish that follows from what was typed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from app.desktop.presenters.limits_figures import hz_typed, step_of, unit_of
from app.desktop.presenters.limits_typed import typed_figure
from app.measure.proposal import counted
from app.measure.trial import Trial
from app.measure.wish import Way, Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from dsp.conformity.mask import MaskLines

WAYS = (
    ("sigma", "mean ± k deviations"),
    ("tolerance", "tolerance interval"),
    ("take", "one take ± a distance"),
)
_UNITS = {"k": "", "share": "%", "confidence": "%", "from": "Hz", "to": "Hz"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposeState:
    """What the panel starts from.

    Attributes
    ----------
    fact : str
        Which mask.
    unit, step
        Of its limits.
    is_number : bool
        Whether it is a single value: then there are no break points to place.
    low, high : str
        Hz, where the mask runs now.
    unit_place : int
        The unit whose take is followed, by its place in the trial.
    hints : mapping of way to str
        What each way does.
    """

    fact: str
    unit: str
    step: float
    is_number: bool
    low: str
    high: str
    unit_place: int
    hints: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What stands in the panel."""

    way: str
    series: str
    figures: Mapping[str, str]


def propose_state(mask: Mask, *, title: str, trial: Trial, unit: int | None) -> ProposeState:
    """Return what the panel starts from; ``unit`` is one that is drawn, None for the newest."""
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    low, high = lines.span_hz if lines.over_frequency else (20.0, 20_000.0)
    if not 0 < low < high < float("inf"):
        low, high = 20.0, 20_000.0
    count, place = counted(trial), unit or 0
    left_out = trial.size - count
    units = f"{count} unit{'s' if count != 1 else ''}"
    without = f"; {left_out} found bad or not to be judged left out" if left_out else ""
    serial = trial.names[place] if trial.size else "none"
    return ProposeState(
        fact=title,
        unit=unit_of(mask.quantity),
        step=step_of(mask.quantity),
        is_number=mask.quantity in NUMBERS,
        low=hz_typed(low),
        high=hz_typed(high),
        unit_place=place,
        hints={
            "sigma": f"From {units}{without}. Limits are rounded outward.",
            "tolerance": f"From {units}{without}: holds that share of all units to come, if they "
            "spread as these do and normally (ISO 16269-6).",
            "take": f"About the take of {serial}; press a unit to follow another.",
        },
    )


def wish_of(typed: Typed, *, state: ProposeState) -> Wish:
    """Turn what was typed into a wish.

    Raises
    ------
    EditRefusedError
        A figure that is none, or a span that does not rise; the key names the field.
    """
    figures = {
        name: typed_figure(text, key=name, unit=_UNITS.get(name, state.unit))
        for name, text in typed.figures.items()
    }
    if figures["from"] >= figures["to"]:
        raise EditRefusedError(
            "to", "not above the lowest", given=f"{figures['to']:g}", allowed="more Hz"
        )
    return Wish(
        way=cast("Way", typed.way),
        k=figures["k"],
        coverage=figures["share"] / 100,
        confidence=figures["confidence"] / 100,
        unit=state.unit_place,
        above=figures["above"],
        below=figures["below"],
        series=int(typed.series),
        span_hz=(figures["from"], figures["to"]),
        step=state.step,
    )
