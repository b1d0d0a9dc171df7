"""How a residual is to be heard: on which card and output, how loud, how slowly."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_words import words_said
from app.desktop.run_state import RunState
from app.measure.auralise import CAUTION, FIRST_DBFS, Outlet
from dsp.defects.slowed import SLOWEST
from hardware.chain.schema import Chain
from hardware.soundcard.messages import DeviceInfo

OWN, LOOK = "own", "look"
_CARD = "card:"
PACES = tuple(
    (str(pace), "as it was" if pace == 1 else f"{pace} times slower")
    for pace in (1, 2, 4, 8, SLOWEST)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a person chose.

    Attributes
    ----------
    card : str
        A key of ``card_options``.
    channel : int
        Output, counted from 1.
    peak_dbfs : float
        dB re full scale.
    slower : int
        1 to 16.
    """

    card: str
    channel: int
    peak_dbfs: float = FIRST_DBFS
    slower: int = 1

    @property
    def outlet(self) -> Outlet | None:
        """Where it is to be heard; None as long as no card is chosen."""
        if self.card == OWN:
            return Outlet(channel=self.channel, peak_dbfs=self.peak_dbfs)
        if self.card.startswith(_CARD):
            name = self.card.removeprefix(_CARD)
            return Outlet(channel=self.channel, card=name, peak_dbfs=self.peak_dbfs)
        return None


def card_options(
    chain: Chain, *, found: Sequence[DeviceInfo] | None
) -> tuple[tuple[str, str], ...]:
    """Return the cards to hear it on, as key and words; the rig in software makes no sound."""
    device = chain.device
    own = device.output_name or device.name
    options = []
    if device.backend == "soundcard":
        options.append((OWN, own or "the chain’s card"))
    names = dict.fromkeys(
        one.name for one in found or () if one.max_output_channels and one.max_input_channels
    )
    options += [(f"{_CARD}{name}", name) for name in names if name != own]
    if not options:
        options.append(("", "none yet"))
    return (*options, (LOOK, "look for cards…"))


def first_channel(chain: Chain, *, card: str) -> int:
    """Return an output that drives nothing: the first of another card, or the first free one."""
    if card != OWN:
        return 1
    drive = chain.output.drive
    taken = {drive.channel, drive.copy_channel}
    return next(number for number in range(1, len(taken) + 2) if number not in taken)


def words_before_first() -> BayWords:
    """Say what to do with headphones before the first sound of a session."""
    return words_said(CAUTION, next_step="press H again: then it starts.", mark=Mark.CAUTION)


def words_no_card() -> BayWords:
    """Say that a card must be chosen."""
    return words_said(
        "No card is chosen to hear it on; the output that drives the unit is never used.",
        next_step="choose one under Hear it, at the left.",
        mark=Mark.CAUTION,
    )


def words_found(count: int) -> BayWords:
    """Say how many cards there are."""
    if not count:
        return words_said(
            "No other card was found that plays and records.",
            next_step="join one, then look again; W writes a file for any player.",
            mark=Mark.CAUTION,
        )
    cards = "1 card is" if count == 1 else f"{count} cards are"
    return words_said(f"{cards} listed.", next_step="choose one, then press H.")


def words_preparing(number: int) -> BayWords:
    """Say that it is being made ready."""
    return BayWords(
        mark=Mark.BUSY,
        happened=f"The residual of take {number} is made ready.",
        next="wait; it starts by itself.",
        action="play",
        enabled=False,
        progress=0.0,
    )


def words_while_heard(run: RunState, *, number: int, slower: int) -> BayWords:
    """Say what sounds, and how far it has come."""
    pace = f", {slower} times slower" if slower > 1 else ""
    return BayWords(
        mark=Mark.BUSY,
        happened=f"Playing the residual of take {number}{pace}: {run.played_s:.1f} s of "
        f"{run.whole_s:.1f} s.",
        next="listen. Esc stops it within one block; the unit’s output is silent.",
        action="play",
        action_text="Playing",
        enabled=False,
        progress=min(1.0, run.played_s / run.whole_s) if run.whole_s else 0.0,
    )


def words_after(number: int, *, stopped: bool) -> BayWords:
    """Say that it has ended."""
    how = "was stopped" if stopped else "was played"
    return words_said(
        f"The residual of take {number} {how}.",
        next_step="press H to hear it again, slower or on another output; W writes it.",
    )


def words_not_heard(sentence: str) -> BayWords:
    """Say why it could not be played."""
    return words_said(
        f"Not played: {sentence.rstrip('.')}.",
        next_step="put that right under Hear it, then press H.",
        mark=Mark.BAD,
    )


def words_written(name: str) -> BayWords:
    """Say that a file was written."""
    return words_said(
        f"The residual is written to {name}, at a capped level.",
        next_step="open it with any player, at a low volume first.",
    )
