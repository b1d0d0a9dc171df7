"""What ends a level below, against the range that deriving the take found by itself."""

import pytest

from app.measure.low_ends import low_ends
from app.records.take import Take
from tests.app.measure.bench_job import job, procedure
from tests.app.measure.near_field_takes import kept


def take(*, noise_db_spl: float, **geometry: object) -> Take:
    played = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 0.5, "level_v_rms": 2.0}
    loaded = procedure(excitation=played, geometry=geometry, masks={})
    return kept(job(loaded=loaded, linear=True, noise_db_spl=noise_db_spl))


def found(one: Take) -> dict[str, float]:
    return {end.reason: end.hz for end in low_ends(one, of="far field")}


@pytest.mark.parametrize("noise_db_spl", [20.0, 75.0])
def test_noise_is_named_where_deriving_the_take_found_that_it_ends_the_level(
    noise_db_spl: float,
) -> None:
    alone = take(noise_db_spl=noise_db_spl)
    valid = alone.curves["level"].valid
    assert found(alone) == {valid.low_reason: valid.low_hz}
    assert valid.low_reason == ("excitation" if noise_db_spl == 20.0 else "noise")


def test_noise_is_named_beside_a_gate_and_a_baffle_that_end_it_earlier() -> None:
    ends = low_ends(take(noise_db_spl=85.0, gate_ms=80.0, baffle_edge_m=0.3), of="far field")
    assert [end.reason for end in ends] == ["baffle", "noise", "gate"]
    # Half a wave of 345.9 m/s (23 degrees) over 0.3 m; two over 80 ms.
    assert ends[0].hz == pytest.approx(345.9 / 0.6, rel=1e-3)
    assert ends[2].hz == pytest.approx(25.0)
    # Noise that passes the gate alone: as deriving finds it where no baffle hides it.
    valid = take(noise_db_spl=85.0, gate_ms=80.0).curves["level"].valid
    assert (valid.low_reason, valid.low_hz) == ("noise", ends[1].hz)
