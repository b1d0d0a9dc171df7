"""What speaks against a capture before anything is derived from it."""

from dataclasses import dataclass

from dsp.response.overload import overload
from dsp.response.recording import Recording
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.stale import stale_links

# One sample in a ten-second excitation is 2 ppm; noise in the marks stays below a hundredth.
_ONE_CLOCK_PPM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    """What to warn of, and whether any verdict may stand on the capture.

    Attributes
    ----------
    warnings : tuple of str
        One sentence each.
    untrusted : str
        The gravest reason why nothing may be judged; empty where it may.
    """

    warnings: tuple[str, ...]
    untrusted: str


def doubts(capture: Capture, *, chain: Chain) -> Doubts:
    """Look a capture over.

    Parameters
    ----------
    capture : Capture
        Raw, full-scale units.
    chain : Chain
        Which channels matter, and when its links were calibrated.
    """
    grave: list[str] = []
    warned: list[str] = []
    for name, wired in chain.input.wired.items():
        link, channel = f"input.{name}", wired.channel
        if channel > capture.samples.shape[1]:
            continue  # refused with its own words where the channels are scaled
        found = overload(capture.samples[:, channel - 1])
        if found.clipped:
            grave.append(
                f"{link} clipped: {found.count} samples at full scale, {found.longest_run} in a row"
            )
        if channel in capture.lost_channels:
            grave.append(f"{link} was lost: exact zeros while the output played")
    if capture.dropouts:  # many do no harm; ``lost_samples`` tells from the marks
        warned.append(f"the card's driver reported {capture.dropouts} dropouts")
    stale = stale_links(chain, on=capture.started_utc.date())
    return Doubts(
        warnings=(*grave, *warned, *stale),
        untrusted=next(iter((*grave, *stale)), ""),
    )


def lost_samples(recording: Recording, *, capture: Capture, chain: Chain) -> str:
    """Tell whether dropouts did harm: then a card of one clock comes back with another.

    Parameters
    ----------
    recording : Recording
        At home; its clock offset is what lay between the marks.
    capture : Capture
        How many dropouts the driver reported.
    chain : Chain
        Two devices, or the rig in software, may have two clocks; one card has one.

    Returns
    -------
    str, one sentence; empty where nothing is wrong.
    """
    device = chain.device
    one_clock = device.backend == "soundcard" and device.output_name is None
    if capture.dropouts and one_clock and abs(recording.clock_offset_ppm) > _ONE_CLOCK_PPM:
        return (
            f"the card lost or doubled samples: {recording.clock_offset_ppm:+.1f} ppm "
            "between its own two directions"
        )
    return ""
