import math
from dataclasses import replace

import numpy as np
import pytest

from dsp import Complexes, Curve, DspError, Floats, ValidRange
from dsp.near_field.merge import Merged, merge
from dsp.near_field.overlap import overlap_of
from dsp.near_field.response import Response
from dsp.near_field.scale import Radiator, scale_db, together
from tests.dsp.analytic_unit import log_frequencies
from tests.dsp.near_field.heard import AIR, far_off, heard, high_pass, on_axis, scaled

HZ = log_frequencies(per_octave=48)
RADIUS_M, GAP_M = 0.052, 0.004
TRUTH = high_pass(HZ) * far_off(HZ)
FAR = ValidRange(low_hz=300.0, high_hz=18_000.0, low_reason="gate", high_reason="microphone")


def near_field(
    *, radius_m: float = RADIUS_M, gap_m: float = GAP_M, gain: complex = 1.0, noise: float = 0.0
) -> Response:
    """What a microphone hears in front of the piston, scaled with a stated radius and gap."""
    pressure = gain * high_pass(HZ) * on_axis(HZ, radius_m=RADIUS_M, distance_m=GAP_M)
    radiator = Radiator(area_m2=math.pi * radius_m**2, gap_m=gap_m)
    near = heard(HZ, pressure, level_db=noise, phase_deg=noise)
    return scaled(near, radiator=radiator, distance_m=1.0, air=AIR)


def far_field(*, level_db: float = 0.0, valid: ValidRange = FAR) -> Response:
    """The same from 1 m; below its gate it is spoiled."""
    spoiled = np.where(valid.low_hz > HZ, 3.0, 1.0)
    return heard(
        HZ, TRUTH * spoiled, delay_s=1 / 343, level_db=level_db, phase_deg=level_db, valid=valid
    )


def error_db(merged: Merged, truth: Complexes = TRUTH) -> Floats:
    level = merged.level.value - 20 * np.log10(np.abs(truth) / 20e-6)
    return np.asarray(level[HZ < 18_000])


def apart_deg(merged: Merged) -> Floats:
    slow = TRUTH * np.exp(2j * np.pi * HZ / 343)
    apart = merged.phase.value - np.degrees(np.unwrap(np.angle(slow)))
    return np.asarray(np.mod(apart + 180, 360) - 180)


def test_a_piston_is_whole_again_from_near_and_far() -> None:
    merged = merge(near_field(), far=far_field())
    np.testing.assert_array_equal(merged.level.frequency_hz, HZ)
    np.testing.assert_allclose(error_db(merged), 0.0, atol=1e-9)
    np.testing.assert_allclose(apart_deg(merged), 0.0, atol=1e-6)
    assert merged.delay_s == pytest.approx(1 / 343)
    assert merged.offset.value == pytest.approx(0.0, abs=1e-9)
    assert merged.lag.value == pytest.approx(0.0, abs=1e-12)
    assert not merged.offset.reason


def test_a_wrong_radius_comes_out_as_an_offset() -> None:
    # 2 % are 0.17 dB at low frequencies; it also moves the piston's form towards ka = 1.
    merged = merge(near_field(radius_m=1.02 * RADIUS_M), far=far_field())
    assert abs(merged.offset.value) == pytest.approx(0.17, abs=0.02)
    assert np.max(np.abs(error_db(merged))) < 0.02


def test_a_wrong_gap_comes_out_as_a_lag() -> None:
    # Centre and rim are on the mean 28.077 mm away at a gap of 4 mm, 26.505 mm at 1 mm.
    merged = merge(near_field(gap_m=0.001), far=far_field())
    assert abs(merged.lag.value) == pytest.approx(1.572e-3 / 343, rel=1e-3)
    assert np.max(np.abs(error_db(merged))) < 0.02


def test_the_span_that_holds_is_the_near_fields_below_and_the_far_fields_above() -> None:
    near = replace(near_field(), valid=ValidRange(low_hz=25.0, high_hz=1050.0, low_reason="noise"))
    valid = merge(near, far=far_field()).level.valid
    assert (valid.low_hz, valid.low_reason) == (25.0, "noise")
    assert (valid.high_hz, valid.high_reason) == (18_000.0, "microphone")


def test_the_other_sign_is_found_turned_and_told() -> None:
    merged = merge(near_field(gain=-1.0), far=far_field())
    assert merged.inverted
    assert "other sign" in merged.lag.reason
    np.testing.assert_allclose(apart_deg(merged), 0.0, atol=1e-6)
    np.testing.assert_allclose(error_db(merged), 0.0, atol=1e-9)


def test_a_microphone_that_hears_later_is_brought_back() -> None:
    late = near_field()
    late = replace(late, pressure=late.pressure * np.exp(-2j * np.pi * HZ * 0.7e-3))
    merged = merge(late, far=far_field())
    assert merged.lag.value == pytest.approx(0.7e-3, rel=1e-6)
    np.testing.assert_allclose(apart_deg(merged), 0.0, atol=1e-4)
    np.testing.assert_allclose(error_db(merged), 0.0, atol=1e-6)


def test_a_gain_that_is_wrong_is_told_and_still_matched() -> None:
    merged = merge(near_field(gain=2.0), far=far_field())
    assert merged.offset.value == pytest.approx(-6.0206, abs=1e-4)
    assert "look at distance, area and gains" in merged.offset.reason
    np.testing.assert_allclose(error_db(merged), 0.0, atol=1e-6)


def test_phases_that_no_delay_brings_together_are_refused() -> None:
    with pytest.raises(DspError, match="no delay brings together"):
        merge(near_field(gain=1j), far=far_field())


def test_other_points_are_read_between() -> None:
    near = near_field()
    every = np.arange(0, HZ.size, 2)
    thin = replace(
        near,
        frequency_hz=HZ[every],
        pressure=near.pressure[every],
        level_db=near.level_db[every],
        phase_deg=near.phase_deg[every],
    )
    merged = merge(thin, far=far_field())
    hz = merged.level.frequency_hz
    truth_db = 20 * np.log10(np.abs(high_pass(hz) * far_off(hz)) / 20e-6)
    np.testing.assert_allclose(merged.level.value, truth_db, atol=2e-3)


def test_the_offsets_interval_holds_the_truth() -> None:
    # 400 pairs with white noise of 0.1 dB; 95.45 % are stated, 4 standard errors are 4 %.
    random = np.random.default_rng(11)
    near, far, held = near_field(), far_field(), 0
    for _ in range(400):
        arrows = random.normal(size=(2, 2, HZ.size)) * 0.1 / 8.685890
        noisy = [
            replace(one, pressure=one.pressure * (1 + a[0] + 1j * a[1]))
            for one, a in zip((near, far), arrows, strict=True)
        ]
        offset = merge(noisy[0], far=noisy[1]).offset
        assert offset.uncertainty is not None
        held += abs(offset.value) <= offset.uncertainty
    assert 0.91 <= held / 400 <= 0.985


def test_uncertainty_far_away_from_the_overlap_is_that_of_the_level_that_counts() -> None:
    # The near field's own 0.3 dB are common to all frequencies: matched away. What the piston's
    # form corrects is not.
    merged = merge(near_field(noise=0.3), far=far_field(level_db=0.2))
    told = merged.level.uncertainty
    assert told is not None
    assert told[0] == pytest.approx(0.4, abs=0.01)
    assert told[-1] == pytest.approx(0.4, abs=1e-9)


def test_a_difference_that_is_left_widens_the_interval_in_the_overlap() -> None:
    far = far_field()
    tilted = replace(far, pressure=far.pressure * (HZ / 420) ** 0.3)
    merged = merge(near_field(), far=tilted)
    told = merged.level.uncertainty
    assert told is not None
    assert merged.left_db > 0.1
    # A quarter of the way over log f the two lie d apart and count 3 to 1: the deviation of such
    # a mixture is d root(3/16). Of the rest only the offset's own is left, the piston's form aside.
    low, high = merged.overlap.low_hz, merged.overlap.high_hz
    quarter = int(np.argmin(np.abs(HZ - low ** (3 / 4) * high ** (1 / 4))))
    share = math.log(HZ[quarter] / low) / math.log(high / low)
    tilt_db = 6.0 * math.log(HZ[quarter] / math.sqrt(low * high)) / math.log(10)
    mixed = 2 * abs(tilt_db) * math.sqrt(share * (1 - share))
    assert merged.offset.uncertainty is not None
    least, most = (
        math.hypot(mixed, (1 - share) * math.hypot(merged.offset.uncertainty, form))
        for form in (0.0, 0.12)
    )
    assert 0.99 * least < told[quarter] < 1.01 * most


def test_the_phase_of_the_near_part_is_as_sure_as_its_own_and_the_lag() -> None:
    random = np.random.default_rng(3)
    noisy = near_field(noise=0.5)
    arrows = random.normal(size=(2, HZ.size)) * 0.5 / 8.685890
    noisy = replace(noisy, pressure=noisy.pressure * (1 + arrows[0] + 1j * arrows[1]))
    merged = merge(noisy, far=far_field())
    assert merged.lag.uncertainty is not None
    at = int(np.argmin(np.abs(HZ - 250)))
    lag_deg = 360 * HZ[at] * merged.lag.uncertainty
    assert merged.phase.uncertainty is not None
    assert merged.phase.uncertainty[at] == pytest.approx(math.hypot(1.0, lag_deg), rel=1e-6)


# Scaling


def test_a_percent_of_area_is_half_a_percent_of_radius() -> None:
    radiator = Radiator(area_m2=85e-4, gap_m=0.0, area_percent=2.0)
    told = scale_db(radiator, frequency_hz=np.array([20.0]), air=AIR)
    assert told[0] == pytest.approx(8.685890 * 0.005, rel=1e-3)


def test_a_millimetre_of_gap_is_what_the_piston_says() -> None:
    # d/dz of 20 log10(root(z2 + a2) - z) at z = 0 is 8.69 dB / a.
    radiator = Radiator(area_m2=math.pi * 0.05**2, gap_m=0.0, gap_uncertainty_m=2e-3)
    told = scale_db(radiator, frequency_hz=np.array([20.0]), air=AIR)
    assert told[0] == pytest.approx(8.685890 * 0.001 / 0.05, rel=1e-3)


def test_what_the_pistons_form_corrects_counts_as_a_rectangle() -> None:
    radiator = Radiator(area_m2=math.pi * 0.05**2, gap_m=0.0)
    told = scale_db(radiator, frequency_hz=np.array([343 / (2 * math.pi * 0.05)]), air=AIR)
    assert told[0] == pytest.approx(0.3650 / math.sqrt(3), abs=1e-3)


def test_where_diaphragm_and_vent_cancel_little_is_known() -> None:
    one = heard(HZ, np.full(HZ.size, 1.0 + 0j), level_db=0.1)
    other = heard(HZ, np.full(HZ.size, -0.9 + 0j), level_db=0.1)
    whole = together(one, other)
    np.testing.assert_allclose(whole.level_db, 0.1 * math.hypot(1, 0.9) / 0.1, rtol=1e-9)
    np.testing.assert_array_equal(together(one).level_db, one.level_db)


def test_a_take_of_level_and_phase_becomes_the_pressure_it_was() -> None:
    delay_s = 2.9e-3
    slow = np.degrees(np.unwrap(np.angle(TRUTH * np.exp(2j * np.pi * HZ * delay_s))))
    level = Curve(
        frequency_hz=HZ,
        value=20 * np.log10(np.abs(TRUTH) / 20e-6),
        unit="dB re 20 µPa",
        valid=FAR,
        uncertainty=np.full(HZ.size, 0.4),
    )
    phase = Curve(frequency_hz=HZ, value=slow, unit="deg", valid=FAR)
    found = Response.of_curves(level, phase=phase, delay_s=delay_s)
    np.testing.assert_allclose(found.pressure, TRUTH, rtol=1e-9)
    np.testing.assert_array_equal(found.level_db, 0.2)
    np.testing.assert_array_equal(found.phase_deg, 0.0)


# Where to cross over


def span(
    low_hz: float, high_hz: float, *, low: str = "noise", high: str = "near field"
) -> ValidRange:
    return ValidRange(low_hz=low_hz, high_hz=high_hz, low_reason=low, high_reason=high)


@pytest.mark.parametrize(
    ("gate_hz", "want"),
    [
        (300.0, (300.0, 525.0)),  # to ka = 0.5, below which the near field is good to 0.1 dB
        (150.0, (150.0, 300.0)),  # an octave is enough
        (500.0, (500.0, 1000.0)),  # no room below ka = 0.5: an octave of what there is
        (800.0, (800.0, 1050.0)),  # up to ka = 1
    ],
)
def test_the_crossover_that_is_suggested(gate_hz: float, want: tuple[float, float]) -> None:
    got = overlap_of(span(20.0, 1050.0), far=span(gate_hz, 2e4, low="gate", high="microphone"))
    assert (got.low_hz, got.high_hz) == pytest.approx(want)
    assert (got.low_reason, got.high_reason, got.asked) == ("gate", "near field", False)


def test_a_crossover_that_is_asked_for_is_taken() -> None:
    near, far = span(20.0, 1050.0), span(300.0, 2e4, low="gate")
    got = overlap_of(near, far=far, asked_hz=(400.0, 600.0))
    assert (got.low_hz, got.high_hz, got.asked) == (400.0, 600.0, True)
    merged = merge(near_field(), far=far_field(), asked_hz=(400.0, 600.0))
    assert merged.overlap.middle_hz == pytest.approx(math.sqrt(400 * 600))


@pytest.mark.parametrize(
    ("near", "far", "asked", "said"),
    [
        (
            span(20, 1050),
            span(900, 2e4, low="gate"),
            None,
            "no third of an octave.*near field.*gate",
        ),
        (span(20, 1050), span(300, 2e4), (200.0, 500.0), "within 300 to 1050 Hz"),
        (span(20, 1050), span(300, 2e4), (400.0, 420.0), "a third of an octave or more"),
    ],
)
def test_where_both_do_not_hold_nothing_is_merged(
    near: ValidRange, far: ValidRange, asked: tuple[float, float] | None, said: str
) -> None:
    with pytest.raises(DspError, match=said):
        overlap_of(near, far=far, asked_hz=asked)


def test_two_tones_are_not_an_overlap() -> None:
    few = np.array([20.0, 350.0, 400.0, 9000.0])
    near, far = near_field().at(few), far_field().at(few)
    with pytest.raises(DspError, match="too few points"):
        merge(near, far=far)


@pytest.mark.parametrize(
    "wrong",
    [{"area_m2": 0.0}, {"gap_m": -1e-3}, {"count": 0}, {"area_percent": -1.0}],
)
def test_a_radiator_that_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(DspError, match="Radiator"):
        Radiator(**{"area_m2": 85e-4, "gap_m": 0.0, **wrong})  # type: ignore[arg-type]  # by name
