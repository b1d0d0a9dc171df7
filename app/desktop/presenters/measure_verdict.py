"""The verdict of a take in two lines, and mask by mask with margin and frequency."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.desktop.presenters.decisive import decisive
from app.desktop.presenters.figures import NONE, hz_text, value_text, with_unit
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_names import COUNTS, number_as, plain_reason, quantity_name
from app.desktop.presenters.measure_stale import StaleLink, refused_in
from app.desktop.run_state import Failure, RunState
from app.measure.keep_merged import is_merged
from app.records.take import Take
from dsp import Curve
from dsp.conformity.verdict import MaskResult, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskLine:
    """One mask and how the take stands against it.

    Attributes
    ----------
    mask, quantity : str
        Names in the procedure and in the record.
    called : str
        What people call it: as its quantity where the mask is named after that.
    mark : Mark
        Of its verdict.
    margin : str
        With unit and sign; a dash where nothing was decided.
    at : str
        Where it is smallest; empty for a single number.
    at_short : str
        The same as an axis would have it, in Hz.
    hz : float or None
        The same, for the cursor.
    reason : str
        Why nothing was decided, or by how much the level was aligned.
    """

    mask: str
    quantity: str
    called: str
    mark: Mark
    margin: str
    at: str
    at_short: str
    hz: float | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictState:
    """What stands at the top of the right column.

    Attributes
    ----------
    mark : Mark
        Before the word.
    word, detail : str
        The verdict, and the line under it.
    masks : tuple of MaskLine
        The one that decides first; empty where there is no take.
    told : str
        The quiet fact over the masks.
    """

    mark: Mark
    word: str
    detail: str
    masks: tuple[MaskLine, ...] = ()
    told: str = ""


def verdict_state(take: Take, *, stale: tuple[StaleLink, ...]) -> VerdictState:
    """Present the verdict of a take."""
    masks = tuple(_mask_line(one.mask, take.masks[one.mask], take=take) for one in decisive(take))
    if not masks:
        return VerdictState(
            mark=mark_of(take.verdict),
            word=take.verdict.value.capitalize(),
            detail="merged from two takes" if is_merged(take) else "the procedure has no mask",
            told="no mask",
        )
    fails = sum(line.mark is Mark.BAD for line in masks)
    return VerdictState(
        mark=mark_of(take.verdict),
        word=take.verdict.value.capitalize(),
        detail=_detail(take, masks=masks, stale=stale),
        masks=masks,
        told=f"{fails} of {len(masks)} broken" if fails else _count(len(masks)),
    )


def no_take_verdict(masks: Mapping[str, object]) -> VerdictState:
    """Present the place of the verdict before there is any."""
    told = f"{len(masks)} to hold" if masks else "no mask"
    return VerdictState(
        mark=Mark.NONE, word="No take yet", detail="press Space to make one", told=told
    )


def active_verdict(run: RunState) -> VerdictState:
    """Present the place of the verdict while a take is being made."""
    word = "Playing" if run.is_sounding else "Deriving"
    return VerdictState(mark=Mark.BUSY, word=word, detail=f"take {run.number}, judged when it ends")


def failed_verdict(failure: Failure, *, number: int) -> VerdictState:
    """Present the place of the verdict when a take broke off."""
    broke = f"broke off at {failure.played_s:.2f} s" if failure.played_s else "did not begin"
    return VerdictState(mark=Mark.BAD, word="No verdict", detail=f"take {number} {broke}")


def _mask_line(name: str, result: MaskResult, *, take: Take) -> MaskLine:
    mask = take.procedure.masks.get(name)
    quantity = name if mask is None else mask.quantity
    return MaskLine(
        mask=name,
        quantity=quantity,
        called=quantity_name(name) if name == quantity else name.replace("_", " "),
        mark=mark_of(result.verdict),
        margin=_margin(result, quantity=quantity, take=take),
        at="" if result.nearest_hz is None else hz_text(result.nearest_hz),
        at_short="" if result.nearest_hz is None else _on_axis(result.nearest_hz),
        hz=result.nearest_hz,
        reason=result.reason,
    )


def _on_axis(hz: float) -> str:
    return hz_text(hz).replace(" kHz", "k").removesuffix(" Hz")


def _margin(result: MaskResult, *, quantity: str, take: Take) -> str:
    if not math.isfinite(result.margin) or quantity == "polarity":
        return NONE  # a sign is right or wrong, by no distance
    curve, number = take.curves.get(quantity), take.numbers.get(quantity)
    if curve is not None:
        interval = _interval_at(curve, hz=result.nearest_hz)
        return with_unit(_short(result.margin, interval), curve.unit)
    shown = number_as(quantity, unit=number.unit if number else "")
    if quantity in COUNTS:
        return f"{result.margin:.0f}"
    interval = None if number is None or number.uncertainty is None else number.uncertainty
    scaled = None if interval is None else interval * shown.scale
    return with_unit(_short(result.margin * shown.scale, scaled), shown.unit)


def _short(margin: float, interval: float | None) -> str:
    """Write a margin to the place of its interval, but with three digits at most."""
    least = 10.0 ** (math.floor(math.log10(abs(margin))) - 1) if margin else 0.0
    return value_text(margin, max(interval or 0.0, 0.3 * least) or None)


def _interval_at(curve: Curve, *, hz: float | None) -> float | None:
    """Return the interval of the curve's own point next to a frequency."""
    if curve.uncertainty is None or hz is None or not curve.frequency_hz.size:
        return None
    nearest = int(np.argmin(np.abs(np.log(curve.frequency_hz / hz))))
    interval = float(curve.uncertainty[nearest])
    return interval if math.isfinite(interval) else None


def _count(masks: int) -> str:
    return "1 mask" if masks == 1 else f"{masks} masks"


def _detail(take: Take, *, masks: tuple[MaskLine, ...], stale: tuple[StaleLink, ...]) -> str:
    if stale and take.verdict is Verdict.NOT_DECIDED:
        return f"until the {stale[0].called} is proved"
    refused = refused_in(take.warnings)
    if refused and take.verdict is Verdict.NOT_DECIDED:
        return f"until the {refused[0].called} is calibrated"
    first = masks[0]
    if take.verdict is Verdict.NOT_DECIDED:
        return plain_reason(first.reason) or f"{first.called} lies within its guard band"
    if first.margin == NONE:
        return f"by {first.called}"
    at = f" at {first.at}" if first.at else ""
    return f"{first.called} by {first.margin}{at}"
