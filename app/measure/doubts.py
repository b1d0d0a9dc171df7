"""What speaks against a capture before anything is derived from it."""

from dataclasses import dataclass

from dsp.response.overload import overload
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.stale import stale_links


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
    if capture.dropouts:
        grave.append(f"the card lost samples {capture.dropouts} times")
    stale = stale_links(chain, on=capture.started_utc.date())
    return Doubts(
        warnings=(*grave, *stale), untrusted=grave[0] if grave else stale[0] if stale else ""
    )
