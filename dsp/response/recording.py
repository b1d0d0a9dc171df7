"""A recording brought to the excitation's own time: what every analysis starts from."""

from dataclasses import dataclass
from typing import Literal

from dsp.arrays import Floats, read_only

DelaySource = Literal["loopback", "terminal", "impedance", "onset", "none"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Recording:
    """The channels of one capture in physical units, on the clock of the output.

    Sample n of every channel was taken while sample n of the excitation was played, but for
    ``latency_s``, which is below one sample where the alignment found it, and whose source tells
    how far phases may be trusted.

    Attributes
    ----------
    sample_rate_hz : float
        Hz, of the excitation.
    pressure_pa, current_a, terminal_v, loopback_v : (n,) array or None
        Pa at the microphone, A through the unit, V across it, V at the output jack; None where
        the chain has no such channel. Same length as the excitation, or longer.
    latency_s : float
        s by which the channels still lag the excitation; analyses add it to phases.
    latency_source : str
        What it was found from: ``loopback``, ``terminal``, ``impedance`` (the delay that makes
        the unit a passive impedance), ``onset`` (not better than a sample), ``none``.
    clock_offset_ppm : float
        How much faster the recorder's clock ran than the player's; already undone.
    ambient_pa : (n,) array or None
        About Pa, at a second microphone that hears the surroundings.
    """

    sample_rate_hz: float
    pressure_pa: Floats | None
    current_a: Floats | None
    terminal_v: Floats | None
    loopback_v: Floats | None
    latency_s: float = 0.0
    latency_source: DelaySource = "none"
    clock_offset_ppm: float = 0.0
    ambient_pa: Floats | None = None

    def __post_init__(self) -> None:
        for name in ("pressure_pa", "current_a", "terminal_v", "loopback_v", "ambient_pa"):
            samples = getattr(self, name)
            if samples is not None:
                object.__setattr__(self, name, read_only(samples))
