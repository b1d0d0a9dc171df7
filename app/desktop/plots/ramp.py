"""One hue from the ground of a plot to ink: the more there is, the further from the ground."""

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QColor

from app.desktop.palette import Tokens
from dsp.arrays import Floats

STEPS = 256


def ramp(tokens: Tokens) -> NDArray[np.uint32]:
    """Return a theme's ramp, (256,) 0xAARRGGBB.

    Lightness falls on light ground and rises on dark, by as much at every step, so that it reads
    without any hue.
    """
    stops = np.array([_rgb(one) for one in (tokens.plot, tokens.takes[0], tokens.ink)])
    ground, hue, ink = (lightness(stop) for stop in stops)
    places = np.linspace(0.0, 1.0, STEPS)
    hue_at = (hue - ground) / (ink - ground)
    mixed = [np.interp(places, (0.0, hue_at, 1.0), stops[:, part]) for part in range(3)]
    red, green, blue = (np.rint(part).astype(np.uint32) for part in mixed)
    made: NDArray[np.uint32] = (np.uint32(0xFF) << 24) | (red << 16) | (green << 8) | blue
    return made


def steps_of(values: Floats, *, low: float, high: float) -> NDArray[np.intp]:
    """Return where values lie on a ramp between two ends, any shape; what is beyond is clipped."""
    part = np.clip((values - low) / (high - low), 0.0, 1.0)
    return np.rint(part * (STEPS - 1)).astype(np.intp)


def lightness(rgb: Floats) -> float:
    """Return L* of a colour of sRGB, (3,) of 255 (IEC 61966-2-1; ISO/CIE 11664-4)."""
    part = np.asarray(rgb, dtype=np.float64) / 255
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    y = float(linear @ np.array([0.2126, 0.7152, 0.0722]))
    return 116 * y ** (1 / 3) - 16 if y > (6 / 29) ** 3 else y * (29 / 3) ** 3


def _rgb(colour: str) -> tuple[int, int, int]:
    made = QColor(colour)
    return made.red(), made.green(), made.blue()
