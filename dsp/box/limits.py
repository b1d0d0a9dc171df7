"""What the lumped model of a boxed unit leaves out, and from which frequency that shows."""

import math
from dataclasses import dataclass

from dsp.acoustic.air import Air
from dsp.box.enclosure import Box, VentedBox, pipe_resonance_hz
from dsp.box.unit import BoxUnit
from dsp.curve import ValidRange

# Conventions of this house, not of a standard.
_SPEED_SHARE = 0.05  # of the speed of sound, peak: from there a vent is heard (Small 1973: 5 %)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One thing that the model does not know.

    Attributes
    ----------
    name : str
        One word or two.
    words : str
        A sentence for a person.
    high_hz : float or None
        Hz, from where on it shows; None where frequency does not decide.
    """

    name: str
    words: str
    high_hz: float | None = None


def model_limits(unit: BoxUnit, *, box: Box, air: Air) -> tuple[Limit, ...]:
    """State the limits of a prediction, those with a frequency first and the lowest before others.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        What is predicted.

    Returns
    -------
    tuple of Limit.
    """
    speed = air.speed_m_per_s
    side_m = box.volume_m3 ** (1 / 3)
    placed = [
        Limit(
            name="piston",
            words="The diaphragm moves as one and radiates evenly to all sides: up to ka = 1.",
            high_hz=speed / (2 * math.pi * unit.radius_m),
        ),
        Limit(
            name="box",
            words="The air in the box is a spring alone: below its first standing wave, here that "
            "of a cube of this volume; a longer box has it lower.",
            high_hz=speed / (2 * side_m),
        ),
    ]
    if isinstance(box, VentedBox):
        pipe_hz = pipe_resonance_hz(box, air=air)
        if pipe_hz is not None:
            placed.append(
                Limit(
                    name="vent",
                    words="The air in the vent moves as one: below its first resonance as a pipe.",
                    high_hz=pipe_hz,
                )
            )
        placed.append(
            Limit(
                name="vent flow",
                words="The vent has no turbulence: expect noise and a lower output above "
                f"{fast_m_per_s(air):.0f} m/s peak.",
            )
        )
    placed += [
        Limit(
            name="small signal",
            words="Bl, stiffness and inductance stay what they are at rest: at large excursion "
            "level and resonance differ, and there is distortion.",
        ),
        Limit(
            name="cold coil",
            words="The coil stays at its temperature: 50 K more cost copper 1.6 dB of level.",
        ),
        Limit(
            name="half space",
            words="The baffle has no end and the room no walls: a free-standing box loses up to "
            "6 dB below its baffle step.",
        ),
    ]
    return tuple(sorted(placed, key=lambda limit: limit.high_hz or math.inf))


def fast_m_per_s(air: Air) -> float:
    """Tell from which peak speed on the air in a vent is heard.

    Parameters
    ----------
    air : Air
        Speed of sound.

    Returns
    -------
    float, m/s: 5 % of the speed of sound, a rule of thumb (Small 1973).
    """
    return _SPEED_SHARE * air.speed_m_per_s


def predicted_range(unit: BoxUnit, *, box: Box, air: Air) -> ValidRange:
    """Tell in which span a predicted response may be believed.

    Parameters
    ----------
    unit, box, air : BoxUnit, ClosedBox or VentedBox, Air
        What is predicted.

    Returns
    -------
    ValidRange from 0 Hz to the lowest limit that has a frequency, with its name.
    """
    first = model_limits(unit, box=box, air=air)[0]
    high_hz = math.inf if first.high_hz is None else first.high_hz
    return ValidRange(low_hz=0.0, high_hz=high_hz, low_reason="model", high_reason=first.name)
