"""Distortion over the drive: what the curves of single takes hold, ordered by their voltage."""

from collections.abc import Iterator

import numpy as np
import pytest

from app.measure.make_take import Job
from app.measure.over_level import over_level, takes_over_level
from app.records.store import Store
from app.records.take import Take
from dsp.conformity.read_at import read_at
from tests.app.measure.bench_job import chain, open_store, procedure
from tests.app.measure.test_again import kept

HZ = 100.0


def take_at(store: Store, volts: float, *, unit: str = "T4-W31-0417") -> Take:
    loaded = procedure(
        excitation={
            "kind": "log_sweep",
            "start_hz": 20.0,
            "stop_hz": 20_000.0,
            "duration_s": 0.5,
            "level_v_rms": volts,
        }
    )
    return kept(Job(procedure=loaded, chain=chain(), unit=unit, lot="T4-W31", store=store))


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(tmp_path_factory.mktemp("levels")) as made:
        for volts in (4.0, 1.0, 2.0):
            take_at(made, volts)
        take_at(made, 3.0, unit="T4-W31-0999")  # another unit's
        yield made


def test_each_point_is_what_the_take_of_that_drive_holds(store: Store) -> None:
    takes = takes_over_level(store, unit="T4-W31-0417", procedure="half a second")
    over = over_level(takes, frequency_hz=HZ)
    assert over.drive_v.tolist() == [1.0, 2.0, 4.0]
    loudest = next(one for one in takes if one.procedure.excitation.level_v_rms == 4.0)
    h2 = read_at(loudest.curves["h2"], frequency_hz=np.array([HZ]))
    assert over.quantities["h2"].level_db[-1] == h2.value[0]
    assert over.quantities["h2"].uncertainty_db[-1] == h2.uncertainty[0]


def test_harmonics_of_a_weak_nonlinearity_rise_with_its_order(store: Store) -> None:
    # A Taylor series of the transfer: order n grows with the (n - 1)th power of the drive, so H2
    # re fundamental by 6 dB and H3 by 12 dB for twice the voltage.
    takes = takes_over_level(store, unit="T4-W31-0417", procedure="half a second")
    over = over_level(takes, frequency_hz=HZ)
    rise = {
        name: over.quantities[name].level_db[2] - over.quantities[name].level_db[1]
        for name in ("h2", "h3")
    }
    assert rise["h2"] == pytest.approx(6.0, abs=2.0)
    assert rise["h3"] == pytest.approx(12.0, abs=3.0)


def test_of_two_takes_at_one_drive_the_newer_counts(store: Store) -> None:
    takes = takes_over_level(store, unit="T4-W31-0417", procedure="half a second")
    twice = (takes[0], *takes)
    assert over_level(twice, frequency_hz=HZ).drive_v.size == 3


def test_where_a_curve_does_not_hold_there_is_nothing(store: Store) -> None:
    takes = takes_over_level(store, unit="T4-W31-0417", procedure="half a second")
    over = over_level(takes, frequency_hz=19_000.0)  # its harmonics lie above the band
    assert np.isnan(over.quantities["thd"].level_db).all()
    assert np.isnan(over.quantities["thd"].floor_db).all()


def test_nothing_is_told_of_nothing() -> None:
    assert over_level((), frequency_hz=HZ).drive_v.size == 0
