import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.assemble import assemble
from dsp.excitation.log_sweep import log_sweep
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import ToneSegment

RATE = 48_000.0


def sweep(seconds: float = 1.0, peak: float = 4.0) -> Rendered:
    return log_sweep(
        sample_rate_hz=RATE, start_hz=10, stop_hz=20_000, duration_s=seconds, peak_v=peak
    )


def tone() -> Rendered:
    segment = ToneSegment(
        start=0,
        stop=4800,
        frequency_hz=np.array([100.0]),
        hold_start=np.array([960]),
        hold_stop=np.array([4320]),
        phase_rad=np.zeros(1),
        peak_v=np.array([2.0]),
    )
    return Rendered(samples=2 * np.sin(2 * np.pi * np.arange(4800) / 480), segment=segment)


def test_the_two_marks_are_the_same_sample_for_sample() -> None:
    got = assemble([sweep(0.3)], sample_rate_hz=RATE)
    first, second = got.mark_starts
    length = got.mark_samples
    a, b = got.samples[first : first + length], got.samples[second : second + length]
    np.testing.assert_array_equal(a, b)
    assert np.max(np.abs(a)) == pytest.approx(4.0)


def test_a_sweep_of_one_second_takes_about_one_point_six() -> None:
    assert assemble([sweep()], sample_rate_hz=RATE).duration_s < 1.61


def test_the_ends_are_silent_and_the_map_tells_where_the_parts_lie() -> None:
    parts = [sweep(0.3), tone()]
    got = assemble(parts, sample_rate_hz=RATE, repeat=2)
    assert len(got.segments) == 4
    assert not np.any(got.samples[: got.quiet_stop])
    assert not np.any(got.samples[got.mark_starts[1] + got.mark_samples :])
    for segment, part in zip(got.segments, [parts[0], parts[0], parts[1], parts[1]], strict=True):
        np.testing.assert_array_equal(got.samples[segment.start : segment.stop], part.samples)
    moved = got.segments[2]
    assert isinstance(moved, ToneSegment)
    assert moved.hold_start[0] - moved.start == 960
    assert moved.hold_stop[0] - moved.start == 4320


def test_between_parts_there_is_room_to_decay() -> None:
    got = assemble([sweep(0.3)], sample_rate_hz=RATE, repeat=2, tail_s=0.2)
    one, two = got.segments
    assert two.start - one.stop == 9600
    assert not np.any(got.samples[one.stop : two.start])
    assert got.mark_starts[1] - two.stop == 9600


def test_no_mark_is_louder_than_the_quietest_part() -> None:
    got = assemble([sweep(0.3, peak=4.0), sweep(0.3, peak=0.5)], sample_rate_hz=RATE)
    at = got.mark_starts[0]
    assert np.max(np.abs(got.samples[at : at + got.mark_samples])) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("parts", "repeat", "quiet_s"), [([], 1, 0.25), ([sweep(0.3)], 0, 0.25), ([sweep(0.3)], 1, 0.0)]
)
def test_nothing_to_play_and_no_silence_are_refused(
    parts: list[Rendered], repeat: int, quiet_s: float
) -> None:
    with pytest.raises(DspError, match="assemble"):
        assemble(parts, sample_rate_hz=RATE, repeat=repeat, quiet_s=quiet_s)
