"""What is said of the defects of a take: findings, what was heard, and what comes next."""

import math
from dataclasses import dataclass

from app.desktop.plots.level_map import Tile
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.defects_facts import impulse_words, place_words
from app.desktop.presenters.figures import hz_text, minus
from app.desktop.presenters.finding_words import CANNOT_TELL, bare_step
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_warnings import Said, findings_said
from app.desktop.presenters.measure_words import words_said
from app.measure.defects_seen import DefectsSeen, Impulse
from dsp.conformity.verdict import Verdict
from dsp.defects.tone_defects import ToneDefects

_TYPES_THIS = "choose the procedure line-defects (Ctrl O), then press Play."
_LEAST_MODULATION = 0.2
_HEAR = "press H to hear what is left, W to write it."


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsState:
    """What stands under the head Findings; ``told`` is its quiet fact."""

    said: tuple[Said, ...]
    told: str


def findings_state(shown: Shown, seen: DefectsSeen) -> FindingsState:
    """Present what is probably wrong, and what was heard in plain words."""
    said = [*findings_said(shown.take), *(Said(sentence=one) for one in _heard(seen))]
    if not seen.reading.tones:
        said.append(
            Said(
                sentence="Only a sweep was played: a rub is heard about four times better in "
                "tones. Next: the procedure line-defects plays both.",
                mark=Mark.INFO,
            )
        )
    return FindingsState(said=tuple(said), told=f"take {shown.number}")


def no_findings(sentence: str, *, next_step: str = "") -> FindingsState:
    """Say why there is nothing, and what helps."""
    whole = f"{sentence} Next: {next_step}" if next_step else sentence
    return FindingsState(said=(Said(sentence=whole, mark=Mark.INFO),), told="")


def words_of_defects(shown: Shown, seen: DefectsSeen) -> BayWords:
    """Say what is probably wrong with the unit of a take, and what to do."""
    take, begun = shown.take, f"Take {shown.number}"
    if take.findings:
        first = take.findings[0]
        mark = Mark.INFO if first.cause == CANNOT_TELL else Mark.CAUTION
        told = (
            f"{begun}: the cause cannot be told."
            if first.cause == CANNOT_TELL
            else f"{begun} points to {first.cause}, {100 * first.confidence:.0f} % sure."
        )
        return words_said(
            told,
            next_step=f"{bare_step(first)} H plays what is left.",
            mark=mark,
        )
    if take.verdict is Verdict.DOES_NOT_CONFORM:
        return words_said(f"{begun} does not conform.", next_step=_HEAR, mark=Mark.BAD)
    if _is_quiet(seen):
        return words_said(
            f"{begun}: nothing irregular stands clear of the noise.",
            next_step="go on; G leads back to the curves.",
            mark=Mark.GOOD,
        )
    return words_said(f"{begun}: something irregular is heard.", next_step=_HEAR)


def words_without_residual(number: int) -> BayWords:
    """Say that a take has nothing to look for defects in."""
    return words_said(
        f"Take {number} has no residual: that needs a microphone, and a sweep or tones.",
        next_step=_TYPES_THIS,
        mark=Mark.CAUTION,
    )


def words_of_tile(tile: Tile) -> BayWords:
    """Say what one place of the map is."""
    order = tile.y_hz / tile.x_hz
    return words_said(
        f"{minus(f'{tile.level:.0f}')} dB re 20 µPa in the sixth octave at {hz_text(tile.y_hz)}, "
        f"while {hz_text(tile.x_hz)} played: about order {order:.0f}.",
        next_step=_HEAR,
    )


def words_of_impulse(one: Impulse) -> BayWords:
    """Say what one impulse is."""
    return words_said(impulse_words(one), next_step=_HEAR)


def _heard(seen: DefectsSeen) -> list[str]:
    reading = seen.reading
    said = []
    repeating = [tone for tone in reading.tones if not tone.sync_peak_db.is_bound]
    if repeating:
        said.append(_repeats(max(repeating, key=lambda tone: tone.sync_peak_db.value)))
    leak = reading.leak_modulation
    if math.isfinite(leak.value) and not leak.is_bound and leak.value >= _LEAST_MODULATION:
        said.append("What does not repeat breathes with the stroke, as air through a leak does.")
    clicks = [one for one in seen.impulses if one.is_short]
    if clicks:
        loudest = max(clicks, key=lambda one: one.level_db)
        count = "1 click does not repeat" if len(clicks) == 1 else f"{len(clicks)} clicks, none "
        count += "" if len(clicks) == 1 else "of which repeats"
        said.append(f"{count}; the loudest {loudest.level_db:.0f} dB at {loudest.time_s:.2f} s.")
    if reading.disturbed:
        told = "the second microphone" if reading.has_ambient else "its ringing"
        said.append(f"Something else was heard and left out (shaded); {told} told it.")
    if not said:
        said.append("Nothing irregular stands clear of the noise.")
    return said


def _repeats(tone: ToneDefects) -> str:
    return (
        f"At {hz_text(tone.frequency_hz)} it repeats with the period, loudest with the cone "
        f"{place_words(tone.place_rad)}: {minus(f'{tone.sync_peak_db.value:.0f}')} dB re "
        "fundamental."
    )


def _is_quiet(seen: DefectsSeen) -> bool:
    reading = seen.reading
    figures = (reading.rub_buzz_db, reading.random_peak_db)
    return not any(one.is_short for one in seen.impulses) and all(
        figure.is_bound or not math.isfinite(figure.value) for figure in figures
    )
