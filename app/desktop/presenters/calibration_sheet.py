"""One kept calibration, opened: what was found, what was looked at, who did it with what."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.desktop.presenters.figures import Fact, minus, value_text
from app.desktop.presenters.kept_words import (
    change_words,
    instrument_words,
    last_before,
    link_called,
    made_words,
    quantity_called,
    result_words,
    standing,
)
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord, Purpose
from dsp.calibration.budget import WrittenBudget
from dsp.calibration.calibration import Calibration, Check


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """One check: its mark, its name, what was found and what is allowed."""

    mark: Mark
    name: str
    sentence: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FoundState:
    """What was found.

    Attributes
    ----------
    mark, word, detail : Mark, str, str
        How it stands; under it, in a line, the chief value.
    results : tuple of Fact
        Every value, the chief one first.
    checks : tuple of Looked
        Those that failed first.
    told : str
        How many checks passed.
    budget : tuple of Fact
        Contributions to the chief value's interval, the largest first.
    coverage : str
        Unit and k of the budget.
    """

    mark: Mark
    word: str
    detail: str
    results: tuple[Fact, ...]
    checks: tuple[Looked, ...]
    told: str
    budget: tuple[Fact, ...]
    coverage: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SheetState:
    """What is seen of a kept calibration.

    Attributes
    ----------
    key : str
        Id of the record.
    title : str
        Link and day.
    found : FoundState
        What it came to.
    facts : tuple of (name, words)
        Who, when, with what, in which air.
    note : str
        The operator's own words; empty where there are none.
    method : str
        How it was found.
    remarks : tuple of str
        What has to be minded beside results and checks, a sentence each.
    """

    key: str
    title: str
    found: FoundState
    facts: tuple[tuple[str, str], ...]
    note: str
    method: str
    remarks: tuple[str, ...] = ()


def sheet_state(
    record: CalibrationRecord,
    records: Sequence[CalibrationRecord],
    *,
    in_force: frozenset[str],
) -> SheetState:
    """Present a record.

    Parameters
    ----------
    record : CalibrationRecord
        Which one.
    records : sequence of CalibrationRecord
        Those about it, the newest first: what it is compared with.
    in_force : frozenset of str
        Ids of those that chains stand on.
    """
    mark, word = standing(record, in_force=in_force)
    return SheetState(
        key=record.id,
        title=f"{link_called(record)}, {made_words(record)} UTC",
        found=found_state(
            record.results,
            mark=mark,
            word=_word(word, is_check=record.purpose is Purpose.CHECK),
        ),
        facts=_facts(record, change=change_words(record, last_before(record, records))),
        note=record.note,
        method=record.method,
        remarks=record.remarks,
    )


def found_state(results: Sequence[Calibration], *, mark: Mark, word: str) -> FoundState:
    """Present what was found.

    Parameters
    ----------
    results : sequence of Calibration
        The chief one first.
    mark, word : Mark, str
        How it stands.
    """
    first = results[0]
    coverage = f"k = {first.budget.k:.3g}"
    checks = tuple(dict.fromkeys(check for one in results for check in one.checks))
    return FoundState(
        mark=mark,
        word=word,
        detail=f"{quantity_called(first.quantity)} {result_words(first)}, {coverage}",
        results=tuple(
            Fact(
                name=quantity_called(one.quantity),
                value=result_words(one),
                mark=Mark.GOOD if one.accepted else Mark.BAD,
            )
            for one in results
        ),
        checks=_checks(checks),
        told=_told(checks),
        budget=budget_facts(first.budget),
        coverage=f"{_in_sight(first.budget.unit)[0]}, {coverage}",
    )


def budget_facts(budget: WrittenBudget) -> tuple[Fact, ...]:
    """Return what each source adds to the expanded interval, the largest first, and the whole."""
    lines = sorted(budget.lines, key=lambda line: -line.contribution)
    _, scale = _in_sight(budget.unit)
    rows = [(line.source, budget.k * line.contribution) for line in lines if line.contribution]
    rows.append(("together", budget.expanded))
    return tuple(
        Fact(name=name, value=_share(scale * value, of=scale * budget.expanded))
        for name, value in rows
    )


def _in_sight(unit: str) -> tuple[str, float]:
    """Return the unit that a budget is shown in, and how many of it are one of its own."""
    return ("µs", 1e6) if unit == "s" else (unit, 1.0)


def _share(value: float, *, of: float) -> str:
    written = value_text(value, of or None)
    is_nothing = not written.strip("0.")
    return f"<{written[:-1]}1" if is_nothing and "." in written else written


def _checks(checks: Sequence[Check]) -> tuple[Looked, ...]:
    ordered = sorted(checks, key=lambda check: check.passed)
    return tuple(
        Looked(
            mark=Mark.GOOD if one.passed else Mark.BAD,
            name=one.name,
            sentence=_whole(one.sentence),
        )
        for one in ordered
    )


def _told(checks: Sequence[Check]) -> str:
    failed = sum(not one.passed for one in checks)
    return f"{failed} of {len(checks)} failed" if failed else f"all {len(checks)} passed"


def _facts(record: CalibrationRecord, *, change: str) -> tuple[tuple[str, str], ...]:
    air, used = record.conditions, record.instrument
    certificate = used.certificate or "none named"
    if used.due_on is not None:
        certificate += f", holds until {used.due_on}"
    lines = (
        ("Done by", record.operator),
        ("For", record.purpose.value),
        ("With", instrument_words(record)),
        ("Its paper", certificate),
        ("Since last", change),
        (
            "Air",
            minus(
                f"{air.temperature_c:g} °C, {air.pressure_kpa:g} kPa, {air.humidity_percent:g} %"
            ),
        ),
        ("Chain", record.chain.chain.name),
        ("Recorded", _recorded(record)),
        ("Record", record.id[:8]),
    )
    return tuple((name, words) for name, words in lines if words)


def _recorded(record: CalibrationRecord) -> str:
    count = len(record.captures)
    if not count:
        return "nothing: figures were typed"
    return f"{'once' if count == 1 else f'{count} times'}, {record.card}"


def _word(standing_word: str, *, is_check: bool) -> str:
    if is_check:
        return "check refused" if standing_word == "refused" else "check passed"
    return "accepted, not in force" if standing_word == "accepted" else standing_word


def _whole(sentence: str) -> str:
    begun = sentence[:1].upper() + sentence[1:]
    return begun if begun.endswith((".", "?")) else f"{begun}."
