"""What repeats of the same units tell of the gauge: shares with intervals, and what to do next."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.desktop.presenters.capital import capital
from app.desktop.presenters.figures import NONE, Fact, hz_text
from app.desktop.presenters.limits_figures import unit_of
from app.desktop.presenters.mark import Mark
from app.measure.gauge import GaugeStudy, Rating
from app.measure.gauge_of_mask import GaugeOfMask
from dsp import Floats, Ints

NOTHING = (
    "Next: measure ten units, each twice or more on every station (or on several days), with "
    "their serials, then press U again."
)
_ALIKE = "All these takes read the same: nothing is known of what they differ by."
MEANING = (
    "The gauge is what remains when the same unit is taken again. Below 10 % of all spread it is "
    "good, above 30 % unfit."
)
_MARKS: Mapping[Rating, Mark] = {
    "good": Mark.GOOD,
    "conditional": Mark.CAUTION,
    "unfit": Mark.BAD,
}
_WORDS: Mapping[Rating, str] = {
    "good": "good",
    "conditional": "fair",
    "unfit": "unfit",
}
_DIGITS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeState:
    """What the tool shows.

    Attributes
    ----------
    fact : str
        How much was measured.
    facts : tuple of Fact
        Figures; of a curve the medians over frequency.
    words : str
        What they say, and what is missing.
    floor : str
        The gauge's deviation as the proposal takes it; empty where there is none.
    """

    fact: str
    facts: tuple[Fact, ...]
    words: str
    floor: str


def no_gauge(reason: str) -> GaugeState:
    """Say what has to be measured first."""
    return GaugeState(fact="", facts=(), words=f"{capital(reason)}. {NOTHING}", floor="")


def gauge_state(found: GaugeOfMask, *, quantity: str) -> GaugeState:
    """Present a study."""
    study, unit = found.study, unit_of(quantity)
    if not math.isfinite(study.share):
        return GaugeState(fact=_design(study), facts=(), words=f"{_ALIKE} {NOTHING}", floor="")
    shares, interval = study.study.shares, study.interval
    gauge = _median(shares.gauge)
    facts = [
        _deviation("gauge", shares.gauge, unit=unit),
        Fact(
            name="of total",
            value=_percent(study.share),
            interval=_span(interval.share_low, interval.share_high),
            unit="%",
            mark=_MARKS[study.rating],
        ),
    ]
    if math.isfinite(found.limit.share):
        facts.append(
            Fact(
                name="of limits",
                value=_percent(found.limit.share),
                unit="%",
                mark=_MARKS[found.limit.rating],
            )
        )
    facts.append(_deviation("repeats", shares.repeatability, unit=unit))
    if len(study.operators) > 1:
        between = np.hypot(shares.reproducibility, shares.interaction)
        facts.append(_deviation(f"{study.by}s", between, unit=unit))
    facts += [
        _deviation("units", shares.part, unit=unit),
        Fact(name="kinds", value=f"{_median(study.study.categories):.0f}", unit="told apart"),
    ]
    return GaugeState(
        fact=_design(study),
        facts=tuple(facts),
        words=" ".join(filter(None, _sentences(found))),
        floor=f"{gauge:.2g}" if math.isfinite(gauge) and gauge > 0 else "",
    )


def _sentences(found: GaugeOfMask) -> tuple[str, ...]:
    study = found.study
    worst = study.worst_octave
    over = ""
    if worst is not None and math.isfinite(worst[0]):
        over = f"Medians over frequency; worst about {hz_text(worst[0])}: {_percent(worst[1])} %."
    alone = ""
    if len(study.operators) == 1:
        alone = (
            f"No two {study.by}s repeated the same units, so that nothing is known of what lies "
            f"between {study.by}s."
        )
    remark = f"{capital(found.limit.remark)}." if found.limit.remark else ""
    return (f"The gauge is {_WORDS[study.rating]} for telling units apart.", over, remark, alone)


def _design(study: GaugeStudy) -> str:
    by = f"{len(study.operators)} {study.by}s × " if len(study.operators) > 1 else ""
    return f"{len(study.units)} units × {by}{study.repeats}"


def _deviation(name: str, values: Floats, *, unit: str) -> Fact:
    value = _median(values)
    return Fact(
        name=name, value=f"{value:.{_DIGITS}g}" if math.isfinite(value) else NONE, unit=unit
    )


def _span(low: Floats, high: Floats) -> str:
    ends = _median(low), _median(high)
    if not all(map(math.isfinite, ends)):
        return ""
    return f"{_percent(ends[0])} to {_percent(ends[1])}"


def _percent(share: float) -> str:
    return f"{100 * share:.0f}" if math.isfinite(share) else NONE


def _median(values: Floats | Ints) -> float:
    known = np.asarray(values, dtype=np.float64)
    known = known[np.isfinite(known)]
    return float(np.median(known)) if known.size else math.nan
