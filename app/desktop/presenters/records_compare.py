"""Two takes side by side: what differs, by how much, and whether the intervals tell them apart."""

import math
from dataclasses import dataclass

from app.desktop.presenters.figures import (
    NONE,
    Fact,
    hz_text,
    interval_text,
    value_text,
    with_unit,
)
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_names import number_as, quantity_name
from app.desktop.presenters.measure_warnings import Said
from app.measure.differences import CurveDifference, Differences, NumberDifference
from dsp.conformity.verdict import Verdict

_MOST_NAMED = 4
_LAST_BITS = 1e-9  # in any unit of ours; nobody can act upon less
_BOTH = {
    Verdict.CONFORMS: "Both conform",
    Verdict.DOES_NOT_CONFORM: "Neither conforms",
    Verdict.NOT_DECIDED: "Neither is decided",
    Verdict.NOT_JUDGED: "Neither is judged: no mask",
}
_READ = (
    "Marked: apart by more than the interval of the difference (k = 2), the root of the sum of "
    "both intervals’ squares. Unrounded figures decide; where rounding would hide it, one more "
    "digit is told. On one chain the calibrations cancel, so this interval is rather too wide "
    "than too narrow."
)
_NOT_KNOWN = "An interval is not known: whether they are apart is not told."


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainState:
    """What deriving a take again brought.

    Attributes
    ----------
    told : str
        Head: ``identical``, or how many figures differ.
    said : tuple of Said
        One sentence on what did, and did not, change.
    differs : bool
        Whether there is anything to keep.
    """

    told: str
    said: tuple[Said, ...]
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedState:
    """Two takes side by side.

    Attributes
    ----------
    title, told : str
        Head.
    numbers : tuple of Fact
        New less old, with the interval of the difference; a mark where it is larger than that.
        ``note`` tells why there is one.
    curves : tuple of Fact
        The largest difference of each curve, and where.
    note : tuple of Said
        How the marks are meant.
    """

    title: str
    told: str
    mark: Mark
    sentence: str
    numbers: tuple[Fact, ...]
    curves: tuple[Fact, ...]
    note: tuple[Said, ...]


def again_state(found: Differences, *, day: str) -> AgainState:
    """Present a take derived again; ``day`` is when it was made."""
    numbers, curves = len(found.numbers), len(found.curves)
    if found.are_none:
        sentence = f"All {numbers} numbers and {curves} curves come out bit for bit as on {day}."
        return AgainState(
            told="identical", said=(Said(sentence=sentence, mark=Mark.GOOD),), differs=False
        )
    changed = [_number_text(one) for one in found.numbers if not one.is_same]
    changed += [_curve_text(one) for one in found.curves if not one.is_same]
    said = []
    if found.old_verdict is not found.new_verdict:
        sentence = (
            f"The verdict was “{found.old_verdict.value}”, now it is “{found.new_verdict.value}”."
        )
        said.append(Said(sentence=sentence, mark=Mark.CAUTION))
    if changed:
        rest = len(changed) - _MOST_NAMED
        named = "; ".join(changed[:_MOST_NAMED]) + (f"; {rest} more" if rest > 0 else "")
        said.append(Said(sentence=f"New less old: {named}.", mark=Mark.INFO))
    told = f"{len(changed)} of {numbers + curves} differ"
    return AgainState(told=told, said=tuple(said), differs=True)


def no_again() -> AgainState:
    """Present the place before anything was derived again."""
    sentence = "Press D: every figure is read anew out of the recording and held against these."
    return AgainState(told="", said=(Said(sentence=sentence),), differs=False)


def compared_state(found: Differences, *, old: int, new: int) -> ComparedState:
    """Present two takes side by side, by their running numbers."""
    apart = [one for one in found.numbers if _is_apart(one.away, one.interval)]
    return ComparedState(
        title=f"Take {new} less take {old}",
        told=f"{len(apart)} of {len(found.numbers)} numbers apart",
        mark=mark_of(found.new_verdict),
        sentence=_verdicts(found, old=old, new=new),
        numbers=tuple(_number_fact(one) for one in found.numbers),
        curves=tuple(_curve_fact(one) for one in found.curves if _is_told(one)),
        note=(Said(sentence=_READ),),
    )


def _verdicts(found: Differences, *, old: int, new: int) -> str:
    if found.old_verdict is found.new_verdict:
        return _BOTH[found.new_verdict]
    return f"Take {new}: {found.new_verdict.value}; take {old}: {found.old_verdict.value}"


def _number_fact(one: NumberDifference) -> Fact:
    shown = number_as(one.name, unit=(one.new or one.old).unit)  # type: ignore[union-attr]
    interval = None if one.interval is None else one.interval * shown.scale
    told = _told(one.away * shown.scale, interval, unit=shown.unit)
    return Fact(
        name=shown.name,
        value=told.value,
        interval=told.interval,
        unit=shown.unit,
        mark=told.mark,
        note=told.note,
    )


def _curve_fact(one: CurveDifference) -> Fact:
    if one.is_same:
        return Fact(name=quantity_name(one.name), value="the same")
    interval = one.interval if math.isfinite(one.interval) else None
    told = _told(one.largest, interval, unit=one.unit)
    at = f"at {hz_text(one.at_hz)}"
    return Fact(
        name=quantity_name(one.name),
        value=with_unit(f"{told.value} {told.interval}".strip(), one.unit),
        unit=at,
        mark=told.mark,
        note=f"Farthest apart {at}. {told.note}",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    value: str
    interval: str
    mark: Mark | None
    note: str


def _told(away: float, interval: float | None, *, unit: str) -> _Told:
    """Write a difference so that value and interval never contradict the mark."""
    if not math.isfinite(away):
        return _Told(value=NONE, interval="", mark=None, note="Only one of the two has it.")
    if interval is None or not math.isfinite(interval):
        value = value_text(away, None, signed=True)
        return _Told(value=value, interval="", mark=None, note=_NOT_KNOWN)
    apart = _is_apart(away, interval)
    digits = next((some for some in (None, 2, 3) if _seems(away, interval, some) is apart), 3)
    value = value_text(away, interval, signed=True, digits=digits)
    half = interval_text(interval, digits=digits)
    than = "more than" if apart else "within"
    return _Told(
        value=value,
        interval=half,
        mark=Mark.CAUTION if apart else None,
        note=f"{with_unit(value, unit)} is {than} the interval of the difference, "
        f"{with_unit(half, unit)}.",
    )


def _seems(away: float, interval: float, digits: int | None) -> bool:
    """Tell whether what is written looks apart."""
    value = value_text(abs(away), interval, digits=digits)
    half = interval_text(interval, digits=digits).removeprefix("±")
    return _read(value) > _read(half)


def _read(text: str) -> float:
    return float(text.replace("\N{NO-BREAK SPACE}", "") or 0)


def _is_told(one: CurveDifference) -> bool:
    # Harmonics one by one would drown the rest; THD and high orders hold them.
    is_single = one.name[:1] == "h" and one.name[1:].isdigit()
    return not is_single and math.isfinite(one.largest)


def _is_apart(away: float, interval: float | None) -> bool:
    return interval is not None and math.isfinite(interval) and abs(away) > interval


def _number_text(one: NumberDifference) -> str:
    shown = number_as(one.name, unit=(one.new or one.old).unit)  # type: ignore[union-attr]
    return f"{shown.name} {_away_text(one.away * shown.scale, shown.unit)}"


def _curve_text(one: CurveDifference) -> str:
    at = "" if one.at_hz is None else f" at {hz_text(one.at_hz)}"
    return f"{quantity_name(one.name)} {_away_text(one.largest, one.unit)}{at}"


def _away_text(away: float, unit: str) -> str:
    if not math.isfinite(away):
        return "only one has it"
    if abs(away) < _LAST_BITS:
        return "in its last bits"
    text = value_text(float(f"{away:.2g}"), None, signed=True)
    return NONE if text == NONE else with_unit(text, unit)
