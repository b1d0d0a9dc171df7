"""Near field and gated far field of the unit in software, against its closed form at 1 m."""

from dataclasses import replace

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.merge_takes import merge_takes
from app.records.take import Take
from dsp import Curve, Floats
from hardware.virtual.bench import bench_of
from hardware.virtual.truth import small_signal
from tests.app.measure.near_field_takes import GATE_MS, far_take, near_take


@pytest.fixture(scope="module")
def near() -> Take:
    return near_take()


@pytest.fixture(scope="module")
def far() -> Take:
    return far_take()


def truth_db(take: Take, hz: Floats, *, volts: float) -> Floats:
    """Level at 1 m of the rigid piston with its modes, by 1/r from far away."""
    bench = bench_of(take.chain)
    unit = small_signal(bench.unit, air=bench.air)
    pressure = 50 * unit.pressure_per_volt(hz, distance_m=50.0) * volts
    return np.asarray(20 * np.log10(np.abs(pressure) / 20e-6))


def held(curve: Curve) -> np.ndarray:
    return curve.valid.holds(curve.frequency_hz)


def test_a_near_take_is_stated_for_1_m_up_to_ka_1(near: Take) -> None:
    level = near.curves["level"]
    hz = level.frequency_hz
    # c / (2 pi a): 85 cm2, 345.9 m/s at 23 degrees.
    assert level.valid.high_hz == pytest.approx(345.9 / (2 * np.pi * 0.052016), rel=1e-3)
    assert level.valid.high_reason == "near field"
    error = level.value - truth_db(near, hz, volts=0.2)
    assert np.max(np.abs(error[held(level)])) < 0.05
    assert level.how.startswith("near field, ")


def test_the_interval_of_a_near_take_holds_area_and_gap() -> None:
    sure, unsure = near_take(), near_take(radiator_uncertainty_cm2=1.7, distance_uncertainty_m=1e-3)
    low = (Ellipsis, 20)
    told = [take.curves["level"].uncertainty for take in (sure, unsure)]
    assert told[0] is not None
    assert told[1] is not None
    # 2 % of the area are 1 % of the radius: with a gap of z = 0.19 a, by the piston's closed form
    # d ln(a2 / g) / d ln a = 2 - a / root(z2 + a2) * a / g, g = root - z; likewise of the gap.
    a, z = 0.052016, 0.01
    root = np.hypot(z, a)
    by_area = 8.686 * 0.01 * (2 - a**2 / (root * (root - z)))
    by_gap = 8.686 * 1e-3 / root
    want = np.hypot(by_area, by_gap)
    got = np.sqrt(told[1][low] ** 2 - told[0][low] ** 2)
    assert got == pytest.approx(want, rel=0.02)


def test_a_near_take_without_an_area_says_that_its_level_is_wrong() -> None:
    take = near_take(radiator_cm2=None)
    assert any("neither radiator_cm2 nor sd_cm2 is given" in said for said in take.warnings)


def test_a_baffle_of_known_size_ends_the_level_below(far: Take) -> None:
    take = far_take(baffle_edge_m=0.4)
    assert take.curves["level"].valid.low_hz == pytest.approx(345.9 / 0.8, rel=1e-3)
    assert take.curves["level"].valid.low_reason == "baffle"
    assert far.curves["level"].valid.low_reason == "gate"
    # Distortion is a ratio at the place where it is: the baffle does not end it.
    assert take.curves["thd"].valid.low_reason == "gate"


def test_merged_they_are_the_unit_in_free_half_space(near: Take, far: Take) -> None:
    found = merge_takes(near, far=far)
    merged, level = found.merged, found.merged.level
    error = level.value - truth_db(far, level.frequency_hz, volts=2.0)
    inside = held(level)
    # The gate's own error from 2 / T on is 0.1 to 0.2 dB; the far field's 1/r at 1 m 0.006 dB.
    assert np.max(np.abs(error[inside])) < 0.12
    assert level.valid.low_hz < 30
    assert level.valid.high_hz > 15_000
    assert merged.overlap.low_hz == pytest.approx(2000 / GATE_MS, rel=1e-6)
    assert (merged.overlap.low_reason, merged.overlap.high_reason) == ("gate", "near field")
    assert abs(merged.offset.value) < 0.1
    assert not merged.inverted
    assert abs(merged.lag.value) < 20e-6
    assert found.unit == far.unit


def test_the_merged_phase_goes_on_where_the_far_fields_begins(near: Take, far: Take) -> None:
    merged = merge_takes(near, far=far).merged
    bench = bench_of(far.chain)
    hz = merged.phase.frequency_hz
    whole = small_signal(bench.unit, air=bench.air).pressure_per_volt(hz, distance_m=1.0)
    turned = np.radians(merged.phase.value) - 2 * np.pi * hz * merged.delay_s
    apart = np.degrees(np.angle(np.exp(1j * turned) * np.abs(whole) / whole))
    inside = held(merged.level) & (hz < 5000)
    assert np.max(np.abs(apart[inside])) < 2.0


def test_another_voltage_and_another_distance_of_reference_are_brought_together(
    near: Take, far: Take
) -> None:
    # 0.2 V against 2 V, stated for 0.5 m against 1 m: the same offset as before.
    other = near_take(reference_distance_m=0.5)
    one, two = (merge_takes(take, far=far).merged.offset.value for take in (near, other))
    assert one == pytest.approx(two, abs=1e-3)


def test_what_ends_either_field_below_is_named(near: Take) -> None:
    far = far_take(baffle_edge_m=0.4)
    ends = merge_takes(near, far=far).low_ends
    told = {(end.of, end.reason): end.hz for end in ends}
    assert told["far field", "gate"] == pytest.approx(2000 / GATE_MS)
    assert told["far field", "baffle"] == pytest.approx(432.4, rel=1e-3)
    assert ("near field", "noise") in told or ("near field", "excitation") in told


def test_a_vent_is_added_with_its_phase(near: Take, far: Take) -> None:
    # The same sound from a second mouth of a hundredth of the area, count 100: once more.
    mouth = near.procedure.geometry.model_copy(update={"radiators": 1})
    vent = replace(near, procedure=near.procedure.model_copy(update={"geometry": mouth}))
    alone, both = merge_takes(near, far=far), merge_takes(near, far=far, vent=vent)
    gained = alone.merged.offset.value - both.merged.offset.value
    assert gained == pytest.approx(6.0206, abs=1e-3)
    assert "look at distance" in both.warnings[0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"mounting": "baffle"}, "no near field that can be scaled"),
        ({"radiator_cm2": None}, "radiator_cm2 None"),
        ({"radiator_cm2": 2000.0}, "no third of an octave"),
    ],
)
def test_takes_that_do_not_belong_together_are_refused(
    near: Take, far: Take, change: dict[str, object], said: str
) -> None:
    geometry = near.procedure.geometry.model_copy(update=change)
    other = replace(near, procedure=near.procedure.model_copy(update={"geometry": geometry}))
    if change.get("radiator_cm2"):
        other = near_take(radiator_cm2=change["radiator_cm2"])
    with pytest.raises(BadInputError, match=said):
        merge_takes(other, far=far)
    with pytest.raises(BadInputError, match="is a near field itself"):
        merge_takes(near, far=near)


def test_other_units_and_an_unknown_baffle_are_told(near: Take, far: Take) -> None:
    said = merge_takes(replace(near, unit="T4-W31-0002"), far=far).warnings
    assert any("different units" in one for one in said)
    assert any("baffle_edge_m" in one for one in said)
