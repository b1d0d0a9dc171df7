import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import ToneSegment
from dsp.excitation.stepped_sine import Zone, stepped_sine, zone_points

RATE = 48_000.0
THREE = (
    Zone(from_hz=20_000, to_hz=2500, per_octave=12),
    Zone(from_hz=2400, to_hz=200, per_octave=6),
    Zone(from_hz=190, to_hz=40, per_octave=12),
)


def played(
    *zones: Zone,
    rate: float = RATE,
    settle_periods: float = 1,
    settle_s: float = 0.02,
    hold_periods: float = 5,
    hold_s: float = 0.02,
    peak_v: float = 4.0,
) -> Rendered:
    return stepped_sine(
        sample_rate_hz=rate,
        zones=zones,
        settle_periods=settle_periods,
        settle_s=settle_s,
        hold_periods=hold_periods,
        hold_s=hold_s,
        peak_v=peak_v,
    )


def tone_segment(rendered: Rendered) -> ToneSegment:
    assert isinstance(rendered.segment, ToneSegment)
    return rendered.segment


def test_both_ends_of_every_zone_are_played_and_no_step_is_wider_than_asked_for() -> None:
    points = zone_points(THREE)
    for zone in THREE:
        inside = points[(points <= zone.from_hz * 1.0001) & (points >= zone.to_hz * 0.9999)]
        assert inside[0] == pytest.approx(zone.from_hz, rel=1e-12)
        assert inside[-1] == pytest.approx(zone.to_hz, rel=1e-12)
        steps = -np.diff(np.log2(inside)) * zone.per_octave
        assert np.all(steps <= 1 + 1e-9)
        np.testing.assert_allclose(steps, steps[0], rtol=1e-9)
    assert np.all(np.diff(points) < 0)


def test_zones_that_touch_share_their_point() -> None:
    down = zone_points(
        [
            Zone(from_hz=4000, to_hz=1000, per_octave=1),
            Zone(from_hz=1000, to_hz=250, per_octave=2),
        ]
    )
    np.testing.assert_allclose(
        down, [4000, 2000, 1000, 1000 / 2**0.5, 500, 500 / 2**0.5, 250], rtol=1e-12
    )


def test_a_zone_upward_is_played_upward() -> None:
    up = zone_points([Zone(from_hz=100, to_hz=400, per_octave=1)])
    np.testing.assert_allclose(up, [100, 200, 400], rtol=1e-12)


@settings(deadline=None, max_examples=40)
@given(
    low=st.floats(25, 400),
    octaves=st.floats(0.1, 4),
    per_octave=st.integers(1, 24),
    hold=st.floats(2, 9),
    rate=st.sampled_from([44_100.0, 48_000.0, 96_000.0]),
)
def test_holds_are_whole_periods_to_the_nearest_sample_and_not_shorter_than_asked(
    *, low: float, octaves: float, per_octave: int, hold: float, rate: float
) -> None:
    zone = Zone(from_hz=low * 2**octaves, to_hz=low, per_octave=per_octave)
    segment = tone_segment(played(zone, rate=rate, hold_periods=hold))
    samples = segment.hold_stop - segment.hold_start
    periods = samples * segment.frequency_hz / rate
    off = np.abs(periods - np.rint(periods)) * rate / segment.frequency_hz
    assert np.all(off <= 0.5 + 1e-6)
    assert np.all(np.rint(periods) >= hold - 1e-5)
    assert np.all(samples >= 0.02 * rate - 0.5)


def test_the_first_point_settles_twice_as_long_and_no_other_settles_less_than_asked() -> None:
    segment = tone_segment(played(*THREE))
    begins = np.concatenate([[0], segment.hold_stop[:-1]])
    settle_s = (segment.hold_start - begins) / RATE
    wanted = np.maximum(1 / segment.frequency_hz, 0.02)
    wanted[0] *= 2
    assert np.all(settle_s >= wanted - 1e-9)
    assert np.all(settle_s <= wanted + 1.001 / RATE)


def test_samples_are_those_that_the_segment_names() -> None:
    rendered = played(*THREE)
    segment = tone_segment(rendered)
    for j in (0, 40, segment.frequency_hz.size - 1):
        n = np.arange(segment.hold_start[j], segment.hold_stop[j])
        angle = 2 * np.pi * segment.frequency_hz[j] * n / RATE + segment.phase_rad[j]
        np.testing.assert_allclose(rendered.samples[n], 4.0 * np.sin(angle), rtol=0, atol=1e-8)


def test_phase_goes_on_where_the_frequency_steps() -> None:
    segment = tone_segment(played(*THREE))
    at = segment.hold_stop[:-1]
    ending, following = (
        np.exp(1j * (2 * np.pi * segment.frequency_hz[k] * at / RATE + segment.phase_rad[k]))
        for k in (slice(0, -1), slice(1, None))
    )
    np.testing.assert_allclose(ending, following, rtol=0, atol=1e-8)


def test_it_starts_and_ends_in_silence_outside_every_hold() -> None:
    rendered = played(*THREE)
    segment = tone_segment(rendered)
    assert rendered.samples[0] == 0.0
    assert rendered.samples[-1] == 0.0
    assert segment.hold_start[0] >= 0.005 * RATE
    assert segment.stop - segment.hold_stop[-1] >= 0.005 * RATE
    assert np.max(np.abs(rendered.samples)) <= 4.0


def test_three_zones_take_the_sum_of_their_parts() -> None:
    rendered = played(*THREE, hold_periods=4)
    f = zone_points(THREE)
    # settle max(1/f, 20 ms), hold the whole periods in max(4/f, 20 ms), 20 ms more at first, ramp
    whole = np.ceil(np.maximum(4, 0.02 * f) - 1e-6) / f
    expected = np.sum(np.maximum(1 / f, 0.02) + whole) + 0.02 + 0.005
    assert rendered.samples.size / RATE == pytest.approx(expected, abs=f.size / RATE)
    assert f.size == 37 + 23 + 28
    assert expected < 4.5


@pytest.mark.parametrize(
    ("zones", "message"),
    [
        ((), "no zone"),
        ((Zone(from_hz=100, to_hz=100, per_octave=3),), "without extent: given 100 to 100 Hz"),
        ((Zone(from_hz=-1, to_hz=100, per_octave=3),), "from_hz outside: given -1, allowed above"),
        ((Zone(from_hz=100, to_hz=50, per_octave=0),), "per_octave outside: given 0"),
        ((Zone(from_hz=24_000, to_hz=50, per_octave=3),), "given 24000.0, allowed above 0, below"),
    ],
)
def test_zones_that_cannot_be_played_are_refused(zones: tuple[Zone, ...], message: str) -> None:
    with pytest.raises(DspError, match=message):
        played(*zones)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"hold_periods": 1.9}, r"hold_periods outside: given 1\.9, allowed 2 and above"),
        ({"settle_s": -0.01}, "a time below 0"),
        ({"peak_v": 0.0}, r"peak_v outside: given 0\.0, allowed above 0"),
        ({"rate": 0.0}, "sample_rate_hz outside"),
    ],
)
def test_times_and_levels_out_of_range_are_refused(change: dict[str, float], message: str) -> None:
    with pytest.raises(DspError, match=message):
        played(*THREE, **change)
