"""What a quiet trial foretells: how high every input will go at full drive, and what helps."""

import math

from app.desktop.presenters.figures import Fact, minus
from app.desktop.presenters.mark import Mark
from hardware.chain.schema import Chain
from hardware.soundcard.preflight import Forecast, InputState

_MARKS = {
    InputState.FITS: Mark.GOOD,
    InputState.CLIPS: Mark.BAD,
    InputState.TOO_LOW: Mark.CAUTION,
    InputState.HEARS_NOTHING: Mark.BAD,
}


def forecast_facts(chain: Chain, found: Forecast) -> tuple[Fact, ...]:
    """Present what every wired input will give at the procedure's full drive."""
    return tuple(
        Fact(
            name=name,
            value=_dbfs(one.peak),
            unit="dBFS",
            mark=_MARKS[one.state],
            note=f"{one.state.value}; its noise peaks at {_dbfs(one.noise_peak)} dBFS",
        )
        for name, one in zip(chain.input.wired, found.inputs, strict=True)
    )


def forecast_words(chain: Chain, found: Forecast) -> str:
    """Say what follows from a forecast, the worst first."""
    named = list(zip(chain.input.wired, found.inputs, strict=True))
    for name, one in named:
        if one.state is InputState.HEARS_NOTHING:
            return f"The {name} input, channel {one.channel}, hears nothing: look at its wire."
    if any(one.state is InputState.CLIPS for _, one in named):
        who = ", ".join(name for name, one in named if one.state is InputState.CLIPS)
        if found.drive_scale < 1:
            down_db = -20 * math.log10(found.drive_scale)
            return (
                f"At full drive {who} would clip: lower its gain, or the drive by {down_db:.1f} dB."
            )
        return f"The noise alone of {who} comes near its rail: lower its gain."
    quiet = [(name, one) for name, one in named if one.state is InputState.TOO_LOW]
    if quiet:
        name, one = quiet[0]
        return f"The {name} input hears little: its gain could rise by {one.gain_room_db:.0f} dB."
    room_db = min(one.gain_room_db for _, one in named)
    return f"Every input fits; the fullest keeps {room_db:.0f} dB above the 3 dB held back."


def _dbfs(peak: float) -> str:
    return minus(f"{20 * math.log10(max(peak, 1e-10)):.0f}")
