"""What stands about the unit, for what is predicted before and read while it plays."""

import math

import pytest

from app.measure.excite import excite
from app.measure.predicted import predicted
from app.measure.surroundings import far_over_heard, placed
from app.procedure.schema import Geometry
from dsp import ValidRange
from hardware.chain.schema import Ambient
from tests.app.measure.bench_job import chain, procedure

NEAR = Geometry(distance_m=0.002, mounting="near_field", radiator_cm2=85.0)
A = math.sqrt(85e-4 / math.pi)
# Keele 1974 with the gap of a baffled piston: a2 / (2 r g), g = root(z2 + a2) - z.
FACTOR = A**2 / (2 * (math.hypot(0.002, A) - 0.002))


def test_far_pressure_for_one_pascal_follows_the_radiator_close_by_and_1_over_r_elsewhere() -> None:
    ambient = Ambient()
    assert far_over_heard(NEAR, ambient=ambient, distance_m=1.0) == pytest.approx(FACTOR, rel=1e-5)
    assert far_over_heard(NEAR, ambient=ambient, distance_m=2.0) == pytest.approx(FACTOR / 2)
    four = NEAR.model_copy(update={"radiators": 4})
    assert far_over_heard(four, ambient=ambient, distance_m=1.0) == pytest.approx(4 * FACTOR)
    far = Geometry(distance_m=0.5)
    assert far_over_heard(far, ambient=ambient, distance_m=1.0) == pytest.approx(0.5, rel=1e-12)


def test_the_level_at_a_near_microphone_is_foretold_by_the_radiator_not_by_1_over_r() -> None:
    loaded, snapshot = procedure(), chain()
    excitation = excite(loaded, snapshot)
    told = predicted(excitation, snapshot, geometry=NEAR, sensitivity_db=87.0)
    assert told.spl_db is not None
    want = 87.0 + 20 * math.log10(told.rms_v / 2.83 / FACTOR)
    assert told.spl_db == pytest.approx(want, abs=1e-4)
    # By 1/r it would be 22 dB more, and a caution for nothing.
    assert told.spl_db < 87.0 + 20 * math.log10(told.rms_v / 2.83 / 0.002) - 20


def test_the_edge_counts_where_there_is_a_baffle() -> None:
    told = ValidRange(low_hz=20.0, high_hz=20_000.0)
    on_baffle = Geometry(baffle_edge_m=0.5)
    free = on_baffle.model_copy(update={"mounting": "free"})
    ends = [placed(told, geometry=one, ambient=Ambient()).low_hz for one in (on_baffle, free)]
    assert ends == pytest.approx([345.9, 20.0], rel=1e-3)  # c / (2 d), c at 23 degrees
