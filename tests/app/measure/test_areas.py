"""An area that is stated once serves both: the level of a near field, and the parameters."""

import numpy as np
import pytest

from app.measure.areas import area_of, geometry_of
from app.procedure.schema import Procedure
from app.records.take import Take
from tests.app.measure.bench_job import job, procedure
from tests.app.measure.near_field_takes import GAP_M, SD_CM2, kept


def asked(*, sd: dict[str, float] | None = None, **geometry: object) -> Procedure:
    placed = {"mounting": "near_field", "distance_m": GAP_M, **geometry}
    return procedure(geometry=placed, quantities={"parameters": sd or {}}).procedure


def taken(wanted: Procedure) -> Take:
    played = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 0.25, "level_v_rms": 0.2}
    whole = procedure(excitation=played, masks={})
    merged = whole.procedure.model_copy(
        update={"geometry": wanted.geometry, "quantities": wanted.quantities}
    )
    loaded = type(whole)(procedure=merged, file="near.toml")
    return kept(job(loaded=loaded, linear=True, distance_m=GAP_M))


def test_either_area_serves_for_the_other() -> None:
    of_unit = asked(sd={"sd_cm2": SD_CM2, "sd_uncertainty_percent": 2.0})
    of_field = asked(radiator_cm2=SD_CM2, radiator_uncertainty_cm2=0.02 * SD_CM2)
    for one in (of_unit, of_field):
        geometry, area = geometry_of(one), area_of(one)
        assert geometry.radiator_cm2 == SD_CM2
        assert geometry.radiator_uncertainty_cm2 == pytest.approx(1.7)
        assert area is not None
        assert (area.value, area.standard) == pytest.approx((85e-4, 0.85e-4))
    takes = [taken(one) for one in (of_unit, of_field)]
    level, other = (take.curves["level"] for take in takes)
    np.testing.assert_array_equal(level.value, other.value)
    assert level.uncertainty is not None
    assert other.uncertainty is not None
    np.testing.assert_allclose(level.uncertainty, other.uncertainty, rtol=1e-9)
    assert takes[0].numbers["mms_g"] == takes[1].numbers["mms_g"]


def test_what_is_stated_itself_counts() -> None:
    both = asked(sd={"sd_cm2": 85.0}, radiator_cm2=20.0)
    assert geometry_of(both).radiator_cm2 == 20.0
    area = area_of(both)
    assert area is not None
    assert area.value == pytest.approx(85e-4)


def test_several_mouths_and_other_mountings_lend_nothing() -> None:
    assert area_of(asked(radiator_cm2=20.0, radiators=2)) is None
    assert geometry_of(asked(sd={"sd_cm2": 85.0}, radiators=2)).radiator_cm2 is None
    assert geometry_of(asked(sd={"sd_cm2": 85.0}, mounting="baffle")).radiator_cm2 is None
    assert area_of(asked(radiator_cm2=85.0, mounting="baffle")) is None
