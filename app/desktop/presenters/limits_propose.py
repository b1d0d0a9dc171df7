"""What a proposal of limits asks for, and the wish that follows from what was typed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_figures import hz_typed, step_of, unit_of
from app.desktop.presenters.limits_typed import typed_figure
from app.measure.proposal import Proposal, counted
from app.measure.rates import percent
from app.measure.trial import Trial
from app.measure.wish import Way, Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from dsp.conformity.mask import MaskLines

WAYS = (
    ("unit_rate", "good units stopped"),
    ("tolerance", "tolerance, if normal"),
    ("percentile", "tolerance, any shape"),
    ("sigma", "middle ± k deviations"),
    ("take", "one take ± a distance"),
)
FLOATING = (
    ("", "as the mask has it"),
    ("level", "level and shape"),
    ("shape", "shape alone"),
)
_PERCENT = " %"
_UNITS = {"k": "", "share": "%", "confidence": "%", "rate": "%", "from": "Hz", "to": "Hz"}


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
    floating: str = ""
    robust: bool = False


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
            "unit_rate": f"From {units}{without}: as wide as stops that share of good units, "
            "anywhere on the curve. A mask over frequency is many limits at once.",
            "tolerance": f"From {units}{without}: holds that share of all units to come at each "
            "frequency, if they spread as these do and normally (ISO 16269-6).",
            "percentile": f"From {units}{without}: the same without a normal shape, between "
            "ordered units; many of them are needed.",
            "sigma": f"From {units}{without}. Says nothing of how many units to come will fail: "
            "with few units, or over frequency, far more than the table of the normal says.",
            "take": f"About the take of {serial}; press a unit to follow another.",
        },
    )


def proposal_words(found: Proposal, *, title: str) -> str:
    """Say what a proposal stands on, and how units fare that it was made without."""
    units = f"{found.units} unit{'s' if found.units != 1 else ''}"
    k = f", k = {found.k:.2f}" if found.k is not None else ""
    said = f"{title} drawn from {units}{k}"
    tested = found.held_out
    if tested is not None:
        one = tested.conform
        said += (
            f"; held out, {one.count} of {one.of} conform "
            f"({percent(one.low).removesuffix(_PERCENT)} to {percent(one.high)})"
        )
    remarks = "".join(f" {capital(remark)}." for remark in found.remarks)
    return f"{said}.{remarks}"


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
        rate=figures["rate"] / 100,
        robust=typed.robust,
        floor=figures["floor"],
        floating={"": None, "level": False, "shape": True}[typed.floating],
        unit=state.unit_place,
        above=figures["above"],
        below=figures["below"],
        series=int(typed.series),
        span_hz=(figures["from"], figures["to"]),
        step=state.step,
    )
