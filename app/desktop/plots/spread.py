"""Many units in a plot at once: their range, their middle 95 % and their median."""

from dataclasses import dataclass

from dsp.arrays import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlotSpread:
    """What stored units have in common, (n,) each, in the plot's unit; NaN where nobody has any.

    ``name`` is what the head says of it, such as ``412 units``; ``is_per_cent``: the values are dB
    re 100 %, and told as per cent.
    """

    hz: Floats
    low: Floats
    p2: Floats
    median: Floats
    p97: Floats
    high: Floats
    name: str = "units"
    is_per_cent: bool = False
