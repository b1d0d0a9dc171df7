"""What a person should know about the take that is shown, one sentence each."""

from dataclasses import dataclass

from app.desktop.presenters.finding_words import likely, next_step
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_names import (
    PARAMETERS,
    QUANTITIES,
    number_as,
    plain_reason,
    quantity_name,
)
from app.desktop.presenters.measure_stale import (
    PAST_TERM,
    RefusedLink,
    StaleLink,
    refused_in,
)
from app.desktop.run_state import Failure
from app.records.take import Finding, Take
from dsp.conformity.verdict import Verdict

_NOT_MEASURED = "was not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One sentence, and the mark before it; None for quiet prose."""

    sentence: str
    mark: Mark | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningsState:
    """What stands under the head Warnings, and how many of them there are.

    ``has_residual``: there is something irregular, or its bound, to be looked at.
    """

    said: tuple[Said, ...]
    told: str
    has_residual: bool = False


def warnings_state(take: Take, *, stale: tuple[StaleLink, ...]) -> WarningsState:
    """Present the warnings of a take, its doubtful figures, and what the pattern points to."""
    refused = refused_in(take.warnings)
    warned = [*map(_stale, stale), *map(_refused, refused), *_recorded(take), *_doubtful(take)]
    unproved = bool(stale or refused)
    said = [*warned, *([] if unproved else _undecided(take)), *findings_said(take)]
    if unproved:
        said.append(
            Said(sentence="Prove it (K), then press D: the take is derived again, nothing is lost.")
        )
    if not said:
        said.append(Said(sentence="Nothing clipped or lost; chain proved."))
    return WarningsState(
        said=tuple(said),
        told=str(len(warned)) if warned else "none",
        has_residual="rub_buzz_db" in take.numbers,
    )


def _recorded(take: Take) -> list[Said]:
    return [
        Said(sentence=_whole(plain_reason(one)), mark=Mark.CAUTION)
        for one in take.warnings
        if PAST_TERM not in one and not refused_in([one])
    ]


def _doubtful(take: Take) -> list[Said]:
    by_reason: dict[str, list[str]] = {}
    for name, number in take.numbers.items():
        if not number.trusted:
            by_reason.setdefault(number.reason, []).append(name)
    return [
        Said(sentence=_whole(f"{_figures(names)}: {plain_reason(reason)}"), mark=Mark.CAUTION)
        for reason, names in by_reason.items()
    ]


def _figures(names: list[str]) -> str:
    if len(names) > 1 and set(names) <= PARAMETERS:
        return "parameters (press P)"
    return ", ".join(number_as(name).name for name in names)


def _undecided(take: Take) -> list[Said]:
    """Say why masks were not decided, where nothing says so already; those of one reason once."""
    known = {*take.warnings, *(number.reason for number in take.numbers.values())}
    by_reason: dict[str, list[str]] = {}
    for name, one in take.masks.items():
        if one.verdict is Verdict.NOT_DECIDED and one.reason and one.reason not in known:
            reason = _NOT_MEASURED if one.reason.endswith(_NOT_MEASURED) else one.reason
            by_reason.setdefault(reason, []).append(_called(name))
    return [
        Said(
            sentence=_whole(_why(names, reason=reason)),
            mark=Mark.UNDECIDED,
        )
        for reason, names in by_reason.items()
    ]


def _why(names: list[str], *, reason: str) -> str:
    if reason is _NOT_MEASURED:
        return f"not measured, so not decided: {', '.join(names)}"
    return f"{', '.join(names)} not decided: {plain_reason(reason)}"


def findings_said(take: Take) -> list[Said]:
    """Say what is probably wrong, the likeliest first: how sure, why, and what to do about it."""
    return [
        Said(
            sentence=" ".join(
                map(_whole, (likely(finding), *finding.because, *_step(finding, take=take)))
            ),
            mark=Mark.INFO,
        )
        for finding in take.findings
    ]


def _step(finding: Finding, *, take: Take) -> tuple[str, ...]:
    # One step: that of what is likeliest.
    return (next_step(finding),) if finding is take.findings[0] else ()


def no_warnings() -> WarningsState:
    """Say what will stand here."""
    sentence = "Each number will stand here with its interval (k = 2)."
    return WarningsState(said=(Said(sentence=sentence, mark=Mark.INFO),), told="")


def warnings_while_active(number: int | None) -> WarningsState:
    """Say whose numbers are shown while another take is being made."""
    if number is None:
        return WarningsState(said=(), told="")
    sentence = f"Numbers shown in grey are take {number}’s until this take is judged."
    return WarningsState(said=(Said(sentence=sentence, mark=Mark.INFO),), told="")


def warnings_after_failure(failure: Failure, *, number: int, shown: int | None) -> WarningsState:
    """Say what was kept when a take broke off."""
    kept = f"Nothing was kept of take {number}."
    sentence = kept if shown is None else f"Take {shown} is shown. {kept}"
    said = [Said(sentence=sentence, mark=Mark.CAUTION)]
    if not failure.card_lost:
        said.append(Said(sentence=_whole(failure.sentence), mark=Mark.BAD))
    return WarningsState(said=tuple(said), told="")


def _called(mask: str) -> str:
    return quantity_name(mask) if mask in QUANTITIES else mask.replace("_", " ")


def _stale(link: StaleLink) -> Said:
    term = link.age_days - link.past_days
    return Said(
        sentence=f"The {link.called} was proved {link.age_days} days before this take, its term "
        f"is {term}. Marked figures stand on it and decide nothing.",
        mark=Mark.STALE,
    )


def _refused(link: RefusedLink) -> Said:
    return Said(
        sentence=_whole(
            f"The {link.what} of the {link.called} of {link.why.rstrip('.')}. Marked figures "
            "stand on it and decide nothing"
        ),
        mark=Mark.BAD,
    )


def _whole(sentence: str) -> str:
    begun = sentence[:1].upper() + sentence[1:]
    return begun if begun.endswith((".", "?")) else f"{begun}."
