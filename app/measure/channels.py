"""Raw channels of a capture in physical units, as the chain file wires and scales them."""

from dataclasses import dataclass

import numpy as np

from app.errors import BadInputError
from dsp import Floats, read_only
from hardware.card import Capture
from hardware.chain.schema import Chain


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Channels:
    """What each wired input recorded, on the recorder's own clock.

    Attributes
    ----------
    pressure_pa, current_a, terminal_v, loopback_v : (n,) array or None
        Pa at the microphone, A through the unit, V across it, V at the output jack; None where
        the chain wires no such input.
    ambient_pa : (n,) array or None
        About Pa, at the second microphone.
    """

    pressure_pa: Floats | None
    current_a: Floats | None
    terminal_v: Floats | None
    loopback_v: Floats | None
    ambient_pa: Floats | None = None

    @property
    def clockwork(self) -> Floats:
        """The channel that tells best when the output played: the most direct one there is."""
        for samples in (self.loopback_v, self.terminal_v, self.current_a, self.pressure_pa):
            if samples is not None:
                return samples
        raise BadInputError("input", "no channel is wired", allowed="pressure, sense, or both")


def channels(capture: Capture, *, chain: Chain) -> Channels:
    """Scale the channels of a capture that the chain names.

    Parameters
    ----------
    capture : Capture
        (n, channels), full-scale units.
    chain : Chain
        Where each input is wired and what it is worth.

    Returns
    -------
    Channels, each (n,).

    Raises
    ------
    BadInputError
        The capture has fewer channels than the chain names.
    """
    wired = chain.input

    def volts(name: str, channel: int, full_scale_v: float) -> Floats:
        if channel > capture.samples.shape[1]:
            raise BadInputError(
                f"input.{name}.channel",
                "the capture has no such channel",
                given=channel,
                allowed=f"1 to {capture.samples.shape[1]}",
            )
        column = capture.samples[:, channel - 1].astype(np.float64)
        return read_only(column * full_scale_v)

    pressure = current = terminal = loopback = ambient = None
    if (p := wired.pressure) is not None:
        pressure = volts("pressure", p.channel, p.full_scale_v) / (
            p.preamplifier_gain * p.sensitivity_v_per_pa
        )
    if (s := wired.sense) is not None:
        current = volts("sense", s.channel, s.full_scale_v) / (s.gain * s.resistor_ohm)
    if (t := wired.terminal) is not None:
        terminal = volts("terminal", t.channel, t.full_scale_v) / t.gain
    if (b := wired.loopback) is not None:
        loopback = volts("loopback", b.channel, b.full_scale_v)
    if (a := wired.ambient) is not None:
        ambient = volts("ambient", a.channel, a.full_scale_v) / a.sensitivity_v_per_pa
    return Channels(
        pressure_pa=pressure,
        current_a=current,
        terminal_v=terminal,
        loopback_v=loopback,
        ambient_pa=ambient,
    )
