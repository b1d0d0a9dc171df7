"""What a quiet trial foretells: how high every input will go at full drive, and what helps."""

import math
from dataclasses import dataclass

from app.desktop.presenters.figures import minus
from app.desktop.presenters.mark import Mark
from hardware.chain.schema import Chain
from hardware.soundcard.preflight import HEADROOM_DB, Forecast, InputState

NOT_TRIED = (
    "Check levels plays the procedure 20 dB down and foretells whether every input fits at full "
    "drive. Nothing is kept."
)
_NAMES = {"ambient": "second microphone"}  # others go by the name of their table
_MARKS = {
    InputState.FITS: Mark.GOOD,
    InputState.CLIPS: Mark.BAD,
    InputState.TOO_LOW: Mark.CAUTION,
    InputState.HEARS_NOTHING: Mark.BAD,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRow:
    """One input: its noise and its peak at full drive, dBFS, and the room that its gain has, dB."""

    name: str
    noise: str
    peak: str
    room: str
    mark: Mark
    note: str


def level_rows(chain: Chain, found: Forecast) -> tuple[LevelRow, ...]:
    """Present what every wired input will give at the procedure's full drive."""
    return tuple(
        LevelRow(
            name=_NAMES.get(name, name),
            noise=_dbfs(one.noise_peak),
            peak=_dbfs(one.peak),
            room=f"{one.gain_room_db:.0f} dB",
            mark=_MARKS[one.state],
            note=one.state.value,
        )
        for name, one in zip(chain.input.wired, found.inputs, strict=True)
    )


def level_words(chain: Chain, found: Forecast) -> str:
    """Say what follows from a forecast, the worst first."""
    wired = [_NAMES.get(name, name) for name in chain.input.wired]
    named = list(zip(wired, found.inputs, strict=True))
    for name, one in named:
        if one.state is InputState.HEARS_NOTHING:
            return f"The {name} input, channel {one.channel}, hears nothing: look at its wire."
    clipping = ", ".join(name for name, one in named if one.state is InputState.CLIPS)
    if clipping and found.drive_scale < 1:
        down_db = -20 * math.log10(found.drive_scale)
        helps = f"lower its gain, or the drive by {down_db:.1f} dB"
        return f"At full drive {clipping} would clip: {helps}."
    if clipping:
        return f"The noise alone of {clipping} comes near its rail: lower its gain."
    quiet = next(((n, one) for n, one in named if one.state is InputState.TOO_LOW), None)
    if quiet is not None:
        name, one = quiet
        return f"The {name} input hears little: its gain could rise by {one.gain_room_db:.0f} dB."
    return f"Every input fits, with {HEADROOM_DB:.0f} dB kept free."


def _dbfs(peak: float) -> str:
    return minus(f"{20 * math.log10(max(peak, 1e-10)):.0f}")
