import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.segment import ToneSegment
from dsp.excitation.tones import tones

RATE = 48_000.0


def test_of_each_tone_the_first_60_ms_settle_and_whole_periods_follow() -> None:
    got = tones(sample_rate_hz=RATE, hz=[60, 100, 160], dwell_s=0.5, peak_v=4.0).segment
    assert isinstance(got, ToneSegment)
    np.testing.assert_array_equal(got.frequency_hz, [60, 100, 160])
    begins = np.concatenate([[0], got.hold_stop[:-1]])
    np.testing.assert_array_equal(got.hold_start - begins, 2880)
    # 0.44 s hold 26.4, 44 and 70.4 periods
    np.testing.assert_array_equal(got.hold_stop - got.hold_start, [20_800, 21_120, 21_000])


def test_a_tone_may_come_back() -> None:
    got = tones(sample_rate_hz=RATE, hz=[100, 100], dwell_s=0.2, peak_v=1.0)
    assert isinstance(got.segment, ToneSegment)
    assert got.segment.frequency_hz.size == 2


def test_a_dwell_without_two_periods_is_refused_and_the_shortest_is_told() -> None:
    with pytest.raises(DspError, match=r"dwell_s too short: given 0\.1, allowed from 0\.16 s"):
        tones(sample_rate_hz=RATE, hz=[1000, 20], dwell_s=0.1, peak_v=1.0)


def test_no_tone_and_a_tone_beyond_half_the_rate_are_refused() -> None:
    with pytest.raises(DspError, match="no tone"):
        tones(sample_rate_hz=RATE, hz=[], dwell_s=0.5, peak_v=1.0)
    with pytest.raises(DspError, match="hz outside: given 24000"):
        tones(sample_rate_hz=RATE, hz=[100, 24_000], dwell_s=0.5, peak_v=1.0)
