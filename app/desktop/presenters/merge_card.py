"""What was merged, in figures: where it holds and why, how far both fields agree, what to doubt."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.desktop.presenters.figures import NONE, Fact, fact_of, hz_text, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_warnings import Said
from app.desktop.presenters.merge_reading import MergeFormState
from app.measure.near_and_far import MOST_LEFT_DB, Joined, Stood
from app.records.take import Take
from app.report.quantity_names import plain_reason

NEAR, FAR = "near field", "far field"
_HUNDREDTH = 0.03  # an interval of which the second decimal is told
_SOON = (
    "Here will stand how well both fields agree, from where on either holds, and whether gate, "
    "baffle or noise ends it."
)
_REASONS, _PLAYED = ("gate", "baffle", "noise"), "excitation"
_CALLED: Mapping[str, str] = {_PLAYED: "sweep"}
# What the engine says against a merge, by words in it: what a person reads instead.
_DOUBTS: Mapping[str, str] = {
    "look at distance": "Far and near field differ by {offset} dB where they are merged: more than "
    "1 dB is not uncertain but wrong. Next: check area, gap, distance and gains.",
    "other sign": "The near field had the other sign; it was turned. Next: look whether a wire was "
    "exchanged between the takes.",
    "different units": "The takes are of different units. Next: choose takes of one serial.",
    "different chains": "The takes were recorded through different chains: their calibrations do "
    "not cancel. Next: play both through one.",
    "baffle_edge_m": "The baffle’s size is not given: below half a wave to its edge the far field "
    "is not that of half space. Next: type its edge at the left.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class EndRow:
    """What one thing lets either field hold from; ``counts`` where it is the strictest of it."""

    reason: str
    near: str
    far: str
    counts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeCard:
    """The right column."""

    told: str = ""
    facts: tuple[Fact, ...] = ()
    ends: tuple[EndRow, ...] = ()
    ends_told: str = ""
    scaling: tuple[Fact, ...] = ()
    scaling_told: str = ""
    doubts: tuple[Said, ...] = ()
    doubts_told: str = ""


def no_merge(state: MergeFormState, *, refused: str = "") -> MergeCard:
    """Say which of both takes there is, and why they are not merged.

    Parameters
    ----------
    state : MergeFormState
        The form.
    refused : str
        Why two takes cannot be merged; empty where one is missing, or a value is.
    """
    said = []
    for role, called in (("near", "Near field"), ("far", "Far field")):
        one = state.takes.get(role)
        sentence = f"{called}: {'none of this unit yet' if one is None else f'take {one.number}'}."
        said.append(Said(sentence=sentence, mark=Mark.NONE if one is None else Mark.GOOD))
    if refused:
        said.append(Said(sentence=refused, mark=Mark.CAUTION))
    elif "near" in state.takes and "far" in state.takes:
        said.append(Said(sentence="An area is needed to scale what is near.", mark=Mark.CAUTION))
    said.append(Said(sentence=_SOON))
    return MergeCard(doubts=tuple(said))


def merge_card(joined: Joined, *, takes: Mapping[str, Stood]) -> MergeCard:
    """Present a merged response.

    Parameters
    ----------
    joined : Joined
        What was merged.
    takes : mapping of role to Stood
        The takes that it came from, for their numbers.
    """
    doubts = _doubts(joined, takes=takes)
    warned = sum(one.mark is not None for one in doubts)
    valid = joined.found.merged.level.valid
    reason = valid.low_reason
    return MergeCard(
        told="takes " + ", ".join(str(one.number) for one in takes.values()),
        facts=_facts(joined),
        ends=_ends(joined),
        ends_told=f"merged: {hz_text(valid.low_hz)}, {_CALLED.get(reason, reason)}",
        scaling=_scaling(joined),
        scaling_told=f"{value_text(float(f'{joined.scaled_db + joined.louder_db:.3g}'))} dB",
        doubts=doubts,
        doubts_told=str(warned) if warned else "none",
    )


def _facts(joined: Joined) -> tuple[Fact, ...]:
    merged = joined.found.merged
    overlap, offset = merged.overlap, merged.offset
    return (
        _hz("crossover from", overlap.low_hz, note=f"the far field holds: {overlap.low_reason}"),
        _hz("crossover to", overlap.high_hz, note=f"the near field holds: {overlap.high_reason}"),
        fact_of(
            "far less near",
            offset.value,
            offset.uncertainty,
            unit="dB",
            mark=None if offset.trusted else Mark.CAUTION,
            note=offset.how,
        ),
        Fact(
            name="rest, rms",
            value=_db(merged.left_db),
            unit="dB",
            mark=None if joined.is_alike else Mark.CAUTION,
            note="difference of both in the crossover once the near field is raised",
        ),
    )


def _scaling(joined: Joined) -> tuple[Fact, ...]:
    lag = joined.found.merged.lag
    there = joined.far.procedure.geometry.reference_distance_m
    return (
        fact_of(
            "near field late",
            1e6 * lag.value,
            1e6 * (lag.uncertainty or 0.0),
            unit="µs",
            note=lag.how,
        ),
        Fact(
            name=f"near to {value_text(there)} m",
            value=_db(joined.scaled_db),
            unit="dB",
            note="by the radiator's size and the gap",
        ),
        Fact(
            name="for its voltage",
            value=_db(joined.louder_db),
            unit="dB",
            note="the far field's voltage over the near field's",
        ),
    )


def _db(value: float) -> str:
    # As far as any interval here goes: more digits would leave the line of the points.
    return value_text(value, _HUNDREDTH)


def _hz(name: str, hz: float, *, note: str) -> Fact:
    value, unit = hz_text(hz).rsplit(" ", 1)
    return Fact(name=name, value=value, unit=unit, note=note)


def _ends(joined: Joined) -> tuple[EndRow, ...]:
    near, far = _of(joined, NEAR), _of(joined, FAR)
    first = {next(iter(near)), next(iter(far))}
    # The excitation's own start is told where it is what counts; else noise is told below it.
    rare = [one for one in (*near, *far) if one not in {*_REASONS, _PLAYED} or one in first]
    return tuple(
        EndRow(
            reason=_CALLED.get(reason, reason),
            near=_end(reason, near, take=joined.near),
            far=_end(reason, far, take=joined.far),
            counts=reason in first,
        )
        for reason in dict.fromkeys((*_REASONS, *rare))
    )


def _of(joined: Joined, of: str) -> dict[str, float]:
    """Return the ends of a field by reason, the strictest first."""
    return {end.reason: end.hz for end in joined.found.low_ends if end.of == of}


def _end(reason: str, ends: Mapping[str, float], *, take: Take) -> str:
    geometry = take.procedure.geometry
    if (hz := ends.get(reason)) is not None:
        return hz_text(hz) if math.isfinite(hz) else "everywhere"
    match reason:
        case "gate":
            return "open"
        case "baffle":
            unknown = geometry.mounting == "baffle"
            return "unknown" if unknown else "not seen"
        case "noise" if _PLAYED in ends:
            return f"< {hz_text(ends[_PLAYED])}"
        case _:
            return NONE


def _doubts(joined: Joined, *, takes: Mapping[str, Stood]) -> tuple[Said, ...]:
    offset = joined.found.merged.offset
    told = {"offset": value_text(offset.value, offset.uncertainty, signed=True)}
    said = [Said(sentence=_doubt(one, told), mark=Mark.CAUTION) for one in joined.found.warnings]
    if not joined.is_alike:
        left = value_text(float(f"{joined.found.merged.left_db:.2g}"))
        sentence = (
            f"Within the crossover both still differ by {left} dB rms, more than {MOST_LEFT_DB:g}: "
            "a reflection in the gate, the baffle’s edge, or a cone that does not move as one. "
            "Next: close the gate, or move the crossover."
        )
        said.append(Said(sentence=sentence, mark=Mark.CAUTION))
    for role, take in (("near", joined.near), ("far", joined.far)):
        for warning in take.warnings:
            sentence = f"Take {takes[role].number}: {plain_reason(warning)}"
            said.append(Said(sentence=f"{sentence.rstrip('.')}.", mark=Mark.CAUTION))
    return tuple(said) or (
        Said(sentence="Both fields agree in the crossover, and nothing speaks against them."),
    )


def _doubt(warning: str, told: Mapping[str, str]) -> str:
    for words, sentence in _DOUBTS.items():
        if words in warning:
            return sentence.format(**told)
    return f"{warning[:1].upper()}{warning[1:].rstrip('.')}."
