"""What speaks against parameters, in sentences: what was found, and what to do about it."""

from collections.abc import Iterable

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_names import plain_reason
from app.desktop.presenters.measure_warnings import Said
from dsp.parameters.fit_doubts import Doubt

_QUIET = "Nothing speaks against these figures."
# By how a reason begins or what it says: what to do.
_NEXT: tuple[tuple[str, str], ...] = (
    ("the span begins", "begin the sweep an octave below the peak’s lower flank"),
    ("too near to the resonance to tell", "let the sweep run on to 20 kHz"),
    ("the span ends", "let the sweep run on to ten times the resonance"),
    ("points lie on the peak", "ask for more points per octave, or sweep for longer"),
    ("a second peak", "take the unit out of its box, or close the vent, and measure again"),
    ("misses the measured curve", "play at a tenth of the level; listen for a rattle or a leak"),
    (
        "the curve is bent",
        "play at a lower level, where the suspension is linear; L measures a ladder",
    ),
    ("times what noise explains", "play at a lower level, where the suspension is linear"),
    ("the data leave", "repeat the sweep, or play louder as long as the resonance stays"),
    ("outside the span", "let the sweep include that frequency"),
    ("show no inductance", "let the sweep run on to 20 kHz"),
)
_ANYWAY = "measure again at another level and compare"


def doubts_said(doubts: Iterable[Doubt]) -> tuple[Said, ...]:
    """Present doubts with their next step; one quiet sentence where there are none."""
    said = tuple(
        Said(
            sentence=f"{_begun(plain_reason(doubt.reason))}. Next: {next_step(doubt.reason)}.",
            mark=Mark.CAUTION if doubt.everything or doubt.about else Mark.INFO,
        )
        for doubt in doubts
    )
    return said or (Said(sentence=_QUIET),)


def next_step(reason: str) -> str:
    """Return what a person does about a reason."""
    return next((step for words, step in _NEXT if words in reason), _ANYWAY)


def _begun(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
