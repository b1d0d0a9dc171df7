"""The last thing before the converter: a ceiling for every sample, a ramp at both ends, silence."""

import numpy as np

from hardware.card import Samples
from hardware.errors import OutputTooHighError

RAMP_S = 0.005
_ROUNDING = 1 + 2.0**-23  # a float32 nearest to the ceiling may lie just above it


def check_output(output: Samples, *, ceiling: float) -> None:
    """Refuse a signal that does not fit under ``ceiling``, before anything is played.

    Parameters
    ----------
    output : (n,) float32 array
        Full-scale units.
    ceiling : float
        Full-scale units; above 1 the converter itself is the limit.

    Raises
    ------
    OutputTooHighError
    """
    if not np.isfinite(ceiling) or ceiling < 0:
        raise OutputTooHighError(f"output: ceiling unknown: given {ceiling}, allowed 0 to 1")
    if not np.isfinite(output).all():
        raise OutputTooHighError("output: samples that are not numbers: given NaN or infinity")
    peak = float(np.abs(output).max(initial=0.0))
    allowed = min(ceiling, 1.0)
    if peak > allowed * _ROUNDING:
        where = int(np.abs(output).argmax())
        raise OutputTooHighError(
            f"output: sample {where} too high: given {peak:.6g}, allowed {allowed:.6g} "
            "of full scale"
        )


class Limiter:
    """Hands out a checked signal block by block; runs inside the audio callback.

    The first and the last 5 ms are faded by half a cosine, so that a signal which does not begin
    and end in silence makes no step; one that does is passed on bit for bit.

    Parameters
    ----------
    output : (n,) float32 array
        Full-scale units; copied, so that nobody can change it after the check.
    ceiling : float
        Full-scale units.
    sample_rate_hz : float
        Hz.

    Raises
    ------
    OutputTooHighError
    """

    def __init__(self, output: Samples, *, ceiling: float, sample_rate_hz: float) -> None:
        check_output(output, ceiling=ceiling)
        self._ceiling = _below(min(ceiling, 1.0))
        self._signal = output.astype(np.float32, copy=True)
        ramp = max(1, round(RAMP_S * sample_rate_hz))
        self._fall = ((1 + np.cos(np.pi * (np.arange(ramp) + 1) / ramp)) / 2).astype(np.float32)
        short = min(ramp, output.size)
        self._signal[:short] *= self._fall[::-1][:short]
        self._signal[output.size - short :] *= self._fall[ramp - short :]
        self.played = 0
        self._ended = False

    @property
    def ended(self) -> bool:
        """Whether only zeros follow."""
        return self._ended

    def fill(self, block: Samples, *, lanes: tuple[int, ...], stop: bool) -> None:
        """Write the next block; allocates nothing but views.

        Parameters
        ----------
        block : (frames, channels) float32 array
            Overwritten whole.
        lanes : tuple of int
            Columns that carry the signal, counted from 0.
        stop : bool
            True: fall to silence within this block, for good.
        """
        block.fill(0)
        if self._ended:
            return
        count = min(block.shape[0], self._signal.size - self.played)
        piece = block[:count, lanes[0]]
        piece[:] = self._signal[self.played : self.played + count]
        if stop:
            fall = self._fall[:: -(-self._fall.size // max(count, 1))]
            piece[: fall.size] *= fall
            piece[fall.size :] = 0
        np.clip(piece, -self._ceiling, self._ceiling, out=piece)
        for lane in lanes[1:]:
            block[:count, lane] = piece
        self.played += count
        self._ended = stop or self.played == self._signal.size


def _below(value: float) -> np.float32:
    # The largest float32 that is not above value.
    near = np.float32(value)
    return near if float(near) <= value else np.nextafter(near, np.float32(0))
