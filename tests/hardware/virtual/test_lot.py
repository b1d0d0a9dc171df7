"""Units of a lot: alike, none the same, each always itself."""

import numpy as np

from hardware.virtual.lot import straightened, unit_of_lot
from hardware.virtual.unit import T130


def test_without_spread_every_unit_is_the_drawing() -> None:
    assert unit_of_lot(T130, spread=0.0, seed=3) == T130


def test_a_seed_is_a_unit() -> None:
    assert unit_of_lot(T130, spread=1.0, seed=3) == unit_of_lot(T130, spread=1.0, seed=3)
    assert unit_of_lot(T130, spread=1.0, seed=3) != unit_of_lot(T130, spread=1.0, seed=4)


def test_a_lot_scatters_by_a_few_percent_about_the_drawing() -> None:
    units = [unit_of_lot(T130, spread=1.0, seed=seed) for seed in range(200)]
    for name in ("re_ohm", "bl_tm", "mms_kg", "cms_m_per_n"):
        ratio = np.array([getattr(unit, name) for unit in units]) / getattr(T130, name)
        sd = np.std(ratio)
        assert 0.005 < sd < 0.06
        assert abs(np.mean(ratio) - 1) < 4 * sd / np.sqrt(200)


def test_half_the_spread_is_half_the_distance() -> None:
    one, half = (unit_of_lot(T130, spread=s, seed=9) for s in (1.0, 0.5))
    assert np.isclose(np.log(one.bl_tm / T130.bl_tm), 2 * np.log(half.bl_tm / T130.bl_tm))


def test_every_unit_has_a_trace_of_friction_unless_straightened() -> None:
    unit = unit_of_lot(T130, spread=1.0, seed=2)
    assert unit.friction_n > 0
    assert straightened(unit).friction_n == 0
