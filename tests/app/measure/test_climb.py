"""Which takes of a unit are rungs of a ladder of levels, and which are another unit."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app.errors import BadInputError
from app.measure.ladder import climb
from app.measure.unit_fit import UnitFit
from app.records.store import Store
from app.records.take import Take
from tests.app.desktop.measure import made_parameters
from tests.app.measure.bench_job import open_store
from tests.app.records.made_takes import PROCEDURE, make_capture, make_curves, make_take


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as opened:
        yield opened


def keep(store: Store, *, seed: int, volts: float, mounting: str = "free", **more: object) -> Take:
    played = PROCEDURE.excitation.model_copy(update={"level_v_rms": volts})
    geometry = PROCEDURE.geometry.model_copy(update={"mounting": mounting})
    procedure = PROCEDURE.model_copy(update={"excitation": played, "geometry": geometry})
    curves = {"impedance": make_curves()["level"]}
    capture = make_capture(seed)
    take = make_take(capture, seed=seed, procedure=procedure, curves=curves, **more)
    store.keep(take, capture=capture)
    return take


def fit_of(_: Store, __: str) -> UnitFit:
    return made_parameters.unit()


def rungs(store: Store, *, like: Take, but: str = "") -> tuple[int, ...]:
    return climb(store, like=like, fit_of=fit_of, but=but).numbers


def test_a_take_with_a_mass_on_its_cone_is_no_rung(store: Store) -> None:
    quiet = keep(store, seed=1, volts=0.1)
    heavy = keep(store, seed=2, volts=0.3)
    loud = keep(store, seed=3, volts=1.0)
    assert rungs(store, like=loud) == (1, 2, 3)  # nobody has said what it is
    assert rungs(store, like=loud, but=heavy.id[:8]) == (1, 3)
    keep(store, seed=4, volts=0.1, rests_on={"added mass": heavy.id}, derived_from=quiet.id)
    assert rungs(store, like=loud) == (4, 3)  # of several at one drive the newest counts
    # Derived again, it still has the mass on it.
    keep(store, seed=5, volts=0.3, derived_from=heavy.id)
    assert rungs(store, like=loud) == (4, 3)


def test_a_near_field_gives_no_mass_and_stays_a_rung(store: Store) -> None:
    near = keep(store, seed=1, volts=0.1)
    loud = keep(store, seed=2, volts=1.0)
    merged = PROCEDURE.model_copy(update={"name": "another, merged"})
    capture = make_capture(2)
    take = make_take(capture, seed=3, procedure=merged, rests_on={"near field": near.id})
    store.keep(take, capture=capture)
    assert rungs(store, like=loud) == (1, 2)


def test_in_a_box_it_is_another_unit(store: Store) -> None:
    free = keep(store, seed=1, volts=0.1)
    keep(store, seed=2, volts=1.0, mounting="box")
    with pytest.raises(BadInputError, match="fewer than two"):
        rungs(store, like=free)
    other = replace(free, unit=None)
    with pytest.raises(BadInputError, match="no serial"):
        rungs(store, like=other)
