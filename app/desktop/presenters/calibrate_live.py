"""A coupling while it is heard: the box that the tone must stay in, and what the row says."""

import math
from dataclasses import dataclass

from app.calibrate.follow import Followed
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.figures import minus, value_text
from app.desktop.presenters.mark import Mark

_LEAST_SPAN_DB = 0.5  # of the value axis, to either side of the level
_SPAN_S = 10.0  # of the time axis at least
_AHEAD_S = 1.0  # shown of what is to come


@dataclass(frozen=True, slots=True, kw_only=True)
class SettlingBox:
    """Where the tone must stay: s, dB, and the words above it."""

    start: float
    end: float
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LiveState:
    """What is seen of a coupling.

    Attributes
    ----------
    level : str
        Now, dB re 20 µPa; empty while nothing is heard.
    box : SettlingBox or None
        None while there is no tone.
    now_s : float or None
        s, the present.
    x, y : (low, high)
        s and dB that are shown.
    value : str
        mV/Pa that the level of now amounts to; a dash while nothing is heard.
    told : str
        How long it has stood still.
    """

    level: str
    box: SettlingBox | None
    now_s: float | None
    x: tuple[float, float]
    y: tuple[float, float]
    value: str
    told: str


def live_state(seen: Followed, *, expected_db: float) -> LiveState:
    """Present how far a coupling has come.

    Parameters
    ----------
    seen : Followed
        Until now.
    expected_db : float
        dB re 20 µPa that the instrument gives: the axis lies about it until there is a tone.
    """
    now = float(seen.time_s[-1]) if seen.time_s.size else None
    box = _box(seen)
    middle = expected_db
    if box is not None:
        middle = (box.low + box.high) / 2
    half = max(_LEAST_SPAN_DB, 2.5 * (box.high - box.low) if box else 0.0)
    end = max(_SPAN_S, (now or 0.0) + _AHEAD_S, box.end + _AHEAD_S if box else 0.0)
    start = max(0.0, (box.start - _SPAN_S / 2) if box is not None else end - _SPAN_S)
    steady = f"{min(seen.steady_s, seen.needed_s):.1f} s of {seen.needed_s:g} s"
    return LiveState(
        level=f"{float(seen.level_db[-1]):.2f}" if seen.heard else "",
        box=box,
        now_s=now,
        x=(start, end),
        y=(middle - half, middle + half),
        value=_millivolts(seen.sensitivity_v_per_pa),
        told=_told(steady=steady, box=box),
    )


def live_words(seen: Followed, *, instrument: str, couplings: int) -> BayWords:
    """Say what is heard, and what to do meanwhile."""
    if seen.heard:
        left = max(0.0, seen.needed_s - seen.steady_s)
        return BayWords(
            mark=Mark.BUSY,
            happened=f"The {instrument} is heard: {seen.frequency_hz:.1f} Hz. "
            f"Settling, {left:.1f} s to go.",
            next="hold it still. Keep becomes ready by itself.",
            action="keep",
            enabled=False,
            progress=min(1.0, seen.steady_s / seen.needed_s),
        )
    if seen.waits_for_silence:
        happened = f"{_count(couplings)} taken."
        next_ = "take the instrument off, then put it on again, slowly and straight."
    else:
        happened = f"Listening for the {instrument}."
        next_ = "put it on slowly and straight, and switch it on. It is heard by itself."
    return BayWords(
        mark=Mark.BUSY, happened=happened, next=next_, action="keep", enabled=False, progress=0.0
    )


def _count(couplings: int) -> str:
    return "1 coupling is" if couplings == 1 else f"{couplings} couplings are"


def _box(seen: Followed) -> SettlingBox | None:
    low, high = seen.box_db
    if not seen.heard or not math.isfinite(low):
        return None
    half = f"{(high - low) / 2:.2f}"
    return SettlingBox(
        start=seen.box_from_s,
        end=seen.box_from_s + seen.needed_s,
        low=low,
        high=high,
        words=f"settled: {seen.needed_s:g} s within ±{half} dB",
    )


def _told(*, steady: str, box: SettlingBox | None) -> str:
    if box is None:
        return "No tone yet. The room may be heard, but nothing that stands out of it."
    half = f"{(box.high - box.low) / 2:.2f}"
    return f"{steady} are within ±{half} dB. Hold the coupler still; do not talk."


def _millivolts(sensitivity_v_per_pa: float) -> str:
    millivolts = 1000 * sensitivity_v_per_pa
    return minus(value_text(millivolts if math.isfinite(millivolts) else None))
