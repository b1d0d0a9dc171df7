"""Whether a link turns the sign of what goes through it."""

import numpy as np

from dsp.arrays import Floats
from dsp.calibration.budget import WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.sentence import minus
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

_BAND_HZ = (50.0, 1000.0)  # below coupling capacitors turn, above delays do
_ENOUGH = 0.8  # of all phasors' length must point one way
_STANDS_OUT = 8.0  # peak of a push over the rms of the noise before it
_ONSET = 0.2  # of the peak


def link_polarity(
    after: Harmonics, *, link: str, before: Harmonics | None = None, expected: int = 1
) -> Calibration:
    """Tell the polarity of an electrical link.

    Parameters
    ----------
    after : Harmonics
        What came out of it.
    link : str
        Its name.
    before : Harmonics or None
        What went in, at the same frequencies; None: the probe itself, at the time of ``after``.
    expected : int
        +1 or -1, as the chain says.

    Returns
    -------
    Calibration, +1 or -1, no uncertainty; refused where nothing points either way, or where it
    is not as the chain says.

    Raises
    ------
    DspError
        Other frequencies, or none between 50 Hz and 1 kHz.
    """
    if before is not None:
        check_same_points("link_polarity", first=after, second=before)
    hz = after.frequency_hz
    band = (hz >= _BAND_HZ[0]) & (hz <= _BAND_HZ[1])
    reference = np.ones(hz.size) if before is None else before.fundamental
    with np.errstate(divide="ignore", invalid="ignore"):
        turned = after.fundamental * np.conj(reference)
        turned = turned / np.abs(turned)
    band &= np.isfinite(turned)
    if not band.any():
        allowed = f"{_BAND_HZ[0]:g} to {_BAND_HZ[1]:g} Hz"
        raise DspError("link_polarity", "no frequency to tell from", allowed=allowed)
    towards = float(np.mean(turned[band].real))
    quiet = float(np.median(np.abs(after.fundamental[band]) / after.noise[0, band]))
    return _told(
        1 if towards >= 0 else -1,
        link=link,
        expected=expected,
        clear=Check(
            name="clear",
            passed=abs(towards) >= _ENOUGH and quiet >= _STANDS_OUT,
            sentence=minus(
                f"{link}: phases point {towards:.2f} of the way, "
                f"allowed from {_ENOUGH:g} either way"
            )
            if quiet >= _STANDS_OUT
            else f"{link}: no signal above its noise",
        ),
    )


def microphone_polarity(channel: Floats, *, expected: int = 1) -> Calibration:
    """Tell the polarity of a microphone from a push of pressure.

    Parameters
    ----------
    channel : (n,) array
        Any unit; silence, then a quick rise of pressure, as when a hand closes on the opening of
        a box around the microphone. The first tenth is taken for silence.
    expected : int
        +1: pressure makes a positive voltage (IEC 60268-4; AES26).

    Returns
    -------
    Calibration, +1 or -1, no uncertainty; refused where no push is seen.

    Raises
    ------
    DspError
        Fewer than 100 samples.
    """
    if channel.size < 100:
        allowed = "from 100 samples"
        raise DspError("microphone_polarity", "too short", given=channel.size, allowed=allowed)
    before = channel[: channel.size // 10]
    moved = channel - np.mean(before)
    noise = float(np.std(before))
    peak = float(np.max(np.abs(moved)))
    first = int(np.argmax(np.abs(moved) >= _ONSET * peak))
    return _told(
        1 if moved[first] >= 0 else -1,
        link="microphone",
        expected=expected,
        clear=Check(
            name="clear",
            passed=peak > 0 and _ONSET * peak >= _STANDS_OUT * noise,
            sentence="microphone: a push of pressure that stands out of the noise before it"
            if peak > 0 and _ONSET * peak >= _STANDS_OUT * noise
            else "microphone: no push of pressure stands out of the noise before it",
        ),
    )


def _told(sign: int, *, link: str, expected: int, clear: Check) -> Calibration:
    names = {1: "keeps the sign", -1: "inverts"}
    return Calibration(
        quantity=f"found.polarity.{link}",
        value=float(sign),
        unit="1",
        budget=WrittenBudget(unit="1", lines=()),
        checks=(
            clear,
            Check(
                name="as the chain says",
                passed=sign == expected,
                sentence=f"{link} {names[sign]}"
                + ("" if sign == expected else f"; the chain says that it {names[expected]}"),
            ),
        ),
    )
