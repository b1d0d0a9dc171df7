"""A quiet trial before the take: whether every input fits, and the drive at which it does."""

import math
from dataclasses import dataclass, replace

from app.errors import MeasurementFailedError
from dsp.excitation.excitation import Excitation
from hardware.card import Capture, PlayRequest
from hardware.chain.schema import Chain
from hardware.soundcard.preflight import Forecast, InputForecast, InputState, forecast

TRIAL_SCALE = 0.1  # 20 dB down: far below what hurts, far above most noise
_BELOW_THE_PROCEDURE = "dB below the procedure, since"
_HEARS_LITTLE = "hears little: its gain could rise by"


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelCheck:
    """What the trial came to.

    Attributes
    ----------
    drive_scale : float
        Times the procedure's voltage, at most 1: what every input bears with its headroom kept.
    warnings : tuple of str
        One sentence for each input that would have clipped, or hears too little.
    """

    drive_scale: float
    warnings: tuple[str, ...]


def trial_request(request: PlayRequest) -> PlayRequest:
    """Return the same request, 20 dB quieter."""
    return replace(request, output=request.output * TRIAL_SCALE)


def check_levels(trial: Capture, *, excitation: Excitation, chain: Chain) -> LevelCheck:
    """Read a trial.

    Parameters
    ----------
    trial : Capture
        Of ``trial_request``.
    excitation : Excitation
        At full drive; its first silence tells the noise.
    chain : Chain
        Which inputs matter.

    Returns
    -------
    LevelCheck

    Raises
    ------
    MeasurementFailedError
        An input hears nothing at all.
    """
    wired = chain.input.wired
    found = foresee(trial, excitation=excitation, chain=chain)
    warnings = []
    for name, one in zip(wired, found.inputs, strict=True):
        match one.state:
            case InputState.HEARS_NOTHING:
                raise MeasurementFailedError(
                    f"input.{name}: channel {one.channel} hears nothing of a trial 20 dB down"
                )
            case InputState.TOO_LOW:
                warnings.append(f"input.{name} {_HEARS_LITTLE} {one.gain_room_db:.0f} dB")
            case InputState.CLIPS:
                warnings.append(_turned_down(name, found=found))
            case InputState.FITS:
                pass
    return LevelCheck(drive_scale=found.drive_scale, warnings=tuple(warnings))


def foresee(trial: Capture, *, excitation: Excitation, chain: Chain) -> Forecast:
    """Foretell every wired input at full drive from a trial; see ``check_levels``."""
    wired = chain.input.wired
    found = forecast(
        trial,
        channels=tuple(link.channel for link in wired.values()),
        quiet_frames=excitation.quiet_stop,
        trial_scale=TRIAL_SCALE,
    )
    inputs = [
        _of_surroundings(one) if name == "ambient" else one
        for name, one in zip(wired, found.inputs, strict=True)
    ]
    return replace(found, inputs=tuple(inputs))


def _of_surroundings(one: InputForecast) -> InputForecast:
    # The second microphone stands well where it hardly hears the unit; it must hear something.
    if one.state is InputState.CLIPS or not one.noise_peak > 0:
        return one
    return replace(one, state=InputState.FITS)


def told_by_trial(warning: str) -> bool:
    """Tell whether a take's warning came from its quiet trial, of which nothing is kept."""
    return _BELOW_THE_PROCEDURE in warning or _HEARS_LITTLE in warning


def _turned_down(name: str, *, found: Forecast) -> str:
    down_db = -20 * math.log10(found.drive_scale)
    return (
        f"played {down_db:.1f} {_BELOW_THE_PROCEDURE} input.{name} would have clipped; "
        "levels are referred to the voltage that it states"
    )
