"""How long a stepped sine in three zones sounds."""

from dsp.excitation.segment import ToneSegment
from tests.benchmarks.row import Row
from tests.benchmarks.setting import RATE_HZ, Setting

BAR_S, GOAL_S = 4.5, 3.0


def stepped_length() -> list[Row]:
    """Count what the procedure that ships plays; its accuracy stands in other rows."""
    excitation = Setting(sound="stepped sine, three zones").excitation
    (segment,) = excitation.segments
    points = segment.frequency_hz.size if isinstance(segment, ToneSegment) else 0
    sounding_s = (segment.stop - segment.start) / RATE_HZ
    whole_s = excitation.samples.size / RATE_HZ
    return [
        Row(
            what="stepped sine in three zones: excitation",
            bar=BAR_S,
            measured=sounding_s,
            unit="s",
            note=f"{points} points; the goal is {GOAL_S:g} s; "
            f"{whole_s:.2f} s with marks and silence",
        )
    ]
