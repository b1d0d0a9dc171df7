"""A mass on the cone, in a take of its own: named by the procedure, kept with the figures."""

from collections.abc import Iterator

import pytest

from app.errors import BadInputError
from app.measure.again import derive_again, open_take, second_of, with_procedure
from app.measure.boxed import Typed
from app.measure.boxed_take import boxed_take
from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.measure.second import Second
from app.measure.surroundings import air_of
from app.procedure.loaded import LoadedProcedure
from app.records.store import Store
from app.records.take import Take
from hardware.chain.schema import Ambient
from hardware.errors import ValueRefusedError
from hardware.toml_edit import with_values
from hardware.virtual.card import VirtualCard
from hardware.virtual.unit import T130
from tests.app.measure.bench_job import job, open_store, procedure

SWEEP = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 0.5, "level_v_rms": 0.2}
AIR = air_of(Ambient())
ADDED_G = 1e3 * T130.mms_kg * 0.5 * 0.8  # severity 0.8 of the rig: 1 + 0.5 x 0.8 times the mass


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(tmp_path_factory.mktemp("second")) as opened:
        yield opened


def taken(wanted: Job) -> Take:
    excitation = excite(wanted.procedure, wanted.chain)
    run = Run(wanted, excitation=excitation, card=VirtualCard(wanted.chain))
    last = list(run.events())[-1]
    assert isinstance(last, Finished)
    return last.take


def plain(**parameters: object) -> LoadedProcedure:
    asked = {"parameters": {"sd_cm2": 85.0, **parameters}}
    return procedure(excitation=SWEEP, masks={}, geometry={"mounting": "free"}, quantities=asked)


@pytest.fixture(scope="module")
def heavy(store: Store) -> Take:
    return taken(job(store=store, loaded=plain(), faults={"wrong_mass": 0.8}))


@pytest.fixture(scope="module")
def bare(store: Store) -> Take:
    return taken(job(store=store, loaded=plain()))


def with_mass(heavy: Take, **more: object) -> LoadedProcedure:
    return plain(second_take=heavy.id[:8], added_mass_g=ADDED_G, **more)


def test_a_take_names_the_one_with_the_mass_and_finds_the_units_own(
    store: Store, heavy: Take
) -> None:
    take = store.take(taken(job(store=store, loaded=with_mass(heavy))).id)
    assert take.rests_on == {"added mass": heavy.id}
    assert store.gave(heavy.id) == {"added mass"}
    mass = take.numbers["mms_g"]
    assert mass.uncertainty is not None
    # The rig's own unit is the truth.
    assert abs(mass.value - 1e3 * T130.mms_kg) < max(mass.uncertainty, 0.015 * mass.value)
    assert mass.how.startswith(f"added mass of {ADDED_G:.4g} g; in take {heavy.id[:8]}")
    # What the impedance tells by itself rests on no other take.
    assert "in take" not in take.numbers["fs_hz"].how
    assert not [one for one in take.warnings if one.startswith("parameters")]


def test_derived_again_it_is_the_same_and_a_plain_one_can_be_given_the_second(
    store: Store, heavy: Take, bare: Take
) -> None:
    assert "mms_g" not in bare.numbers
    opened = with_procedure(open_take(store, bare.id), procedure=with_mass(heavy).procedure)
    kept = derive_again(opened, store=store).take
    assert (kept.derived_from, kept.rests_on) == (bare.id, {"added mass": heavy.id})
    own = open_take(store, kept.id)
    again = derive_again(own, store=store, keep=False).take
    assert dict(again.numbers) == dict(kept.numbers)
    assert again.rests_on == kept.rests_on
    # A box takes the same unit from it.
    second = second_of(kept.procedure, store=store, unit=kept.unit)
    found = boxed_take(own, air=AIR, typed=Typed(), second=second)
    assert 1e3 * found.unit.vas_m3 == pytest.approx(kept.numbers["vas_l"].value, rel=1e-9)
    missing = Second(take_id="0" * 32, refusal="not there")
    with pytest.raises(BadInputError, match="second take 00000000: not there"):
        boxed_take(own, air=AIR, typed=Typed(), second=missing)


def test_a_take_of_another_unit_or_the_very_same_one_is_no_second(
    store: Store, heavy: Take
) -> None:
    asked = with_mass(heavy).procedure
    other = second_of(asked, store=store, unit="T4-W31-0002")
    itself = second_of(asked, store=store, unit=heavy.unit, capture_sha256=heavy.capture_sha256)
    nowhere = second_of(asked, store=None, unit=heavy.unit)
    found = [(one.fit, one.refusal) for one in (other, itself, nowhere) if one is not None]
    assert found == [
        (None, f"is of unit {heavy.unit}, not T4-W31-0002"),
        (None, "is this take itself"),
        (None, "no store is named that it could be kept in"),
    ]
    assert second_of(plain().procedure, store=store, unit=heavy.unit) is None


def test_a_second_take_that_is_not_there_costs_the_scale_and_not_the_take(
    store: Store, bare: Take
) -> None:
    asked = plain(second_take="0" * 32, added_mass_g=ADDED_G).procedure
    opened = with_procedure(open_take(store, bare.id), procedure=asked)
    take = derive_again(opened, store=store, keep=False).take
    assert take.numbers["fs_hz"].trusted
    assert "mms_g" not in take.numbers
    assert take.rests_on == {}
    assert sum("parameters: second take" in said for said in take.warnings) == 1


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"second_take": "ab12", "mms_g": 8.0}, "second_take: has nothing to say"),
        ({"mms_g": 8.0, "added_mass_g": 6.0}, "added_mass_g: stands beside mms_g"),
        ({"second_take": "ab12"}, "has nothing to say"),
    ],
)
def test_one_scale_counts(keys: dict[str, object], said: str) -> None:
    places: dict[tuple[str | int, ...], object] = {
        ("quantities", "parameters", key): value for key, value in keys.items()
    }
    with pytest.raises(ValueRefusedError, match=said):
        with_values(plain().procedure, places)
