"""What couplings amount to: the value, its checks, what it is held against, its interval."""

import math
import re
from dataclasses import dataclass

from app.calibrate.health import expanded_db, level_db
from app.calibrate.microphone import CHECK_DB
from app.calibrate.run import Calibrated, Looked
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.figures import Fact, interval_text, value_text
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import Purpose
from dsp.calibration.budget import WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.in_unit import per_budget_unit
from dsp.calibration.microphone_limits import MicrophoneLimits

_FIRST = ("frequency", "settled", "level")  # what is always told
_MOST = 4  # checks in sight
_NAMES = {"frequency": "its frequency", "settled": "settled", "level": "its level"}
_LINES = 5  # sources by name
_COUPLING = re.compile(r"^coupling \d+: ")


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One check: its mark, its name, what was found."""

    mark: Mark
    name: str
    sentence: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResultState:
    """What is seen of a result.

    Attributes
    ----------
    value, interval : str
        mV/Pa, k as ``coverage`` says.
    accepted : bool
        Whether it may be kept.
    checks : tuple of CheckRow
        Those that failed first; then level, frequency, settled; then others.
    against, budget : tuple of Fact
        Comparison in dB; contributions in dB, the largest first.
    coverage : str
        Unit and k of the budget.
    words : str
        Of the right column.
    """

    value: str
    interval: str
    accepted: bool
    checks: tuple[CheckRow, ...]
    against: tuple[Fact, ...]
    budget: tuple[Fact, ...]
    coverage: str
    words: str


def result_state(
    looked: Looked, *, before_v_per_pa: float, couplings: int, purpose: Purpose
) -> ResultState:
    """Present what couplings amount to.

    Parameters
    ----------
    looked : Looked
        Not kept yet.
    before_v_per_pa : float
        V/Pa that the chain states.
    couplings : int
        How many there are.
    purpose : Purpose
        What it is done for.
    """
    result = looked.found.results[0]
    millivolts = 1000 * result.value
    interval = 1000 * result.budget.expanded * per_budget_unit(result)
    count = "1 coupling" if couplings == 1 else f"{couplings} couplings"
    more = "" if couplings > 1 else " Two more tell how well it repeats: press Again."
    return ResultState(
        value=value_text(millivolts, interval),
        interval=interval_text(interval),
        accepted=looked.accepted,
        checks=check_rows(result.checks),
        against=_against(looked, result=result, before_v_per_pa=before_v_per_pa, purpose=purpose),
        budget=_budget(result.budget),
        coverage=f"dB, k = {result.budget.k:.3g}",
        words=f"From {count}.{more}" if looked.accepted else _refusal(result.checks),
    )


def result_words(looked: Looked, *, couplings: int, purpose: Purpose, is_rig: bool) -> BayWords:
    """Say what it came to, and what follows."""
    result = looked.found.results[0]
    if not looked.accepted:
        return BayWords(
            mark=Mark.BAD,
            happened=f"Refused: {_first_reason(result)}. Nothing changed.",
            next="seat the coupler and press Again.",
            action="again",
        )
    interval = 1000 * result.budget.expanded * per_budget_unit(result)
    value = f"{value_text(1000 * result.value, interval)} {interval_text(interval)} mV/Pa"
    what = "keep the check" if purpose is Purpose.CHECK else "keep it"
    other = "Again takes another coupling" if is_rig else "take it off and press Again for another"
    count = "" if couplings == 1 else f" from {couplings} couplings"
    return BayWords(
        mark=Mark.GOOD,
        happened=f"Settled: {value}{count}.",
        next=f"{what}; or {other}.",
        action="keep",
    )


def kept_words(done: Calibrated) -> str:
    """Say what was kept."""
    result = done.record.results[0]
    interval = 1000 * result.budget.expanded * per_budget_unit(result)
    value = f"{value_text(1000 * result.value, interval)} {interval_text(interval)} mV/Pa"
    if done.record.purpose is Purpose.CHECK:
        return f"Check kept: {value}; the value of the chain still holds."
    return f"Kept: the microphone has {value}."


def check_rows(checks: tuple[Check, ...]) -> tuple[CheckRow, ...]:
    """Return what was looked at, as far as there is room: what failed comes first."""
    failed = [one for one in checks if not one.passed]
    known = {one.name: one for one in checks}
    first = [known[name] for name in _FIRST if name in known]
    order = dict.fromkeys((*failed, *first, *checks))
    return tuple(
        CheckRow(
            mark=Mark.GOOD if one.passed else Mark.BAD,
            name=_NAMES.get(one.name, one.name),
            sentence=one.sentence,
        )
        for one in list(order)[:_MOST]
    )


def _first_reason(result: Calibration) -> str:
    # Figures first: what may have caused it stands in the right column, where there is room.
    said = _COUPLING.sub("", result.reasons[0])
    return said.partition(": ")[0].rstrip(".")


def _refusal(checks: tuple[Check, ...]) -> str:
    failed = [one.sentence for one in checks if not one.passed]
    return ". ".join(f"{one[:1].upper()}{one[1:]}" for one in failed) + ". Kept as refused."


def _against(
    looked: Looked, *, result: Calibration, before_v_per_pa: float, purpose: Purpose
) -> tuple[Fact, ...]:
    interval = expanded_db(result)
    kept = looked.history.accepted(result.quantity)
    last = kept[0].results[0].value if kept else before_v_per_pa
    certificate = looked.found.given.get("microphone_certificate_v_per_pa")
    rows = [("last kept" if kept else "the chain", last)]
    if isinstance(certificate, float):
        rows.append(("certificate", certificate))
    facts = [
        Fact(
            name=name,
            value=value_text(level_db(result) - _level(known), interval or None, signed=True),
            interval=interval_text(interval),
            unit="dB",
        )
        for name, known in rows
    ]
    return (*facts, Fact(name="allowed", value=f"±{allowed_db(purpose):.2f}", unit="dB"))


def allowed_db(purpose: Purpose) -> float:
    """Return by how much it may differ from the last calibration, dB."""
    return CHECK_DB if purpose is Purpose.CHECK else MicrophoneLimits().history_db


def _level(value: float) -> float:
    return 20 * math.log10(value)


def _budget(budget: WrittenBudget) -> tuple[Fact, ...]:
    lines = sorted(budget.lines, key=lambda line: -line.contribution)
    told = [line for line in lines if line.contribution][:_LINES]
    rows = [(line.source, budget.k * line.contribution) for line in told]
    rows.append(("together", budget.expanded))
    return tuple(Fact(name=name, value=f"{value:.2f}") for name, value in rows)
