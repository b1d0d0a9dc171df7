"""What the second microphone heard of the surroundings: moments in which nothing is judged."""

import numpy as np
from scipy import fft

from dsp.arrays import Floats, Ints
from dsp.defects.band import band
from dsp.defects.disturbed import Disturbed
from dsp.excitation.excitation import Excitation
from dsp.response.quiet_noise import quiet_noise

_BLOCK_S = 0.005
# Over the quiet surroundings' own median: what undisturbed pairs of takes never reached.
_THRESHOLD = 8.0
# The unit is heard in the surroundings, too; so many times more is not the unit.
_NOT_THE_UNIT = 4.0
# The unit's part is learnt where it is this much louder than the noise at its own microphone.
_LOUD = 100.0
# What falls rings on, and comes to the measuring microphone a little later.
_BEFORE_S, _BEHIND_S = 0.005, 0.04


def disturbances(
    ambient: Floats, *, pressure: Floats, excitation: Excitation
) -> tuple[Disturbed, ...]:
    """Find the moments in which something else than the unit was heard.

    Parameters
    ----------
    ambient, pressure : (n,) arrays
        Of the second microphone, in any unit, and of the measuring one, Pa; both on the clock of
        the excitation.
    excitation : Excitation
        What was played; its silence tells how quiet the surroundings are.

    Returns
    -------
    tuple of Disturbed, in order, apart from one another.

    Notes
    -----
    In blocks of 5 ms of the band of the defects. A block is disturbed where its energy exceeds 8
    times the median of the silence and 4 times what the unit's own sound is known to bring there.
    The latter is learnt from the blocks in which the unit is loud, as in a sweep's upper half.
    """
    block = round(_BLOCK_S * excitation.sample_rate_hz)
    heard = _blocks(ambient, excitation=excitation, block=block)
    own = _blocks(pressure, excitation=excitation, block=block)
    count = min(heard.size, own.size)
    heard, own = heard[:count], own[:count]
    silent = slice(0, max(excitation.quiet_stop // block, 1))
    quiet_heard, quiet_own = float(np.median(heard[silent])), float(np.median(own[silent]))
    loud = own > _LOUD * quiet_own
    shares = np.maximum(heard[loud] - quiet_heard, 0.0) / own[loud]
    coupling = float(np.median(shares)) if shares.size else 0.0
    over = heard > _THRESHOLD * quiet_heard
    over &= heard > _NOT_THE_UNIT * coupling * own
    return _spans(np.flatnonzero(over), block_s=block / excitation.sample_rate_hz)


def _blocks(channel: Floats, *, excitation: Excitation, block: int) -> Floats:
    rate_hz = excitation.sample_rate_hz
    noise = quiet_noise(channel, excitation=excitation)
    size = fft.next_fast_len(channel.size, real=True)
    passes = band(size, sample_rate_hz=rate_hz, noise=noise).passes
    held = fft.irfft(fft.rfft(channel, size) * passes, size)
    count = channel.size // block
    out: Floats = np.mean(np.square(held[: count * block]).reshape(count, block), axis=1)
    return out


def _spans(blocks: Ints, *, block_s: float) -> tuple[Disturbed, ...]:
    spans: list[Disturbed] = []
    for index in blocks:
        start_s = max(index * block_s - _BEFORE_S, 0.0)
        stop_s = (index + 1) * block_s + _BEHIND_S
        if spans and start_s <= spans[-1].stop_s:
            start_s = spans.pop().start_s
        spans.append(Disturbed(start_s=float(start_s), stop_s=float(stop_s), told_by="ambient"))
    return tuple(spans)
