"""A stored recording as a capture: a multichannel audio file, 1.0 = full scale."""

from pathlib import Path

import numpy as np

from app.errors import BadInputError
from app.records.recording_file import open_recording
from dsp.response.overload import overload
from hardware.card import Capture
from hardware.chain.schema import Chain


def read_capture(path: Path, *, chain: Chain) -> Capture:
    """Read a recording made by other means: channel n of the file is input channel n of the chain.

    Parameters
    ----------
    path : Path
        Any lossless file that libsndfile reads.
    chain : Chain
        Its sample rate and its channels must fit the file.

    Returns
    -------
    Capture, (n, channels); its time is that of the file.

    Raises
    ------
    BadInputError
        Missing, not audio, wrong rate, too few channels, not a number, silent or clipped.
    """
    capture = open_recording(path, sample_rate_hz=float(chain.device.sample_rate))
    for name, link in chain.input.wired.items():
        _check_channel(
            capture.samples, name=f"input.{name}.channel", channel=link.channel, path=path
        )
    return capture


def _check_channel(samples: np.ndarray, *, name: str, channel: int, path: Path) -> None:
    count = samples.shape[1]
    if channel > count:
        raise BadInputError(
            f"{path} {name}", "no such channel", given=channel, allowed=f"1 to {count}"
        )
    column = samples[:, channel - 1]
    if not column.any():
        raise BadInputError(f"{path} {name}", f"channel {channel} is silent")
    found = overload(column)
    if found.clipped:
        raise BadInputError(
            f"{path} {name}",
            f"channel {channel} is clipped",
            given=f"{found.count} samples at full scale, {found.longest_run} in a row",
            allowed="below full scale",
        )
