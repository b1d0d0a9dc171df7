"""What the row says while near and far field are looked at: what was merged, what is missing."""

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.figures import hz_text, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_words import words_said
from app.desktop.presenters.merge_reading import MergeFormState
from app.measure.near_and_far import Joined
from app.records.take import Take

_NEAR_STEPS = (
    "press V, hold the microphone 5 to 10 mm before the cone, choose near field at Geometry, "
    "type the area, and press Play."
)
_FAR_STEPS = (
    "press V, put the microphone farther off, choose the mounting, close the gate before the "
    "first reflection, and press Play."
)


def may_be_merged(take: Take) -> bool:
    """Tell whether a take is one of two that are merged, or is merged: by what ends it."""
    geometry = take.procedure.geometry
    return geometry.mounting == "near_field" or geometry.gate_ms is not None


def words_of_lack(state: MergeFormState) -> BayWords:
    """Say what is missing before anything can be merged."""
    near, far = (state.takes.get(role) for role in ("near", "far"))
    if near is None and far is None:
        return words_said("No take to merge yet.", next_step=_FAR_STEPS)
    if near is None:
        assert far is not None
        return words_said(
            f"Take {far.number} is a far field; {_whose(far.unit)} near field is missing.",
            next_step=_NEAR_STEPS,
        )
    if far is None:
        return words_said(
            f"Take {near.number} is a near field; {_whose(near.unit)} far field is missing.",
            next_step=_FAR_STEPS,
        )
    return words_said(
        f"Takes {near.number} and {far.number} are not merged: an area is not known.",
        next_step="type at the left how large the cone is that the microphone stood before.",
        mark=Mark.CAUTION,
    )


def words_of_merge(joined: Joined, *, state: MergeFormState) -> BayWords:
    """Say what was merged, and how well both agree."""
    near, far = state.takes["near"].number, state.takes["far"].number
    merged = joined.found.merged
    overlap = merged.overlap
    where = f"{hz_text(overlap.low_hz)} to {hz_text(overlap.high_hz)}"
    if not merged.offset.trusted:
        apart = value_text(merged.offset.value, merged.offset.uncertainty, signed=True)
        return words_said(
            f"Takes {near} and {far} differ by {apart} dB where they are merged, {where}.",
            next_step="check area, gap, distance and gains; the doubts stand at the right.",
            mark=Mark.CAUTION,
        )
    doubted = bool(joined.found.warnings) or not joined.is_alike
    return words_said(
        f"Takes {near} and {far} are merged from {where}: valid from "
        f"{hz_text(merged.level.valid.low_hz)}.",
        next_step="read the doubts at the right, or press Shift F to keep it."
        if doubted
        else "press Shift F: it is kept as a take of its own.",
        mark=Mark.INFO if doubted else Mark.GOOD,
    )


def words_of_no_merge(sentence: str, *, state: MergeFormState) -> BayWords:
    """Say why two takes cannot be merged."""
    numbers = " and ".join(str(one.number) for one in state.takes.values())
    return words_said(
        f"Takes {numbers} are not merged: {sentence[:1].lower()}{sentence[1:].rstrip('.')}.",
        next_step="choose other takes at the left, or correct what is typed there.",
        mark=Mark.CAUTION,
    )


def words_of_kept(number: int, *, again: int) -> BayWords:
    """Say that a merged response was kept, and as what."""
    also = "" if not again else ", with what was typed for its takes"
    return words_said(
        f"The merged response is kept as take {number}{also}.",
        next_step="it lies in the ribbon; lay other takes over it with 1 to 4.",
        mark=Mark.GOOD,
    )


def heads_of(state: MergeFormState, joined: Joined | None) -> dict[str, str]:
    """Return what stands beside the heads of the left column."""
    near, far = (state.takes.get(role) for role in ("near", "far"))
    gate = "" if far is None else _gate(far.geometry.gate_ms)
    asked = joined is not None and joined.found.merged.overlap.asked
    return {
        "near": "no take yet" if near is None else f"take {near.number}",
        "far": "no take yet" if far is None else f"take {far.number}, {gate}",
        "span": "" if joined is None else "as asked" if asked else "as suits both",
    }


def refused_span(joined: Joined | None) -> str:
    """Say under the crossover why what was asked for is not used."""
    if joined is None or not joined.refused:
        return ""
    return f"{joined.refused[:1].upper()}{joined.refused[1:]}."


def suited_span(joined: Joined | None) -> dict[str, str]:
    """Return what stands for the ends of the crossover while nothing is typed."""
    if joined is None:
        return {"low": "suits", "high": "suits"}
    return {
        "low": value_text(float(f"{joined.suits.low_hz:.3g}")),
        "high": value_text(float(f"{joined.suits.high_hz:.3g}")),
    }


def _gate(gate_ms: float | None) -> str:
    return "gate open" if gate_ms is None else f"gate {gate_ms:g} ms"


def _whose(unit: str | None) -> str:
    return "its" if unit is None else f"{unit}’s"
